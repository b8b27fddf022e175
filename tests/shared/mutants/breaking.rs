//! Breaks programs by machine: one thing at a time, by chance, the same from run to run.

use super::machine::INCH;
use nestwright::proof::{Claim, ToolClaim};

/// What is done to a program.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// One digit of a number with this letter becomes another.
    Digit(char),
    LineDropped,
    LineDoubled,
    LineSwapped,
    /// G0 where G1 was, and so on.
    Code(&'static str, &'static str),
    /// The cutter stays down where it went up over a tab.
    TabRemoved,
    /// One move goes as deep as the deepest, or a millimetre deeper than that.
    DeeperPass,
    /// Another bit is in the spindle than the job says.
    OtherTool,
    Truncated,
    /// This word is left out.
    WordDropped(&'static str),
    /// One move at the lowest level stays a little above it.
    Shallower,
    /// The program does not stop for the screws.
    StopRemoved,
    /// After the stop it goes into a screw, or low over it.
    IntoScrew,
    /// The programs of a sheet are run from last to first.
    Backwards,
    /// An opening or a recess is cut when all else is.
    FeatureLast,
    /// Heights are counted for another tool.
    OtherLength,
    /// Seconds for milliseconds, or the reverse.
    DwellUnit,
    /// It goes far beyond the sheet and back.
    BeyondSheet,
    /// A rapid move is not as high as it was.
    LowRapid,
}

pub const KINDS: [Kind; 32] = [
    Kind::Digit('X'),
    Kind::Digit('Y'),
    Kind::Digit('Z'),
    Kind::Digit('I'),
    Kind::Digit('J'),
    Kind::Digit('R'),
    Kind::Digit('F'),
    Kind::Digit('S'),
    Kind::LineDropped,
    Kind::LineDoubled,
    Kind::LineSwapped,
    Kind::Code("G1", "G0"),
    Kind::Code("G0", "G1"),
    Kind::Code("G2", "G3"),
    Kind::Code("G3", "G2"),
    Kind::Code("G21", "G20"),
    Kind::Code("G20", "G21"),
    Kind::TabRemoved,
    Kind::DeeperPass,
    Kind::OtherTool,
    Kind::Truncated,
    Kind::WordDropped("M3"),
    Kind::WordDropped("M5"),
    Kind::Shallower,
    Kind::StopRemoved,
    Kind::IntoScrew,
    Kind::Backwards,
    Kind::FeatureLast,
    Kind::OtherLength,
    Kind::DwellUnit,
    Kind::BeyondSheet,
    Kind::LowRapid,
];

impl std::fmt::Display for Kind {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        match self {
            Kind::Digit(letter) => write!(f, "a digit of {letter}"),
            Kind::LineDropped => write!(f, "a line dropped"),
            Kind::LineDoubled => write!(f, "a line doubled"),
            Kind::LineSwapped => write!(f, "a line swapped with the next"),
            Kind::Code(was, now) => write!(f, "{now} for {was}"),
            Kind::TabRemoved => write!(f, "a tab removed"),
            Kind::DeeperPass => write!(f, "a deeper pass"),
            Kind::OtherTool => write!(f, "a tool of another diameter"),
            Kind::Truncated => write!(f, "a truncated file"),
            Kind::WordDropped(word) => write!(f, "{word} dropped"),
            Kind::Shallower => write!(f, "a move a little less deep"),
            Kind::StopRemoved => write!(f, "the stop for screws removed"),
            Kind::IntoScrew => write!(f, "into a screw that is in"),
            Kind::Backwards => write!(f, "a sheet's programs in the wrong order"),
            Kind::FeatureLast => write!(f, "an opening or a recess cut last"),
            Kind::OtherLength => write!(f, "the length of another tool"),
            Kind::DwellUnit => write!(f, "a dwell in another unit"),
            Kind::BeyondSheet => write!(f, "far beyond the sheet and back"),
            Kind::LowRapid => write!(f, "a rapid move not so high"),
        }
    }
}

/// A broken program.
#[derive(Clone, Debug)]
pub struct Mutant {
    pub kind: Kind,
    /// What was done, for a person.
    pub told: String,
    pub text: String,
    /// The tools that are really there.
    pub tools: Option<Vec<ToolClaim>>,
    /// The sheet's programs are run from last to first.
    pub backwards: bool,
}

/// Numbers by chance (the generator of Steele, Lea and Flood's SplitMix, constants from memory).
pub struct Chance(pub u64);

impl Chance {
    pub fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % most.max(1) as u64) as usize
    }

    fn of<'a, T>(&mut self, all: &'a [T]) -> Option<&'a T> {
        if all.is_empty() { None } else { all.get(self.below(all.len())) }
    }
}

/// A program's lines, and which of them are no comments.
struct Lines<'a> {
    all: Vec<&'a str>,
    code: Vec<usize>,
}

impl<'a> Lines<'a> {
    fn new(text: &'a str) -> Lines<'a> {
        let all: Vec<&str> = text.lines().collect();
        let code = (0..all.len()).filter(|i| !all[*i].is_empty() && !all[*i].contains('(')).collect();
        Lines { all, code }
    }

    /// The text with one line replaced by others.
    fn with(&self, line: usize, by: &[&str]) -> String {
        let mut text = String::new();
        for (i, own) in self.all.iter().enumerate() {
            for line in if i == line { by } else { std::slice::from_ref(own) } {
                text.push_str(line);
                text.push('\n');
            }
        }
        text
    }

    /// Lines with a word that begins like this, and where on them it stands.
    fn words(&self, is: impl Fn(&str) -> bool) -> Vec<(usize, &'a str)> {
        let on = |i: &usize| self.all[*i].split(' ').filter(|word| is(word)).map(|word| (*i, word)).collect::<Vec<_>>();
        self.code.iter().flat_map(on).collect()
    }

    fn replaced(&self, line: usize, word: &str, by: &str) -> (String, String) {
        let words: Vec<&str> = self.all[line].split(' ').map(|it| if it == word { by } else { it }).collect();
        let words: Vec<&str> = words.into_iter().filter(|it| !it.is_empty()).collect();
        let now = words.join(" ");
        (self.with(line, &[&now]), format!("line {}: {} -> {now}", line + 1, self.all[line]))
    }
}

fn value(word: &str) -> f64 {
    word.get(1..).and_then(|it| it.parse().ok()).unwrap_or(f64::NAN)
}

/// Breaks a program in one way; `None` where it has nothing that can be broken like this.
pub fn broken(kind: Kind, text: &str, claim: &Claim, sheet: usize, chance: &mut Chance) -> Option<Mutant> {
    let lines = Lines::new(text);
    let mut tools = None;
    let by_plan = by_plan(kind, &lines, claim, sheet, chance);
    let (text, told) = match kind {
        _ if by_plan.is_some() => by_plan?,
        Kind::Backwards => (text.to_string(), "from last to first".into()),
        Kind::StopRemoved
        | Kind::IntoScrew
        | Kind::FeatureLast
        | Kind::OtherLength
        | Kind::DwellUnit
        | Kind::BeyondSheet
        | Kind::LowRapid
        | Kind::Shallower => return None,
        Kind::Digit(letter) => {
            let words = lines.words(|word| word.starts_with(letter));
            let (line, word) = *chance.of(&words)?;
            let digits: Vec<usize> = word.char_indices().filter(|it| it.1.is_ascii_digit()).map(|it| it.0).collect();
            let at = *chance.of(&digits)?;
            let was = word.as_bytes()[at] - b'0';
            let other = (was + 1 + chance.below(9) as u8) % 10;
            lines.replaced(line, word, &format!("{}{other}{}", &word[..at], &word[at + 1..]))
        }
        Kind::LineDropped => {
            let line = *chance.of(&lines.code)?;
            (lines.with(line, &[]), format!("line {}: {} dropped", line + 1, lines.all[line]))
        }
        Kind::LineDoubled => {
            let line = *chance.of(&lines.code)?;
            (lines.with(line, &[lines.all[line]; 2]), format!("line {}: {} doubled", line + 1, lines.all[line]))
        }
        Kind::LineSwapped => {
            let place = chance.below(lines.code.len() - 1);
            let (a, b) = (lines.code[place], lines.code[place + 1]);
            let mut all = lines.all.clone();
            all.swap(a, b);
            (all.join("\n") + "\n", format!("lines {} and {} swapped: {} | {}", a + 1, b + 1, all[b], all[a]))
        }
        Kind::Code(was, now) => {
            let words = lines.words(|word| word == was);
            let (line, word) = *chance.of(&words)?;
            lines.replaced(line, word, now)
        }
        Kind::WordDropped(dropped) => {
            let words = lines.words(|word| word == dropped);
            let (line, word) = *chance.of(&words)?;
            lines.replaced(line, word, "")
        }
        Kind::TabRemoved => {
            let router = claim.router.as_ref()?;
            let scale = if text.contains("G20") { 25.4 } else { 1.0 };
            let sheet = &claim.sheets[sheet - 1];
            let bottom = if router.machine.zero_on_top { -sheet.thickness } else { 0.0 };
            let tops: Vec<f64> = sheet.tabs.iter().flatten().map(|tab| bottom + tab.height).collect();
            let top = |word: &str| {
                word.starts_with('Z')
                    && tops.iter().any(|top| (value(word) * scale - top).abs() < 2.0 * router.machine.digit)
            };
            let words = lines.words(top);
            let (line, word) = *chance.of(&words)?;
            lines.replaced(line, word, "")
        }
        Kind::DeeperPass => {
            let words = lines.words(|word| word.starts_with('Z'));
            let deepest = words.iter().map(|word| value(word.1)).fold(f64::INFINITY, f64::min);
            let (line, word) = *chance.of(&words)?;
            let step = if text.contains("G20") { 0.04 } else { 1.0 };
            let deeper = if value(word) > deepest { deepest } else { deepest - step };
            lines.replaced(line, word, &format!("Z{deeper}"))
        }
        Kind::OtherTool => {
            let mut other = claim.router.as_ref()?.tools.clone();
            let count = other.len();
            let tool = &mut other[chance.below(count)];
            let by = *chance.of(&[-1.0, -0.35, -0.2, -0.12, 0.12, 0.2, 0.35, 1.0])?;
            tool.diameter += by;
            let told = format!("{} by {by} mm", tool.name);
            tools = Some(other);
            (text.to_string(), told)
        }
        Kind::Truncated => {
            let at = chance.below(text.len() - 1);
            let at = (0..=at).rev().find(|at| text.is_char_boundary(*at))?;
            (text[..at].to_string(), format!("after {at} of {} bytes", text.len()))
        }
    };
    Some(Mutant { kind, told, text, tools, backwards: kind == Kind::Backwards })
}

/// What is broken by who knows the plan: the text, and what was done. `None` for the other kinds, and where there is nothing
/// like it.
fn by_plan(kind: Kind, lines: &Lines, claim: &Claim, number: usize, chance: &mut Chance) -> Option<(String, String)> {
    let (router, sheet) = (claim.router.as_ref()?, &claim.sheets[number - 1]);
    let unit = if lines.all.iter().any(|line| line.contains("G20")) { INCH } else { 1.0 };
    let top = if router.machine.zero_on_top { 0.0 } else { sheet.thickness };
    let z = |height: f64| format!("Z{:.4}", (height + top) / unit);
    let [fx, fy] = router.machine.sheet_zero;
    let (x0, y0) = (fx * sheet.length, fy * sheet.width);
    let xy = |x: f64, y: f64| format!("X{:.4} Y{:.4}", (x - x0) / unit, (y - y0) / unit);
    let high = z(router.machine.clear);
    let after = |line: usize, more: &[String]| {
        let mut by = vec![lines.all[line]];
        by.extend(more.iter().map(String::as_str));
        (lines.with(line, &by), format!("after line {}: {}", line + 1, more.join(" | ")))
    };
    let begins = |i: &usize| lines.all[*i].starts_with('(');
    let done = (0..lines.all.len()).find(|i| lines.all[*i] == "(done)")?;
    match kind {
        Kind::StopRemoved => {
            let drive = (0..lines.all.len()).find(|i| lines.all[*i].starts_with("(drive "))?;
            let stop = (drive..lines.all.len()).find(|i| lines.all[*i].ends_with("M0"))?;
            Some((lines.with(stop, &[]), format!("line {}: M0 dropped", stop + 1)))
        }
        Kind::IntoScrew => {
            // Between two operations, where the tool is high up.
            let stop = (0..lines.all.len()).rfind(|i| lines.all[*i].starts_with("(drive ")).unwrap_or(0);
            let heads: Vec<usize> = (stop + 4..done).filter(|i| begins(i) && !lines.all[*i].contains("hand")).collect();
            let screw = chance.of(&sheet.screws)?;
            let (at, low) = (*chance.of(&heads)?, *chance.of(&[-1.0, 1.5])?);
            let down = if low < 0.0 { format!("G1 {} F{:.1}", z(low), 300.0 / unit) } else { z(low) };
            Some(after(at, &[format!("G0 {}", xy(screw.x, screw.y)), z(1.8), down, format!("G0 {high}")]))
        }
        Kind::FeatureLast => {
            let plain = |line: &str| line.contains(", ") && !line.contains("outline") && !line.contains("skin");
            let heads: Vec<usize> =
                (0..done).filter(|i| begins(i) && plain(lines.all[*i]) && lines.all[i + 1].contains("G0 X")).collect();
            let from = *chance.of(&heads)?;
            let to = (from + 1..=done).find(begins)?;
            let moved = [&lines.all[..from], &lines.all[to..done], &lines.all[from..to], &lines.all[done..]].concat();
            Some((moved.join("\n") + "\n", format!("lines {} to {to} moved to line {done}", from + 1)))
        }
        Kind::OtherLength => {
            let starts: Vec<usize> = (0..done).filter(|i| lines.all[*i].contains(" M3")).collect();
            let number = 1 + chance.below(4);
            Some(after(*chance.of(&starts)?, &[format!("G43 H{number}"), format!("G0 {high}")]))
        }
        Kind::DwellUnit => {
            let words = lines.words(|word| word.starts_with('P'));
            let (line, word) = *chance.of(&words)?;
            let by = *chance.of(&[1000.0, 0.001])?;
            Some(lines.replaced(line, word, &format!("P{}", value(word) * by)))
        }
        Kind::BeyondSheet => {
            let (far, side) = (router.gap + 5.0 + chance.below(60) as f64, chance.below(4));
            let (l, w) = (sheet.length, sheet.width);
            let [x, y] = [[-far, w / 2.0], [l + far, w / 2.0], [l / 2.0, -far], [l / 2.0, w + far]][side];
            let more = [format!("G0 {high}"), xy(x, y), xy(l / 2.0, w / 2.0)];
            Some(after(done, &more))
        }
        Kind::LowRapid => {
            let words = lines
                .words(|word| word.starts_with('Z') && (value(word) * unit - top - router.machine.clear).abs() < 0.01);
            let (line, word) = *chance.of(&words)?;
            let low = *chance.of(&[0.5, 1.5, 3.0])?;
            Some(lines.replaced(line, word, &z(low)))
        }
        Kind::Shallower => {
            let lowest = -sheet.thickness - router.machine.spoilboard;
            let words = lines.words(|word| word.starts_with('Z') && (value(word) * unit - top - lowest).abs() < 0.01);
            let (line, word) = *chance.of(&words)?;
            let up = *chance.of(&[0.4, 1.0, 2.5])?;
            Some(lines.replaced(line, word, &z(lowest + up)))
        }
        _ => None,
    }
}

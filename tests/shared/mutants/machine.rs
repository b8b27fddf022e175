//! What a machine does with a program, told from its text in a way of its own: no code here is shared with the library's
//! reader. Written from NIST IR 6556 for the codes that the programs have; all else counts as broken.

use super::go::Go;
use std::f64::consts::TAU;

pub const INCH: f64 = 25.4;
/// The machine may leave the path by this much round corners (mm): common practice.
const ROUNDED_OFF: f64 = 0.0501;
/// No machine needs longer until its spindle is up to speed (seconds): common practice.
const LONGEST: f64 = 60.0;

/// A tool as the judge needs it.
#[derive(Clone, Debug)]
pub struct Bit {
    pub number: u32,
    pub radius: f64,
    pub point: f64,
}

#[derive(Clone, Debug, Default)]
pub struct Run {
    pub moves: Vec<Go>,
    /// What a machine would stop at or ought not to do, with its line.
    pub broken: Vec<(usize, String)>,
}

/// What the text leaves to the machine.
pub struct Settings<'a> {
    pub bits: &'a [Bit],
    /// The sheet's upper face in the program's Z.
    pub top: f64,
    /// Where on the sheet X and Y are zero.
    pub zero: [f64; 2],
    pub dwell_unit: f64,
    pub by_hand: bool,
    pub changer: bool,
}

/// Runs a program.
pub fn run(text: &str, first: Option<u32>, set: &Settings) -> Run {
    let mut it = Machine {
        run: Run::default(),
        set,
        at: [f64::NAN; 3],
        scale: f64::NAN,
        motion: 80,
        absolute: None,
        feed: 0.0,
        speed: 0.0,
        turns: 0,
        waited: 0.0,
        stops: 0,
        offset: None,
        chosen: None,
        tool: first,
        old_z: f64::NAN,
        held: [f64::NAN; 3],
        to_r: false,
        ended: false,
        line: 0,
    };
    let mut said: Vec<u32> = Vec::new();
    for (i, line) in text.lines().enumerate() {
        it.line = i + 1;
        if it.ended {
            break;
        }
        if let Some(at) = line.find("(tool ").or_else(|| line.find("(put tool ")) {
            said = line[at..].split(|c: char| !c.is_ascii_digit()).find_map(|it| it.parse().ok()).into_iter().collect();
        }
        // Percent signs around a program and its number say nothing of what it does.
        if line == "%" || line.strip_prefix('O').is_some_and(|number| number.bytes().all(|it| it.is_ascii_digit())) {
            continue;
        }
        match words(line) {
            Ok(words) => it.block(&words, said.first().copied()),
            Err(why) => it.fail(&why),
        }
    }
    if !it.ended {
        it.fail("the program does not end");
    }
    it.run
}

fn words(line: &str) -> Result<Vec<(char, f64)>, String> {
    let mut words = Vec::new();
    let mut rest = line.split(';').next().unwrap_or_default().trim();
    while let Some(letter) = rest.chars().next() {
        if letter == '(' {
            rest = rest.split_once(')').ok_or("an open comment")?.1.trim_start();
            continue;
        }
        let number = rest.get(1..).ok_or("not text")?;
        let end = number.find(|c: char| !(c.is_ascii_digit() || "+-.".contains(c))).unwrap_or(number.len());
        let value = number[..end].parse().map_err(|_| format!("no number after {letter}"))?;
        words.push((letter, value));
        rest = number[end..].trim_start();
    }
    Ok(words)
}

struct Machine<'a> {
    run: Run,
    set: &'a Settings<'a>,
    at: [f64; 3],
    scale: f64,
    motion: i32,
    absolute: Option<bool>,
    feed: f64,
    speed: f64,
    turns: i32,
    waited: f64,
    stops: u32,
    /// The tool whose length is counted (G43 H).
    offset: Option<u32>,
    chosen: Option<u32>,
    tool: Option<u32>,
    /// Height before a run of cycles; and their R, Z and Q.
    old_z: f64,
    held: [f64; 3],
    /// A cycle ends at its R and not at the height before it.
    to_r: bool,
    ended: bool,
    line: usize,
}

impl Machine<'_> {
    fn fail(&mut self, why: &str) {
        self.run.broken.push((self.line, why.into()));
    }

    fn block(&mut self, words: &[(char, f64)], said: Option<u32>) {
        let get = |letter: char| words.iter().find(|word| word.0 == letter).map(|word| word.1);
        let codes = |letter: char| words.iter().filter(move |word| word.0 == letter).map(|word| word.1.round() as i32);
        if words.iter().any(|word| !"GMNXYZIJRQFSTPH".contains(word.0)) {
            self.fail("a letter that is not in the programs");
        }
        if let Some(f) = get('F') {
            self.feed = f * self.scale;
        }
        if let Some(s) = get('S') {
            if s != self.speed {
                self.waited = 0.0;
            }
            self.speed = s;
        }
        if let Some(t) = get('T') {
            self.chosen = Some(t as u32);
        }
        for code in codes('M') {
            self.stops += u32::from(matches!(code, 0 | 6 | 30));
            match code {
                6 => self.change(self.chosen, true),
                3 | 4 => (self.turns, self.waited) = (if code == 3 { 1 } else { -1 }, 0.0),
                5 => self.turns = 0,
                0 if self.turns != 0 => self.fail("it waits for hands while the spindle turns"),
                0 if self.set.by_hand && said.is_some() => self.change(said, false),
                0 | 8 | 9 => {}
                30 => {
                    self.ended = true;
                    if self.turns != 0 {
                        self.fail("it ends with the spindle turning");
                    }
                    if self.at[2] < 0.0 {
                        self.fail("it ends in the wood");
                    }
                }
                _ => self.fail("an M code that is not in the programs"),
            }
        }
        let (mut moved, mut away) = (false, false);
        for code in codes('G') {
            match code {
                4 => {
                    if get('P').is_none() {
                        self.fail("G4 without P");
                    }
                    let waits = get('P').unwrap_or(0.0) * self.set.dwell_unit;
                    if waits > LONGEST {
                        self.fail("it stands there for more than a minute");
                    }
                    self.waited += waits;
                    moved = true;
                }
                0..=3 | 80 | 81 | 83 => {
                    if self.motion != code || code < 81 {
                        (self.old_z, self.held) = (self.at[2], [f64::NAN; 3]);
                    }
                    self.motion = code;
                }
                20 | 21 => {
                    self.scale = if code == 20 { INCH } else { 1.0 };
                    if get('F').is_some() {
                        self.feed = 0.0;
                    }
                }
                90 => self.absolute = Some(true),
                91 => self.absolute = Some(false),
                98 | 99 => self.to_r = code == 99,
                61 => {}
                64 if get('P').is_some_and(|p| p * self.scale <= ROUNDED_OFF) => {}
                64 => self.fail("it may round corners off"),
                53 => away = true,
                43 => self.offset = get('H').map(|h| h as u32),
                49 => self.offset = None,
                17 | 40 | 54 | 94 => {}
                _ => self.fail("a G code that is not in the programs"),
            }
        }
        if "XYZ".chars().any(|axis| get(axis).is_some()) {
            if away {
                for (i, axis) in ['X', 'Y', 'Z'].into_iter().enumerate().filter(|(_, axis)| get(*axis).is_some()) {
                    self.at[i] = f64::NAN;
                    if axis == 'Z' && get('Z') != Some(0.0) {
                        self.fail("down by the machine's own zero");
                    }
                }
            } else if moved {
                self.fail("a move on the line of G4");
            } else if self.absolute != Some(true) || self.scale.is_nan() {
                self.fail("a move before units and G90");
            } else {
                self.moves(&get);
            }
        } else if "IJRQ".chars().any(|letter| get(letter).is_some()) {
            self.fail("a word for no move");
        }
    }

    fn change(&mut self, tool: Option<u32>, changer: bool) {
        if self.turns != 0 {
            self.fail("a tool is changed while the spindle turns");
        }
        if self.at[2] < 0.0 {
            self.fail("a tool is changed in the wood");
        }
        if changer && !self.set.changer {
            self.fail("there is no changer");
        }
        self.tool = tool;
        if changer {
            self.at = [f64::NAN; 3];
            self.turns = 0;
        }
    }

    fn moves(&mut self, get: &dyn Fn(char) -> Option<f64>) {
        let mut to = self.at;
        for (i, axis) in ['X', 'Y', 'Z'].into_iter().enumerate() {
            if let Some(value) = get(axis) {
                to[i] = value * self.scale + [self.set.zero[0], self.set.zero[1], -self.set.top][i];
            }
        }
        let stray = |letters: &str| letters.chars().any(|letter| get(letter).is_some());
        match self.motion {
            0 | 1 => {
                if stray("IJRQ") {
                    self.fail("a word that a straight move has no use for");
                }
                self.go(self.motion == 0, to, None);
            }
            2 | 3 => self.arc(get, to),
            81 | 83 => self.cycle(get, to),
            _ => self.fail("no code is in force that moves"),
        }
    }

    fn go(&mut self, rapid: bool, to: [f64; 3], arc: Option<([f64; 2], f64)>) {
        let bit = self.tool.and_then(|tool| self.set.bits.iter().find(|bit| bit.number == tool));
        let (radius, point) = (bit.map(|bit| bit.radius), bit.map_or(0.0, |bit| bit.point));
        let edges = |at: [f64; 3]| [at[0], at[1], at[2] + point];
        let go = Go {
            line: self.line,
            rapid,
            from: edges(self.at),
            to: edges(to),
            arc,
            tool: self.tool.filter(|_| radius.is_some()),
            radius: radius.unwrap_or(0.0),
            point,
            feed: self.feed,
            turns: self.turns,
            speed: self.speed,
            waited: self.waited,
            stops: self.stops,
        };
        if go.tip() < 0.0 && self.offset.is_some_and(|offset| Some(offset) != self.tool) {
            self.fail("heights are those of another tool");
        }
        if !rapid && !go.known() {
            self.fail("a cut from a place that is not known");
        }
        self.at = to;
        self.run.moves.push(go);
    }

    fn arc(&mut self, get: &dyn Fn(char) -> Option<f64>, to: [f64; 3]) {
        let (from, clockwise) = (self.at, self.motion == 2);
        let chord = [to[0] - from[0], to[1] - from[1]];
        let long = chord[0].hypot(chord[1]);
        // By how much the ends may differ in their distance from the centre.
        let slack = if self.scale == 1.0 { 0.002 } else { 0.0002 * INCH };
        let centre = match (get('R'), get('I'), get('J')) {
            (Some(r), None, None) => {
                let (r, half) = (r * self.scale, long / 2.0);
                if half > r.abs() + slack || half < 1e-9 {
                    return self.fail("an arc that its radius cannot make");
                }
                let rise = (r * r - half * half).max(0.0).sqrt() * if (r > 0.0) == clockwise { -1.0 } else { 1.0 };
                [
                    f64::midpoint(from[0], to[0]) - chord[1] / long * rise,
                    f64::midpoint(from[1], to[1]) + chord[0] / long * rise,
                ]
            }
            (None, None, None) | (Some(_), ..) => return self.fail("an arc wants a centre or a radius"),
            (None, i, j) => [from[0] + i.unwrap_or(0.0) * self.scale, from[1] + j.unwrap_or(0.0) * self.scale],
        };
        let away = |p: [f64; 3]| (p[0] - centre[0]).hypot(p[1] - centre[1]);
        if get('X').is_none() && get('Y').is_none() {
            return self.fail("an arc wants X or Y");
        }
        if away(from) < slack || (away(from) - away(to)).abs() > slack + 1e-9 {
            return self.fail("an arc whose ends are not on one circle");
        }
        let angle = |p: [f64; 3]| (p[1] - centre[1]).atan2(p[0] - centre[0]);
        let turn = (angle(to) - angle(from)) * if clockwise { -1.0 } else { 1.0 };
        let mut turn = turn.rem_euclid(TAU);
        if turn < 1e-9 || long == 0.0 {
            turn = TAU;
        }
        self.go(false, to, Some((centre, if clockwise { -turn } else { turn })));
    }

    fn cycle(&mut self, get: &dyn Fn(char) -> Option<f64>, to: [f64; 3]) {
        let (top, scale) = (self.set.top, self.scale);
        for (i, letter) in ['R', 'Z', 'Q'].into_iter().enumerate() {
            if let Some(value) = get(letter) {
                self.held[i] = value * scale - if i < 2 { top } else { 0.0 };
            }
        }
        let [r, z, q] = self.held;
        if r.is_nan() || z.is_nan() || r < z || (self.motion == 83 && (q <= 0.0 || q.is_nan())) || self.old_z.is_nan() {
            return self.fail("a cycle without its words");
        }
        let place = |z: f64| [to[0], to[1], z];
        if self.at[2] < r {
            self.go(true, [self.at[0], self.at[1], r], None);
        }
        self.go(true, place(self.at[2]), None);
        self.go(true, place(r), None);
        let mut reached = r;
        while self.motion == 83 && reached - q > z + 1e-9 && self.run.moves.len() < 1_000_000 {
            reached -= q;
            self.go(false, place(reached), None);
            self.go(true, place(r), None);
            self.go(true, place((reached + 0.254).min(r)), None);
        }
        self.go(false, place(z), None);
        self.go(true, place(if self.to_r { r } else { self.old_z.max(r) }), None);
    }
}

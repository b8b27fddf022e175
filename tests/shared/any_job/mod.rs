//! Jobs drawn at random: the text of a spec and of the profiles beside it, from every key that there is.
//!
//! Each key is given about three times in ten, its value mostly what people give, and the ends of what its reader allows now
//! and then. Sheets take the parts and machines the sheets, for the most part, so that most jobs can be made. A job is known by
//! its seed and number: both give the same text everywhere.
#![allow(dead_code)] // Each program uses its own share of this.

mod added;
pub mod attempt;
mod boxes;
mod chance;
mod draw;
pub mod look;
mod openings;
mod shop;

use boxes::{HUNG, Need, Sort};
use chance::Chance;
use draw::{Draw, INCH, Span, trimmed};
use nestwright::error::Error;
use nestwright::profile::Profiles;
use nestwright::reading::{Beside, Source};
use openings::{Board, Fit};
use shop::Bit;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A job to be read, checked and made.
#[derive(Clone, Debug)]
pub struct AnyJob {
    pub number: u64,
    pub spec: String,
    /// Folder, name and text of each profile of the maker's own.
    pub profiles: Vec<(&'static str, String, String)>,
    /// Name and text of the lists of off-cuts beside the spec.
    pub lists: Vec<(String, String)>,
    /// How long to search for fewer sheets.
    pub effort: u32,
    /// How often each key was given: `router.hold`, and for words and the ends of ranges `router.hold=tabs`.
    pub keys: BTreeMap<String, u32>,
}

impl AnyJob {
    /// The spec and what it names, ready to be read.
    pub fn source(&self) -> Arc<Source> {
        let beside = |(name, text): &(String, String)| Beside {
            name: name.clone(),
            read: Ok(Source::new(name.clone(), text.as_str())),
        };
        Source::with_beside("job.toml", self.spec.as_str(), self.lists.iter().map(beside).collect())
    }

    /// The built-in profiles and its own.
    ///
    /// # Errors
    /// What is wrong with its own.
    pub fn shelf(&self, built_in: &Profiles) -> Result<Profiles, Error> {
        let mut shelf = built_in.clone();
        for (folder, name, text) in &self.profiles {
            shelf.add_text(folder, name, text)?;
        }
        Ok(shelf)
    }
}

/// What stands above each file of a job in one text.
const FILE: &str = "#### ";

impl AnyJob {
    /// The spec and all that it names as one text, each file under a line with its name.
    pub fn text(&self) -> String {
        let profiles = self.profiles.iter().map(|(folder, name, text)| (format!("{folder}/{name}.toml"), text));
        let lists = self.lists.iter().map(|(name, text)| (name.clone(), text));
        profiles.chain(lists).fold(self.spec.clone(), |all, (name, text)| format!("{all}\n{FILE}{name}\n{text}"))
    }

    /// The job that a text like that of [`AnyJob::text`] tells.
    pub fn of_text(text: &str) -> AnyJob {
        const FOLDERS: [&str; 7] = ["frames", "occupants", "materials", "tools", "machines", "saws", "fasteners"];
        let mark = format!("\n{FILE}");
        let mut files = text.split(mark.as_str());
        let spec = files.next().unwrap_or_default().to_string();
        let mut job =
            AnyJob { number: 0, spec, profiles: Vec::new(), lists: Vec::new(), effort: 0, keys: BTreeMap::new() };
        for (name, text) in files.filter_map(|file| file.split_once('\n')) {
            let of = FOLDERS.iter().find_map(|folder| Some((*folder, name.strip_prefix(folder)?.strip_prefix('/')?)));
            match of {
                Some((folder, name)) => job.profiles.push((folder, name.trim_end_matches(".toml").into(), text.into())),
                None => job.lists.push((name.into(), text.into())),
            }
        }
        job
    }
}

/// The job of this number.
pub fn job(seed: u64, number: u64) -> AnyJob {
    let mut chance = Chance::new(seed, number);
    // Most makers stay inside what is usual; some try how far they can go.
    let ends = chance.pick(&[0.0, 0.0, 0.0, 0.01, 0.01, 0.04]);
    let inches = chance.odds(0.35);
    let effort = chance.pick(&[0, 0, 0, 1]);
    let draw = Draw::new(chance, inches, ends);
    let mut job = Drawn { draw, profiles: Vec::new(), lists: Vec::new(), bodies: String::new(), need: Need::default() };
    job.all(number);
    let Drawn { draw, profiles, lists, .. } = job;
    AnyJob { number, spec: draw.text, profiles, lists, effort, keys: draw.keys }
}

/// A drawing of a board of this size, its end a half circle (mm).
fn drawing(length: f64, width: f64) -> String {
    let long = (length - width / 2.0).max(1.0);
    format!(
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n\
         0\nLWPOLYLINE\n90\n4\n70\n1\n10\n0\n20\n0\n10\n{long}\n20\n0\n42\n1\n10\n{long}\n20\n{width}\n\
         10\n0\n20\n{width}\n0\nENDSEC\n0\nEOF\n",
    )
}

struct Drawn {
    draw: Draw,
    profiles: Vec<(&'static str, String, String)>,
    lists: Vec<(String, String)>,
    /// Boxes and parts: they are drawn first, and stand last.
    bodies: String,
    need: Need,
}

/// What the boxes are made of, and how many stocks there are.
#[derive(Clone)]
struct Wood {
    fit: Fit,
    /// Of a second stock, for loose parts.
    other: Option<f64>,
    /// How many are wanted is left to the sheets.
    max: bool,
}

impl Drawn {
    fn all(&mut self, number: u64) {
        let sorts = [Sort::Frame, Sort::Cavity, Sort::Cavity, Sort::Open, Sort::Open, Sort::Open];
        let sort = Some(self.draw.chance.pick(&sorts)).filter(|_| self.draw.chance.odds(0.8));
        let hung = self.draw.chance.below(HUNG.len());
        let thickness = self.thickness(sort.map(|sort| (sort, hung)));
        let max = sort != Some(Sort::Frame) && self.draw.chance.odds(0.1);
        let other = self.draw.chance.odds(0.1).then(|| self.thickness(None));
        let plans = [(true, false), (true, false), (true, true), (true, true), (false, true)];
        let (router, saw) = if self.draw.chance.odds(0.03) { (false, false) } else { self.draw.chance.pick(&plans) };
        let thickest = other.map_or(thickness, |other: f64| other.max(thickness));
        let tools = router.then(|| self.tools(thickest));
        let fit = Fit {
            thickness,
            least: tools.as_ref().map_or(0.0, |(cutter, _)| 1.12 * cutter.diameter),
            drills: tools.iter().flat_map(|(_, drills)| drills.iter().map(|drill| drill.diameter)).collect(),
        };
        let wood = Wood { fit, other, max };
        self.bodies(sort, hung, &wood);
        self.bodies = std::mem::take(&mut self.draw.text);
        self.top(number);
        let sheet = self.stocks(&wood);
        if let Some(tools) = &tools {
            self.router(sheet, tools);
        }
        if saw {
            self.saw();
        }
        self.money(thickness);
        let bodies = std::mem::take(&mut self.bodies);
        self.draw.text.push_str(&bodies);
    }

    fn thickness(&mut self, box_: Option<(Sort, usize)>) -> f64 {
        let chance = &mut self.draw.chance;
        if let Some((Sort::Frame, hung)) = box_ {
            return HUNG[hung].2;
        }
        if chance.odds(self.draw.ends) {
            return chance.pick(&[2.0, 80.0]);
        }
        match chance.below(10) {
            0 => (chance.between(5.0, 25.0) * 100.0).round() / 100.0,
            1 => chance.pick(&[3.2, 4.0, 5.2, 25.0, 30.0]),
            _ => chance.pick(&[
                6.2,
                9.0,
                11.5,
                11.99,
                12.1,
                12.7,
                15.0,
                15.3,
                17.9,
                18.2,
                0.453 * INCH,
                0.705 * INCH,
                19.05,
            ]),
        }
    }

    fn top(&mut self, number: u64) {
        let draw = &mut self.draw;
        let title = match draw.chance.below(12) {
            0 => format!("Bänke für 3½ \\\"Kästen\\\" Nr. {number}"),
            1 => format!("{number:0>60}"),
            _ => format!("Job {number}"),
        };
        draw.open("# drawn at random", "top");
        draw.quoted("title", &title);
        if draw.inches || draw.given() {
            let units = if draw.inches { "in" } else { "mm" };
            draw.this_word("units", units);
        }
        for key in ["owner", "drawn-by"] {
            if draw.given() {
                draw.quoted(key, "Two Rivers & Sons");
            }
        }
        if draw.given() {
            let words = nestwright::finding::JobCheck::CAUTION_NAMES;
            let accepted = draw.chance.pick(words);
            draw.line("accept", format_args!("[\"{accepted}\"]"));
            draw.count(&format!("accept={accepted}"));
        }
        if draw.given() {
            draw.word("paper", &["a4", "a3", "letter", "tabloid"]);
        }
    }

    /// The boxes and loose parts.
    fn bodies(&mut self, sort: Option<Sort>, hung: usize, wood: &Wood) {
        let boxes = if sort.is_some() { self.draw.chance.pick(&[1, 1, 1, 1, 2, 3]) } else { 0 };
        let mut names: Vec<&str> = Vec::new();
        for i in 0..boxes {
            let sort = sort.unwrap_or(Sort::Open);
            let name = ["hutch", "Nr. 2 (\u{e9}t\u{e9})", "b/3"][i];
            self.one_box((sort, hung), name, &names, wood);
            names.push(name);
        }
        let parts = match sort {
            None => self.draw.chance.whole(1, 3),
            Some(_) => self.draw.chance.pick(&[0, 0, 0, 1, 2]),
        };
        for i in 0..parts {
            let name = ["lid", "cleat", "a strip"][i as usize];
            self.part(name, wood);
        }
    }

    fn one_box(&mut self, (sort, hung): (Sort, usize), name: &str, before: &[&str], wood: &Wood) {
        let draw = &mut self.draw;
        let kind = match sort {
            Sort::Frame => "frame-box",
            Sort::Cavity => "cavity-box",
            Sort::Open => "open-box",
        };
        draw.open("[[box]]", kind);
        draw.quoted("name", name);
        draw.quoted("kind", kind);
        let count = count(draw, wood.max, &[1, 1, 1, 1, 2, 3]);
        if let Some(under) = before.first().filter(|_| draw.chance.odds(0.15)) {
            draw.quoted("stands-on", under);
        }
        if wood.other.is_some() && draw.given() {
            draw.quoted("stock", "main");
        }
        if wood.other.is_some() && draw.given() {
            let panels = draw.chance.pick(match sort {
                Sort::Frame => &["walls", "sides", "floors", "cover", "cleats", "rims"],
                Sort::Cavity => &["walls", "floor", "roofs", "front"],
                Sort::Open => &["walls", "side", "end", "floors"],
            });
            draw.line("panel-stock", format_args!("{{ {panels} = \"other\" }}"));
            draw.count("panel-stock");
        }
        let mut aside = draw.chance.clone();
        if aside.odds(0.05) {
            let running = aside.pick(&["across", "up", "any"]);
            draw.line("panel-grain", format_args!("{{ walls = \"{running}\" }}"));
        }
        let need = match sort {
            Sort::Frame => boxes::frame_box(draw, hung, &wood.fit),
            Sort::Open => boxes::open_box(draw, &wood.fit),
            Sort::Cavity => {
                let (need, own) = boxes::cavity_box(draw, &wood.fit);
                if let Some(name) = own.filter(|own| self.profiles.iter().all(|(_, known, _)| known != own)) {
                    let text = boxes::occupant(draw, name);
                    self.profiles.push(("occupants", name.into(), text));
                }
                need
            }
        };
        // With a chance of its own, so that the rest of the job is the same with it and without.
        let kept = draw.chance.clone();
        if draw.chance.odds(0.08) {
            added::boards(draw, sort, wood.other.is_some());
        }
        draw.chance = kept;
        self.need = self.need.and(need, count);
    }

    fn part(&mut self, name: &str, wood: &Wood) {
        let draw = &mut self.draw;
        draw.open("[[part]]", "part");
        draw.quoted("name", name);
        let small = draw.chance.odds(0.35);
        let side = Span::of(10.0, 20_000.0);
        let (low, high) = if small { (10.0, 60.0) } else { (60.0, 320.0) };
        let (long, length) = draw.any_length("size", side.mostly(low, high));
        let (wide, width) = draw.any_length("size", side.mostly(low, high.min(220.0)));
        let mut aside = draw.chance.clone();
        if !small && aside.odds(0.1) {
            let file = format!("{}.dxf", name.replace(' ', "-"));
            draw.quoted("outline", &file);
            self.lists.push((file, drawing(length, width)));
        } else {
            draw.line("size", format_args!("[{long}, {wide}]"));
        }
        let many: &[u32] = if small { &[1, 2, 4, 8, 20] } else { &[1, 1, 2, 3, 6] };
        let mut number = 1;
        if wood.max || draw.chance.odds(0.6) {
            number = count(draw, wood.max, many);
        }
        if draw.given() {
            draw.word("grain", &["long", "cross", "any"]);
        }
        let mut fit = wood.fit.clone();
        if let Some(other) = wood.other.filter(|_| draw.chance.odds(0.6)) {
            draw.quoted("stock", "other");
            fit.thickness = other;
        }
        if !small {
            openings::openings(draw, "part", &[Board::new("", length, width)], &fit);
        }
        self.need = self.need.and(Need::of(length, width, length * width), number);
    }

    /// The sheets; how long, wide and thick the largest is.
    fn stocks(&mut self, wood: &Wood) -> [f64; 3] {
        let list = self.draw.chance.odds(0.05);
        let mut largest = self.stock("main", wood.fit.thickness, wood.max);
        if let Some(other) = wood.other {
            let second = self.stock("other", other, wood.max);
            for i in 0..3 {
                largest[i] = largest[i].max(second[i]);
            }
        }
        if list {
            self.off_cuts(wood.fit.thickness);
        }
        largest
    }

    fn stock(&mut self, name: &str, thickness: f64, max: bool) -> [f64; 3] {
        let need = self.need;
        let own = self.draw.chance.odds(0.12);
        if own && self.profiles.iter().all(|(folder, ..)| *folder != "materials") {
            let text = shop::material(&mut self.draw);
            self.profiles.push(("materials", "own-board".into(), text));
        }
        let draw = &mut self.draw;
        draw.open("[[stock]]", "stock");
        if name == "other" || draw.chance.odds(0.5) || self.bodies.contains("\"main\"") {
            draw.quoted("name", name);
        }
        let own = if own { "own-board" } else { "birch-plywood" };
        let material = draw.chance.pick(&["birch-plywood", "softwood-plywood", own]);
        // Drawn aside, so that the other jobs stay as they were.
        let mut aside = draw.chance.clone();
        let solid = aside.odds(0.1);
        let material =
            if solid { aside.pick(&["eastern-white-pine", "western-redcedar", "baldcypress"]) } else { material };
        draw.quoted("material", material);
        if solid && aside.odds(0.3) {
            draw.line("moisture", aside.whole(4, 25));
        }
        if solid && aside.odds(0.2) {
            draw.line("glue-up", aside.whole(2, 3));
        }
        if solid && aside.odds(0.3) {
            let driest = aside.whole(4, 12);
            draw.line("season", format_args!("[{driest}, {}]", driest + aside.whole(0, 8)));
        }
        // Room for the parts twice over, for the most part, and seldom more than a sheet or two.
        let sheets = draw.chance.pick(&[0.8, 1.6, 1.6, 2.5]);
        let wide = (need.widest + 90.0).max((sheets * need.area / 1.6).sqrt()).min(1300.0).max(need.widest + 50.0);
        let long = (need.longest + 90.0)
            .max(wide * draw.chance.between(1.0, 1.8))
            .clamp(200.0, 2500.0_f64.max(need.longest + 70.0));
        // Of what is wanted as often as it goes, small sheets hold enough.
        let size = match draw.chance.below(if max { 20 } else { 4 }) {
            0 => [2440.0, 1220.0],
            1 => [2500.0, 1250.0],
            2 => [long.ceil(), wide.max(150.0).ceil()],
            _ => [(long / INCH).ceil() * INCH, (wide.max(150.0) / INCH).ceil() * INCH],
        };
        let mut texts: Vec<String> = size.iter().map(|mm| draw.exactly(*mm)).collect();
        let mut size = size;
        if draw.chance.odds(draw.ends) {
            let i = draw.chance.below(2);
            size[i] = draw.chance.pick(&[100.0, 20_000.0]);
            texts[i] = format!("\"{} mm\"", size[i]);
        }
        draw.line("size", format_args!("[{}]", texts.join(", ")));
        let text = draw.exactly(thickness);
        let mut aside = draw.chance.clone();
        if aside.odds(0.05) && thickness > 2.3 {
            draw.line("thickness", format_args!("[\"{:.3} mm\", {text}]", thickness - 0.2));
        } else {
            draw.line("thickness", text);
        }
        if aside.odds(0.1) {
            draw.line("nominal", format_args!("\"{thickness:.3} mm\""));
        }
        if max || draw.chance.odds(0.12) {
            draw.whole("on-hand", Span::of(0.0, 10_000.0).mostly(1.0, if max { 2.0 } else { 6.0 }));
        }
        if draw.given() {
            draw.number("price", Span::of(0.0, 1e6).mostly(5.0, 90.0));
        }
        leftovers(draw);
        if aside.odds(0.08) {
            draw.count("keep-out");
            for _ in 0..=aside.below(2) {
                draw.open("[[stock.keep-out]]", "stock.keep-out");
                let [x, y, height] = [400, 200, 30].map(|most| aside.whole(0, most));
                let [length, width] = [120, 60].map(|most| aside.whole(1, most));
                draw.line("at", format_args!("[\"{x} mm\", \"{y} mm\"]"));
                draw.line("size", format_args!("[\"{length} mm\", \"{width} mm\"]"));
                if aside.odds(0.7) {
                    draw.quoted("why", "knot");
                }
                if aside.odds(0.5) {
                    draw.line("height", format_args!("\"{height} mm\""));
                }
            }
        }
        [size[0], size[1], thickness]
    }

    /// A list of off-cuts of an earlier job, used before whole sheets.
    fn off_cuts(&mut self, thickness: f64) {
        let draw = &mut self.draw;
        draw.open("[[stock]]", "stock");
        draw.quoted("from", "earlier.toml");
        leftovers(draw);
        let mut list = String::from("job = \"Earlier\"\ncut = \"router\"\n");
        for i in 1..=draw.chance.whole(1, 3) {
            let (long, wide) = (draw.chance.whole(150, 900), draw.chance.whole(120, 500));
            list += &format!(
                "\n[[off-cut]]\nid = \"earlier-{i}\"\nplan = \"router\"\nsheet = {i}\nmaterial = \"birch-plywood\"\n\
                 thickness = {}\nsize = [{long}, {wide}]\n",
                trimmed(thickness, 2)
            );
        }
        self.lists.push(("earlier.toml".into(), list));
    }

    fn tools(&mut self, thickness: f64) -> (Bit, Vec<Bit>) {
        let cutter = shop::cutter(&mut self.draw, thickness);
        let drills = if self.draw.chance.odds(0.5) { shop::drills(&mut self.draw, thickness) } else { Vec::new() };
        for bit in drills.iter().chain([&cutter]) {
            self.profiles.extend(bit.text.clone().map(|text| ("tools", bit.name.clone(), text)));
        }
        (cutter, drills)
    }

    fn router(&mut self, sheet: [f64; 3], (cutter, drills): &(Bit, Vec<Bit>)) {
        let (machine, text, feed) = shop::machine(&mut self.draw, sheet);
        self.profiles.extend(text.map(|text| ("machines", machine.clone(), text)));
        let draw = &mut self.draw;
        draw.open("[router]", "router");
        draw.quoted("machine", &machine);
        draw.quoted("cutter", &cutter.name);
        if draw.chance.odds(0.1) {
            draw.word("sheet-zero", &["lower-left", "lower-right", "upper-left", "upper-right", "centre"]);
        }
        if draw.chance.odds(0.1) {
            // Inside of what grinding takes off, or gone too far.
            let most = if draw.chance.odds(0.1) { 0.8 } else { 0.95 };
            let worn = cutter.diameter * draw.chance.between(most, 1.0);
            draw.length("cutter-diameter", Span::of(0.5, 200.0).mostly(worn, worn));
        }
        if !drills.is_empty() || draw.chance.odds(0.1) {
            let names: Vec<String> = drills.iter().map(|drill| format!("\"{}\"", drill.name)).collect();
            draw.line("drills", format_args!("[{}]", names.join(", ")));
        }
        router_keys(draw, cutter, feed, sheet[2]);
    }

    fn saw(&mut self) {
        let own = self.draw.chance.odds(0.4).then(|| shop::bench(&mut self.draw));
        let draw = &mut self.draw;
        draw.open("[saw]", "saw");
        draw.length("kerf", Span::of(0.0, 20.0).mostly(1.2, 5.0));
        if let Some(text) = own {
            draw.quoted("machine", "own-saw");
            self.profiles.push(("saws", "own-saw".into(), text));
        } else if draw.given() {
            let name = draw.chance.pick(&["table-saw", "large-table-saw", "circular-saw"]);
            draw.quoted("machine", name);
        }
        if draw.given() {
            draw.whole("together", Span::of(1.0, 50.0).mostly(1.0, 4.0));
        }
        if draw.given() {
            draw.whole("stages", Span::of(2.0, 20.0).mostly(2.0, 4.0));
        }
    }

    /// Nails and prices.
    fn money(&mut self, thickness: f64) {
        if self.draw.given() {
            let own = self.draw.chance.odds(0.4).then(|| shop::fastener(&mut self.draw, thickness));
            let draw = &mut self.draw;
            draw.open("[hardware]", "hardware");
            let mut screws = false;
            if let Some((text, kind)) = own {
                draw.quoted("fastener", "own-nail");
                self.profiles.push(("fasteners", "own-nail".into(), text));
                screws = kind == "screw";
            } else if draw.given() {
                let name =
                    draw.chance.pick(&["brad-1", "brad-1-1-4", "brad-2", "nails", "screw-4x40", "screws", "screws"]);
                draw.quoted("fastener", name);
                screws = name.starts_with("screw");
            }
            if screws && draw.chance.odds(0.7) {
                draw.flag("screw-holes");
            }
            if draw.given() {
                draw.length("spacing", Span::of(10.0, 500.0).mostly(40.0, 150.0));
            }
            if draw.given() {
                draw.whole("coats", Span::of(0.0, 10.0).mostly(0.0, 4.0));
            }
        }
        if self.draw.given() {
            cost(&mut self.draw);
        }
    }
}

/// How many, or as many as the sheets give; how many that is at least.
fn count(draw: &mut Draw, max: bool, usual: &[u32]) -> u32 {
    if !max {
        let count = draw.chance.pick(usual);
        draw.line("count", count);
        return count;
    }
    draw.this_word("count", "max");
    if draw.given() { draw.whole("per-set", Span::of(1.0, 3.0)) } else { 1 }
}

/// What any stock may say about its edges and what is left of it.
fn leftovers(draw: &mut Draw) {
    if draw.given() {
        draw.length("trim", Span::of(0.0, 100.0).mostly(0.0, 10.0));
    }
    if draw.given() {
        draw.length("margin", Span::of(0.0, 500.0).mostly(0.0, 30.0));
    }
    if draw.given() {
        let side = Span::of(20.0, 20_000.0);
        let (a, b) = (
            draw.any_length("usable", side.mostly(150.0, 400.0)).0,
            draw.any_length("usable", side.mostly(50.0, 200.0)).0,
        );
        draw.line("usable", format_args!("[{a}, {b}]"));
    }
}

/// How parts are cut and held, by a cutter like this in boards of this thickness.
fn router_keys(draw: &mut Draw, cutter: &Bit, feed: f64, t: f64) {
    let d = cutter.diameter;
    let skinned = draw.given() && draw.word("hold", &["tabs", "onion-skin"]) == "onion-skin";
    let lengths = [
        ("clearance", Span::of(0.0, 100.0).mostly(0.0, 6.0)),
        ("tab-width", Span::of(2.0, 50.0).mostly(2.0, 14.0)),
        ("tab-height", Span::of(0.5, 20.0).mostly(0.8, (0.5 * t).min(6.0))),
        ("finish", Span::of(0.0, 3.0).mostly(0.1, 0.25 * d)),
        ("hole-allowance", Span::of(0.0, 2.0).mostly(0.05, 0.5)),
    ];
    for (key, span) in lengths {
        if draw.given() {
            draw.length(key, span);
        }
    }
    if skinned && draw.given() {
        draw.length("skin", Span::of(0.1, 3.0).mostly(0.2, 0.8));
    }
    for (key, words) in [
        ("cut", ["climb", "conventional", "climb"]),
        ("lead", ["arc", "straight", "none"]),
        ("relief", ["diagonal", "deep", "wide"]),
    ] {
        if draw.given() {
            draw.word(key, &words);
        }
    }
    if draw.given() {
        draw.flag("screws");
    }
    if draw.given() {
        draw.number("dwell", Span::of(0.0, 10.0).mostly(0.0, 1.0));
    }
    if draw.given() {
        // About what its chips allow; as the machine's is told, in its own units or by the minute in inches.
        let usual = cutter.load.map(|load| load * cutter.flutes * cutter.speed);
        let span = Span::of(10.0, 100_000.0);
        draw.length("feed", span.mostly((0.8 * usual[0]).min(feed), usual[1].min(feed)));
    }
    if draw.given() {
        draw.number("speed", Span::of(100.0, 60_000.0).mostly(0.7 * cutter.speed, 1.2 * cutter.speed));
    }
    if draw.chance.odds(0.2) {
        draw.word("flip", &["length", "width"]);
        if draw.given() {
            draw.length("pin", Span::of(3.0, 25.0).mostly(1.1 * d, 2.0 * d));
        }
    }
    if draw.given() && draw.flag("labels") && draw.given() {
        draw.length("label-depth", Span::of(0.2, 2.0).mostly(0.2, (0.2 * t).min(1.0)));
    }
    if draw.given() {
        draw.flag("joint-lines");
    }
    if !skinned && draw.given() {
        draw.flag("in-cut-outs");
    }
}

fn cost(draw: &mut Draw) {
    draw.open("[cost]", "cost");
    if draw.given() {
        let sign = draw.chance.pick(&["EUR", "£", "US $", "kr"]);
        draw.quoted("currency", sign);
    }
    if draw.given() {
        draw.number("rate", Span::of(0.0, 1e6).mostly(10.0, 80.0));
    }
    if draw.given() {
        draw.number("handwork", Span::of(0.0, 100_000.0).mostly(5.0, 90.0));
    }
    if draw.given() {
        draw.number("margin", Span::of(0.0, 95.0).mostly(5.0, 50.0));
    }
    for name in ["glue", "paint", "brad-1-1-4"] {
        if draw.given() {
            draw.open("[[cost.item]]", "cost.item");
            draw.quoted("name", name);
            draw.number("price", Span::of(0.0, 1e6).mostly(1.0, 30.0));
            if draw.given() {
                draw.number("per", Span::of(0.001, 1e6).mostly(1.0, 500.0));
            }
        }
    }
}

//! The tools, machines, saws, nails and sheets of people's own, as profiles.

use super::draw::{Draw, INCH, Span, trimmed};

/// A tool that a job may name.
#[derive(Clone, Debug)]
pub struct Bit {
    pub name: String,
    pub diameter: f64,
    pub flutes: f64,
    pub load: [f64; 2],
    pub speed: f64,
    /// The file of one that is not built in.
    pub text: Option<String>,
}

impl Bit {
    fn built_in(name: &str, diameter: f64, load: [f64; 2], speed: f64) -> Bit {
        Bit { name: name.into(), diameter, flutes: 2.0, load, speed, text: None }
    }
}

const CUTTERS: [f64; 14] = [2.0, 3.0, 3.175, 4.0, 5.0, 5.92, 6.0, 6.0, 6.35, 6.35, 8.0, 10.0, 12.0, 12.7];
const DRILLS: [f64; 12] = [2.0, 2.5, 3.0, 3.175, 4.0, 5.0, 6.0, 6.35, 8.0, 10.0, 12.0, 20.0];

/// An end mill for sheets of this thickness, with room to spare for the most part.
pub fn cutter(draw: &mut Draw, thickness: f64) -> Bit {
    let loads = [[0.15, 0.23], [0.006 * INCH, 0.009 * INCH]];
    match draw.chance.below(10) {
        0..=2 => Bit::built_in("endmill-6", 6.0, loads[0], 16000.0),
        3 | 4 => Bit::built_in("endmill-1-4", 6.35, loads[1], 16000.0),
        _ => {
            let diameter = draw.chance.pick(&CUTTERS);
            own_bit(draw, "own-cutter", "end-mill", diameter, thickness)
        }
    }
}

/// Drills, none of them twice.
pub fn drills(draw: &mut Draw, thickness: f64) -> Vec<Bit> {
    let mut drills: Vec<Bit> = Vec::new();
    for i in 0..draw.chance.whole(1, 3) {
        let drill = match draw.chance.below(6) {
            0 => Bit::built_in("drill-20", 20.0, [0.05, 0.2], 3000.0),
            1 => Bit::built_in("drill-3-4", 0.75 * INCH, [0.05, 0.2], 3000.0),
            _ => {
                let diameter = draw.chance.pick(&DRILLS);
                own_bit(draw, &format!("own-drill-{i}"), "drill", diameter, thickness)
            }
        };
        if drills.iter().all(|known| known.name != drill.name) {
            drills.push(drill);
        }
    }
    drills
}

fn own_bit(draw: &mut Draw, name: &str, kind: &str, diameter: f64, thickness: f64) -> Bit {
    let drill = kind == "drill";
    let mut file = draw.profile("tools");
    file.this_word("kind", kind);
    let bold = file.chance.odds(file.ends);
    let diameter = if bold {
        file.length("diameter", Span::of(0.5, 200.0).mostly(1.0, 25.0))
    } else if diameter == 6.35 || diameter == 12.7 || diameter == 3.175 {
        file.line("diameter", format_args!("\"{} in\"", diameter / INCH));
        diameter
    } else {
        file.line("diameter", diameter);
        diameter
    };
    let edge = (thickness + 1.5).max(2.0 * diameter);
    let turns = if drill { 6000.0 } else { 18_000.0 };
    if file.given() {
        file.number("highest-speed", Span::of(100.0, 60_000.0).mostly(turns, 2.0 * turns));
    }
    point_or_flute(&mut file, drill, diameter);
    file.length("flute-length", Span::of(1.0, 300.0).mostly(edge, 2.5 * edge));
    let flutes = file.whole("flutes", Span::of(1.0, 12.0).mostly(1.0, if drill { 2.0 } else { 4.0 }));
    let usual = (0.025 * diameter).clamp(0.02, 0.3);
    let (least, a) = file.any_length("chip-load", Span::of(0.005, 3.0).mostly(0.4 * usual, usual));
    let (most, b) = file.any_length("chip-load", Span::of(a, 3.0).mostly(a.max(usual), (2.5 * usual).max(a)));
    file.line("chip-load", format_args!("[{least}, {most}]"));
    let (slow, fast) = if drill { (2500.0, 6000.0) } else { (9000.0, 18000.0) };
    let speed = file.number("speed", Span::of(100.0, 60_000.0).mostly(slow, fast));
    let ramp = Span::of(0.5, 90.0).mostly(2.0, 30.0);
    if drill && !bold {
        file.line("ramp-angle", 90);
    } else {
        file.number("ramp-angle", ramp);
    }
    file.number("pass-depth", Span::of(0.05, 5.0).mostly(0.25, if drill { 2.0 } else { 1.2 }));
    draw.absorb(&file);
    Bit { name: name.into(), diameter, flutes: f64::from(flutes), load: [a, b], speed, text: Some(file.text) }
}

/// What only a drill has, or only an end mill.
fn point_or_flute(file: &mut Draw, drill: bool, diameter: f64) {
    if !file.given() {
        return;
    }
    if drill && file.chance.odds(0.5) {
        file.length("point-length", Span::of(0.0, 50.0).mostly(0.0, diameter / 2.0));
    } else if drill {
        file.number("point-angle", Span::of(60.0, 180.0).mostly(90.0, 140.0));
    } else if file.word("flute", &["up-cut", "down-cut", "compression", "straight"]) == "compression" {
        file.length("up-cut-tip", Span::of(0.5, 50.0).mostly(0.8 * diameter, 1.2 * diameter));
    }
}

/// A router: its name, its file if it is not built in, and how fast it feeds (mm a minute).
pub fn machine(draw: &mut Draw, sheet: [f64; 3]) -> (String, Option<String>, f64) {
    const BUILT_IN: [(&str, [f64; 3], f64); 4] = [
        ("desktop-router", [2500.0, 1300.0, 100.0], 5000.0),
        ("older-router", [2600.0, 1350.0, 120.0], 6000.0),
        ("plain-router", [1300.0, 1300.0, 80.0], 3000.0),
        ("shop-router", [3048.0, 1574.8, 180.0], 12700.0),
    ];
    if draw.chance.odds(0.45) {
        let (name, travel, feed) = draw.chance.pick(&BUILT_IN);
        if (0..3).all(|i| sheet[i] <= travel[i]) {
            return (name.into(), None, feed);
        }
    }
    let mut file = draw.profile("machines");
    file.word("units", &["mm", "mm", "in"]);
    let clear = axes(&mut file, sheet);
    let feed = speeds(&mut file);
    file.word("tool-change", &["none", "automatic", "pause"]);
    file.flag("canned-cycles");
    file.word("z-zero", &["sheet-top", "spoilboard"]);
    let decimals = file.chance.pick(&[2, 3, 3, 3, 4, 4, 5, 6]);
    file.line("decimals", decimals);
    file.line("clear", trimmed(clear, 3));
    file.length("spoilboard", Span::of(0.0, 5.0).mostly(0.1, 1.0));
    habits(&mut file, sheet);
    draw.absorb(&file);
    ("own-router".into(), Some(file.text), feed)
}

/// How far it reaches, and how high it clears the sheet.
fn axes(file: &mut Draw, [length, width, thickness]: [f64; 3]) -> f64 {
    let clear =
        if file.chance.odds(file.ends) { 100.0 } else { file.chance.pick(&[1.0, 3.0, 5.0, 6.0, 12.7, 20.0, 40.0]) };
    let room = file.chance.pick(&[0.0, 10.0, 30.0, 60.0, 200.0]);
    let mut travel = [length + room, width + room, thickness + clear + file.chance.between(6.0, 80.0)];
    if file.chance.odds(file.ends) {
        travel[file.chance.below(3)] = file.chance.pick(&[10.0, 20_000.0]);
    }
    let texts: Vec<String> = travel.iter().map(|mm| trimmed(mm.ceil(), 0)).collect();
    file.line("travel", format_args!("[{}]", texts.join(", ")));
    clear
}

/// From a light machine to a heavy one; its fastest feed (mm a minute).
fn speeds(file: &mut Draw) -> f64 {
    let heavy = file.chance.odds(0.5);
    let (slow, fast) = if heavy { (6000.0, 20_000.0) } else { (1500.0, 6000.0) };
    let speed = Span::of(10.0, 100_000.0);
    file.length("rapid", speed.mostly(slow, 2.0 * fast));
    let feed = file.length("feed", speed.mostly(slow, fast));
    file.length("plunge", speed.mostly(slow / 5.0, fast / 3.0));
    let (lowest, highest) =
        (file.chance.pick(&[100, 1000, 2500, 6000]), file.chance.pick(&[18_000, 24_000, 30_000, 60_000]));
    file.line("spindle", format_args!("[{lowest}, {highest}]"));
    file.number("spin-up", Span::of(0.0, 60.0).mostly(0.0, 8.0));
    feed
}

/// What a profile may leave out.
fn habits(file: &mut Draw, [length, width, _]: [f64; 3]) {
    if file.chance.odds(0.6) {
        file.length("pin-depth", Span::of(2.0, 50.0).mostly(4.0, 12.0));
    }
    if file.given() {
        file.length("acceleration", Span::of(5.0, 50_000.0).mostly(50.0, 5000.0));
    }
    if file.given() {
        file.length("corner", Span::of(0.001, 1.0).mostly(0.005, 0.1));
    }
    if file.chance.odds(0.6) {
        file.word("arcs", &["centre", "radius", "none"]);
    }
    if file.given() {
        file.length("arc-tolerance", Span::of(0.001, 0.5).mostly(0.005, 0.05));
    }
    if file.given() {
        let near = [file.chance.between(-5.0, length * 0.8).round(), file.chance.between(-5.0, width * 0.8).round()];
        file.line("park", format_args!("[{}, {}]", near[0].max(0.0), near[1].max(0.0)));
    }
    if file.given() {
        file.length("park-height", Span::of(1.0, 1000.0).mostly(20.0, 60.0));
    }
    if file.given() {
        file.line("park-machine", "[-5, -5]");
    }
    if file.given() {
        file.word("path-control", &["as-set", "exact", "blend"]);
    }
    if file.given() {
        file.word("sheet-zero", &["lower-left", "lower-right", "upper-left", "upper-right", "centre"]);
    }
    if file.given() {
        let marks = file.chance.clone().pick(&["none", "percent", "number"]);
        file.this_word("program-marks", marks);
        file.whole("line-numbers", Span::of(0.0, 100.0).mostly(1.0, 10.0));
    }
    if file.given() {
        file.flag("decimal-point");
    }
    if file.given() {
        file.word("dwell-unit", &["seconds", "milliseconds"]);
    }
    if file.given() {
        file.flag("tool-length");
    }
    if file.given() {
        let on = file.chance.pick(&["M7", "M8"]);
        file.line("relay", format_args!("[\"{on}\", \"M9\"]"));
    }
}

/// What there is to saw with, each limit from none to more than any shop has.
pub fn bench(draw: &mut Draw) -> String {
    let mut file = draw.profile("saws");
    let table = file.chance.odds(0.8);
    let capacity = |most: f64| if table { Span::of(0.0, 5000.0).mostly(300.0, most) } else { Span::of(0.0, 0.0) };
    file.length("rip-capacity", capacity(1300.0));
    file.length("crosscut-capacity", capacity(900.0));
    let (long, _) = file.any_length("one-person", Span::of(100.0, 6000.0).mostly(800.0, 1600.0));
    let (wide, _) = file.any_length("one-person", Span::of(100.0, 6000.0).mostly(500.0, 1300.0));
    file.line("one-person", format_args!("[{long}, {wide}]"));
    file.length("least-on-fence", Span::of(50.0, 2000.0).mostly(150.0, 350.0));
    file.number("reach-out", Span::of(1.0, 10.0).mostly(2.0, 4.0));
    file.length("narrow-rip", Span::of(10.0, 500.0).mostly(50.0, 100.0));
    file.length("least-rip", Span::of(3.0, 200.0).mostly(6.0, 20.0));
    file.length("least-held", Span::of(50.0, 1000.0).mostly(100.0, 200.0));
    file.length("guide-length", Span::of(300.0, 10_000.0).mostly(1400.0, 3000.0));
    file.length("least-under-guide", Span::of(50.0, 1000.0).mostly(100.0, 300.0));
    for key in ["accuracy", "guide-accuracy", "hand-accuracy"] {
        file.length(key, Span::of(0.0, 10.0).mostly(0.1, 1.5));
    }
    file.number("squareness", Span::of(0.0, 20.0).mostly(0.1, 1.0));
    draw.absorb(&file);
    file.text
}

/// Its text, and its kind.
pub fn fastener(draw: &mut Draw, thickness: f64) -> (String, &'static str) {
    let mut file = draw.profile("fasteners");
    let kind = file.word("kind", &["brad", "nail", "screw"]);
    if kind == "screw" || file.given() {
        file.length("diameter", Span::of(1.0, 12.0).mostly(3.0, 5.0));
    }
    file.length("length", Span::of(5.0, 200.0).mostly(1.8 * thickness, 3.5 * thickness));
    file.length("spacing", Span::of(10.0, 500.0).mostly(50.0, 150.0));
    file.length("from-end", Span::of(0.0, 200.0).mostly(10.0, 30.0));
    if file.given() {
        file.word("units", &["mm", "in"]);
    }
    draw.absorb(&file);
    (file.text, kind)
}

pub fn material(draw: &mut Draw) -> String {
    let mut file = draw.profile("materials");
    file.number("density", Span::of(50.0, 3000.0).mostly(350.0, 850.0));
    file.flag("faces-alike");
    let (thinner, _) = file.any_length("tolerance", Span::of(0.0, 10.0).mostly(0.0, 0.6));
    let (thicker, _) = file.any_length("tolerance", Span::of(0.0, 10.0).mostly(0.0, 0.6));
    file.line("tolerance", format_args!("[{thinner}, {thicker}]"));
    if file.chance.clone().odds(0.4) {
        file.line("tolerance-grows", "0.03");
    }
    file.number("chip-load", Span::of(0.1, 2.0).mostly(0.6, 1.2));
    if file.chance.odds(0.2) {
        let (radial, tangential) = (file.chance.between(2.0, 5.0), file.chance.between(5.0, 10.0));
        file.line("shrinkage", format_args!("[{radial:.1}, {tangential:.1}]"));
        file.line("movement", format_args!("[{:.5}, {:.5}]", radial / 2800.0, tangential / 2800.0));
        file.number("hardness", Span::of(50.0, 50_000.0).mostly(1500.0, 6000.0));
        file.line("season", "[9, 14]");
    }
    draw.absorb(&file);
    file.text
}

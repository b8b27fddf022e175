//! Boxes of every kind, with their holes and recesses.

use super::draw::{Draw, INCH, Span};
use super::openings::{Board, Fit, openings};

/// What a box or part asks of its sheets (mm, mm²).
#[derive(Clone, Copy, Debug, Default)]
pub struct Need {
    pub longest: f64,
    pub widest: f64,
    pub area: f64,
}

impl Need {
    pub fn of(longest: f64, widest: f64, area: f64) -> Need {
        Need { longest: longest.max(widest), widest: longest.min(widest), area }
    }

    pub fn and(self, other: Need, count: u32) -> Need {
        Need {
            longest: self.longest.max(other.longest),
            widest: self.widest.max(other.widest),
            area: self.area + other.area * f64::from(count),
        }
    }
}

/// How a kind of box is drawn: its keys below `kind`, from the thickness of its boards.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sort {
    Frame,
    Cavity,
    Open,
}

/// A frame, a rest that carries it, and a thickness (mm) at which that rest keeps the bee space.
pub const HUNG: [(&str, &str, f64); 14] = [
    ("\"langstroth-deep\"", "cleat", 12.1),
    ("\"langstroth-medium\"", "cleat", 11.5),
    ("\"langstroth-shallow\"", "cleat", 12.7),
    ("\"langstroth-deep\"", "rabbet", 18.2),
    ("\"langstroth-medium\"", "rabbet", 19.05),
    ("\"national-brood\"", "inner-wall", 12.1),
    ("\"national-super\"", "inner-wall", 18.2),
    ("\"deutsch-normal\"", "rabbet", 12.1),
    ("\"deutsch-normal\"", "rabbet", 18.2),
    ("\"zander\"", "inner-wall", 12.1),
    ("\"dadant\"", "rabbet", 18.2),
    ("\"dadant-us\"", "cleat", 12.1),
    ("\"dadant-us\"", "rabbet", 18.2),
    ("own", "cleat", 14.0),
];

/// The frame box at this place of [`HUNG`].
pub fn frame_box(draw: &mut Draw, hung: usize, fit: &Fit) -> Need {
    let (frame, rest, t) = HUNG[hung];
    match frame {
        "own" => own_frame(draw),
        named => draw.line("frame", named),
    }
    let frames = draw.whole("frames", Span::of(1.0, 40.0).mostly(1.0, 4.0));
    let parted = rooms(draw, frames);
    draw.this_word("rest", rest);
    let mut corner = "butt";
    if draw.given() {
        corner =
            draw.word("corner", if rest == "inner-wall" { &["butt", "rabbet"] } else { &["butt", "rabbet", "finger"] });
    }
    joint(draw, corner, t);
    let floors: &[&str] = if parted { &["fixed", "fixed", "none"] } else { &["fixed", "loose", "none"] };
    let floor = if draw.chance.odds(0.5) { draw.word("floor", floors) } else { "fixed" };
    let cover = if draw.chance.odds(0.5) {
        draw.word("cover", &["cleated", "telescoping", "inner", "none"])
    } else {
        "cleated"
    };
    if draw.given() {
        let may: &[&str] = match (rest, corner) {
            ("inner-wall", _) => &["none"],
            ("cleat", _) => &["none", "slot", "recess"],
            (_, "rabbet") => &["none", "cleat", "slot"],
            _ => &["none", "cleat", "slot", "recess"],
        };
        draw.word("handhold", may);
    }
    if draw.given() {
        draw.word("walls", if rest == "rabbet" { &["sides", "ends"] } else { &["sides"] });
    }
    if draw.given() {
        draw.word("soft-cover", &["canvas", "house-wrap"]);
    }
    if draw.given() && !parted {
        draw.flag("division-board");
    }
    if parted {
        // The rest of the job is the same with it and without.
        let kept = draw.chance.clone();
        in_rooms(draw, floor, cover);
        draw.chance = kept;
    }
    frame_gaps(draw, rest);
    frame_ends(draw, (rest, floor, cover));
    let (width, length, high) = (f64::from(frames) * 36.0 + 20.0 + 3.0 * t, 530.0, 290.0);
    let width = if parted { width + f64::from(frames) * (16.0 + t) } else { width };
    let need = Need::of(length + 90.0, width + 80.0, 3.0 * length * high + 2.0 * width * high + 2.4 * width * length);
    let wide = width - 2.0 * t;
    let boards = [
        Board::new("front", wide, 170.0).wall(),
        Board::new("back", wide, 170.0).wall(),
        Board::new("left side", 440.0, 170.0).wall(),
        Board::new("floor", wide, 440.0).flat(),
        Board::new("cover", wide, 440.0).flat(),
    ];
    let there = |board: &&Board| match board.name {
        "floor" => floor != "none",
        "cover" => cover == "cleated" || cover == "telescoping",
        _ => true,
    };
    let boards: Vec<Board> = boards.iter().filter(there).copied().collect();
    openings(draw, "box", &boards, fit);
    need
}

/// Now and then the frames hang in several rooms.
fn rooms(draw: &mut Draw, frames: u32) -> bool {
    let mut aside = draw.chance.clone();
    if frames < 2 || !aside.odds(0.1) {
        return false;
    }
    let first = aside.whole(1, frames - 1);
    let mut rooms = vec![first];
    let mut left = frames - first;
    while left > 0 && rooms.len() < 3 {
        let more = aside.whole(1, left);
        rooms.push(more);
        left -= more;
    }
    if let (Some(last), true) = (rooms.last_mut(), left > 0) {
        *last += left;
    }
    let rooms: Vec<String> = rooms.iter().map(ToString::to_string).collect();
    draw.line("compartments", format_args!("[{}]", rooms.join(", ")));
    true
}

/// What goes with rooms.
fn in_rooms(draw: &mut Draw, floor: &str, cover: &str) {
    if floor == "fixed" && draw.given() {
        let (wide, _) = draw.any_length("room-entrance", Span::of(0.0, 300.0).mostly(9.0, 40.0));
        let (high, _) = draw.any_length("room-entrance", Span::of(0.0, 300.0).mostly(7.0, 9.0));
        draw.line("room-entrance", format_args!("[{wide}, {high}]"));
    }
    if cover != "none" && draw.chance.odds(0.5) {
        draw.flag("room-covers");
    }
}

fn own_frame(draw: &mut Draw) {
    let inline = |draw: &mut Draw, mm: f64| draw.exactly(mm);
    let (bar, body, depth, lug) = (inline(draw, 430.0), inline(draw, 390.0), inline(draw, 250.0), inline(draw, 9.0));
    let mut text = format!("{{ top-bar-length = {bar}, body-length = {body}, depth = {depth}, lug-thickness = {lug}");
    for key in ["top-bar-length", "body-length", "depth", "lug-thickness"] {
        draw.count_as(&format!("frame.{key}"));
    }
    for (key, mm) in [("spacing", 36.0), ("top-bar-width", 26.0), ("lug-width", 22.0)] {
        if draw.given() {
            text += &format!(", {key} = {}", inline(draw, mm));
            draw.count_as(&format!("frame.{key}"));
        }
    }
    if draw.given() {
        let side = draw.chance.pick(&["top", "bottom"]);
        text += &format!(", bee-space = \"{side}\"");
        draw.count_as("frame.bee-space");
    }
    if draw.given() {
        let outside = if draw.chance.odds(0.5) { "inside" } else { "outside" };
        let wide = if outside == "inside" { [375.0, 406.0] } else { [400.0, 434.0] };
        let (a, b) = (inline(draw, wide[0]), inline(draw, wide[1]));
        text += &format!(", box-frames = 10, box-{outside} = [{a}, {b}], box-height = {}", inline(draw, 262.0));
        for key in ["frames", "height", outside] {
            draw.count_as(&format!("frame.box-{key}"));
        }
    }
    draw.line("frame", format_args!("{text} }}"));
}

fn joint(draw: &mut Draw, corner: &str, t: f64) {
    if corner == "finger" && draw.given() {
        draw.length("finger", Span::of(3.0, 200.0).mostly(t.max(10.0), 30.0));
    }
    if draw.given() {
        draw.length("joint-play", Span::of(0.0, 0.3).mostly(0.05, 0.25));
    }
}

/// Room round the frames, inside the bee space for the most part.
fn frame_gaps(draw: &mut Draw, rest: &str) {
    let rarely = |draw: &mut Draw| draw.chance.odds(0.12);
    if rarely(draw) {
        draw.word("bee-space", &["top", "bottom"]);
    }
    if rarely(draw) {
        draw.length("lug-gap", Span::of(0.0, 50.0).mostly(2.0, 4.0));
    }
    if rarely(draw) {
        draw.length("side-gap", Span::of(0.0, 200.0).mostly(13.0, 18.0));
    }
    if rest != "cleat" && rarely(draw) {
        draw.length("end-gap", Span::of(0.0, 50.0).mostly(6.5, 9.0));
    }
    if rarely(draw) {
        draw.length("below", Span::of(0.0, 200.0).mostly(15.0, 20.0));
    }
    if rarely(draw) {
        draw.length("above", Span::of(0.0, 100.0).mostly(6.5, 9.0));
    }
    if rest != "rabbet" && draw.given() {
        draw.length("rest-cleat", Span::of(10.0, 500.0).mostly(30.0, 70.0));
    }
}

/// What is under it and over it.
fn frame_ends(draw: &mut Draw, (_, floor, cover): (&str, &str, &str)) {
    if floor != "none" && draw.given() {
        draw.length("lip", Span::of(0.0, 300.0).mostly(0.0, 40.0));
    }
    if floor == "loose" {
        if draw.given() {
            draw.length("rim", Span::of(5.0, 150.0).mostly(14.0, 22.0));
        }
        if draw.given() && draw.flag("entrance-block") && draw.given() {
            let (wide, _) = draw.any_length("entrance", Span::of(4.0, 1000.0).mostly(40.0, 80.0));
            let (high, _) = draw.any_length("entrance", Span::of(4.0, 1000.0).mostly(6.0, 9.0));
            draw.line("entrance", format_args!("[{wide}, {high}]"));
        }
    }
    if cover == "cleated" {
        if draw.given() {
            draw.length("cover-overhang", Span::of(0.0, 200.0).mostly(0.0, 15.0));
        }
        if draw.given() {
            draw.length("cover-cleat", Span::of(5.0, 200.0).mostly(15.0, 30.0));
        }
    }
    if cover != "none" && draw.given() {
        draw.length("cover-play", Span::of(0.0, 100.0).mostly(4.0, 12.0));
    }
    if cover == "telescoping" && draw.given() {
        draw.length("cover-rim", Span::of(20.0, 300.0).mostly(30.0, 70.0));
    }
    if ["telescoping", "inner"].contains(&cover) && draw.given() {
        draw.length("cover-hole", Span::of(0.0, 200.0).mostly(0.0, 60.0));
    }
}

/// Occupants and the cavity each takes: width, depth and height (mm).
const OCCUPANTS: [(&str, [f64; 3]); 12] = [
    ("bluebird", [130.0, 130.0, 210.0]),
    ("house-wren", [105.0, 105.0, 160.0]),
    ("great-tit", [125.0, 125.0, 220.0]),
    ("screech-owl", [205.0, 205.0, 350.0]),
    ("wood-duck", [280.0, 300.0, 300.0]),
    ("honey-bee-swarm", [300.0, 350.0, 400.0]),
    ("blue-tit", [120.0, 120.0, 220.0]),
    ("chickadee", [105.0, 105.0, 220.0]),
    ("flicker", [180.0, 180.0, 430.0]),
    ("pied-flycatcher", [125.0, 125.0, 220.0]),
    ("own-bird", [140.0, 140.0, 230.0]),
    ("own-swarm", [250.0, 300.0, 320.0]),
];

/// A cavity box in boards of this thickness; and the name of an occupant of the maker's own, if it asks for one.
pub fn cavity_box(draw: &mut Draw, fit: &Fit) -> (Need, Option<&'static str>) {
    let t = fit.thickness;
    if draw.chance.odds(0.12) {
        return roost(draw, t);
    }
    let (name, usual) = draw.chance.pick(&OCCUPANTS);
    let mut inside = usual;
    let by_name = draw.chance.odds(0.6);
    if by_name {
        draw.this_word("occupant", name);
    }
    if !by_name || draw.chance.odds(0.1) {
        let mut texts = Vec::new();
        for (i, mm) in usual.into_iter().enumerate() {
            let (text, value) = draw.any_length("inside", Span::of(20.0, 2000.0).mostly(mm, 1.25 * mm));
            inside[i] = value;
            texts.push(text);
        }
        draw.line("inside", format_args!("[{}]", texts.join(", ")));
    }
    let roof = if draw.chance.odds(0.5) { draw.word("roof", &["sloping", "gabled"]) } else { "sloping" };
    let access = if draw.chance.odds(0.6) { draw.word("access", &["none", "front", "side", "roof"]) } else { "none" };
    if ["front", "side"].contains(&access) && draw.given() {
        draw.word("access-by", &["hinge", "slide"]);
    }
    if draw.given() && !(roof == "gabled" && access == "roof") {
        let gabled = roof == "gabled";
        draw.number("slope", if gabled { Span::of(20.0, 45.0) } else { Span::of(0.0, 45.0).mostly(5.0, 25.0) });
    }
    let out = overhangs(draw);
    for key in ["drains", "vents"] {
        if draw.given() {
            draw.whole(key, Span::of(0.0, 4.0));
        }
    }
    if access != "roof" && draw.given() {
        draw.flag("back-plate");
    }
    let [width, depth, high] = inside;
    let (wide, deep) = (width + 2.0 * t, depth + 2.0 * t);
    let longest = (high + deep).max(wide + 2.0 * out).max(1.5 * (deep + out));
    let area = 2.4 * (wide + deep) * (high + 40.0) + 2.0 * (wide + out) * (deep + out);
    let mut boards = vec![
        Board::new("back", width, high).wall(),
        Board::new("left side", depth, high).wall(),
        Board::new("floor", width, depth).flat(),
    ];
    if !by_name {
        boards.push(Board::new("front", width, high).wall());
    }
    if roof == "sloping" {
        boards.push(Board::new("roof", width, depth).flat());
    }
    openings(draw, "box", &boards, fit);
    (Need::of(longest, wide.max(deep) + out, area), Some(name).filter(|name| by_name && name.starts_with("own-")))
}

fn overhangs(draw: &mut Draw) -> f64 {
    let mut out = 50.0;
    if draw.given() {
        out = draw.length("overhang", Span::of(0.0, 500.0).mostly(0.0, 90.0));
    }
    if draw.given() {
        draw.length("side-overhang", Span::of(0.0, 500.0).mostly(0.0, 50.0));
    }
    out
}

fn roost(draw: &mut Draw, t: f64) -> (Need, Option<&'static str>) {
    let name = draw.chance.pick(&["bat", "own-bat"]);
    draw.this_word("occupant", name);
    let chambers = if draw.chance.odds(0.7) { draw.whole("chambers", Span::of(1.0, 8.0).mostly(1.0, 3.0)) } else { 3 };
    if draw.given() {
        let (wide, _) = draw.any_length("inside", Span::of(10.0, 2000.0).mostly(356.0, 420.0));
        let (gap, _) = draw.any_length("inside", Span::of(10.0, 2000.0).mostly(19.1, 25.3));
        let (high, _) = draw.any_length("inside", Span::of(10.0, 2000.0).mostly(610.0, 700.0));
        draw.line("inside", format_args!("[{wide}, {gap}, {high}]"));
    }
    if draw.given() {
        draw.number("slope", Span::of(0.0, 45.0).mostly(5.0, 25.0));
    }
    let out = overhangs(draw);
    let deep = f64::from(chambers) * (22.0 + t) + 2.0 * t;
    let area = f64::from(chambers + 2) * 460.0 * 800.0 + 2.0 * deep * 800.0 + (460.0 + out) * (deep + out);
    (Need::of(880.0, 470.0 + out, area), Some(name).filter(|name| name.starts_with("own-")))
}

pub fn open_box(draw: &mut Draw, fit: &Fit) -> Need {
    let t = fit.thickness;
    let side = Span::of(20.0, 3000.0);
    let mut inside = [0.0; 3];
    let mut texts = Vec::new();
    for (i, (low, high)) in [(60.0, 260.0), (60.0, 200.0), (40.0, 120.0)].into_iter().enumerate() {
        let (text, value) = draw.any_length("inside", side.mostly(low, high));
        inside[i] = value;
        texts.push(text);
    }
    draw.line("inside", format_args!("[{}]", texts.join(", ")));
    let floor = if draw.given() { draw.word("floor", &["fixed", "none"]) } else { "fixed" };
    let corner = if draw.chance.odds(0.5) { draw.word("corner", &["butt", "rabbet", "finger"]) } else { "butt" };
    joint(draw, corner, t);
    let [width, depth, high] = inside;
    let mut boards = vec![
        Board::new("front", width, high).wall(),
        Board::new("back", width, high).wall(),
        Board::new("left side", depth, high).wall(),
    ];
    if floor == "fixed" {
        boards.push(Board::new("floor", width, depth).flat());
    }
    openings(draw, "box", &boards, fit);
    let (wide, deep) = (width + 2.0 * t, depth + 2.0 * t);
    Need::of(wide.max(deep), wide.min(deep).max(high), 2.0 * (wide + deep) * high + wide * deep)
}

/// Birds, a swarm and bats of the maker's own.
pub fn occupant(draw: &mut Draw, name: &str) -> String {
    let mut file = draw.profile("occupants");
    let pair = |file: &mut Draw, key: &str, a: f64, b: f64| {
        let (least, most) = (file.exactly(a), file.exactly(b));
        file.line(key, format_args!("[{least}, {most}]"));
    };
    match name {
        "own-bird" => {
            pair(&mut file, "floor", 140.0, 140.0);
            pair(&mut file, "height", 200.0, 260.0);
            if file.given() {
                pair(&mut file, "floor-least", 100.0, 120.0);
                pair(&mut file, "floor-most", 200.0, 160.0);
            }
            let oval = file.given();
            if oval {
                pair(&mut file, "entrance-oval", 65.0, 28.0);
            }
            if !oval || file.given() {
                file.length("entrance", Span::of(5.0, 500.0).mostly(22.0, 60.0));
            }
            if file.given() {
                pair(&mut file, "entrance-range", 20.0, 64.0);
            }
            pair(&mut file, "entrance-up", 120.0, 180.0);
        }
        "own-swarm" => {
            file.line("volume", "[20, 30]");
            file.line("entrance-area", "[8, 16]");
            pair(&mut file, "entrance-up", 25.0, 60.0);
        }
        _ => {
            file.line("chambers", "[1, 4]");
            pair(&mut file, "chamber-gap", 19.0, 25.5);
            file.length("chamber-width", Span::of(5.0, 2000.0).mostly(300.0, 356.0));
            file.length("chamber-height", Span::of(5.0, 2000.0).mostly(400.0, 610.0));
            pair(&mut file, "landing", 75.0, 150.0);
        }
    }
    if file.given() {
        file.length("wall", Span::of(1.0, 100.0).mostly(5.0, INCH / 2.0));
    }
    draw.absorb(&file);
    file.text
}

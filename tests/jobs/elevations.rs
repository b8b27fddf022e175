//! Every paper looks at a panel from the same side and measures from the same named edge as the spec.

use crate::assemblies::catalogue;
use crate::shared::make;
use glam::DVec3;
use nestwright::Made;
use nestwright::design::{Assembly, Board, Face, Panel, parts};
use nestwright::draw::{part_drawing, template_pages};
use nestwright::geometry::{Point, Side};

/// To the right, and up or away, of one who looks at a panel: found from the box in space alone. Walls are looked at from
/// outside with the upper edge up; what lies, from above with the back edge up.
fn looked_at(panel: &Panel) -> (DVec3, DVec3) {
    let out = panel.place.normal();
    if out.z.abs() > 0.7 { (DVec3::X, DVec3::Y) } else { (DVec3::Z.cross(out).normalize(), DVec3::Z) }
}

/// Where a point of space is from the panel's left and lower (or front) end.
fn from_ends(panel: &Panel, at: DVec3) -> Point {
    let (right, up) = looked_at(panel);
    // What leans is measured along its own face.
    let lean = panel.place.normal();
    let up = (up - lean * up.dot(lean)).normalize();
    let right = (right - lean * right.dot(lean)).normalize();
    let bounds = panel.outline.bounds();
    let corners = [(bounds.x0, bounds.y0), (bounds.x1, bounds.y0), (bounds.x0, bounds.y1), (bounds.x1, bounds.y1)];
    let least = |axis: DVec3| {
        let along = corners.map(|(u, v)| panel.place.to_space(Point::new(u, v), 0.0).dot(axis));
        along.into_iter().fold(f64::INFINITY, f64::min)
    };
    Point::new(at.dot(right) - least(right), at.dot(up) - least(up))
}

fn held_to_space(name: &str, assembly: &Assembly) -> usize {
    let mut compared = 0;
    let mut assembly = assembly.clone();
    assembly.count = 1;
    for part in parts(std::slice::from_ref(&assembly), |_| Board::plain(assembly.panels[0].thickness, Some(6.0))) {
        let elevation = part.elevation(&assembly);
        let panel = &assembly.panels[part.panels[0].0];
        let seen_from_above = panel.place.normal().z < -0.7;
        assert_eq!(elevation.part.up == Face::Inner, seen_from_above, "{name}, {}", panel.name);
        assert_eq!(elevation.part.holes.len(), panel.holes.len());
        for hole in &panel.holes {
            let wanted = from_ends(panel, panel.place.to_space(hole.centre, 0.0));
            let found = elevation.part.holes.iter().any(|it| it.centre.distance(wanted) < 1e-6);
            assert!(found, "{name}, {}: {wanted:?} in {:?}", panel.name, elevation.part.holes);
            compared += 1;
        }
        for pocket in &panel.pockets {
            let middle = pocket.outline.bounds().center();
            let wanted = from_ends(panel, panel.place.to_space(middle, 0.0));
            let behind = (pocket.face == Face::Inner) != seen_from_above;
            let found = elevation
                .part
                .pockets
                .iter()
                .any(|it| it.outline.bounds().center().distance(wanted) < 1e-6 && it.under == behind);
            assert!(found, "{name}, {}: {} at {wanted:?}", panel.name, pocket.purpose);
            compared += 1;
        }
        // Upright, at its true size: not on its side.
        let (_, up) = looked_at(panel);
        let (least, most) = panel.bounds();
        if panel.place.v.dot(up).abs() > 0.999 {
            assert!((elevation.part.width - (most - least).dot(up)).abs() < 1e-6, "{name}, {}", panel.name);
        }
    }
    compared
}

#[test]
fn every_panel_of_the_catalogue_is_shown_as_it_stands() {
    let compared: usize = catalogue()
        .iter()
        .map(|(name, design)| {
            let board = Board::plain(12.0, Some(6.0));
            held_to_space(name, &design.build(&board))
        })
        .sum();
    assert!(compared > 250, "{compared}");
}

/// Holes at odd places, so that no other edge gives the same measure.
const BOXES: &str = r#"
    title = "Holes in every panel"
    units = "mm"
    stock = { material = "birch-plywood", size = [2500, 1250], thickness = 12 }
    saw = { kerf = 3 }
    [[box]]
    name = "nuc"
    kind = "frame-box"
    count = 1
    frame = "langstroth-deep"
    frames = 5
    hole = [
        { panel = "front", use = "entrance", diameter = 19, across = 71, up = 23 },
        { panel = "back", use = "vent", diameter = 17, across = 67, up = 29 },
        { panel = "left side", use = "vent", diameter = 21, across = 111, up = 83 },
        { panel = "right side", use = "vent", diameter = 21, across = 137, down = 91 },
        { panel = "floor", use = "drain", diameter = 9, across = 61, up = 103 },
        { panel = "cover", use = "vent", diameter = 15, across = 73, up = 97 },
    ]
    [[box]]
    name = "bird box"
    kind = "cavity-box"
    count = 1
    occupant = "bluebird"
    hole = [
        { panel = "left side", use = "vent", diameter = 13, across = 41, up = 187 },
        { panel = "floor", use = "drain", diameter = 7, across = 29, up = 31 },
        { panel = "back", use = "pilot", diameter = 5, across = 57, up = 211 },
    ]
    [[box]]
    name = "tray"
    kind = "open-box"
    count = 1
    inside = [300, 200, 80]
    hole = [{ panel = "front", use = "pilot", diameter = 6, across = 83, up = 31 }]
    pocket = [{ panel = "back", face = "outer", size = [40, 20], depth = 4, across = 91, up = 37, purpose = "label" }]
    [[part]]
    name = "jig"
    size = [220, 90]
    hole = [{ use = "pilot", diameter = 6, across = 43, up = 17 }]
"#;

/// Panel, size, and where from its left and its lower (or front) edge, as the spec above says it.
const WANTED: [(&str, f64, f64, f64); 11] = [
    ("nuc, front", 19.0, 71.0, 23.0),
    ("nuc, back", 17.0, 67.0, 29.0),
    ("nuc, left side", 21.0, 111.0, 83.0),
    ("nuc, right side", 21.0, 137.0, f64::NAN),
    ("nuc, floor", 9.0, 61.0, 103.0),
    ("nuc, cover", 15.0, 73.0, 97.0),
    ("bird box, left side", 13.0, 41.0, 187.0),
    ("bird box, floor", 7.0, 29.0, 31.0),
    ("bird box, back", 5.0, 57.0, 211.0),
    ("tray, front", 6.0, 83.0, 31.0),
    ("jig", 6.0, 43.0, 17.0),
];

fn part_of(made: &Made, panel: &str) -> usize {
    let (box_name, name) = panel.split_once(", ").unwrap_or((panel, panel));
    let assembly = made.assemblies.iter().position(|it| it.name == box_name).expect("its box");
    let index = made.assemblies[assembly].panels.iter().position(|it| it.name == name).expect("its panel");
    made.parts
        .iter()
        .position(|part| part.assembly == assembly && part.panels.iter().any(|(it, _)| *it == index))
        .expect("its part")
}

#[test]
fn spec_drawing_template_and_page_measure_from_the_same_edges() {
    let made = make(BOXES);
    let files = nestwright::export::files(&made).expect("files");
    let page = String::from_utf8(files["job.html"].clone()).expect("text");
    let page = page.replace("\u{a0}", " ");
    for (panel, size, across, up) in WANTED {
        let index = part_of(&made, panel);
        let part = &made.parts[index];
        let shown = part.elevation(&made.assemblies[part.assembly]);
        let up = if up.is_nan() { shown.part.width - 91.0 } else { up };
        let hole = |it: &&nestwright::design::Hole| (it.length - size).abs() < 1e-6;
        let centre = shown.part.holes.iter().find(hole).expect("its hole").centre;
        assert!(centre.distance(Point::new(across, up)) < 1e-6, "{panel}: {centre:?}");
        // The drawing gives both distances, and says from where.
        let drawing = part_drawing(&made, index);
        let texts: Vec<&str> = drawing.texts().map(|text| text.text.as_str()).collect();
        let units = made.job.units;
        let (across, up) = (units.number(across), units.number(up));
        let listed = texts.contains(&"across");
        assert!(listed || (texts.contains(&across.as_str()) && texts.contains(&up.as_str())), "{panel}: {texts:?}");
        let words = texts.join(" ");
        assert!(words.contains(&format!("from its {} edge", shown.datum())) || !part.is_sided(), "{panel}: {words}");
        // The template counts from the edges that it is aligned to.
        let template: Vec<String> =
            template_pages(&made, &[index]).iter().flat_map(|it| it.texts()).map(|text| text.text.clone()).collect();
        // Words in two lines are written from the lower one up.
        let backwards: Vec<&str> = template.iter().rev().map(String::as_str).collect();
        let told = [template.join(" "), backwards.join(" ")];
        let places = |near: &'static str, far: &'static str, at: f64, whole: f64| {
            [(units.number(at), near), (units.number(whole - at), far)]
        };
        let [left, low, right, high] = Side::ALL.map(|side| shown.edge(side));
        let found = places(left, right, centre.x, shown.part.length).into_iter().any(|(x, x_edge)| {
            places(low, high, centre.y, shown.part.width).into_iter().any(|(y, y_edge)| {
                let words = format!("{x} from {x_edge}, {y} from {y_edge}");
                told.iter().any(|text| text.contains(&words))
            })
        });
        assert!(found, "{panel}: {across}, {up} in {template:?}");
        let said =
            format!("{across} from the {}, {up} mm from the {} edge", shown.edge(Side::Left), shown.edge(Side::Lower));
        assert!(page.contains(&said), "{panel}: {said}");
    }
    let tray = part_of(&made, "tray, back");
    let texts: Vec<String> = part_drawing(&made, tray).texts().map(|text| text.text.clone()).collect();
    for edge in ["71", "111", "27", "47"] {
        assert!(texts.iter().any(|text| text == edge), "{edge} in {texts:?}");
    }
}

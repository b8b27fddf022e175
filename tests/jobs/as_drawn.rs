//! Joints cut by the figures that are printed on the drawings go in, and are no looser than their play and the rounding.

use crate::shared::{make, samples};
use glam::DVec3;
use nestwright::Made;
use nestwright::design::{Assembly, JointKind, Panel, Part, contacts, joints};
use nestwright::draw::part_drawing;
use nestwright::geometry::{Point, Rect};
use nestwright::units::{Units, parse_length};

/// How far a printed joint's figure is from what is meant (mm): half a hundredth of a millimetre, half a thousandth of an inch.
fn half(units: Units) -> f64 {
    match units {
        Units::Millimetres => 0.005 + 1e-6,
        Units::Inches => 0.0005 * 25.4 + 1e-6,
    }
}

/// The texts of a part's drawing, and last all of them as one: a call-out may stand on several lines.
fn printed(made: &Made, part: usize) -> Vec<String> {
    let mut texts: Vec<String> = part_drawing(made, part).texts().map(|text| text.text.clone()).collect();
    texts.push(texts.join(" "));
    texts
}

/// The length (mm) that a text is.
fn length(text: &str, units: Units) -> Option<f64> {
    parse_length(text, units).ok()
}

/// The figures before a word, `12.25` of `rabbet 12.25 wide, 6 deep` before ` wide`.
fn before(text: &str, word: &str, units: Units) -> Vec<f64> {
    let heads = text.match_indices(word).map(|(at, _)| &text[..at]);
    heads.filter_map(|head| length(head.rsplit([',', ' ', '×', '⌀']).next()?, units)).collect()
}

/// The printed figure that is meant for a true one, among those before these words on a drawing.
fn meant(texts: &[String], words: &[&str], mm: f64, units: Units) -> Option<f64> {
    let all = texts.iter().flat_map(|text| words.iter().flat_map(|word| before(text, word, units)));
    all.min_by(|a, b| (a - mm).abs().total_cmp(&(b - mm).abs())).filter(|found| (found - mm).abs() <= half(units))
}

/// Which part of the job a panel became.
fn part_of(made: &Made, assembly: usize, panel: usize) -> usize {
    let found =
        made.parts.iter().position(|part| part.assembly == assembly && part.panels.iter().any(|(it, _)| *it == panel));
    found.expect("every panel is a part")
}

/// A panel's extent in another's frame: along u, along v, and from its outer face inwards (w). `None` for one that stands askew.
fn extent(panel: &Panel, seen_from: &Panel) -> Option<(DVec3, DVec3)> {
    let square = |axis: DVec3| {
        [panel.place.u, panel.place.v, panel.place.normal()].iter().any(|own| own.dot(axis).abs() > 1.0 - 1e-9)
    };
    if ![seen_from.place.u, seen_from.place.v].into_iter().all(square) {
        return None;
    }
    let corners =
        panel.outline.vertices.iter().flat_map(|it| [0.0, -panel.thickness].map(|w| panel.place.to_space(it.at, w)));
    let in_frame = corners.map(|corner| seen_from.place.to_flat(corner)).map(|(at, w)| DVec3::new(at.x, at.y, w));
    let all: Vec<DVec3> = in_frame.collect();
    Some((all.iter().copied().reduce(DVec3::min)?, all.iter().copied().reduce(DVec3::max)?))
}

#[derive(Default)]
struct Seen {
    let_in: usize,
    fingers: usize,
    shoulders: usize,
    askew: usize,
}

fn look(name: &str, made: &Made, seen: &mut Seen) {
    let texts: Vec<Vec<String>> = (0..made.parts.len()).map(|i| printed(made, i)).collect();
    for (i, assembly) in made.assemblies.iter().enumerate() {
        for (a, panel) in assembly.panels.iter().enumerate() {
            for (b, other) in assembly.panels.iter().enumerate().filter(|(b, _)| *b != a) {
                let parts = [part_of(made, i, a), part_of(made, i, b)];
                let texts = parts.map(|part| &texts[part]);
                let what = format!("{name}, {}: {} in {}", assembly.name, other.name, panel.name);
                pockets(&what, made, (panel, other), texts, seen);
            }
        }
        let contacts = contacts(&assembly.panels);
        for joint in joints(assembly, &contacts).iter().filter(|joint| joint.kind == JointKind::Finger) {
            let [a, b] = joint.panels;
            let parts = [a, b].map(|panel| part_of(made, i, panel));
            let what = format!(
                "{name}, {}: fingers of {} and {}",
                assembly.name, assembly.panels[a].name, assembly.panels[b].name
            );
            fingers(&what, made.job.units, assembly, [a, b], parts.map(|part| &texts[part]));
            seen.fingers += 1;
        }
    }
    for (part, texts) in made.parts.iter().zip(&texts) {
        shoulders(&format!("{name}, {}", part.name), made, part, texts, seen);
    }
}

/// What of the other panel lies in a recess between two of its walls is as printed no larger than the recess, and smaller by no
/// more than it is meant to be and the rounding of both figures.
fn pockets(
    what: &str,
    made: &Made,
    (panel, other): (&Panel, &Panel),
    [own, others]: [&Vec<String>; 2],
    seen: &mut Seen,
) {
    let units = made.job.units;
    for pocket in &panel.pockets {
        let wood = panel.outline.bounds();
        let rect = pocket.outline.bounds().intersect(wood);
        let (top, floor) = match pocket.face {
            nestwright::design::Face::Outer => (0.0, -pocket.depth),
            nestwright::design::Face::Inner => (-panel.thickness + pocket.depth, -panel.thickness),
        };
        let (low, high) = (top.min(floor), top.max(floor));
        let Some((least, most)) = extent(other, panel) else {
            seen.askew += 1;
            continue;
        };
        // How far it reaches into each side's span.
        let inside = |a: (f64, f64), b: (f64, f64)| a.1.min(b.1) - a.0.max(b.0);
        let spans = [(rect.x0, rect.x1), (rect.y0, rect.y1), (low, high)];
        let other_spans = [(least.x, most.x), (least.y, most.y), (least.z, most.z)];
        if spans.iter().zip(other_spans).any(|(a, b)| inside(*a, b) < 0.5) {
            continue;
        }
        for axis in 0..2 {
            let ((from, to), (start, end)) = (spans[axis], other_spans[axis]);
            let thick = (end - start - other.thickness).abs() < 1e-6;
            if start < from - 0.01 || end > to + 0.01 || !thick {
                continue;
            }
            let (gap, play) = ((to - from) - (end - start), 2.0 * half(units));
            let texts = |texts: &[String]| format!("{what}: {texts:?}");
            let width = meant(own, &[" wide", ","], to - from, units);
            let width = width.unwrap_or_else(|| panic!("no recess {} wide: {}", to - from, texts(own)));
            let thickness = others
                .iter()
                .filter_map(|text| length(text, units))
                .find(|it| (it - other.thickness).abs() <= half(units));
            let thickness = thickness.unwrap_or_else(|| panic!("no thickness: {}", texts(others)));
            let depth = meant(own, &[" deep"], pocket.depth, units);
            assert!(depth.is_some(), "no depth of {}: {}", pocket.depth, texts(own));
            assert!(width - thickness >= -1e-9, "{what}: {thickness} does not go into {width}");
            assert!(width - thickness <= gap + play, "{what}: {thickness} is loose in {width}, not by {gap}");
            seen.let_in += 1;
        }
    }
}

/// The notches of one are, by the figures of both drawings, as wide as the fingers of the other and its play, and as deep as it is
/// thick.
fn fingers(what: &str, units: Units, assembly: &Assembly, [a, b]: [usize; 2], texts: [&Vec<String>; 2]) {
    let combs = texts.map(|texts| {
        let all = texts.last().and_then(|all| all.split_once(" notches ")).map(|(_, comb)| comb.to_string());
        let comb = all.unwrap_or_else(|| panic!("{what}: no notches in {texts:?}"));
        let pitch = comb.split(", pitch ").nth(1).and_then(|rest| length(rest.split(' ').next()?, units));
        let first = |word| before(&comb, word, units).first().copied();
        [first(" wide"), first(" deep"), pitch].map(|it| it.unwrap_or_else(|| panic!("{what}: {comb}")))
    });
    let thick = [a, b].map(|panel| assembly.panels[panel].thickness);
    let [[wide_a, deep_a, pitch_a], [wide_b, deep_b, pitch_b]] = combs;
    assert_eq!(pitch_a, pitch_b, "{what}");
    for (wide, finger) in [(wide_a, pitch_b - wide_b), (wide_b, pitch_a - wide_a)] {
        let play = wide - finger;
        assert!((0.0..=0.3 + 3.0 * half(units)).contains(&play), "{what}: a finger of {finger} in {wide}");
    }
    for (deep, thick) in [(deep_a, thick[1]), (deep_b, thick[0])] {
        assert!((deep - thick).abs() <= 2.0 * half(units), "{what}: {deep} deep for {thick}");
    }
}

/// A corner that a square edge of another part goes into has its place printed as closely as its joint needs.
fn shoulders(what: &str, made: &Made, part: &Part, texts: &[String], seen: &mut Seen) {
    let units = made.job.units;
    let shown = part.elevation(&made.assemblies[part.assembly]).part;
    let whole = Rect::new(0.0, 0.0, shown.length, shown.width);
    let close = |mm: f64| texts.iter().filter_map(|text| length(text, units)).any(|it| (it - mm).abs() <= half(units));
    let comb = texts.iter().any(|text| text.contains(" notches "));
    for Point { x, y } in
        shown.square_corners.iter().copied().filter(|at| !comb && whole.inflate(-0.1, -0.1).contains(*at))
    {
        assert!(close(x) && close(y), "{what}: the corner at {x}, {y} is not in {texts:?}");
        seen.shoulders += 1;
    }
}

#[test]
fn joints_of_all_samples_cut_as_drawn_go_in() {
    let mut seen = Seen::default();
    let starters = nestwright::starters::ALL.iter().map(|starter| (starter.name.to_string(), starter.text.to_string()));
    for (name, spec) in samples().into_iter().chain(starters) {
        look(&name, &make(&spec), &mut seen);
    }
    println!("{} let in, {} fingers, {} shoulders, {} askew", seen.let_in, seen.fingers, seen.shoulders, seen.askew);
    assert!(seen.let_in > 12 && seen.fingers > 10 && seen.shoulders > 20);
}

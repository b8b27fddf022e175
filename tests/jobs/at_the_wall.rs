//! The cutter comes to a wall and leaves it in the waste: where it does, and where it goes down or up, it leaves no mark.

use crate::shared;
use nestwright::gcode::read::{Axis, Move, Setup, Step, read};

/// The cuts of the only program for a board with one opening (from and to), and the opening's middle on the sheet.
fn cuts(hole: &str, router: &str) -> (Vec<Move>, [f64; 2]) {
    let spec = format!(
        "title = \"wall\"\nunits = \"mm\"\n\
         stock = {{ material = \"birch-plywood\", size = [600, 400], thickness = 12.1 }}\n\
         router = {{ machine = \"desktop-router\", cutter = \"endmill-6\", screws = false{router} }}\n\
         part = {{ name = \"board\", size = [200, 200], count = 1, hole = [\
         {{ use = \"entrance\", {hole}, across = 100, up = 100 }}] }}\n"
    );
    let made = shared::make(&spec);
    let place = &made.layout.sheets[0].placements[0];
    let middle = [place.x + 100.0, place.y + 100.0];
    let inside = |step: &Move| {
        let near = |axis: Axis, at: f64| axis.known().is_some_and(|x| (x - at).abs() < 95.0);
        near(step.to[0], middle[0]) && near(step.to[1], middle[1])
    };
    let setup = Setup::default();
    let steps = read(&made.programs[0].text, &setup).map(|step| step.expect("readable"));
    let moves = steps.filter_map(|step| if let Step::Move(step) = step { Some(step) } else { None });
    (moves.filter(|step| step.to[2] != Axis::Unknown && inside(step)).collect(), middle)
}

fn known(at: [Axis; 3]) -> Option<[f64; 3]> {
    Some([at[0].known()?, at[1].known()?, at[2].known()?])
}

/// How deep a tab's top lies: over one the cutter may rise and fall at the wall.
const TAB: f64 = -9.1;

/// Round and upright or along, bored, cleared or cut around, in one pass or with a finishing lap.
#[test]
fn openings_are_entered_and_left_in_the_waste() {
    for (hole, [long, wide]) in [
        ("diameter = 9", [9.0, 9.0]),
        ("diameter = 32", [32.0, 32.0]),
        ("diameter = 66", [66.0, 66.0]),
        ("diameter = 120", [120.0, 120.0]),
        ("slot = [120, 66]", [120.0, 66.0]),
        ("slot = [80, 10]", [80.0, 10.0]),
        ("slot = [80, 8]", [80.0, 8.0]),
        ("slot = [60, 7]", [60.0, 7.0]),
        ("size = [120, 66]", [120.0, 66.0]),
        ("size = [30, 24]", [30.0, 24.0]),
        ("size = [40, 8], corner-radius = 3", [40.0, 8.0]),
        ("size = [90, 90], corner-radius = 20", [90.0, 90.0]),
    ] {
        let corner = match hole.split_once("corner-radius = ") {
            Some((_, radius)) => radius.parse().expect("a radius"),
            // A tenth more than the cutter's own 3 mm, up to the next half.
            None if hole.starts_with("size") => 3.5,
            None => wide / 2.0,
        };
        for router in ["", ", finish = 0.4", ", finish = 0.3, cut = \"conventional\"", ", lead = \"straight\""] {
            let (moves, middle) = cuts(hole, router);
            // How far the cutter's edge is from the wall: from the rectangle of the middles of its corners that is their radius
            // away, or inside of it the nearest side.
            let away = |at: [f64; 3]| {
                let [x, y] = [(0, long), (1, wide)].map(|(i, size)| (at[i] - middle[i]).abs() - (size / 2.0 - corner));
                let past = if x.min(y) > 0.0 { x.hypot(y) } else { x.max(y) };
                corner - past - 3.0
            };
            let at_wall = |at: [f64; 3]| away(at) < 0.02 && at[2] < -0.01;
            let mut along_it = 0;
            for step in &moves {
                let (Some(from), Some(to)) = (known(step.from), known(step.to)) else { continue };
                let upright = (to[0] - from[0]).hypot(to[1] - from[1]) < 1e-6;
                assert!(
                    !(upright && (at_wall(from) || at_wall(to))),
                    "{hole}{router}: up or down in line {}",
                    step.line
                );
                if at_wall(from) && at_wall(to) {
                    along_it += 1;
                    // Up to a tab, along it, or down from it.
                    let over_tab = from[2].max(to[2]) <= TAB + 0.01;
                    assert!(
                        from[2] == to[2] || over_tab,
                        "{hole}{router}: a ramp along the wall in line {}",
                        step.line
                    );
                }
            }
            assert!(along_it > 0, "{hole}{router}");
        }
    }
}

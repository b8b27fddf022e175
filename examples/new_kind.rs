//! A kind of box that nestwright does not know, added with one function: `cargo run --example new_kind`.
//!
//! The function places panels in space. Fitting, holes, joints, nesting, programs, drawings, hardware, cost and assembly
//! steps follow from the panels. A box has x to the right, y away from you and z up, in millimetres.

use glam::DVec3;
use nestwright::design::{Assembly, Board, Design, Facing, Hole, HoleUse, Joinery, Kind, Kinds, Panel};
use nestwright::geometry::Point;

use nestwright::profile::Profiles;
use nestwright::reading::{Key, Source, Takes, Unless, key};
use nestwright::watch::Search;
use std::sync::Arc;

/// A house for hedgehogs: four walls let into each other, a way in that keeps larger animals out, and a lid that lifts off.
pub fn hedgehog_house(board: &Board, [wide, deep, high]: [f64; 3]) -> Assembly {
    const DOORWAY: f64 = 130.0;
    let t = board.thickness;
    let (w, d) = (wide + 2.0 * t, deep + 2.0 * t);
    let block = |name, family, facing, from: [f64; 3], to: [f64; 3]| {
        Panel::block(name, family, facing, DVec3::from(from), DVec3::from(to))
    };
    let doorway = Hole::round(HoleUse::Entrance, Point::new(wide / 2.0, 20.0 + DOORWAY / 2.0), DOORWAY);
    let mut panels = vec![
        block("left side", "side", Facing::Left, [0.0, 0.0, 0.0], [t, d, high]),
        block("right side", "side", Facing::Right, [w - t, 0.0, 0.0], [w, d, high]),
        block("front", "front", Facing::Front, [t, 0.0, 0.0], [w - t, t, high]).with_hole(doorway),
        block("back", "back", Facing::Back, [t, d - t, 0.0], [w - t, d, high]),
        block("lid", "lid", Facing::Up, [-20.0, -40.0, high], [w + 20.0, d + 20.0, high + t]),
    ];
    panels[4].sub_assembly = "lid".into(); // It comes off.
    let joinery = Joinery::new(board, 0.2);
    for (side, end) in [(0, 2), (0, 3), (1, 2), (1, 3)] {
        joinery.let_in(&mut panels, side, end, t / 3.0, "rabbet").expect("the ends stand against the sides");
    }
    let inside = Some(DVec3::new(w / 2.0, d / 2.0, 1.0));
    Assembly { inside, ..Assembly::new(panels) }
}

const INSIDE: Key =
    key("inside", Takes::Lengths("[width, depth, height]", 180.0, 900.0), Unless::Needed, "clear inside");

/// What a spec calls it, which keys it has, and how they are read.
pub fn hedgehog_kind() -> Kind {
    Kind {
        name: "hedgehog-house",
        about: "a winter's sleep under leaves",
        keys: &[INSIDE],
        read: |table, _| {
            let inside = table.needed(&INSIDE, table.lengths::<3>(&INSIDE))?;
            Some(Arc::new(move |board: &Board| hedgehog_house(board, inside)) as Arc<dyn Design>)
        },
    }
}

const SPEC: &str = r#"
title = "Two hedgehogs"
stock = { material = "birch-plywood", size = [2440, 1220], thickness = 12.1, price = 48 }
router = { machine = "desktop-router", cutter = "endmill-6" }

[[box]]
name = "hedgehog house"
kind = "hedgehog-house"
count = 2
inside = [400, 300, 300]
"#;

pub fn main() -> Result<(), nestwright::error::Error> {
    let mut kinds = Kinds::built_in();
    kinds.add(hedgehog_kind());
    let checked =
        nestwright::check(&Source::new("hedgehogs.toml", SPEC), &Profiles::built_in(), &kinds, &Search::default())?;
    let made = nestwright::make(checked, &Search::default())?;
    for part in &made.parts {
        println!("{} × {}: {:.1} × {:.1} mm", part.count, part.name, part.length, part.width);
    }
    for step in &made.steps[0].steps {
        println!("{}. {}", step.number, step.text.join(" "));
    }
    let files = nestwright::export::files(&made)?;
    println!("{} files, among them {}", files.len(), made.programs[0].file);
    Ok(())
}

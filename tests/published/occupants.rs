//! Nest boxes against published tables.

use crate::shared::{check, job_of};
use geo::BooleanOps;
use nestwright::design::kinds::CavityBox;
use nestwright::design::kinds::cavity_box::{Roof, RoostBox};
use nestwright::design::{Assembly, HoleUse, Panel};
use nestwright::finding::{Status, Theme};
use nestwright::fit;
use nestwright::geometry::{Outline, Rect, Region, region_area, to_polygon};
use nestwright::profile::{Occupant, Profiles};
use nestwright::units::INCH;
use std::sync::Arc;

/// Source: USDA Farmers' Bulletin 609, "Bird houses and how to build them", its table of dimensions: for bluebirds a
/// floor of 5 × 5 in, 8 in deep, entrance 1 1/2 in, 6 in above the floor.
#[test]
fn a_bluebird_box_measures_what_the_table_says() {
    let occupant = Profiles::built_in().find::<Occupant>("bluebird").expect("built in");
    for thickness in [0.472 * INCH, 0.75 * INCH] {
        let (job, assemblies) = job_of(CavityBox::for_occupant(occupant.clone()), thickness);
        let findings = fit::check(&job, &assemblies);
        for (check, inches) in [
            ("floor, shorter side of the cavity", 5.0),
            ("floor, longer side of the cavity", 5.0),
            ("height of the cavity", 8.0),
            ("narrower way", 1.5),
            ("centre above the floor", 6.0),
        ] {
            let finding = findings.iter().find(|finding| finding.check == check).unwrap_or_else(|| panic!("{check}"));
            assert!((finding.measured.expect("a measure").value() / INCH - inches).abs() < 1e-3, "{finding:?}");
            assert_eq!(finding.status, Status::Ok);
        }
    }
}

/// Common practice, without a source: 28 mm for great tits, the hole's lower edge at least 125 mm above the floor, walls
/// of at least 15 mm.
#[test]
fn a_great_tit_box_has_its_hole_high_and_is_cautioned_about_thin_walls() {
    let occupant = Profiles::built_in().find::<Occupant>("great-tit").expect("built in");
    let (job, assemblies) = job_of(CavityBox::for_occupant(occupant), 12.0);
    let front = assemblies[0].panel("front").expect("a front");
    let hole = &front.holes[0];
    assert!((hole.length - 28.0).abs() < 1e-9);
    // The floor is let in between the walls: its upper face is one thickness up.
    assert!(hole.centre.y - hole.length / 2.0 - 12.0 >= 125.0);
    let findings = fit::check(&job, &assemblies);
    let walls = findings.iter().find(|finding| finding.check == "thickness of the walls").expect("checked");
    assert_eq!(walls.status, Status::Caution);
}

#[test]
fn an_entrance_that_is_too_small_for_the_bird_is_refused() {
    let checked = check(
        r#"
        title = "too small"
        units = "in"
        stock = { material = "softwood-plywood", size = [96, 48], thickness = 0.472 }
        [[box]]
        name = "box"
        kind = "cavity-box"
        count = 1
        occupant = "bluebird"
        [[box.hole]]
        panel = "front"
        use = "entrance"
        diameter = 1
        across = "centre"
        up = "6 1/2"
        "#,
    );
    assert!(checked.findings.iter().any(|finding| finding.refused() && finding.theme == Theme::Entrance));
}

type Span = (f64, f64);

/// Source: USDA Farmers' Bulletin 609, "Bird houses and how to build them", its table of dimensions, in inches: floor, depth
/// from and to, entrance above the floor from and to, entrance.
const USDA: [(&str, Span, Span, Span, f64); 15] = [
    ("bluebird", (5.0, 5.0), (8.0, 8.0), (6.0, 6.0), 1.5),
    ("chickadee", (4.0, 4.0), (8.0, 10.0), (8.0, 8.0), 1.125),
    ("tufted-titmouse", (4.0, 4.0), (8.0, 10.0), (8.0, 8.0), 1.25),
    ("white-breasted-nuthatch", (4.0, 4.0), (8.0, 10.0), (8.0, 8.0), 1.25),
    ("house-wren", (4.0, 4.0), (6.0, 8.0), (1.0, 6.0), 0.875),
    ("carolina-wren", (4.0, 4.0), (6.0, 8.0), (1.0, 6.0), 1.125),
    ("tree-swallow", (5.0, 5.0), (6.0, 6.0), (1.0, 6.0), 1.5),
    ("purple-martin", (6.0, 6.0), (6.0, 6.0), (1.0, 1.0), 2.5),
    ("crested-flycatcher", (6.0, 6.0), (8.0, 10.0), (8.0, 8.0), 2.0),
    ("flicker", (7.0, 7.0), (16.0, 18.0), (16.0, 16.0), 2.5),
    ("downy-woodpecker", (4.0, 4.0), (8.0, 10.0), (8.0, 8.0), 1.25),
    ("screech-owl", (8.0, 8.0), (12.0, 15.0), (12.0, 12.0), 3.0),
    ("saw-whet-owl", (6.0, 6.0), (10.0, 12.0), (10.0, 10.0), 2.5),
    ("barn-owl", (10.0, 18.0), (15.0, 18.0), (4.0, 4.0), 6.0),
    ("wood-duck", (10.0, 18.0), (10.0, 15.0), (3.0, 3.0), 6.0),
];

/// Clear way between two panels that look at each other, in inches.
fn between(assembly: &Assembly, a: &str, b: &str) -> f64 {
    let [a, b] = [a, b].map(|name| assembly.panel(name).expect("there"));
    ((b.place.origin - a.place.origin).dot(a.place.normal()).abs() - a.thickness - b.thickness) / INCH
}

#[test]
fn boxes_for_every_bird_of_the_table_measure_what_it_says() {
    for (name, floor, depth, up, entrance) in USDA {
        let occupant = Profiles::built_in().find::<Occupant>(name).expect("built in");
        let thickness = 0.5 * INCH;
        let (job, assemblies) = job_of(CavityBox::for_occupant(occupant), thickness);
        let assembly = &assemblies[0];
        let near = |what: &str, measured: f64, (least, most): (f64, f64)| {
            assert!(measured > least - 1e-3 && measured < most + 1e-3, "{name}: {what} {measured}");
        };
        near("width", between(assembly, "left side", "right side"), (floor.0, floor.0));
        near("depth", between(assembly, "front", "back"), (floor.1, floor.1));
        let front = assembly.panel("front").expect("a front");
        let hole = &front.holes[0];
        near("entrance", hole.length / INCH, (entrance, entrance));
        let floor_top = thickness;
        let centre = (hole.centre.y - floor_top) / INCH;
        // Where the table's height would put the hole into the floor it is the hole's lower edge.
        let low = if centre > up.1 + 0.01 { entrance / 2.0 } else { 0.0 };
        near("entrance above the floor", centre - low, up);
        assert!(low == 0.0 || up.0 < entrance / 2.0 + 0.25, "{name}: the hole is higher than it need be");
        let high = (front.outline.bounds().height() - floor_top) / INCH;
        // Cut square, the front ends a little below the height inside it.
        near("height inside", high, (depth.0 - 0.2, depth.1));
        let refused: Vec<_> = fit::check(&job, &assemblies).into_iter().filter(|finding| finding.refused()).collect();
        assert!(refused.is_empty(), "{name}: {refused:#?}");
    }
}

/// Common practice, without a source: 25 mm for blue, coal and marsh tits, 28 mm for great tits, tree sparrows and pied
/// flycatchers, 32 mm for house sparrows and nuthatches, 45 mm for starlings; the hole's lower edge at least 125 mm above
/// the floor; drain holes in the floor.
#[test]
fn european_boxes_have_the_usual_holes() {
    for (name, hole) in [
        ("blue-tit", 25.0),
        ("great-tit", 28.0),
        ("tree-sparrow", 28.0),
        ("pied-flycatcher", 28.0),
        ("house-sparrow", 32.0),
        ("starling", 45.0),
    ] {
        let occupant = Profiles::built_in().find::<Occupant>(name).expect("built in");
        let (job, assemblies) = job_of(CavityBox::for_occupant(occupant), 15.0);
        let entrance = &assemblies[0].panel("front").expect("a front").holes[0];
        assert!((entrance.length - hole).abs() < 1e-9, "{name}");
        assert!(entrance.centre.y - hole / 2.0 - 15.0 >= 125.0, "{name}");
        let floor = assemblies[0].panel("floor").expect("a floor");
        assert!(floor.holes.iter().filter(|hole| hole.use_ == HoleUse::Drain).count() >= 1);
        let findings = fit::check(&job, &assemblies);
        assert!(findings.iter().all(|finding| finding.status == Status::Ok), "{name}: {findings:#?}");
    }
}

/// Source: Information Bulletin 187, "Bait Hives for Honey Bees" (Cornell Cooperative Extension, 1989): about 40 litres,
/// entrances of 10 to 15 cm² in all, near the floor.
#[test]
fn a_bait_hive_holds_forty_litres_and_has_a_small_entrance_low_down() {
    for roof in [Roof::Sloping, Roof::Gabled] {
        let occupant = Profiles::built_in().find::<Occupant>("honey-bee-swarm").expect("built in");
        let slope = if roof == Roof::Gabled { 45f64.to_radians() } else { 15f64.to_radians() };
        let shaped = CavityBox { roof, slope, ..CavityBox::for_occupant(occupant) };
        let (_, assemblies) = job_of(shaped.holding(40.0), 15.0);
        let assembly = &assemblies[0];
        let (wide, deep) = (between(assembly, "left side", "right side"), between(assembly, "front", "back"));
        // From the floor to the roof: over the depth of a side, or the width of a gable.
        let wall = assembly.panel(if roof == Roof::Gabled { "back" } else { "left side" }).expect("a wall");
        let (t, bounds) = (15.0, wall.outline.bounds());
        let inner = Outline::from_rect(Rect::new(bounds.x0 + t, t, bounds.x1 - t, bounds.y1));
        let section = Region::from(to_polygon(&wall.outline)).intersection(&Region::from(to_polygon(&inner)));
        let across = if roof == Roof::Gabled { deep } else { wide } * INCH;
        let litres = region_area(&section) * across / 1e6;
        assert!((litres - 40.0).abs() < 0.5, "{roof:?}: {litres} litres, {wide} × {deep} in");
        let entrance = &assembly.panel("front").expect("a front").holes[0];
        let square_cm = std::f64::consts::PI * (entrance.length / 20.0).powi(2);
        assert!((10.0..=15.0).contains(&square_cm), "{square_cm}");
        let lower_edge = entrance.centre.y - entrance.length / 2.0 - t;
        assert!((0.0..40.0).contains(&lower_edge), "{lower_edge}");
    }
}

/// Source: "The Bat House Builder's Handbook" (Bat Conservation International, 1993, revised 2013), as extension services restate it:
/// chambers 3/4 to 1 in from board to board, at least 14 in wide and 24 in tall, a landing of 3 to 6 in below them.
#[test]
fn a_bats_roost_keeps_the_published_spacing() {
    let occupant = Profiles::built_in().find::<Occupant>("bat").expect("built in");
    let roost = occupant.roost.clone().expect("bats take a roost");
    for thickness in [9.0, 0.472 * INCH, 19.0] {
        let (job, assemblies) = job_of(RoostBox::new(Arc::clone(&occupant), &roost), thickness);
        let assembly = &assemblies[0];
        let mut boards: Vec<&Panel> = assembly.panels.iter().filter(|panel| panel.family == "chamber board").collect();
        boards.insert(0, assembly.panel("front").expect("a front"));
        boards.push(assembly.panel("back").expect("a back"));
        // y of the face in front and of the face behind.
        let faces = |panel: &Panel| {
            let (near, far) = (panel.place.origin.y, panel.place.origin.y - panel.place.normal().y * panel.thickness);
            (near.min(far), near.max(far))
        };
        for pair in boards.windows(2) {
            let gap = (faces(pair[1]).0 - faces(pair[0]).1) / INCH;
            assert!((0.75 - 1e-9..=1.0 + 1e-9).contains(&gap), "{thickness}: {gap}");
        }
        assert!(between(assembly, "left side", "right side") >= 14.0 - 1e-9);
        let landing = -assembly.panel("back").expect("a back").place.origin.z / INCH;
        assert!((3.0..=6.0).contains(&landing), "{landing}");
        let tall = assembly.panel("left side").expect("a side").outline.bounds().height() / INCH;
        assert!(tall >= 24.0, "{tall}");
        assert!(fit::check(&job, &assemblies).iter().all(|finding| !finding.refused()));
    }
}

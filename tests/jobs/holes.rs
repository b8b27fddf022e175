//! Holes in the wrong place are refused, with the parts that are in the way and where it would be free.

use crate::shared::{check, make, problems};
use nestwright::design::FittingKind;
use nestwright::finding::{Check, Finding, JobCheck, Status, Theme};
use nestwright::proof::{Claim, Prover, Text};

fn nuc_with(hole: &str) -> Vec<Finding> {
    let spec = format!(
        r#"
        title = "holes"
        stock = {{ material = "birch-plywood", size = [2440, 1220], thickness = 12.7 }}
        [[box]]
        name = "nuc"
        kind = "frame-box"
        count = 1
        frame = "langstroth-deep"
        frames = 5
        hole = [{{ {hole} }}]
        "#
    );
    let mut found: Vec<Finding> =
        check(&spec).findings.into_iter().filter(|finding| finding.theme == Theme::Holes).collect();
    // The worst first.
    found.sort_by_key(|finding| std::cmp::Reverse(finding.status));
    found
}

/// Common practice, without a source: vents in the back are centred 2 1/2 in down and never less than 2 in from the top,
/// because the outer rest cleat covers what is above.
#[test]
fn a_vent_under_the_rest_cleat_is_refused_and_one_below_it_is_free() {
    let high = nuc_with(r#"panel = "back", use = "vent", diameter = "3/4 in", across = "centre", down = 30"#);
    assert!(high[0].refused());
    assert!(high[0].subject.contains("back") && high[0].advice.contains("back rest cleat"), "{}", high[0].advice);
    // The cleat is 2 in high and stands 3/4 in above the back: it covers 1 1/4 in. So a hole of 3/4 in is free from
    // 1 1/4 + 3/8 = 1 5/8 in = 41.3 mm down.
    assert!(high[0].advice.contains("free from 41.3 to"), "{}", high[0].advice);
    let low = nuc_with(r#"panel = "back", use = "vent", diameter = "3/4 in", across = "centre", down = "2 1/2 in""#);
    assert!(!low[0].refused(), "{}", low[0].advice);
}

#[test]
fn a_hole_over_the_edge_of_a_neighbouring_wall_is_refused() {
    let corner = nuc_with(r#"panel = "left side", use = "handhold", diameter = 20, across = 15, up = 100"#);
    assert!(corner[0].refused());
    // Seen from outside, the left side has the back on its left.
    assert!(corner[0].advice.contains("the back, which lies on its inside"), "{}", corner[0].advice);
}

#[test]
fn a_hole_off_the_panel_or_too_near_its_edge_is_refused() {
    for hole in [
        r#"panel = "front", use = "entrance", diameter = 20, across = "centre", up = 11"#,
        r#"panel = "front", use = "entrance", diameter = 20, across = "centre", up = 5000"#,
        r#"panel = "front", use = "entrance", slot = [190, 10], across = "centre", up = 50"#,
    ] {
        let found = nuc_with(hole);
        assert!(found[0].refused() && found[0].advice.contains("the panel's edge"), "{hole}: {}", found[0].advice);
    }
}

#[test]
fn two_holes_that_run_into_each_other_are_refused() {
    let found = nuc_with(
        r#"panel = "front", use = "entrance", diameter = 20, across = "centre", up = 30 },
           { panel = "front", use = "vent", diameter = 20, across = "centre", up = 51"#,
    );
    let beside: Vec<&Finding> =
        found.iter().filter(|finding| finding.check == "wood to the next hole or recess").collect();
    assert!(beside.len() == 2 && beside.iter().all(|finding| finding.refused()), "{beside:#?}");
}

#[test]
fn the_floor_of_a_nest_box_covers_the_foot_of_its_walls() {
    let checked = check(
        r#"
        title = "floor"
        stock = { material = "birch-plywood", size = [2440, 1220], thickness = 12 }
        [[box]]
        name = "box"
        kind = "cavity-box"
        count = 1
        inside = [120, 120, 200]
        hole = [{ panel = "front", use = "vent", diameter = 10, across = "centre", up = 14 }]
        "#,
    );
    let hole = checked.findings.iter().find(|finding| finding.check == "free on both faces").expect("checked");
    assert!(hole.refused() && hole.advice.contains("the floor, which lies on its inside"), "{}", hole.advice);
    assert!(hole.measured.is_none(), "nothing of 0 mm that should be at least 0 mm: {:?}", hole.measured);
}

/// A counterbore is a round recess about its hole, cut by the router and told to the hand; one no wider is no counterbore.
#[test]
fn a_hole_may_have_a_counterbore() {
    let spec = |counterbore: &str| {
        format!(
            r#"
            title = "counterbore"
            stock = {{ material = "birch-plywood", size = [600, 400], thickness = 18 }}
            router = {{ machine = "desktop-router", cutter = "endmill-6" }}
            saw = {{ kerf = 3 }}
            [[part]]
            name = "plate"
            size = [200, 100]
            hole = [{{ use = "pilot", diameter = 8, across = 50, up = 40, counterbore = {counterbore} }}]
            "#
        )
    };
    let made = make(&spec("[25, 6.5]"));
    let pocket = &made.parts[0].pockets[0];
    let (centre, diameter) = pocket.outline.as_circle().expect("round");
    assert_eq!((pocket.purpose.as_str(), pocket.depth, pocket.under), ("counterbore", 6.5, false));
    assert!((diameter - 25.0).abs() < 1e-9 && centre.distance(made.parts[0].holes[0].centre) < 1e-9);
    let text = &made.programs[0].text;
    let cut = text.split("(plate, counterbore)").nth(1).and_then(|after| after.split('(').next()).expect("cut");
    assert!(cut.contains("Z-6.5") && !cut.contains("Z-6.6") && cut.contains("G3"), "{cut}");
    let words: Vec<String> =
        made.saw.works.iter().map(|work| nestwright::saw::say::work(&made.job, &made.parts[0], work)).collect();
    assert!(words[0].contains("bit of 25 mm") && words[0].contains("6.5 mm deep"), "{words:?}");
    assert!(words[1].starts_with("Holes"), "the recess first: {words:?}");
    for wrong in ["[8, 6]", "[6, 6]"] {
        assert!(problems(&spec(wrong))[0].contains("no wider than its hole"));
    }
}

/// A counterbore is a whole circle of its diameter, also where the ring that stays of it is narrower than the cutter, whose
/// middle then never leaves the hole; and what makes it is proved, as is what does not.
#[test]
fn a_counterbore_hardly_wider_than_its_hole_is_cut_and_proved() {
    let spec = |hole: &str, router: &str| {
        format!(
            r#"
            title = "Counterbores"
            stock = {{ material = "birch-plywood", size = [600, 400], thickness = 12.1 }}
            [router]
            machine = "desktop-router"
            {router}
            [[part]]
            name = "board"
            size = [200, 120]
            hole = [{{ use = "vent", across = 100, up = 60, {hole} }}]
            "#
        )
    };
    let mill = "cutter = \"endmill-6\"\ndrills = [\"drill-20\"]\n";
    for (hole, router) in [
        ("diameter = 8, counterbore = [13, 4]", mill.to_string()),
        ("diameter = 8, counterbore = [8.4, 4]", mill.to_string()),
        ("diameter = 10, counterbore = [15, 4]", mill.to_string()),
        ("diameter = 20, counterbore = [25, 4]", mill.to_string()),
        ("diameter = 20, counterbore = [25.9, 4]", mill.replace("drills = [\"drill-20\"]", "")),
        ("diameter = 30, counterbore = [35, 4]", mill.to_string()),
        ("diameter = 32, counterbore = [38, 4]", format!("{mill}finish = 0.5\nhole-allowance = 0.2")),
        ("diameter = 8, counterbore = [14, 4]", mill.replace("endmill-6", "endmill-1-4")),
    ] {
        let made = make(&spec(hole, &router));
        assert!(crate::shared::proved(&made.proof), "{hole}");
    }
    // A floor half a millimetre too high or too low is found, in the recess that has only a ring of it.
    let made = make(&spec("diameter = 8, counterbore = [13, 4]", "cutter = \"endmill-6\""));
    let claim = Claim::of(&made.job, &made.parts, &made.layout, &made.routes, &made.programs);
    let prover = Prover::new(&claim).expect("a router");
    let faults = |depth: &str| {
        let text = made.programs[0].text.replace("Z-4\n", &format!("Z-{depth}\n"));
        let text = text.replace("Z-4 ", &format!("Z-{depth} "));
        let proofs =
            prover.prove(1, &[Text { file: "sheet-1.nc", text: &text, tool: Some(1) }]).expect("it can be read");
        proofs[0].faults().map(|fault| fault.finding.check.clone()).collect::<Vec<String>>()
    };
    assert!(faults("4").is_empty(), "{:?}", faults("4"));
    for depth in ["3.5", "4.5"] {
        assert!(faults(depth).iter().any(|check| check == "depth of a recess"), "{depth}: {:?}", faults(depth));
    }
}

/// Five holes of 10 mm, 20 apart, in two rows: their middle is the place that the spec gives, and each is drilled and proved.
#[test]
fn holes_stand_in_rows_and_columns() {
    let made = make(
        r#"
        title = "rows"
        stock = { material = "birch-plywood", size = [600, 400], thickness = 12 }
        router = { machine = "desktop-router", cutter = "endmill-6" }
        saw = { kerf = 3 }
        [[part]]
        name = "plate"
        size = [200, 100]
        hole = [
            { use = "vent", diameter = 10, across = "centre", up = 70, row = 5, column = 2, pitch = 20 },
            { use = "drain", slot = [30, 8], upright = true, across = 30, up = 30 },
            { use = "drain", slot = [30, 8], turn = 90, across = 170, up = 30 },
            { use = "drain", size = [10, 6.7], across = "centre", up = 20, row = 3, column = 2, pitch = 15 },
        ]
        "#,
    );
    let part = &made.parts[0];
    let (vents, drains): (Vec<_>, Vec<_>) = part.holes.iter().partition(|hole| hole.is_round());
    assert_eq!((vents.len(), drains.len()), (10, 8));
    let mut xs: Vec<f64> = vents.iter().map(|hole| hole.centre.x).collect();
    xs.sort_by(f64::total_cmp);
    xs.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    assert_eq!(xs, [60.0, 80.0, 100.0, 120.0, 140.0]);
    let middle = vents.iter().map(|hole| hole.centre.y).sum::<f64>() / 10.0;
    assert!(
        (middle - 70.0).abs() < 1e-9 && vents.iter().all(|hole| ((hole.centre.y - 70.0).abs() - 10.0).abs() < 1e-9)
    );
    let (rectangles, slots): (Vec<_>, Vec<_>) =
        drains.iter().map(|hole| hole.outline().bounds()).partition(|bounds| bounds.height() < 30.0);
    assert_eq!((rectangles.len(), slots.len()), (6, 2));
    for slot in slots {
        assert!((slot.width() - 8.0).abs() < 1e-9 && (slot.height() - 30.0).abs() < 1e-9, "{slot:?}");
    }
    for (i, x) in [85.0, 85.0, 100.0, 100.0, 115.0, 115.0].into_iter().enumerate() {
        assert!((rectangles[i].center().x - x).abs() < 1e-9, "{rectangles:?}");
        assert!(((rectangles[i].center().y - 20.0).abs() - 7.5).abs() < 1e-9, "{rectangles:?}");
    }
    assert_eq!(made.programs[0].text.matches("vent").count(), 10, "each hole has an operation of its own");
}

/// A loose board of birch with these holes, by router or by saw.
fn board_with(by: &str, size: [f64; 2], holes: &str) -> String {
    let [length, width] = size;
    format!(
        "title = \"openings\"\nunits = \"mm\"\n\
         stock = {{ material = \"birch-plywood\", size = [1200, 800], thickness = 12.1 }}\n{by}\n\
         part = {{ name = \"board\", size = [{length}, {width}], hole = [{holes}] }}\n"
    )
}

const BY_ROUTER: &str = "router = { machine = \"desktop-router\", cutter = \"endmill-6\" }";
const BY_SAW: &str = "saw = { kerf = 3 }";

/// Four quarters of a disc stand in the corners of a rectangular opening: w h - (4 - π) r². Unless given, r is what the cutter of
/// 6 mm leaves and a little; what a saw cuts is square.
#[test]
fn a_rectangular_opening_has_the_corners_that_its_tool_leaves() {
    for (by, given, radius) in [
        (BY_ROUTER, "", 3.5),
        (BY_ROUTER, ", corner-radius = 6", 6.0),
        (BY_ROUTER, ", corner-radius = 3", 3.0),
        (BY_SAW, "", 0.0),
        (BY_SAW, ", corner-radius = 12", 12.0),
    ] {
        for (w, h) in [(330.0, 230.0), (60.0, 150.0), (90.0, 90.0)] {
            let hole = format!("{{ use = \"vent\", size = [{w}, {h}]{given}, across = 250, up = 190 }}");
            let made = make(&board_with(by, [480.0, 380.0], &hole));
            let outline = made.parts[0].holes[0].outline();
            let (bounds, area) = (outline.bounds(), w * h - (4.0 - std::f64::consts::PI) * radius * radius);
            assert!((outline.area() - area).abs() < 1e-6, "{hole}");
            assert!((bounds.width() - w).abs() < 1e-9 && (bounds.height() - h).abs() < 1e-9, "{hole}: {bounds:?}");
            assert!(bounds.center().distance((250.0, 190.0).into()) < 1e-9, "{hole}: {bounds:?}");
            // It is proved in `make`; by router it has a program.
            assert_eq!(made.programs.is_empty(), by == BY_SAW, "{hole}");
        }
    }
}

/// As wide or as high as it can be, 3 mm from the edge, it is free; a hair more and it is not, and then it is told where it would be.
#[test]
fn a_rectangular_opening_keeps_its_distance_from_the_edge() {
    for (hole, refused) in [
        ("size = [294, 100], across = 150, up = 100", ""),
        ("size = [295, 100], across = 150, up = 100", "nowhere in line"),
        ("size = [100, 60], across = 53, up = 167", ""),
        ("size = [100, 60], across = 52, up = 100", "free from 53 to 247 mm from the panel's left edge"),
        ("size = [100, 60], across = 100, up = 168", "free from 33 to 167 mm above the panel's lower edge"),
        ("size = [60, 100], across = 100, up = 40", "free from 53 to 147 mm above the panel's lower edge"),
    ] {
        let checked = check(&board_with(BY_SAW, [300.0, 200.0], &format!("{{ use = \"vent\", {hole} }}")));
        let advice: Vec<&str> =
            checked.findings.iter().filter(|it| it.refused()).map(|finding| finding.advice.as_str()).collect();
        match refused {
            "" => assert!(advice.is_empty(), "{hole}: {advice:?}"),
            what => assert!(advice.len() == 1 && advice[0].contains(what), "{hole}: {advice:?}"),
        }
    }
}

/// Round corners reach nearer to another hole than square ones do: of a disc of 20 mm diagonally off a corner, the middle is
/// 13 mm from the corner's arc, whose own middle is `r` in from both sides.
#[test]
fn beside_a_rounded_corner_there_is_more_room() {
    // The opening's corner is at 200, 150. The disc's middle is as far out both ways.
    let off = |radius: f64| (13.0 + radius) / std::f64::consts::SQRT_2 - radius;
    for radius in [0.0, 10.0, 30.0] {
        for (more, refused) in [(0.05, false), (-0.05, true)] {
            let (x, y) = (200.0 + off(radius) + more, 150.0 + off(radius) + more);
            let holes = format!(
                "{{ use = \"vent\", size = [100, 80], corner-radius = {radius}, across = 150, up = 110 }}, \
                 {{ use = \"vent\", diameter = 20, across = {x}, up = {y} }}"
            );
            let checked = check(&board_with(BY_SAW, [400.0, 300.0], &holes));
            assert_eq!(checked.refused(), refused, "{radius} {more}");
        }
    }
}

/// A cutter leaves its own radius in a corner: less is refused, with what would do, and that does.
#[test]
fn corners_narrower_than_the_cutter_are_refused() {
    let board = |radius: &str| {
        let hole = format!("{{ use = \"vent\", size = [90, 60], corner-radius = {radius}, across = 150, up = 100 }}");
        check(&board_with(BY_ROUTER, [300.0, 200.0], &hole))
    };
    for (radius, cutter) in [("0", ""), ("2", "take a cutter of at most 4 mm"), ("2.9", "at most 5.8 mm")] {
        let checked = board(radius);
        let finding = checked.findings.iter().find(|finding| finding.refused()).expect("refused");
        assert!(finding.advice.contains("set `corner-radius` to 3 mm or more"), "{}", finding.advice);
        assert!(finding.advice.contains(cutter) && finding.spot.is_some(), "{}", finding.advice);
        assert_eq!(finding.advice.contains("take a cutter"), !cutter.is_empty(), "{}", finding.advice);
    }
    assert!(!board("3").refused(), "{:?}", board("3").findings);
}

/// What one says of an opening is as the panel stands, also of a floor, which is looked at from above, and of a wall.
#[test]
fn a_rectangle_stands_as_its_panel_does() {
    let checked = check(
        r#"
        title = "ways in"
        units = "mm"
        stock = { material = "birch-plywood", size = [2440, 1220], thickness = 12.1 }
        router = { machine = "desktop-router", cutter = "endmill-6" }
        [[box]]
        name = "nuc"
        kind = "frame-box"
        count = 1
        frame = "langstroth-deep"
        frames = 5
        hole = [
            { panel = "front", use = "entrance", size = [80, 9], across = "centre", up = 30 },
            { panel = "left side", use = "vent", size = [30, 80], across = 200, up = 120 },
            { panel = "cover", use = "feed", size = [70, 120], across = "centre", up = 250 },
            { panel = "floor", use = "vent", size = [90, 230], across = "centre", up = 250 },
        ]
        "#,
    );
    assert!(!checked.refused(), "{:?}", checked.findings);
    for (name, size) in
        [("front", (80.0, 9.0)), ("left side", (30.0, 80.0)), ("cover", (70.0, 120.0)), ("floor", (90.0, 230.0))]
    {
        let panel = checked.assemblies[0].panels.iter().find(|panel| panel.name == name).expect("there");
        let seen = panel.view().onto.transform_rect_bbox(panel.holes.last().expect("a hole").outline().bounds());
        assert!((seen.width() - size.0).abs() < 1e-9 && (seen.height() - size.1).abs() < 1e-9, "{name}: {seen:?}");
    }
}

/// A row of vents gets one piece of cloth, half an inch past them all: three pieces would lie on each other.
#[test]
fn one_piece_of_cloth_covers_a_row_of_vents() {
    let checked = check(
        r#"
        title = "row"
        stock = { material = "birch-plywood", size = [2440, 1220], thickness = 12.1 }
        [[box]]
        name = "nuc"
        kind = "frame-box"
        count = 1
        frame = "langstroth-deep"
        frames = 5
        hole = [{ panel = "back", use = "vent", diameter = 20, across = "centre", down = 80, row = 3, pitch = 25 }]
        "#,
    );
    let nuc = &checked.assemblies[0];
    let [cloth] = &nuc.fittings.iter().filter(|it| it.kind == FittingKind::Mesh).collect::<Vec<_>>()[..] else {
        panic!("one piece: {:?}", nuc.fittings)
    };
    let half_an_inch = 25.4 / 2.0;
    assert!((cloth.size[0] - (70.0 + 2.0 * half_an_inch)).abs() < 1e-6, "{:?}", cloth.size);
    assert!((cloth.size[1] - (20.0 + 2.0 * half_an_inch)).abs() < 1e-6, "{:?}", cloth.size);
    let middle = nuc.panels.iter().find(|panel| panel.name == "back").expect("a back").holes[1].centre;
    assert!(cloth.seats[0].centre.distance(middle) < 1e-6);
    assert!(!checked.refused(), "{:?}", checked.findings);
}

/// A slot for the fingers through the wall of a hive lets robbers in, in the way of an entrance that small colony can't guard; a
/// recess does not.
#[test]
fn a_handhold_right_through_a_hives_wall_is_a_way_in() {
    let found = |handhold: &str| {
        let spec = format!(
            "title = \"t\"\nstock = {{ material = \"birch-plywood\", size = [2440, 1220], thickness = 18 }}\n\
             router = {{ machine = \"desktop-router\", cutter = \"endmill-6\" }}\n\
             [[box]]\nname = \"nuc\"\nkind = \"frame-box\"\ncount = 1\nframe = \"langstroth-deep\"\nframes = 5\n\
             rest = \"rabbet\"\nhandhold = \"{handhold}\"\n\
             hole = [{{ panel = \"front\", use = \"entrance\", diameter = 20, across = \"centre\", up = 22 }}]\n"
        );
        let findings = check(&spec).findings;
        let open = findings.iter().filter(|it| it.id == Check::Job(JobCheck::HandholdOpen)).count();
        let robbed = findings.iter().find(|it| it.id == Check::Job(JobCheck::RobberWayIn)).expect("a small colony");
        (open, robbed.status, robbed.measured.map(|measured| measured.value()))
    };
    let (open, status, area) = found("recess");
    assert_eq!((open, status), (0, Status::Ok));
    // By hand: a hole of 20 mm has 314 mm²; two slots of 28 by 110 mm or less with round ends at least 2 × 28 × 70 more.
    assert!(area.is_some_and(|area| (area - 314.2).abs() < 0.5), "{area:?}");
    let (open, status, area) = found("slot");
    assert_eq!((open, status), (2, Status::Caution));
    assert!(area.is_some_and(|area| area > 314.0 + 2.0 * 28.0 * 70.0), "{area:?}");
}

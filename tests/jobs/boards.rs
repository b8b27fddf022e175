//! Boards added to boxes, and boxes of several rooms: where they stand, what is cut for them, and what is refused.

use crate::shared::{check, make, problems};
use glam::DVec3;
use nestwright::design::{Assembly, HoleUse, Panel};
use nestwright::finding::{Finding, JobCheck, Status};
use nestwright::units::INCH;

const HEAD: &str = "title = \"t\"\n\
    [[stock]]\nname = \"ply\"\nmaterial = \"birch-plywood\"\nsize = [2440, 1220]\nthickness = 12.1\n\
    [[stock]]\nname = \"thin\"\nmaterial = \"birch-plywood\"\nsize = [1220, 1220]\nthickness = 6.2\n\
    [router]\nmachine = \"large-router\"\ncutter = \"endmill-6\"\n[saw]\nkerf = 3.2\n";

/// A nuc of four frames, with room for a feeder beside them.
fn nuc(boards: &str) -> String {
    format!(
        "{HEAD}[[box]]\nname = \"nuc\"\nkind = \"frame-box\"\ncount = 1\nframe = \"langstroth-deep\"\nframes = 4\n\
         side-gap = 83\nboard = [{boards}]\n\
         hole = [{{ panel = \"front\", use = \"entrance\", slot = [50, 9], across = 80, up = 15 }}]\n"
    )
}

fn tray(boards: &str) -> String {
    format!(
        "{HEAD}[[box]]\nname = \"tray\"\nkind = \"open-box\"\ncount = 1\ninside = [400, 250, 160]\nboard = [{boards}]\n"
    )
}

const FEEDER: &str = "{ name = \"feeder wall\", between = [\"front\", \"back\"], from-right = 58, let-in = 4 }";

fn panel<'a>(assembly: &'a Assembly, name: &str) -> &'a Panel {
    assembly.panel(name).unwrap_or_else(|| panic!("a {name}"))
}

fn refused(findings: &[Finding]) -> Vec<&Finding> {
    findings.iter().filter(|finding| finding.status == Status::Refused).collect()
}

fn of(findings: &[Finding], id: JobCheck) -> Vec<&Finding> {
    findings.iter().filter(|finding| finding.id == id.into()).collect()
}

/// The one groove of a panel, as a block in the box: least and most.
fn groove(panel: &Panel) -> (DVec3, DVec3) {
    let [pocket] = &panel.pockets[..] else { panic!("one recess in the {}", panel.name) };
    let depths = match pocket.face {
        nestwright::design::Face::Outer => [0.0, -pocket.depth],
        nestwright::design::Face::Inner => [pocket.depth - panel.thickness, -panel.thickness],
    };
    let corners = pocket.outline.vertices.iter().flat_map(|corner| depths.map(|w| panel.place.to_space(corner.at, w)));
    corners.fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(least, most), at| (least.min(at), most.max(at)))
}

/// By hand, in a nuc whose inside is 4 × 34.925 + 83 mm wide: the feeder keeps 58 mm at the right, its wall 12.1 mm, and the
/// frames hang in the middle of the rest.
#[test]
fn a_feeder_s_wall_stands_in_grooves_in_one_line() {
    let made = make(&nuc(FEEDER));
    let nuc = &made.assemblies[0];
    let inside = 4.0 * 1.375 * INCH + 83.0;
    let wall = panel(nuc, "feeder wall").bounds();
    let right = 12.1 + inside;
    assert!((right - wall.1.x - 58.0).abs() < 1e-9 && (wall.1.x - wall.0.x - 12.1).abs() < 1e-9, "{wall:?}");
    // Its ends are 4 mm in front and back, and its foot in the floor.
    let (front, back) = (panel(nuc, "front").bounds(), panel(nuc, "back").bounds());
    assert!((front.1.y - wall.0.y - 4.0).abs() < 1e-9 && (wall.1.y - back.0.y - 4.0).abs() < 1e-9);
    assert!((wall.0.z + 4.0).abs() < 1e-9 && (wall.1.z - front.1.z).abs() < 1e-9);
    // Each groove holds it with the usual room across it, 0.15 mm, half on either side, and is as deep as was told.
    for (name, axis) in [("front", 1), ("back", 1), ("floor", 2)] {
        let (least, most) = groove(panel(nuc, name));
        assert!((wall.0.x - least.x - 0.075).abs() < 1e-9 && (most.x - wall.1.x - 0.075).abs() < 1e-9, "{name}");
        assert!((most[axis] - least[axis] - 4.0).abs() < 1e-9, "{name}");
    }
    let frames = nuc.frames.as_ref().expect("frames");
    assert!((frames.middle.0 - f64::midpoint(12.1, wall.0.x)).abs() < 1e-9);
    assert!(refused(&made.findings).is_empty());
    // The saw's part: the grooves are among its steps, and a maker is told that the wall goes into them.
    let steps: Vec<String> = made.steps[0].steps.iter().flat_map(|step| step.text.clone()).collect();
    assert!(steps.iter().any(|line| line == "The feeder wall goes into its groove in the front."), "{steps:#?}");
}

/// The same board at any thickness of the walls: nothing shares wood, nothing is left standing in the air.
#[test]
fn added_boards_hold_in_any_stock() {
    let boards = format!(
        "{FEEDER}, {{ name = \"batten\", against = [\"left side\", \"right side\"], height = 30, from-top = 20 }}, \
         {{ name = \"foot\", against = \"floor\", depth = 40, from-back = 30 }}"
    );
    for thickness in [9.7, 11.3, 12.1, 12.9] {
        let checked = check(&nuc(&boards).replace("thickness = 12.1", &format!("thickness = {thickness}")));
        for id in [JobCheck::PartsApart, JobCheck::PartsHeld, JobCheck::PartsGoTogether, JobCheck::FrameRoom] {
            let found = of(&checked.findings, id);
            assert!(!found.is_empty() && found.iter().all(|it| it.status == Status::Ok), "{thickness} {}", id.name());
        }
        assert!(refused(&checked.findings).is_empty(), "{thickness}: {:#?}", refused(&checked.findings));
    }
}

/// A divider's own stock; a shelf that stands in the divider; holes, grain and stock that name them.
#[test]
fn a_board_is_a_panel_like_any_other() {
    let boards = "{ name = \"divider\", between = [\"front\", \"back\"], from-left = 150, let-in = 3, stock = \"thin\" }, \
                  { name = \"shelf\", between = [\"divider\", \"right side\"], from-floor = 60, let-in = 3 }";
    let spec = tray(boards)
        + "hole = [{ panel = \"divider\", use = \"vent\", diameter = 20, across = 50, up = 110 }]\n\
           panel-grain = { shelf = \"up\" }\n";
    let made = make(&spec);
    let tray = &made.assemblies[0];
    let (divider, shelf) = (panel(tray, "divider"), panel(tray, "shelf"));
    assert_eq!((divider.stock, divider.thickness, shelf.thickness), (Some(1), 6.2, 12.1));
    assert!((divider.bounds().0.x - 12.1 - 150.0).abs() < 1e-9);
    // From 3 mm inside the divider to 3 mm inside the right side; 60 mm over the floor.
    let (least, most) = shelf.bounds();
    assert!((least.x - (divider.bounds().1.x - 3.0)).abs() < 1e-9 && (most.x - (12.1 + 400.0 + 3.0)).abs() < 1e-9);
    assert!((least.z - (panel(tray, "floor").bounds().1.z + 60.0)).abs() < 1e-9);
    // Measured from the divider's own front edge, let into the front by 3 mm, and from its foot in the floor.
    let hole = &divider.holes[0];
    let at = divider.place.to_space(hole.centre, 0.0);
    assert_eq!(hole.use_, HoleUse::Vent);
    assert!(
        (at.y - (divider.bounds().0.y + 50.0)).abs() < 1e-9 && (at.z - (divider.bounds().0.z + 110.0)).abs() < 1e-9
    );
    // Up means from front to back for what lies.
    let (along, _) = shelf.along_and_across().expect("grain");
    assert!(along.y.abs() > 0.99);
    assert!(refused(&made.findings).is_empty(), "{:#?}", refused(&made.findings));
}

/// Legs are as long as they are told, alike at all four corners, stand below the floor, and don't lift the box's own edges.
#[test]
fn legs_carry_a_long_hive() {
    let legs = |name: &str, from: &str| {
        format!(
            "{{ name = \"{name} leg\", against = [\"left side\", \"right side\"], depth = 90, height = 600, {from} }}"
        )
    };
    let spec = format!(
        "{HEAD}[[box]]\nname = \"long hive\"\nkind = \"frame-box\"\ncount = 1\nframe = \"langstroth-deep\"\nframes = 30\n\
         board = [{}, {}]\nhole = [{{ panel = \"front\", use = \"entrance\", slot = [120, 9], across = 120, up = 15 }}]\n",
        legs("front", "from-front = 60, from-top = 80"),
        legs("back", "from-back = 60, from-top = 80"),
    );
    let made = make(&spec);
    let hive = &made.assemblies[0];
    let legs: Vec<&Panel> = hive.panels.iter().filter(|panel| panel.family.ends_with("leg")).collect();
    let side = panel(hive, "left side").bounds();
    assert_eq!(legs.len(), 4);
    for leg in &legs {
        let (least, most) = leg.bounds();
        assert!((most.z - (side.1.z - 80.0)).abs() < 1e-9 && (most.z - least.z - 600.0).abs() < 1e-9);
        let from_end = if leg.family == "front leg" { least.y - side.0.y } else { side.1.y - most.y };
        assert!((from_end - 60.0).abs() < 1e-9, "{}", leg.name);
    }
    // One part, four times.
    let cut: Vec<u32> = made.parts.iter().filter(|part| part.name.contains("leg")).map(|part| part.count).collect();
    assert_eq!(cut, [4]);
    let footprint = hive.footprint.expect("it stacks");
    assert!(footprint.lower > legs[0].bounds().0.z);
    assert!(refused(&made.findings).is_empty(), "{:#?}", refused(&made.findings));
}

/// A board to hang a nest box by reaches above and below its back, in the middle of it.
#[test]
fn a_hanging_board_reaches_past_the_back() {
    let spec = format!(
        "{HEAD}[[box]]\nname = \"tit box\"\nkind = \"cavity-box\"\ncount = 1\noccupant = \"great-tit\"\naccess = \"front\"\n\
         board = [{{ name = \"hanging board\", against = \"back\", width = 60, height = 420, from-floor = -60 }}]\n"
    );
    let made = make(&spec);
    let tit = &made.assemblies[0];
    let (back, board) = (panel(tit, "back").bounds(), panel(tit, "hanging board").bounds());
    assert!((back.0.z - board.0.z - 60.0).abs() < 1e-9 && board.1.z > back.1.z + 20.0);
    assert!((f64::midpoint(board.0.x, board.1.x) - f64::midpoint(back.0.x, back.1.x)).abs() < 1e-9);
    assert!((board.0.y - back.1.y).abs() < 1e-9, "it lies on the outside");
    assert!(refused(&made.findings).is_empty(), "{:#?}", refused(&made.findings));
}

/// What stands in a frame's room, before an entrance, out of the box, in another board or in too thin a wall is refused, at the
/// board's key.
#[test]
fn boards_in_the_way_are_told() {
    let board = |place: &str| format!("{{ name = \"divider\", between = [\"front\", \"back\"], {place} }}");
    let told = |spec: &str, id: JobCheck| -> Vec<String> {
        let checked = check(spec);
        let found = of(&checked.findings, id);
        let found = found.iter().filter(|it| it.status == Status::Refused);
        found.map(|it| spec[it.spot.clone().expect("it has a place")].to_string()).collect()
    };
    assert!(told(&nuc(&board("from-right = 58")), JobCheck::FrameRoom).is_empty());
    assert_eq!(told(&nuc(&board("from-left = 300")), JobCheck::BoardInside), ["300"]);
    assert_eq!(told(&nuc(&board("from-right = 58, let-in = 7")), JobCheck::BoardGroove), ["7"]);
    assert_eq!(told(&nuc(&board("from-right = 58, from-floor = 200, from-top = 60")), JobCheck::BoardSize), ["200"]);
    // Five frames in the same room: the outermost hang where the wall stands.
    let crowded =
        nuc(&board("from-right = 58")).replace("frames = 4", "frames = 5").replace("side-gap = 83", "side-gap = 50");
    assert_eq!(told(&crowded, JobCheck::FrameRoom).len(), 1);
    // 5 mm behind the front, over the entrance.
    let close = nuc("{ name = \"baffle\", between = [\"left side\", \"right side\"], from-front = 5, height = 60 }");
    assert_eq!(
        told(&close, JobCheck::EntranceWay),
        ["{ panel = \"front\", use = \"entrance\", slot = [50, 9], across = 80, up = 15 }"]
    );
    // Two boards that cross.
    let crossing = tray(
        "{ name = \"one\", between = [\"front\", \"back\"], from-left = 100 }, \
         { name = \"two\", between = [\"left side\", \"right side\"], from-front = 100 }",
    );
    let at = told(&crossing, JobCheck::PartsApart);
    assert!(at.len() == 1 && at[0].contains("two"), "{at:?}");
}

/// A queen-rearing box of four rooms: each keeps the bee space by itself, has its own way out to another side, and its own cover.
#[test]
fn rooms_stand_alone() {
    let spec = format!(
        "{HEAD}[[box]]\nname = \"queens\"\nkind = \"frame-box\"\ncount = 1\nframe = \"langstroth-medium\"\n\
         compartments = [2, 1, 2, 3]\nroom-covers = true\n"
    );
    let made = make(&spec);
    let queens = &made.assemblies[0];
    let frames = queens.frames.as_ref().expect("frames");
    assert_eq!((frames.count, frames.rows().iter().map(|row| row.0).collect::<Vec<_>>()), (8, vec![2, 1, 2, 3]));
    // By hand: rooms of frames × 1 3/8 in and 5/8 in, three boards of 12.1 mm between them.
    let inside = 8.0 * 1.375 * INCH + 4.0 * 0.625 * INCH + 3.0 * 12.1;
    let sides = (panel(queens, "left side").bounds().1.x, panel(queens, "right side").bounds().0.x);
    assert!((sides.1 - sides.0 - inside).abs() < 1e-9, "{sides:?}");
    for id in [
        JobCheck::BeeSpaceSides,
        JobCheck::BeeSpaceEnds,
        JobCheck::BeeSpaceAbove,
        JobCheck::SpaceBelow,
        JobCheck::FrameRow,
    ] {
        let found = of(&made.findings, id);
        let of_rooms: Vec<&str> = found.iter().map(|it| it.subject.as_str()).collect();
        assert_eq!(of_rooms, ["queens, room 1", "queens, room 2", "queens, room 3", "queens, room 4"], "{}", id.name());
        assert!(found.iter().all(|it| it.status == Status::Ok), "{}", id.name());
    }
    // A way out of each, to another side.
    for wall in ["left side", "right side", "front", "back"] {
        let ways: Vec<_> = panel(queens, wall).holes.iter().filter(|hole| hole.use_ == HoleUse::Entrance).collect();
        assert_eq!(ways.len(), 1, "{wall}");
    }
    let covers = queens.panels.iter().filter(|panel| panel.family == "inner cover").count();
    assert_eq!(covers, 4);
    assert!(refused(&made.findings).is_empty(), "{:#?}", refused(&made.findings));
    // Without them the maker is told room by room.
    let none = check(&spec.replace("room-covers", "room-entrance = [0, 0]\nroom-covers"));
    let lacking = of(&none.findings, JobCheck::WayIn);
    assert!(!lacking.is_empty() && lacking.iter().all(|it| it.status == Status::Caution));
}

/// No bee gets from one room to the next: a line of points along every board between them, over its whole height, finds wood.
#[test]
fn no_bee_gets_round_a_partition() {
    for (rest, thickness) in [("cleat", 12.1), ("rabbet", 18.2)] {
        let spec = format!(
            "{HEAD}[[box]]\nname = \"queens\"\nkind = \"frame-box\"\ncount = 1\nframe = \"langstroth-deep\"\n\
             compartments = [2, 2]\nrest = \"{rest}\"\n"
        )
        .replace("thickness = 12.1", &format!("thickness = {thickness}"));
        let checked = check(&spec);
        let queens = &checked.assemblies[0];
        let (least, most) = panel(queens, "partition").bounds();
        let x = f64::midpoint(least.x, most.x);
        let (front, back) = (panel(queens, "front").bounds().0.y, panel(queens, "back").bounds().1.y);
        let top = panel(queens, "left side").bounds().1.z;
        for i in 0..200 {
            for j in 0..60 {
                let y = front + 0.5 + (back - front - 1.0) * f64::from(i) / 199.0;
                let z = 0.5 + (top - 1.0) * f64::from(j) / 59.0;
                let at = DVec3::new(x, y, z);
                assert!(queens.panels.iter().any(|panel| panel.contains(at)), "{rest}: open at {at}");
            }
        }
        assert!(refused(&checked.findings).is_empty(), "{rest}: {:#?}", refused(&checked.findings));
    }
}

/// Names that are none, and places that cannot be, are pointed at with what would be right.
#[test]
fn misplaced_boards_are_pointed_at() {
    let cases = [
        (
            "{ name = \"d\", between = [\"front\", \"bakc\"], from-left = 9 }",
            "this box has no panel `bakc`",
            "did you mean",
        ),
        (
            "{ name = \"d\", between = [\"front\", \"left side\"], from-left = 9 }",
            "do not look at each other",
            "room between",
        ),
        ("{ name = \"d\", between = [\"front\", \"back\"] }", "not said where it stands", "from-left"),
        (
            "{ name = \"d\", between = [\"front\", \"back\"], from-left = 9, depth = 20 }",
            "that settles it",
            "no `depth`",
        ),
        (
            "{ name = \"front\", between = [\"front\", \"back\"], from-left = 9 }",
            "a panel `front` already",
            "of its own",
        ),
        ("{ name = \"d\", against = \"front\", depth = 20 }", "as thick as its stock", "no `depth`"),
        (
            "{ name = \"d\", between = [\"front\", \"back\"], from-left = 9, from-right = 9 }",
            "its thickness settles",
            "one of",
        ),
    ];
    for (board, message, expected) in cases {
        let problems = problems(&tray(board));
        assert!(problems.iter().any(|it| it.contains(message) && it.contains(expected)), "{board}: {problems:?}");
    }
}

/// A maker reads what would do in the job's own units.
#[test]
fn room_for_a_board_is_told_in_the_units_of_the_job() {
    let advice = |units: &str, unit: f64| {
        let size = |mm: f64| mm / unit;
        let spec = format!(
            "title = 't'\nunits = '{units}'\nsaw = {{ kerf = '3 mm' }}\n\
             stock = {{ material = 'birch-plywood', size = ['1220 mm', '1220 mm'], thickness = '12 mm' }}\n\
             [[box]]\nname = 'tray'\nkind = 'open-box'\ncount = 1\ninside = [{}, {}, {}]\n\
             board = [{{ name = 'rail', between = ['front', 'back'], from-left = {}, height = {} }}]\n",
            size(16.0 * INCH),
            size(10.0 * INCH),
            size(6.0 * INCH),
            size(20.0 * INCH),
            size(2.0 * INCH)
        );
        let checked = check(&spec);
        of(&checked.findings, JobCheck::BoardInside).iter().map(|it| it.advice.clone()).collect::<Vec<_>>().join(" ")
    };
    // 16 in less 12 mm are 15.528 in, 394.4 mm: to a 32nd of an inch 15 1/2, as 15 17/32 were too much.
    let (inches, millimetres) = (advice("in", INCH), advice("mm", 1.0));
    assert!(inches.ends_with(" 15 1/2 in"), "{inches}");
    assert!(millimetres.ends_with("394.4 mm"), "{millimetres}");
}

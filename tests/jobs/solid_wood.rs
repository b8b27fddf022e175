//! Boxes of boards: which way the grain runs, what is cut across it, and what the seasons do.

use crate::shared::{check, make, problems};
use nestwright::Checked;
use nestwright::design::{Grain, Panel};
use nestwright::finding::{Finding, JobCheck, Status};

/// A five-frame nuc with rests in rabbets, from boards of this material.
fn nuc(material: &str, of_stock: &str, of_box: &str) -> String {
    format!(
        "title = \"t\"\nunits = \"in\"\n\
         [stock]\nmaterial = \"{material}\"\nsize = [96, 11.25]\nthickness = 0.75\n{of_stock}\n\
         [saw]\nkerf = 0.125\n\
         [[box]]\nname = \"nuc\"\ncount = 1\nkind = \"frame-box\"\nframe = \"langstroth-deep\"\nframes = 5\n\
         rest = \"rabbet\"\n{of_box}\n"
    )
}

fn nest_box(of_box: &str) -> String {
    format!(
        "title = \"t\"\nunits = \"in\"\n\
         [stock]\nmaterial = \"western-redcedar\"\nsize = [96, 11.25]\nthickness = 0.72\n\
         [saw]\nkerf = 0.125\n\
         [[box]]\nname = \"bluebird\"\ncount = 1\nkind = \"cavity-box\"\noccupant = \"bluebird\"\n{of_box}\n"
    )
}

fn panel<'a>(checked: &'a Checked, name: &str) -> &'a Panel {
    checked.assemblies[0].panel(name).unwrap_or_else(|| panic!("{name}"))
}

/// Is the grain of a panel level?
fn is_level(panel: &Panel) -> bool {
    panel.along_and_across().is_some_and(|(along, _)| along.z.abs() < 0.1)
}

fn of(findings: &[Finding], id: JobCheck) -> Vec<&Finding> {
    findings.iter().filter(|finding| finding.id == id.into()).collect()
}

/// It was upright once, and the rests were cut across the ends of the boards.
#[test]
fn the_walls_of_a_hive_have_their_grain_along_them() {
    let checked = check(&nuc("eastern-white-pine", "", ""));
    for name in ["front", "back", "left side", "right side"] {
        assert!(is_level(panel(&checked, name)), "{name}");
    }
    // Taller than it is wide, and level all the same.
    let bounds = panel(&checked, "front").outline.bounds();
    assert!(bounds.height() > bounds.width());
    for id in [JobCheck::RestGrain, JobCheck::SeasonFit] {
        assert!(!of(&checked.findings, id).is_empty(), "{}", id.name());
    }
    assert!(of(&checked.findings, JobCheck::RestGrain).iter().all(|it| it.status == Status::Ok));
}

#[test]
fn a_nest_box_is_cut_along_the_plank() {
    let checked = check(&nest_box(""));
    for panel in &checked.assemblies[0].panels {
        let (bounds, across) = (panel.outline.bounds(), panel.across_grain().expect("it has a direction"));
        assert!(across <= bounds.width().min(bounds.height()) + 0.5, "{}", panel.name);
    }
    assert!(!is_level(panel(&checked, "front")));
    assert!(is_level(panel(&check(&nest_box("panel-grain = { walls = \"across\" }")), "front")));
}

/// Its plies cross: what was said of solid wood is not said of it.
#[test]
fn plywood_may_lie_any_way_and_does_not_move() {
    let checked = check(&nuc("birch-plywood", "", ""));
    assert!(checked.assemblies[0].panels.iter().all(|panel| panel.grain == Grain::Any));
    let of_wood = [
        JobCheck::ShortGrain,
        JobCheck::RestGrain,
        JobCheck::GluedAcross,
        JobCheck::BoardMovement,
        JobCheck::SeasonFit,
    ];
    assert!(of_wood.iter().all(|id| of(&checked.findings, *id).is_empty()));
    let told = check(&nuc("birch-plywood", "", "panel-grain = { front = \"up\" }"));
    assert_eq!(panel(&told, "front").grain, Grain::Cross);
    assert!(problems(&nuc("birch-plywood", "moisture = 10", ""))[0].contains("is said of solid wood"));
}

#[test]
fn what_is_cut_across_short_grain_is_told() {
    let rest = check(&nuc("eastern-white-pine", "", "panel-grain = { front = \"up\" }")).findings;
    assert!(of(&rest, JobCheck::RestGrain).iter().any(|it| it.status == Status::Caution && it.subject == "nuc, front"));
    for (corner, status) in [("finger", Status::Refused), ("rabbet", Status::Caution)] {
        let up = format!("corner = \"{corner}\"\npanel-grain = {{ walls = \"up\" }}");
        let findings = check(&nuc("eastern-white-pine", "", &up)).findings;
        assert!(of(&findings, JobCheck::ShortGrain).iter().any(|it| it.status == status), "{corner}");
        let level = check(&nuc("eastern-white-pine", "", &format!("corner = \"{corner}\""))).findings;
        assert!(of(&level, JobCheck::ShortGrain).iter().all(|it| it.status == Status::Ok), "{corner}");
    }
}

/// A cover with its grain along the box is glued across it to the cleats under its ends; in a place without seasons that holds.
#[test]
fn glue_across_the_grain_is_told_where_the_wood_moves() {
    let across = |stock: &str| {
        let findings = check(&nuc("western-larch", stock, "")).findings;
        of(&findings, JobCheck::GluedAcross).iter().map(|it| (it.subject.clone(), it.status)).collect::<Vec<_>>()
    };
    assert!(across("").contains(&("nuc, cover".into(), Status::Caution)), "{:?}", across(""));
    assert!(across("season = [11, 11]").iter().all(|(_, status)| *status == Status::Ok));
}

/// Its grain lies across the box here: dry, it is shorter, and its cleats close on the box.
#[test]
fn a_cover_that_shrinks_between_its_cleats_is_told() {
    let short = "cover-play = \"5/32 in\"\npanel-grain = { cover = \"across\" }";
    let play = |of_box: &str| {
        let findings = check(&nuc("eastern-white-pine", "moisture = 14\nseason = [7, 14]", of_box)).findings;
        of(&findings, JobCheck::SeasonFit).iter().any(|it| it.check.contains("play along"))
    };
    assert!(play(short));
    assert!(!play("cover-play = \"5/32 in\""));
}

/// Each piece lies along its board, and the papers say so.
#[test]
fn pieces_lie_along_the_boards() {
    let made = make(&nuc("eastern-white-pine", "", ""));
    for sheet in &made.layout.sheets {
        for placement in &sheet.placements {
            let part = &made.parts[placement.part];
            assert_eq!(placement.turn.swaps(), part.grain == Grain::Cross, "{}", part.name);
        }
    }
    assert!(made.parts.iter().all(|part| part.grain != Grain::Any));
}

#[test]
fn a_panel_that_is_not_there_has_no_grain() {
    let wrong = problems(&nuc("eastern-white-pine", "", "panel-grain = { frnt = \"up\" }"));
    assert!(wrong[0].contains("this box has no panel `frnt`") && wrong[0].contains("front"), "{wrong:?}");
    let way = problems(&nuc("eastern-white-pine", "", "panel-grain = { front = \"upwards\" }"));
    assert!(way[0].contains("expected across, up or any"), "{way:?}");
}

/// Boards of 7 1/4 in, some of them glued edge to edge in pairs.
fn pairs(of_stock: &str, of_job: &str) -> String {
    let board = "[[stock]]\nmaterial = \"western-redcedar\"\nsize = [96, 7.25]\nthickness = 0.72\n";
    format!(
        "title = \"t\"\nunits = \"in\"\n{board}name = \"boards\"\n{board}name = \"pairs\"\n{of_stock}\n\
         [saw]\nkerf = 0.125\n{of_job}\n\
         [[box]]\nname = \"bluebird\"\ncount = 4\nkind = \"cavity-box\"\noccupant = \"bluebird\"\n"
    )
}

#[test]
fn a_part_too_wide_for_a_board_says_how_many_it_takes() {
    let findings = check(&pairs("", "")).findings;
    let refused: Vec<&str> = findings.iter().filter(|it| it.refused()).map(|it| it.advice.as_str()).collect();
    assert!(
        matches!(refused[..], [roof] if roof.contains("the roof is") && roof.contains("`glue-up = 2`")),
        "{refused:?}"
    );
    assert!(!check(&pairs("glue-up = 2", "")).refused());
}

/// Two boards of 7 1/4 in, 1.5 mm planed off each of the two edges that are glued.
#[test]
fn a_panel_is_its_boards_less_what_is_planed_off() {
    let made = make(&pairs("glue-up = 2\nprice = 10\non-hand = 7", ""));
    let panel = &made.job.stock[1];
    assert!((panel.width - (2.0 * 7.25 * 25.4 - 3.0)).abs() < 1e-9, "{}", panel.width);
    assert_eq!((panel.on_hand, panel.price), (Some(3), Some(20.0)));
    let lines: Vec<f64> = panel.glue_lines().collect();
    assert!(matches!(lines[..], [line] if (line - panel.width / 2.0).abs() < 1e-9), "{lines:?}");
}

/// What a board takes is cut from a board; the steps begin with gluing up, and say where the joint lies.
#[test]
fn only_what_is_too_wide_is_cut_from_a_panel() {
    let made = make(&pairs("glue-up = 2", ""));
    let stocks: Vec<usize> = made.saw.sheets.iter().map(|sheet| sheet.stock).collect();
    assert!(stocks.contains(&0) && stocks.contains(&1), "{stocks:?}");
    let roof = made.parts.iter().position(|part| part.name == "roof").expect("a roof");
    let on_boards = made.saw.sheets.iter().filter(|sheet| sheet.stock == 0);
    assert!(on_boards.flat_map(|sheet| &sheet.placements).all(|placement| placement.part != roof));
    let glued = made.glue_ups();
    assert!(matches!(&glued[..], [one] if one.contains("2 boards each") && one.contains("7 3/16 in")), "{glued:?}");
    let files = nestwright::export::files(&made).expect("written");
    let text = |name: &str| String::from_utf8_lossy(&files[name]).to_string();
    for name in ["assembly.txt", "saw.csv", "job.json"] {
        assert!(text(name).contains("edge to edge"), "{name}");
    }
    let listed = text("parts.csv");
    let roofs = listed.lines().find(|line| line.starts_with("roof,")).expect("a row");
    assert!(roofs.contains("panel of 2 boards"), "{roofs}");
    assert_eq!(made.boards_of(roof), Some(2));
}

/// The router's sheets are laid clear of the joint where there is room; the finding looks at the parts as they lie.
#[test]
fn glue_joints_keep_clear_of_holes_where_there_is_room() {
    let router = "[router]\nmachine = \"desktop-router\"\ncutter = \"endmill-6\"";
    let stock = "[[stock]]\nmaterial = \"western-redcedar\"\nsize = [40, 8]\nthickness = 0.72\nglue-up = 2\n";
    let made = make(&format!(
        "title = \"t\"\nunits = \"in\"\n{stock}{router}\n[[part]]\nname = \"door\"\nsize = [20, 13]\n\
         hole = [{{ use = \"vent\", diameter = 1, across = \"centre\", up = 7.5 }}]\n"
    ));
    let line = made.job.stock[0].glue_lines().next().expect("one");
    let sheet = &made.layout.sheets[0];
    let part = &made.parts[0];
    let hole = part.holes[0].outline().transformed(sheet.placements[0].affine(part)).bounds();
    assert!(line < hole.y0 - 6.0 || line > hole.y1 + 6.0, "{line} {hole:?}");
    let told = of(&made.findings, JobCheck::GlueLines);
    assert!(told.iter().all(|it| it.status == Status::Ok) && told.len() == 1, "{told:?}");
}

/// What the check says of glue across the grain, the step that glues it says as well.
#[test]
fn steps_spare_the_glue_where_the_grain_crosses() {
    let told = |material: &str| {
        let made = make(&nuc(material, "", ""));
        let steps = made.steps.iter().flat_map(|steps| &steps.steps);
        steps.flat_map(|step| &step.text).filter(|text| text.contains("hand's width")).cloned().collect::<Vec<_>>()
    };
    let pine = told("western-larch");
    assert!(pine.iter().any(|text| text.contains("the front")), "{pine:?}");
    assert!(told("birch-plywood").is_empty());
}

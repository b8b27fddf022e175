//! A kind of box that nobody foresaw takes one function; fitting, nesting, programs and files come for nothing.

use crate::shared::job_of;
use glam::DVec3;
use nestwright::build::parts;
use nestwright::design::Board;
use nestwright::design::{Assembly, Design, Facing, Hole, HoleUse, Joinery, Kind, Kinds, Panel};
use nestwright::geometry::Point;
use nestwright::profile::Profiles;
use nestwright::reading::{Key, Source, Takes, Unless, key};
use std::sync::Arc;

/// A ladder for toads out of a cattle grid: two cheeks and rungs let into them.
fn toad_ladder(board: &Board, rungs: u32) -> Assembly {
    let t = board.thickness;
    let (wide, pitch) = (150.0, 60.0);
    let long = pitch * f64::from(rungs + 1);
    let cheek = |name: &str, facing, x: f64| {
        Panel::block(name, "cheek", facing, DVec3::new(x, 0.0, 0.0), DVec3::new(x + t, long, 80.0))
    };
    let mut panels = vec![cheek("left cheek", Facing::Left, 0.0), cheek("right cheek", Facing::Right, wide - t)];
    let joinery = Joinery::new(board, 0.2);
    for rung in 1..=rungs {
        let y = pitch * f64::from(rung);
        let name = format!("rung {rung}");
        let (from, to) = (DVec3::new(t, y, 0.0), DVec3::new(wide - t, y + t, 60.0));
        let hole = Hole::round(HoleUse::Drain, Point::new((wide - 2.0 * t) / 2.0, 30.0), 20.0);
        panels.push(Panel::block(&name, "rung", Facing::Front, from, to).with_hole(hole));
        let last = panels.len() - 1;
        for side in [0, 1] {
            joinery.let_in(&mut panels, side, last, t / 3.0, "groove").expect("rungs stand on the cheeks");
        }
    }
    Assembly::new(panels)
}

#[test]
fn any_function_from_a_board_to_panels_is_a_design() {
    let (job, assemblies) = job_of(|board: &Board| toad_ladder(board, 5), 12.1);
    let parts = parts(&job, &assemblies);
    let counts: Vec<(&str, u32)> = parts.iter().map(|part| (part.name.as_str(), part.count)).collect();
    // The grooves make the two cheeks mirror images of each other, which no turning brings together.
    assert_eq!(counts, [("left cheek", 1), ("right cheek", 1), ("rung", 5)]);
    assert!(nestwright::fit::check(&job, &assemblies).iter().all(|finding| !finding.refused()));
}

/// The page that shows how runs, and makes what it says.
#[path = "../../examples/new_kind.rs"]
mod page;

#[test]
fn the_example_of_a_new_kind_is_made() {
    page::main().unwrap_or_else(|error| panic!("{error}"));
    let (job, assemblies) = job_of(|board: &Board| page::hedgehog_house(board, [400.0, 300.0, 300.0]), 12.1);
    let findings = nestwright::fit::check(&job, &assemblies);
    assert!(findings.iter().all(|finding| !finding.refused()), "{findings:#?}");
    let litres = findings.iter().find(|finding| finding.check == "volume inside").and_then(|finding| finding.measured);
    assert!((litres.expect("measured").value() - 36.0).abs() < 0.2, "{litres:?}");
}

const RUNGS: Key = key("rungs", Takes::Whole(1, 30), Unless::Needed, "how many rungs");

#[test]
fn a_kind_added_to_the_known_ones_can_be_named_in_a_spec_and_made() {
    let mut kinds = Kinds::built_in();
    kinds.add(Kind {
        name: "toad-ladder",
        about: "leads small animals out of a pit",
        keys: &[RUNGS],
        read: |table, _| {
            let rungs = table.needed(&RUNGS, table.whole(&RUNGS))?;
            Some(Arc::new(move |board: &Board| toad_ladder(board, rungs)) as Arc<dyn Design>)
        },
    });
    let spec = |line: &str| {
        Source::new(
            "ladders.toml",
            format!(
                "title = \"ladders\"\n\
                 stock = {{ material = \"birch-plywood\", size = [2440, 1220], thickness = 12.1 }}\n\
                 router = {{ machine = \"desktop-router\", cutter = \"endmill-6\" }}\n\
                 [[box]]\nname = \"ladder\"\nkind = \"toad-ladder\"\ncount = 3\n{line}\n"
            ),
        )
    };
    let made = nestwright::check(&spec("rungs = 7"), &Profiles::built_in(), &kinds, &crate::shared::search())
        .and_then(|checked| nestwright::make(checked, &crate::shared::search()))
        .unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(made.parts.iter().map(|part| part.count).sum::<u32>(), 3 * (2 + 7));
    let files = nestwright::export::files(&made).expect("files");
    assert!(files.contains_key("sheet-1.dxf") && files.keys().any(|name| name.ends_with(".nc")));
    let wrong = nestwright::check(&spec("rung = 7"), &Profiles::built_in(), &kinds, &crate::shared::search())
        .expect_err("no such key");
    assert!(wrong.to_string().contains("did you mean `rungs`?"), "{wrong}");
}

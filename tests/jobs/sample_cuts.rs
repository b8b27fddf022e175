//! The programs of every sample, with sheets full of neighbours.

use crate::shared::check;
use nestwright::design::Part;
use nestwright::geometry::{Outline, Segment};
use nestwright::job::Job;
use nestwright::layout::Layout;
use nestwright::route::{Move, OperationKind, Route, relief::as_cut, routes};
use std::fs;

/// Every sample that has a router, routed.
fn samples() -> Vec<(Job, Vec<Part>, Layout, Vec<Route>)> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("out-samples");
    let specs = fs::read_dir(folder)
        .expect("samples")
        .map(|sample| fs::read_to_string(sample.expect("readable").path().join("job.toml")).expect("a spec"));
    let jobs = specs.map(|spec| check(&spec)).filter(|checked| checked.job.router.is_some());
    jobs.map(|checked| {
        let parts = nestwright::build::parts(&checked.job, &checked.assemblies);
        let layout = nestwright::layout::nest(&checked.job, &parts, &crate::shared::search()).expect("a layout");
        let routes = routes(&checked.job, &parts, &layout).unwrap_or_else(|error| panic!("{error}"));
        (checked.job, parts, layout, routes)
    })
    .collect()
}

/// Every piece is held by two tabs at least that stand on opposite sides, on straight runs of its outline, with a tab's
/// width to the nearest corner.
#[test]
fn every_piece_of_every_sample_has_tabs_on_opposite_sides_away_from_corners() {
    let mut held = 0;
    for (job, parts, layout, routes) in samples() {
        let width = job.router.as_ref().expect("a router").cutting.tab_width;
        for route in &routes {
            for (i, at) in layout.sheets[route.sheet].placements.iter().enumerate() {
                let part = &parts[at.part];
                let outline = part.outline.transformed(at.affine(part));
                let tabs: Vec<_> = route.holding.tabs.iter().filter(|tab| tab.placement == i).collect();
                let opposed = tabs
                    .iter()
                    .any(|a| tabs.iter().any(|b| a.along.dot(b.along) < -0.99 && a.at.distance(b.at) > width));
                assert!(tabs.len() >= 2 && opposed, "{}: {tabs:?}", part.name);
                for tab in tabs {
                    assert!(outline.distance(tab.at) < 0.01, "{}: off the outline", part.name);
                    let corner = outline.vertices.iter().map(|v| v.at.distance(tab.at)).fold(f64::INFINITY, f64::min);
                    assert!(corner >= width, "{}: {corner} from a corner", part.name);
                    let side = outline.segments().find(|side| side.distance(tab.at) < 0.01);
                    assert!(side.is_some_and(|side| !side.is_arc()), "{}: on an arc", part.name);
                    held += 1;
                }
            }
        }
    }
    assert!(held > 300, "{held}");
}

/// On every sample, with a sheet full of neighbours: no cut touches a piece that it does not belong to, and no cut around
/// a piece touches the piece.
#[test]
fn cuts_of_every_sample_stay_off_the_pieces() {
    let mut checked = 0;
    for (job, parts, layout, routes) in samples() {
        let router = job.router.as_ref().expect("a router");
        for route in routes {
            let pieces: Vec<Outline> = layout.sheets[route.sheet]
                .placements
                .iter()
                .map(|at| as_cut(&parts[at.part], router).outline.transformed(at.affine(&parts[at.part])))
                .collect();
            let bounds: Vec<_> = pieces.iter().map(Outline::bounds).collect();
            for run in &route.runs {
                let radius = run.tool.diameter.value / 2.0;
                for operation in &run.operations {
                    let around = matches!(operation.kind, OperationKind::Outline | OperationKind::Skin);
                    let mut at = operation.moves[0].end();
                    // A hole or recess is cut in the piece that most of its moves are over.
                    let over = |piece: &Outline| {
                        operation.moves.iter().filter(|step| piece.contains(step.end().flat())).count()
                    };
                    let own = (0..pieces.len()).filter(|_| !around).max_by_key(|i| over(&pieces[*i]));
                    for step in &operation.moves {
                        let (from, to) = (at, step.end());
                        at = to;
                        let way = match *step {
                            Move::Line { .. } => Segment { start: from.flat(), end: to.flat(), bulge: 0.0 },
                            Move::Arc { centre, clockwise, .. } => {
                                let turn = (to.flat() - centre).atan2() - (from.flat() - centre).atan2();
                                let turn = if clockwise { -turn } else { turn }.rem_euclid(std::f64::consts::TAU);
                                let bulge = (turn / 4.0).tan() * if clockwise { -1.0 } else { 1.0 };
                                Segment { start: from.flat(), end: to.flat(), bulge }
                            }
                            _ => continue,
                        };
                        if from.z.min(to.z) >= 0.0 {
                            continue;
                        }
                        let reach = way.bounds().inflate(radius, radius);
                        for (i, piece) in pieces.iter().enumerate().filter(|(i, _)| own != Some(*i)) {
                            if reach.overlaps(bounds[i]) {
                                for k in 0..=8 {
                                    let point = way.at(f64::from(k) / 8.0);
                                    let free = piece.distance(point) - radius;
                                    assert!(free > -0.005 && !piece.contains(point), "{}: {free}", operation.about);
                                    checked += 1;
                                }
                            }
                        }
                    }
                }
            }
        }
    }
    assert!(checked > 10_000, "{checked}");
}

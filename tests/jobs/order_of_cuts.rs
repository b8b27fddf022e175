//! In which order the cutter does what it does to a sheet.

use nestwright::design::Kinds;
use nestwright::geometry::Rect;
use nestwright::profile::Profiles;
use nestwright::route::{Operation, OperationKind, Route};
use nestwright::{Made, starters};

fn made(starter: &str) -> Made {
    let source = starters::find(starter).expect("a starter").source();
    let checked = nestwright::check(&source, &Profiles::built_in(), &Kinds::built_in(), &crate::shared::search())
        .expect("readable");
    nestwright::make(checked, &crate::shared::search()).unwrap_or_else(|error| panic!("{starter}: {error}"))
}

/// The operations of a route that are done to a piece, with its rectangle on the sheet and its place in the order.
fn done<'a>(made: &'a Made, route: &'a Route) -> Vec<(usize, &'a Operation, Rect)> {
    let sheet = &made.layout.sheets[route.sheet];
    let all = route.runs.iter().flat_map(|run| &run.operations).enumerate();
    all.filter_map(|(i, operation)| {
        let placement = &sheet.placements[operation.piece?];
        Some((i, operation, placement.bounds(&made.parts[placement.part])))
    })
    .collect()
}

/// Common practice: features before outlines, so that the wood around them still holds; small parts before large ones,
/// which hold what is around them. Pieces on the sheet's other side have nothing to do with either.
#[test]
fn features_go_before_the_outlines_around_them_and_small_pieces_before_large_ones_beside_them() {
    /// As far apart the slots around two pieces leave nothing between them but a strip narrower than the cutter (mm).
    const NEAR: f64 = 12.0;
    // Of one size is what is less than four times as large as 4000 mm², 16 000 mm², and so on.
    let size = |operation: &Operation, made: &Made, route: &Route| {
        let placements = &made.layout.sheets[route.sheet].placements;
        let part = operation.piece.map(|piece| &made.parts[placements[piece].part]);
        part.map_or(0.0, |part| (part.outline.area() / 4000.0).log(4.0).floor().max(0.0))
    };
    let (mut inside, mut small) = (0, 0);
    for starter in ["nuc", "super", "nest-box", "bat-roost", "tray"] {
        let made = made(starter);
        for route in &made.routes {
            let done = done(&made, route);
            for (i, before, a) in &done {
                for (j, after, b) in &done {
                    if a.inflate(NEAR, NEAR).intersect(*b).area() <= 0.0 || after.kind != OperationKind::Outline {
                        continue;
                    }
                    let about = || format!("{starter}: {} and {}", before.about, after.about);
                    match before.kind {
                        OperationKind::Outline if size(before, &made, route) < size(after, &made, route) => {
                            assert!(i < j, "{}", about());
                            small += 1;
                        }
                        OperationKind::Bore | OperationKind::Pocket | OperationKind::Cutout => {
                            assert!(i < j, "{}", about());
                            inside += 1;
                        }
                        _ => {}
                    }
                }
            }
            let outlines = done.iter().filter(|(_, operation, _)| operation.kind == OperationKind::Outline).count();
            assert_eq!(outlines, made.layout.sheets[route.sheet].placements.len(), "{starter}: each piece once");
        }
    }
    assert!(inside > 100 && small > 20, "{inside} {small}");
}

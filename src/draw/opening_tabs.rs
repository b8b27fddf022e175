//! Tabs that hold what comes out of wide openings, as the tool leaves them: where it rises in the wood and goes down again.

use crate::geometry::{Point, Vec2};
use crate::route::{Move, OperationKind, Route};

/// A tab that stands in an opening. Millimetres, in the sheet's frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct OpeningTab {
    /// The middle of its top, on the path of the tool's middle.
    pub at: Point,
    /// Unit vector along the path.
    pub along: Vec2,
    /// Of its top, along the path.
    pub width: f64,
}

/// All of them, each once, though several passes rise over it.
pub(crate) fn opening_tabs(route: &Route) -> Vec<OpeningTab> {
    let operations = route.runs.iter().flat_map(|run| &run.operations);
    let mut found: Vec<OpeningTab> = Vec::new();
    for operation in operations.filter(|operation| operation.kind == OperationKind::Cutout) {
        for tab in tops(&operation.moves) {
            if found.iter().all(|known| known.at.distance(tab.at) > tab.width) {
                found.push(tab);
            }
        }
    }
    found
}

/// The level stretches that the tool rises to in the wood and goes down from.
fn tops(moves: &[Move]) -> Vec<OpeningTab> {
    let mut found = Vec::new();
    // Level points since the tool rose.
    let mut risen: Option<Vec<Point>> = None;
    for pair in moves.windows(2) {
        let (from, to) = (pair[0].end(), pair[1].end());
        let in_wood = !matches!(pair[1], Move::Rapid(_) | Move::Drill(_)) && from.z < 0.0 && to.z < 0.0;
        let (rises, falls) = (to.z > from.z + 1e-6, to.z < from.z - 1e-6);
        match (in_wood, rises, falls) {
            (false, ..) => risen = None,
            (true, true, _) => risen = Some(vec![to.flat()]),
            (true, _, true) => found.extend(risen.take().and_then(|path| top(&path))),
            (true, ..) => risen.iter_mut().for_each(|path| path.push(to.flat())),
        }
    }
    found
}

/// A tab by the path over its top.
fn top(path: &[Point]) -> Option<OpeningTab> {
    let (first, last) = (path.first()?, path.last()?);
    let width = first.distance(*last);
    (width > 1e-6).then(|| OpeningTab { at: first.midpoint(*last), along: (*last - *first) / width, width })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::route::Space;

    /// Two passes along a side rise over one tab of 5 mm, 3 mm high in a board of 12; the ramp down and the way out are none.
    #[test]
    fn a_tab_is_where_the_tool_rises_and_goes_down_again() {
        let line = |x: f64, z: f64| Move::Line { to: Space::new(Point::new(x, 0.0), z), feed: 1000.0 };
        let pass =
            |z: f64| [line(0.0, z), line(40.0, z), line(41.0, -9.0), line(46.0, -9.0), line(47.0, z), line(90.0, z)];
        let mut moves = vec![Move::Rapid(Space::new(Point::new(-20.0, 0.0), 5.0)), line(-20.0, 0.0)];
        moves.extend(pass(-10.0));
        moves.extend(pass(-12.3));
        moves.push(Move::Rapid(Space::new(Point::new(90.0, 0.0), 5.0)));
        let found = tops(&moves);
        assert!(found.len() == 2 && found[0] == found[1], "{found:?}");
        assert!((found[0].at.x - 43.5).abs() < 1e-9 && (found[0].width - 5.0).abs() < 1e-9, "{found:?}");
    }
}

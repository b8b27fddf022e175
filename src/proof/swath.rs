//! What programs cut away of a sheet, as the strips along which their tools pass: with round ends each is what one tool
//! sweeps over. No algebra is done on them; where they lie over each other, a picture shows that by itself.

use super::cut::Cut;
use super::replay::Replay;
use crate::geometry::Segment;
use std::collections::HashSet;

/// A strip as wide as its tool.
#[derive(Clone, Debug, PartialEq)]
pub struct Swath {
    /// Diameter of the tool (mm).
    pub width: f64,
    /// Where the tool's middle passes, in the sheet's frame: each begins where the one before ends. One without length is
    /// where the tool goes straight down.
    pub path: Vec<Segment>,
}

/// All strips of a sheet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Swaths {
    /// Where the tip is below the sheet's upper face.
    pub cut: Vec<Swath>,
    /// Where it is at its lower face, or below that.
    pub through: Vec<Swath>,
}

impl Swaths {
    pub(super) fn new(replay: &Replay, touch: f64, thickness: f64) -> Swaths {
        Swaths { cut: strips(&replay.cuts, -touch), through: strips(&replay.cuts, touch - thickness) }
    }
}

/// The strips of all cuts whose tip is at or below a height; a path that is taken again, deeper, is there once.
fn strips(cuts: &[Cut], z: f64) -> Vec<Swath> {
    let mut strips: Vec<Swath> = Vec::new();
    let mut known: HashSet<[i64; 6]> = HashSet::new();
    let mut open = false;
    for cut in cuts {
        let path = if cut.radius > 0.0 { cut.path_below(z) } else { None };
        let Some(path) = path.filter(|path| known.insert(key(path, cut.radius))) else {
            open = false;
            continue;
        };
        let width = 2.0 * cut.radius;
        match strips.last_mut() {
            Some(last) if open && last.width == width && last.path.last().is_some_and(|it| it.end == path.start) => {
                last.path.push(path);
            }
            _ => strips.push(Swath { width, path: vec![path] }),
        }
        open = true;
    }
    strips
}

/// To a thousandth of a millimetre, in either direction.
fn key(path: &Segment, radius: f64) -> [i64; 6] {
    let whole = |mm: f64| (mm * 1000.0).round() as i64;
    let ends = [[whole(path.start.x), whole(path.start.y)], [whole(path.end.x), whole(path.end.y)]];
    let turned = ends[1] < ends[0];
    let ([a, b], bulge) = if turned { ([ends[1], ends[0]], -path.bulge) } else { (ends, path.bulge) };
    [a[0], a[1], b[0], b[1], whole(bulge), whole(radius)]
}

#[cfg(test)]
mod tests {
    use super::super::cut::Next;
    use super::*;
    use crate::geometry::Point;

    fn cut(from: (f64, f64), to: (f64, f64), z0: f64, z1: f64) -> Cut {
        Cut {
            index: 0,
            point: 0.0,
            program: 0,
            line: 1,
            radius: 3.0,
            tool: 0,
            rapid: false,
            path: Segment { start: Point::from(from), end: Point::from(to), bulge: 0.0 },
            round: None,
            z0,
            z1,
            feed: None,
            from_before: false,
            into_next: Next::Ends,
        }
    }

    #[test]
    fn a_path_taken_deeper_and_deeper_is_one_strip() {
        let (a, b, c) = ((0.0, 0.0), (100.0, 0.0), (100.0, 50.0));
        let cuts = [
            cut(a, a, 5.0, -4.0),
            cut(a, b, -4.0, -4.0),
            cut(b, c, -4.0, -4.0),
            cut(c, c, -4.0, -8.0),
            cut(c, b, -8.0, -8.0),
            cut(b, a, -8.0, -12.0),
        ];
        let shallow = strips(&cuts, -0.01);
        let length: f64 = shallow.iter().flat_map(|strip| &strip.path).map(Segment::length).sum();
        assert!((length - 150.0).abs() < 1e-9, "{shallow:?}");
        // Down to -10 it is only on the second half of the ramp.
        let deep = strips(&cuts, -10.0);
        assert_eq!(deep.len(), 1);
        assert_eq!((deep[0].path[0].start.x, deep[0].path[0].end.x, deep[0].width), (50.0, 0.0, 6.0));
    }
}

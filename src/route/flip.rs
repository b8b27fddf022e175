//! A sheet as it lies when its other face is up.

use crate::design::{Part, PartPocket};
use crate::geometry::{Affine, Point, Rect};
use crate::job::Flip;
use crate::layout::{Placement, Sheet, Turn};

impl Flip {
    /// Where the points of a rectangle of this length and width, with a corner in the origin, come to lie.
    pub(crate) fn mirror(self, length: f64, width: f64) -> Affine {
        match self {
            Flip::Length => Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, width]),
            Flip::Width => Affine::new([-1.0, 0.0, 0.0, 1.0, length, 0.0]),
        }
    }
}

/// Has the part recesses in the face that is down?
pub(super) fn two_sided(part: &Part) -> bool {
    part.pockets.iter().any(|pocket| pocket.under)
}

/// The part seen from its other face, with that face's recesses only.
pub(super) fn part(part: &Part, flip: Flip) -> Part {
    let mirror = flip.mirror(part.length, part.width);
    let pockets = part.pockets.iter().filter(|pocket| pocket.under).map(|pocket| PartPocket {
        outline: pocket.outline.transformed(mirror),
        under: false,
        ..pocket.clone()
    });
    Part {
        outline: part.outline.transformed(mirror),
        holes: Vec::new(),
        screw_holes: Vec::new(),
        joint_lines: Vec::new(),
        pockets: pockets.collect(),
        square_corners: part.square_corners.iter().map(|corner| mirror * *corner).collect(),
        label: None,
        ..part.clone()
    }
}

/// The sheet turned over, its pieces being the [`part`]s seen from their other face.
pub(super) fn sheet(sheet: &Sheet, parts: &[Part], flip: Flip) -> Sheet {
    let mirror = flip.mirror(sheet.length, sheet.width);
    let placements = sheet.placements.iter().map(|placement| {
        let bounds = placement.bounds(&parts[placement.part]);
        let corner = |x: f64, y: f64| mirror * Point::new(x, y);
        let bounds = Rect::from_points(corner(bounds.x0, bounds.y0), corner(bounds.x1, bounds.y1));
        // A mirror reverses every quarter turn.
        let turn = match placement.turn {
            Turn::Quarter => Turn::ThreeQuarters,
            Turn::ThreeQuarters => Turn::Quarter,
            other => other,
        };
        Placement { part: placement.part, x: bounds.x0, y: bounds.y0, turn }
    });
    Sheet { placements: placements.collect(), ..sheet.clone() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::Face;
    use crate::geometry::Outline;

    /// Every turn of a piece: its point in the mirrored piece on the mirrored sheet is the mirror image of its point.
    #[test]
    fn a_piece_on_the_turned_sheet_lies_where_the_mirror_shows_it() {
        let outline = Outline::polygon([(0.0, 0.0), (90.0, 0.0), (90.0, 20.0), (0.0, 40.0)]);
        let board = Part { up: Face::Outer, ..Part::plain("board", outline, 12.0) };
        for flip in [Flip::Length, Flip::Width] {
            for turn in [Turn::None, Turn::Quarter, Turn::Half, Turn::ThreeQuarters] {
                let placements = vec![Placement { part: 0, x: 30.0, y: 55.0, turn }];
                let flat = Sheet { stock: 0, length: 700.0, width: 400.0, thickness: 12.0, placements };
                let turned = sheet(&flat, std::slice::from_ref(&board), flip);
                let own = part(&board, flip);
                for corner in &board.outline.vertices {
                    let on_sheet = flip.mirror(700.0, 400.0) * (flat.placements[0].affine(&board) * corner.at);
                    let seen = turned.placements[0].affine(&own) * (flip.mirror(90.0, 40.0) * corner.at);
                    assert!(on_sheet.distance(seen) < 1e-9, "{flip:?} {turn:?}: {on_sheet:?} {seen:?}");
                }
            }
        }
    }
}

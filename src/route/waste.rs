//! The waste of a sheet: where screws and pins that hold the sheet may stand.

use super::Tab;
use crate::design::Part;
use crate::geometry::{Outline, Point, Rect, Vec2};
use crate::job::Stock;
use crate::layout::Sheet;

/// Places are looked for on a grid of this pitch (mm).
const PITCH: f64 = 10.0;
/// A smaller piece (mm, its longer side) holds nothing but itself and what is tabbed to it: the cuts around it take it
/// off the sheet.
const HOLDS: f64 = 60.0;
/// So many tabs make a small piece hold.
const ENOUGH_TABS: usize = 2;
/// A piece with as many places as this, or as long (mm), would lift or fly if it had no screw.
const LARGE: usize = 150;
const LONG: f64 = 300.0;

/// The waste of one sheet, as far as something of a given size has room in it.
pub(super) struct Waste {
    pub places: Vec<Place>,
    pub pieces: Vec<WastePiece>,
}

/// A place in the waste.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    pub at: Point,
    /// Index of the piece of waste that it is in.
    pub piece: usize,
    /// It lies in an off-cut that is kept: a hole there is one in the off-cut.
    pub kept: bool,
}

/// Places that hang together: no cut and no narrow neck lies between them.
pub(super) struct WastePiece {
    bounds: Rect,
    places: usize,
    /// Of the parts around it.
    tabs: usize,
}

impl WastePiece {
    /// Does a screw in it hold more than the piece itself?
    pub fn holds(&self) -> bool {
        self.long() >= HOLDS || self.tabs >= ENOUGH_TABS
    }

    fn long(&self) -> f64 {
        self.bounds.width().max(self.bounds.height())
    }

    /// Does it need a screw of its own?
    pub fn is_large(&self) -> bool {
        self.places >= LARGE || self.long() >= LONG
    }
}

impl Waste {
    /// Places that are `away` from every part and `from_edge` from the sheet's edges, in order of x, then y.
    /// They are as far from what is kept out of the sheet. `tabs` are those of the sheet, `kept` the off-cuts that are left of it.
    pub fn new(
        parts: &[Part],
        (sheet, stock): (&Sheet, &Stock),
        (tabs, kept): (&[Tab], &[Rect]),
        away: f64,
        from_edge: f64,
    ) -> Waste {
        let (columns, rows) = (along(sheet.length, from_edge), along(sheet.width, from_edge));
        let mut outlines = taken(parts, sheet, away);
        outlines.extend(stock.keep_out.iter().map(|it| Taken::rectangle(it.rect, away)));
        let mut free = vec![false; columns.len() * rows.len()];
        for (i, x) in columns.iter().enumerate() {
            // Only pieces that this column passes can be in the way.
            let near: Vec<&Taken> = outlines.iter().filter(|it| it.bounds.x0 < *x && *x < it.bounds.x1).collect();
            for (j, y) in rows.iter().enumerate() {
                let at = Point::new(*x, *y);
                free[i * rows.len() + j] = !near.iter().any(|it| it.bounds.contains(at) && it.is_near(at, away));
            }
        }
        let (piece_of, mut pieces) = pieces(&free, &columns, &rows);
        let places = piece_of.iter().enumerate().filter_map(|(cell, piece)| {
            let at = Point::new(columns[cell / rows.len()], rows[cell % rows.len()]);
            Some(Place { at, piece: (*piece)?, kept: kept.iter().any(|rect| rect.contains(at)) })
        });
        let places: Vec<Place> = places.collect();
        for tab in tabs {
            // On one side of it is the part, where no place is.
            let out = Vec2::new(-tab.along.y, tab.along.x) * away;
            let beside = |place: &&Place| [tab.at + out, tab.at - out].iter().any(|at| place.at.distance(*at) <= PITCH);
            let near = places.iter().find(beside);
            if let Some(place) = near {
                pieces[place.piece].tabs += 1;
            }
        }
        Waste { places, pieces }
    }
}

/// The outline of something that is cut.
struct Taken {
    /// Outside of this a place is far enough from it for sure.
    bounds: Rect,
    outline: Outline,
    /// What the outline is, where it is no more than that.
    rectangle: Option<Rect>,
}

impl Taken {
    fn rectangle(rect: Rect, away: f64) -> Taken {
        Taken { bounds: rect.inflate(away, away), outline: Outline::from_rect(rect), rectangle: Some(rect) }
    }

    fn is_near(&self, at: Point, away: f64) -> bool {
        match self.rectangle {
            Some(rect) => {
                let nearest = Point::new(at.x.clamp(rect.x0, rect.x1), at.y.clamp(rect.y0, rect.y1));
                nearest.distance(at) < away || nearest == at
            }
            None => self.outline.distance(at) < away || self.outline.contains(at),
        }
    }
}

/// The outlines of all that is cut; a place is to be `away` from them.
fn taken(parts: &[Part], sheet: &Sheet, away: f64) -> Vec<Taken> {
    let cut = sheet.placements.iter().flat_map(|placement| {
        let part = &parts[placement.part];
        let place = placement.affine(part);
        // A groove may be cut past the edge of its part.
        let outlines = std::iter::once(&part.outline).chain(part.pockets.iter().map(|pocket| &pocket.outline));
        outlines.map(move |outline| outline.transformed(place))
    });
    let taken = cut.map(|outline| {
        let bounds = outline.bounds();
        let straight = outline.vertices.len() == 4 && outline.segments().all(|side| !side.is_arc());
        let fills = straight && (outline.area().abs() - bounds.area()).abs() < 1e-6;
        Taken { bounds: bounds.inflate(away, away), rectangle: fills.then_some(bounds), outline }
    });
    taken.collect()
}

/// Evenly spaced, from one end to the other.
fn along(length: f64, from_edge: f64) -> Vec<f64> {
    let room = length - 2.0 * from_edge;
    let steps = (room / PITCH).floor().max(0.0);
    let at = |i: u32| if steps == 0.0 { length / 2.0 } else { from_edge + room * f64::from(i) / steps };
    (0..=steps as u32).map(at).collect()
}

/// Which free cells hang together side by side: the piece of each cell, and the pieces.
fn pieces(free: &[bool], columns: &[f64], rows: &[f64]) -> (Vec<Option<usize>>, Vec<WastePiece>) {
    let mut piece_of: Vec<Option<usize>> = vec![None; free.len()];
    let mut pieces: Vec<WastePiece> = Vec::new();
    let high = rows.len();
    for first in 0..free.len() {
        if !free[first] || piece_of[first].is_some() {
            continue;
        }
        let at = |cell: usize| Point::new(columns[cell / high], rows[cell % high]);
        let mut piece = WastePiece { bounds: Rect::from_points(at(first), at(first)), places: 0, tabs: 0 };
        piece_of[first] = Some(pieces.len());
        let mut reached = vec![first];
        while let Some(cell) = reached.pop() {
            piece.places += 1;
            piece.bounds = piece.bounds.union_pt(at(cell));
            let (i, j) = (cell / high, cell % high);
            let beside = [
                (i > 0).then(|| cell - high),
                (i + 1 < columns.len()).then(|| cell + high),
                (j > 0).then(|| cell - 1),
                (j + 1 < high).then(|| cell + 1),
            ];
            for other in beside.into_iter().flatten() {
                if free[other] && piece_of[other].is_none() {
                    piece_of[other] = Some(pieces.len());
                    reached.push(other);
                }
            }
        }
        pieces.push(piece);
    }
    (piece_of, pieces)
}

//! A sheet while free nesting is searched: what lies on it, and its free space.

use super::space::{Space, take};
use crate::layout::Axis;
use crate::layout::search::{Cut, Filled, Problem};

/// A piece on a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Placed {
    /// Index into the problem's kinds.
    pub kind: u32,
    pub turned: bool,
    /// Its rectangle; micrometres from the sheet's lower-left corner.
    pub at: Space,
}

/// A sheet of free nesting.
#[derive(Clone, Debug)]
pub struct Nested {
    /// Index into the problem's bins.
    pub bin: usize,
    pub placed: Vec<Placed>,
}

#[derive(Clone, Debug)]
pub(super) struct Open {
    pub bin: u32,
    pub whole: Space,
    pub placed: Vec<Placed>,
    pub spaces: Vec<Space>,
    /// Area of its pieces.
    pub used: i64,
    /// What its free space is worth.
    pub worth: f64,
    /// The largest short and the largest long side of any space.
    pub reach: (i32, i32),
}

impl Open {
    pub fn new(bin: u32, length: i32, width: i32) -> Open {
        let whole = Space::whole(length, width);
        let mut sheet =
            Open { bin, whole, placed: Vec::new(), spaces: vec![whole], used: 0, worth: 0.0, reach: (0, 0) };
        sheet.look();
        sheet
    }

    /// Takes over another's pieces without giving up its own memory.
    pub fn copy_from(&mut self, from: &Open) {
        (self.bin, self.whole) = (from.bin, from.whole);
        self.placed.clone_from(&from.placed);
        self.spaces.clone_from(&from.spaces);
        (self.used, self.worth, self.reach) = (from.used, from.worth, from.reach);
    }

    pub fn put(&mut self, piece: Placed, scratch: &mut Vec<Space>) {
        take(&mut self.spaces, &piece.at, scratch);
        self.placed.push(piece);
        self.used += piece.at.area();
        self.look();
    }

    /// Takes out the pieces that `out` says.
    pub fn clear(&mut self, mut out: impl FnMut(&Placed) -> bool, scratch: &mut Vec<Space>) {
        let used = &mut self.used;
        self.placed.retain(|piece| {
            let stays = !out(piece);
            if !stays {
                *used -= piece.at.area();
            }
            stays
        });
        self.spaces.clear();
        self.spaces.push(self.whole);
        for piece in &self.placed {
            take(&mut self.spaces, &piece.at, scratch);
        }
        self.look();
    }

    /// What its free space is worth: the squared share of the sheet that its largest rectangle is, and a little for all
    /// that is free.
    fn look(&mut self) {
        self.reach = (0, 0);
        let mut largest = 0;
        for space in &self.spaces {
            let (length, width) = (space.length, space.width);
            self.reach = (self.reach.0.max(length.min(width)), self.reach.1.max(length.max(width)));
            largest = largest.max(space.area());
        }
        let whole = self.whole.area() as f64;
        let (largest, free) = (largest as f64 / whole, 1.0 - self.used as f64 / whole);
        self.worth = largest * largest.sqrt() + 0.3 * free * free;
    }

    /// How much of a rectangle's edge lies against pieces or the sheet's edges.
    pub fn contact(&self, at: &Space) -> i32 {
        let mut contact = 0;
        contact += if at.x == 0 { at.width } else { 0 };
        contact += if at.right() == self.whole.length { at.width } else { 0 };
        contact += if at.y == 0 { at.length } else { 0 };
        contact += if at.top() == self.whole.width { at.length } else { 0 };
        for Placed { at: other, .. } in &self.placed {
            if other.right() == at.x || at.right() == other.x {
                contact += (at.top().min(other.top()) - at.y.max(other.y)).max(0);
            }
            if other.top() == at.y || at.top() == other.y {
                contact += (at.right().min(other.right()) - at.x.max(other.x)).max(0);
            }
        }
        contact
    }
}

impl Nested {
    /// A guillotine pattern as it lies: the widest strips first, what is left over last.
    pub fn of(filled: &Filled, problem: &Problem) -> Nested {
        let bin = &problem.bins[filled.bin];
        let mut placed = Vec::new();
        let mut open = vec![(&filled.cut, Space::whole(bin.length, bin.width))];
        while let Some((cut, at)) = open.pop() {
            match cut {
                Cut::Left => {}
                Cut::Part { kind, turned } => placed.push(Placed { kind: *kind as u32, turned: *turned, at }),
                Cut::Split(axis, strips) => {
                    let mut order: Vec<&(i32, Cut)> = strips.iter().collect();
                    order.sort_by_key(|(wide, cut)| (*cut == Cut::Left, -wide));
                    let mut at = at;
                    for (wide, cut) in order {
                        match axis {
                            Axis::X => {
                                open.push((cut, Space { length: *wide, ..at }));
                                at.x += wide;
                            }
                            Axis::Y => {
                                open.push((cut, Space { width: *wide, ..at }));
                                at.y += wide;
                            }
                        }
                    }
                }
            }
        }
        Nested { bin: filled.bin, placed }
    }
}

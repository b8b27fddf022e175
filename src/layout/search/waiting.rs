//! What waits for a place, and the leftovers that have one.

use super::PieceKind;
use super::tree::other;
use super::worth::Worth;
use crate::layout::Axis;

/// A leftover that is offered to the pieces that wait.
#[derive(Clone, Copy)]
pub(super) struct Offer {
    pub length: i32,
    pub width: i32,
    pub sheet: u32,
    pub node: u32,
    pub worth: f32,
    /// Where the stages are limited.
    pub staged: Option<Staged>,
}

/// What the cuts around a leftover leave of the stages there may be.
#[derive(Clone, Copy)]
pub(super) struct Staged {
    /// Stages for what is cut within it.
    pub left: u8,
    /// The axis of the row that it stands in: cuts along it are of the same stage.
    pub row: Option<Axis>,
}

impl Staged {
    /// Can a piece that is this much smaller be cut out, along this axis first?
    fn allows(self, first: Axis, over: (i32, i32)) -> bool {
        let over = |axis| if axis == Axis::X { over.0 } else { over.1 };
        // What is as large as its place along one axis is cut along the other alone.
        let first = if over(first) == 0 { other(first) } else { first };
        let cuts = [over(first) > 0 && self.row != Some(first), over(other(first)) > 0];
        cuts.iter().filter(|cut| **cut).count() <= usize::from(self.left)
    }
}

/// A kind of piece that is out, and where it could go.
#[derive(Clone, Default)]
pub(super) struct Waiting {
    pub kind: u32,
    pub length: i32,
    pub width: i32,
    /// How it may lie: straight and turned.
    orientations: [Both; 2],
    /// Every leftover that it fits or fitted, once for each orientation.
    pub places: Vec<Place>,
    /// How many of those are still there.
    pub left: u32,
    /// The place that loses least, among those.
    pub best: u32,
}

#[derive(Clone, Copy)]
pub(super) struct Place {
    pub loss: f32,
    pub offer: u32,
    pub turned: bool,
    pub first: Axis,
}

/// A length and a width side by side, so that one subtraction compares both.
#[derive(Clone, Copy, Default)]
struct Both(u64);

impl Both {
    /// The bits above either.
    const ABOVE: u64 = 1 << 63 | 1 << 31;
    /// What fits nowhere.
    const NEVER: Both = Both(!Self::ABOVE);

    #[inline]
    fn new(length: i32, width: i32) -> Both {
        Both((length as u64) << 32 | width as u64)
    }

    /// Is there room for the other, in length and width?
    #[inline]
    fn holds(self, other: Both) -> bool {
        ((self.0 | Self::ABOVE) - other.0) & Self::ABOVE == Self::ABOVE
    }
}

impl Offer {
    /// The length of a leftover that is used up: it holds nothing.
    const GONE: i32 = 0;

    #[inline]
    fn size(&self) -> Both {
        Both::new(self.length, self.width)
    }

    pub fn gone(&self) -> bool {
        self.length == Self::GONE
    }

    /// Uses it up; returns its size.
    pub fn take(&mut self) -> (i32, i32) {
        (std::mem::replace(&mut self.length, Self::GONE), self.width)
    }

    /// A piece that lies so, cut out so that the leftovers are worth most; `None` where that takes too many stages.
    #[inline]
    fn place(&self, at: usize, length: i32, width: i32, turned: bool, worth: &Worth) -> Option<Place> {
        let (over_x, over_y) = (self.length - length, self.width - width);
        let x_first = worth.single(over_x, self.width) + worth.single(length, over_y);
        let y_first = worth.single(self.length, over_y) + worth.single(over_x, width);
        let mut better = x_first >= y_first;
        if let Some(staged) = self.staged {
            let allowed = [Axis::X, Axis::Y].map(|first| staged.allows(first, (over_x, over_y)));
            better = match allowed {
                [false, false] => return None,
                [true, true] => better,
                [x, _] => x,
            };
        }
        let (kept, first) = if better { (x_first, Axis::X) } else { (y_first, Axis::Y) };
        Some(Place { loss: self.worth - kept, offer: at as u32, turned, first })
    }
}

impl Waiting {
    /// Waits anew, for one of this kind.
    pub fn begin(&mut self, number: u32, kind: &PieceKind) {
        (self.kind, self.length, self.width) = (number, kind.length, kind.width);
        let turned = kind.turned && (kind.length != kind.width || !kind.straight);
        self.orientations = [
            if kind.straight { Both::new(kind.length, kind.width) } else { Both::NEVER },
            if turned { Both::new(kind.width, kind.length) } else { Both::NEVER },
        ];
        self.left = 0;
        self.places.clear();
    }

    /// Does it fit a rectangle of this size in any orientation?
    pub fn fits(&self, length: i32, width: i32) -> bool {
        self.orientations.iter().any(|lying| Both::new(length, width).holds(*lying))
    }

    /// Adds the places that a leftover offers.
    #[inline(always)]
    pub fn weigh(&mut self, offers: &[Offer], at: usize, worth: &Worth) {
        let size = offers[at].size();
        let [straight, turned] = self.orientations.map(|lying| size.holds(lying));
        if straight | turned {
            if straight {
                self.add(&offers[at], at, false, worth);
            }
            if turned {
                self.add(&offers[at], at, true, worth);
            }
        }
    }

    #[inline(never)]
    fn add(&mut self, offer: &Offer, at: usize, turned: bool, worth: &Worth) {
        let (length, width) = if turned { (self.width, self.length) } else { (self.length, self.width) };
        let Some(place) = offer.place(at, length, width, turned, worth) else { return };
        if self.left == 0 || place.loss < self.places[self.best as usize].loss {
            self.best = self.places.len() as u32;
        }
        self.left += 1;
        self.places.push(place);
    }

    /// A leftover is gone: it was of this size, and says so already.
    #[inline]
    pub fn withdraw(&mut self, offers: &[Offer], at: u32, (length, width): (i32, i32)) {
        let size = Both::new(length, width);
        let [straight, turned] = self.orientations.map(|lying| size.holds(lying));
        if straight || turned {
            self.left -= match offers[at as usize].staged {
                None => u32::from(straight) + u32::from(turned),
                Some(_) => self.places.iter().filter(|place| place.offer == at).count() as u32,
            };
        }
        if self.left > 0 && (straight || turned) && self.places[self.best as usize].offer == at {
            let mut least = f32::INFINITY;
            for (i, place) in self.places.iter().enumerate() {
                if place.loss < least && !offers[place.offer as usize].gone() {
                    (self.best, least) = (i as u32, place.loss);
                }
            }
        }
    }

    /// The best place, these many passed over.
    pub fn ranked(&mut self, offers: &[Offer], skipped: usize) -> Option<Place> {
        if skipped == 0 {
            return (self.left > 0).then(|| self.places[self.best as usize]);
        }
        self.places.retain(|place| !offers[place.offer as usize].gone());
        if skipped >= self.places.len() {
            self.best = self.best_of_all();
            return None;
        }
        let place = *self.places.select_nth_unstable_by(skipped, |a, b| a.loss.total_cmp(&b.loss)).1;
        self.best = self.best_of_all();
        Some(place)
    }

    fn best_of_all(&self) -> u32 {
        let best = (0..self.places.len()).min_by(|a, b| self.places[*a].loss.total_cmp(&self.places[*b].loss));
        best.unwrap_or(0) as u32
    }
}

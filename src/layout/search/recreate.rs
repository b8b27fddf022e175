//! Puts the pieces that are out back in, the most restricted first, each where it costs the least leftover value.

use super::engine::Engine;
use super::tree::{Leftover, NONE, ROOT, Tree, What};
use super::worth::Worth;
use crate::layout::Axis;

/// A leftover, as places are looked for.
#[derive(Clone, Copy)]
pub(super) struct Spot {
    length: i32,
    width: i32,
    sheet: u32,
    node: u32,
    worth: f64,
}

/// A kind of piece that is out, and where it could go.
#[derive(Clone, Default)]
pub(super) struct Waiting {
    kind: u32,
    length: i32,
    width: i32,
    straight: bool,
    turned: bool,
    /// Every leftover that it fits, once for each way to lie.
    places: Vec<Place>,
    /// The place that loses least, among those.
    best: u32,
}

#[derive(Clone, Copy)]
pub(super) struct Place {
    loss: f32,
    spot: u32,
    turned: bool,
    first: Axis,
}

impl Spot {
    #[inline]
    fn holds(&self, length: i32, width: i32) -> bool {
        length <= self.length && width <= self.width
    }

    /// A piece that lies so, cut out so that the leftovers are worth most.
    #[inline]
    fn place(&self, at: usize, length: i32, width: i32, turned: bool, worth: &Worth) -> Place {
        let (over_x, over_y) = (self.length - length, self.width - width);
        let x_first = worth.of(over_x, self.width) + worth.of(length, over_y);
        let y_first = worth.of(self.length, over_y) + worth.of(over_x, width);
        let (kept, first) = if x_first >= y_first { (x_first, Axis::X) } else { (y_first, Axis::Y) };
        Place { loss: (self.worth - kept) as f32, spot: at as u32, turned, first }
    }
}

impl Waiting {
    /// Adds the places that a leftover offers.
    #[inline]
    fn weigh(&mut self, spots: &[Spot], at: usize, worth: &Worth) {
        let spot = &spots[at];
        if self.straight && spot.holds(self.length, self.width) {
            self.add(spot.place(at, self.length, self.width, false, worth));
        }
        if self.turned && spot.holds(self.width, self.length) {
            self.add(spot.place(at, self.width, self.length, true, worth));
        }
    }

    fn add(&mut self, place: Place) {
        if self.places.get(self.best as usize).is_none_or(|best| place.loss < best.loss) {
            self.best = self.places.len() as u32;
        }
        self.places.push(place);
    }

    /// A leftover is gone.
    fn withdraw(&mut self, at: u32) {
        let known = self.places.len();
        self.places.retain(|place| place.spot != at);
        if self.places.len() < known {
            self.best = 0;
            for (i, place) in self.places.iter().enumerate() {
                if place.loss < self.places[self.best as usize].loss {
                    self.best = i as u32;
                }
            }
        }
    }

    /// The best place but for so many.
    fn ranked(&mut self, skipped: usize) -> Option<Place> {
        if skipped >= self.places.len() {
            return None;
        }
        let best = self.places[self.best as usize];
        let place = *self.places.select_nth_unstable_by(skipped, |a, b| a.loss.total_cmp(&b.loss)).1;
        self.best = self.places.iter().position(|other| other.loss == best.loss).unwrap_or(0) as u32;
        Some(place)
    }
}

impl Engine<'_> {
    /// Puts in what can be put in.
    pub(super) fn recreate(&mut self) {
        self.gather();
        while self.waits > 0 {
            let chosen = self.most_restricted();
            let mut skipped = 0;
            while self.random.chance(self.settings.skip) {
                skipped += 1;
            }
            let piece = &mut self.waiting[chosen];
            let place =
                if skipped == 0 { piece.places.get(piece.best as usize).copied() } else { piece.ranked(skipped) };
            match place {
                Some(place) => self.place(chosen, place),
                None => match self.open_sheet(chosen) {
                    Some(sheet) => {
                        self.offer(sheet, ROOT);
                        let spot = self.spots.len() as u32 - 1;
                        let here = self.waiting[chosen].places.iter().filter(|place| place.spot == spot);
                        if let Some(place) = here.min_by(|a, b| a.loss.total_cmp(&b.loss)).copied() {
                            self.place(chosen, place);
                        }
                    }
                    None => self.stays_out(chosen),
                },
            }
        }
    }

    fn stays_out(&mut self, chosen: usize) {
        self.waits -= 1;
        self.waiting.swap(chosen, self.waits);
    }

    /// The pieces that are out, the leftovers that could hold any of them, and who fits where.
    fn gather(&mut self) {
        self.spots.clear();
        self.waits = self.tally.out_kinds.len();
        if self.waiting.len() < self.waits {
            self.waiting.resize_with(self.waits, Waiting::default);
        }
        let (mut short, mut long) = (i32::MAX, i32::MAX);
        for (&kind, piece) in self.tally.out_kinds.iter().zip(&mut self.waiting) {
            let about = &self.problem.kinds[kind as usize];
            short = short.min(about.length.min(about.width));
            long = long.min(about.length.max(about.width));
            (piece.kind, piece.length, piece.width) = (kind, about.length, about.width);
            piece.straight = about.straight;
            piece.turned = about.turned && (about.length != about.width || !about.straight);
            piece.best = 0;
            piece.places.clear();
        }
        for (number, sheet) in self.sheets.iter_mut().enumerate() {
            if sheet.is_empty() {
                continue;
            }
            for left in sheet.leftovers(short, long, &self.worth) {
                let Leftover { length, width, node, worth } = *left;
                if length.min(width) >= short && length.max(width) >= long {
                    self.spots.push(Spot { length, width, sheet: number as u32, node, worth });
                }
            }
        }
        self.looks += (self.waits * self.spots.len()) as u64;
        for piece in &mut self.waiting[..self.waits] {
            for at in 0..self.spots.len() {
                piece.weigh(&self.spots, at, &self.worth);
            }
            self.looks += 4 * piece.places.len() as u64;
        }
    }

    /// The piece with the fewest places; among equals, any.
    fn most_restricted(&mut self) -> usize {
        let (mut chosen, mut fewest, mut equal) = (0, usize::MAX, 0);
        for (i, piece) in self.waiting[..self.waits].iter().enumerate() {
            if piece.places.len() < fewest {
                (chosen, fewest, equal) = (i, piece.places.len(), 1);
            } else if piece.places.len() == fewest {
                equal += 1;
                if self.random.below(equal) == 0 {
                    chosen = i;
                }
            }
        }
        chosen
    }

    /// Puts a piece in its place, and tells everybody else.
    fn place(&mut self, chosen: usize, place: Place) {
        let Waiting { kind, length, width, .. } = self.waiting[chosen];
        let spot = self.spots[place.spot as usize];
        self.touch(spot.sheet as usize);
        let size = if place.turned { (width, length) } else { (length, width) };
        let part = What::Part { kind, turned: place.turned };
        let sheet = &mut self.sheets[spot.sheet as usize];
        let left = sheet.insert(spot.node, part, size, place.first, &self.worth);
        self.tally.area_out -= self.areas[kind as usize];
        self.tally.out[kind as usize] -= 1;
        if self.tally.out[kind as usize] == 0 {
            self.stays_out(chosen);
            self.tally.out_kinds.retain(|out| *out != kind);
        }
        self.looks += 20 + self.waits as u64;
        for piece in &mut self.waiting[..self.waits] {
            piece.withdraw(place.spot);
        }
        for node in left.into_iter().filter(|node| *node != NONE) {
            self.offer(spot.sheet as usize, node);
        }
    }

    /// A new leftover is there for everybody.
    fn offer(&mut self, sheet: usize, node: u32) {
        let about = self.sheets[sheet].nodes[node as usize];
        let worth = self.worth.of(about.length, about.width);
        let (length, width) = (about.length, about.width);
        self.spots.push(Spot { length, width, sheet: sheet as u32, node, worth });
        self.looks += 2 * self.waits as u64;
        for piece in &mut self.waiting[..self.waits] {
            piece.weigh(&self.spots, self.spots.len() - 1, &self.worth);
        }
    }

    /// Opens another sheet that holds a piece, if the limit allows it.
    fn open_sheet(&mut self, chosen: usize) -> Option<usize> {
        let piece = &self.waiting[chosen];
        let mut found = None;
        let mut equal = 0;
        for (i, bin) in self.problem.bins.iter().enumerate() {
            let holds = |length, width| length <= bin.length && width <= bin.width;
            let fits =
                piece.straight && holds(piece.length, piece.width) || piece.turned && holds(piece.width, piece.length);
            let there = bin.supply.is_none_or(|supply| self.tally.open[i] < supply);
            if fits && there && self.tally.cost + bin.cost <= self.limit {
                equal += 1;
                if self.random.below(equal) == 0 {
                    found = Some(i);
                }
            }
        }
        let bin = found?;
        self.tally.open[bin] += 1;
        self.tally.cost += self.problem.bins[bin].cost;
        let about = &self.problem.bins[bin];
        let slot = self.sheets.iter().enumerate().position(|(i, sheet)| {
            sheet.is_empty() && sheet.bin == bin as u32 && !self.spots.iter().any(|spot| spot.sheet as usize == i)
        });
        let slot = slot.unwrap_or_else(|| {
            self.sheets.push(Tree::new(bin as u32, about.length, about.width, &self.worth));
            self.touched.push(false);
            self.sheets.len() - 1
        });
        self.touch(slot);
        Some(slot)
    }
}

//! Puts the pieces that are out back in, the most restricted first, each where it costs the least leftover value.

use super::Problem;
use super::engine::Engine;
use super::tree::{Leftover, NONE, ROOT, Tree, What};
use super::waiting::{Offer, Place, Staged, Waiting};

impl Engine<'_> {
    /// Puts in what can be put in; gives up once what found no place counts more than `most`.
    pub(super) fn recreate(&mut self, most: i64) {
        self.gather();
        let mut without = 0;
        while self.waits > 0 {
            let chosen = self.most_restricted();
            let mut skipped = 0;
            while self.random.chance(self.settings.skip) {
                skipped += 1;
            }
            match self.waiting[chosen].ranked(&self.offers, skipped) {
                Some(place) => self.place(chosen, place),
                None => match self.open_sheet(chosen) {
                    Some(sheet) => {
                        self.offer(sheet, ROOT);
                        let offer = self.offers.len() as u32 - 1;
                        let here = self.waiting[chosen].places.iter().filter(|place| place.offer == offer);
                        if let Some(place) = here.min_by(|a, b| a.loss.total_cmp(&b.loss)).copied() {
                            self.place(chosen, place);
                        }
                    }
                    None => {
                        let kind = self.waiting[chosen].kind as usize;
                        without += self.areas[kind] * i64::from(self.tally.out[kind]);
                        if without > most {
                            return;
                        }
                        self.stays_out(chosen);
                    }
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
        self.offers.clear();
        self.waits = self.tally.out_kinds.len();
        if self.waiting.len() < self.waits {
            self.waiting.resize_with(self.waits, Waiting::default);
        }
        let (mut short, mut long) = (i32::MAX, i32::MAX);
        for (&kind, piece) in self.tally.out_kinds.iter().zip(&mut self.waiting) {
            let about = &self.problem.kinds[kind as usize];
            short = short.min(about.length.min(about.width));
            long = long.min(about.length.max(about.width));
            piece.begin(kind, about);
        }
        for (number, sheet) in self.sheets.iter_mut().enumerate() {
            if sheet.is_empty() {
                continue;
            }
            let from = self.offers.len();
            for left in sheet.leftovers(short, long, &self.worth) {
                let Leftover { length, width, node, worth } = *left;
                if length.min(width) >= short && length.max(width) >= long {
                    self.offers.push(Offer { length, width, sheet: number as u32, node, worth, staged: None });
                }
            }
            if self.problem.stages.is_some() {
                self.offers[from..].iter_mut().for_each(|offer| offer.staged = self.problem.staged(sheet, offer.node));
            }
        }
        self.looks += (self.waits * self.offers.len()) as u64;
        for piece in &mut self.waiting[..self.waits] {
            for at in 0..self.offers.len() {
                piece.weigh(&self.offers, at, &self.worth);
            }
            self.looks += 4 * piece.places.len() as u64;
        }
    }

    /// The piece with the fewest places; among equals, any.
    fn most_restricted(&mut self) -> usize {
        let (mut chosen, mut fewest, mut equal) = (0, u32::MAX, 0);
        for (i, piece) in self.waiting[..self.waits].iter().enumerate() {
            if piece.left < fewest {
                (chosen, fewest, equal) = (i, piece.left, 1);
            } else if piece.left == fewest {
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
        let offer = self.offers[place.offer as usize];
        self.touch(offer.sheet as usize);
        let size = if place.turned { (width, length) } else { (length, width) };
        let part = What::Part { kind, turned: place.turned };
        let sheet = &mut self.sheets[offer.sheet as usize];
        let left = sheet.insert(offer.node, part, size, place.first, &self.worth);
        self.tally.area_out -= self.areas[kind as usize];
        self.tally.out[kind as usize] -= 1;
        if self.tally.out[kind as usize] == 0 {
            self.stays_out(chosen);
            self.tally.out_kinds.retain(|out| *out != kind);
        }
        self.looks += 20 + self.waits as u64;
        let size = self.offers[place.offer as usize].take();
        for piece in &mut self.waiting[..self.waits] {
            piece.withdraw(&self.offers, place.offer, size);
        }
        for node in left.into_iter().filter(|node| *node != NONE) {
            self.offer(offer.sheet as usize, node);
        }
    }

    /// A new leftover is there for everybody.
    fn offer(&mut self, sheet: usize, node: u32) {
        let about = self.sheets[sheet].nodes[node as usize];
        let worth = self.worth.single(about.length, about.width);
        let (length, width) = (about.length, about.width);
        let staged = self.problem.staged(&self.sheets[sheet], node);
        self.offers.push(Offer { length, width, sheet: sheet as u32, node, worth, staged });
        self.looks += 2 * self.waits as u64;
        for piece in &mut self.waiting[..self.waits] {
            piece.weigh(&self.offers, self.offers.len() - 1, &self.worth);
        }
    }

    /// Opens another sheet that holds a piece, if the limit allows it.
    fn open_sheet(&mut self, chosen: usize) -> Option<usize> {
        let piece = &self.waiting[chosen];
        let mut found = None;
        let mut equal = 0;
        for (i, bin) in self.problem.bins.iter().enumerate() {
            let fits = piece.fits(bin.length, bin.width);
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
            sheet.is_empty() && sheet.bin == bin as u32 && !self.offers.iter().any(|offer| offer.sheet as usize == i)
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

impl Problem {
    /// What is left of the stages there may be in a leftover of a sheet; `None` where there is no limit.
    fn staged(&self, sheet: &Tree, node: u32) -> Option<Staged> {
        self.stages.map(|stages| {
            let (depth, row) = sheet.depth(node);
            Staged { left: u8::try_from(stages.saturating_sub(depth)).unwrap_or(u8::MAX), row }
        })
    }
}

//! Puts the pieces that are out back in, the most restricted first, each where it lies best.

use super::search::Engine;
use super::sheet::{Open, Placed};
use super::space::Space;
use super::waiting::{Fit, Waiting};

impl Engine<'_> {
    /// Puts in what can be put in; gives up once what found no place counts more than `most`.
    pub(super) fn recreate(&mut self, most: i64) {
        let mut without = 0;
        self.by_contact = self.random.below(2) == 0;
        let kinds: Vec<u32> = (0..self.out.len() as u32).filter(|kind| self.out[*kind as usize] > 0).collect();
        let mut waiting = std::mem::take(&mut self.waiting);
        waiting.resize_with(waiting.len().max(kinds.len()), Waiting::default);
        let mut waits = kinds.len();
        for (piece, kind) in waiting.iter_mut().zip(&kinds) {
            piece.kind = *kind;
            piece.fits.clear();
        }
        for sheet in 0..self.sheets.len() {
            if !self.sheets[sheet].placed.is_empty() {
                self.offer(sheet, &mut waiting[..waits]);
            }
        }
        while waits > 0 {
            let chosen = self.most_restricted(&waiting[..waits]);
            let kind = waiting[chosen].kind;
            let fit = match self.choose(&waiting[chosen].fits) {
                Some(fit) => Some(fit),
                None => self.open_sheet(kind).and_then(|sheet| {
                    self.offer(sheet, &mut waiting[..waits]);
                    let there = waiting[chosen].fits.iter().filter(|fit| fit.sheet as usize == sheet);
                    there.min_by(|a, b| a.loss.total_cmp(&b.loss)).copied()
                }),
            };
            let Some(fit) = fit else {
                without += self.weights[kind as usize] * i64::from(self.out[kind as usize]);
                if without > most {
                    break;
                }
                waits -= 1;
                waiting.swap(chosen, waits);
                continue;
            };
            let sheet = fit.sheet as usize;
            self.touch(sheet);
            self.sheets[sheet].put(Placed { kind, turned: fit.turned, at: fit.at }, &mut self.scratch);
            self.looks += 8 * self.sheets[sheet].placed.len() as u64;
            self.out[kind as usize] -= 1;
            if self.out[kind as usize] == 0 {
                waits -= 1;
                waiting.swap(chosen, waits);
            }
            for piece in &mut waiting[..waits] {
                piece.fits.retain(|known| known.sheet != fit.sheet);
            }
            self.offer(sheet, &mut waiting[..waits]);
        }
        self.waiting = waiting;
    }

    /// The piece with the fewest places; among equals, any.
    fn most_restricted(&mut self, waiting: &[Waiting]) -> usize {
        let (mut chosen, mut fewest, mut equal) = (0, usize::MAX, 0);
        for (i, piece) in waiting.iter().enumerate() {
            if piece.fits.len() < fewest {
                (chosen, fewest, equal) = (i, piece.fits.len(), 1);
            } else if piece.fits.len() == fewest {
                equal += 1;
                if self.random.below(equal) == 0 {
                    chosen = i;
                }
            }
        }
        chosen
    }

    /// The place that loses least; now and then it is passed over.
    fn choose(&mut self, fits: &[Fit]) -> Option<Fit> {
        let mut best: Option<Fit> = None;
        for fit in fits {
            if best.is_none_or(|best| fit.loss < best.loss)
                && (best.is_none() || !self.random.chance(self.settings.skip))
            {
                best = Some(*fit);
            }
        }
        best
    }

    /// The places that a sheet offers to those that wait.
    fn offer(&mut self, sheet: usize, waiting: &mut [Waiting]) {
        let open = &self.sheets[sheet];
        let mut looks = waiting.len() as u64;
        for piece in waiting {
            let about = &self.problem.kinds[piece.kind as usize];
            let (short, long) = (about.length.min(about.width), about.length.max(about.width));
            if short > open.reach.0 || long > open.reach.1 {
                continue;
            }
            looks += open.spaces.len() as u64;
            for space in &open.spaces {
                for turned in [false, true] {
                    let (may, length, width) = if turned {
                        (about.turned && (about.length != about.width || !about.straight), about.width, about.length)
                    } else {
                        (about.straight, about.length, about.width)
                    };
                    if !may || length > space.length || width > space.width {
                        continue;
                    }
                    let (over_x, over_y) = (space.length - length, space.width - width);
                    let mut best = Fit { loss: f32::INFINITY, sheet: sheet as u32, turned, at: *space };
                    for (right, top) in [(false, false), (true, false), (false, true), (true, true)] {
                        // What fills the space along one side lies in two of its corners at once.
                        if right && over_x == 0 || top && over_y == 0 {
                            continue;
                        }
                        let (x, y) = (if right { over_x } else { 0 }, if top { over_y } else { 0 });
                        let at = Space { x: space.x + x, y: space.y + y, length, width };
                        let contact = open.contact(&at) as f32 / (2 * (length + width)) as f32;
                        if 1.0 - contact < best.loss {
                            (best.loss, best.at) = (1.0 - contact, at);
                        }
                        looks += open.placed.len() as u64 / 2;
                    }
                    if !self.by_contact {
                        let least = over_x.min(over_y) as f32 / open.whole.length.max(open.whole.width) as f32;
                        best.loss = least + best.loss / 64.0;
                    }
                    piece.fits.push(best);
                }
            }
        }
        self.looks += looks;
    }

    /// Opens another sheet that holds a piece, if the limit allows it.
    fn open_sheet(&mut self, kind: u32) -> Option<usize> {
        let about = &self.problem.kinds[kind as usize];
        let holds = |length: i32, width: i32, whole: (i32, i32)| length <= whole.0 && width <= whole.1;
        let mut bins: Vec<usize> = Vec::new();
        for (i, bin) in self.problem.bins.iter().enumerate() {
            let whole = (bin.length, bin.width);
            let fits = about.straight && holds(about.length, about.width, whole)
                || about.turned && holds(about.width, about.length, whole);
            let there = bin.supply.is_none_or(|supply| self.open[i] < supply);
            if fits && there && self.cost + bin.cost <= self.limit {
                bins.push(i);
            }
        }
        if bins.is_empty() {
            return None;
        }
        let bin = bins[self.random.below(bins.len())];
        let about = &self.problem.bins[bin];
        self.open[bin] += 1;
        self.cost += about.cost;
        let slot = self.sheets.iter().position(|sheet| sheet.placed.is_empty() && sheet.bin as usize == bin);
        let slot = slot.unwrap_or_else(|| {
            self.sheets.push(Open::new(bin as u32, about.length, about.width));
            self.touched.push(false);
            self.sheets.len() - 1
        });
        self.touch(slot);
        Some(slot)
    }
}

//! Several pieces laid out as one: pairs head to tail, and parts with others in their openings.

use super::rectangles::Rectangles;
use super::{Nesting, On, Placement, Sheet, least_cost};
use crate::design::Part;
use crate::job::Job;

/// Pieces that are laid out as one.
pub(super) trait Bundle {
    /// The pieces, for a placement of them as one.
    fn pieces(&self, placement: &Placement, parts: &[Part]) -> Vec<Placement>;

    /// The part of each piece.
    fn members(&self) -> Vec<usize>;
}

/// Parts with bundles of them among them.
pub(super) struct Gathered<B> {
    /// The parts, fewer of those that are in bundles; then a part for each sort of bundle.
    parts: Vec<Part>,
    /// Which of them are wanted.
    wanted: Vec<usize>,
    /// How many parts there were.
    singles: usize,
    bundles: Vec<B>,
}

impl<B: Bundle> Gathered<B> {
    pub fn new(parts: &[Part], wanted: &[usize]) -> Gathered<B> {
        Gathered { parts: parts.to_vec(), wanted: wanted.to_vec(), singles: parts.len(), bundles: Vec::new() }
    }

    /// So many of a bundle, which are laid out like `as_part`.
    pub fn add(&mut self, bundle: B, as_part: Part)
    where
        B: PartialEq,
    {
        for part in bundle.members() {
            self.parts[part].count -= as_part.count;
        }
        match self.bundles.iter().position(|known| *known == bundle) {
            Some(known) => self.parts[self.singles + known].count += as_part.count,
            None => {
                self.wanted.push(self.parts.len());
                self.parts.push(as_part);
                self.bundles.push(bundle);
            }
        }
    }

    /// Sheets for one group of stocks, with the bundles on them unless that costs more than every part by itself.
    pub fn nest(
        mut self,
        job: &Job,
        parts: &[Part],
        wanted: &[usize],
        on: On,
        best: Nesting,
    ) -> Result<Vec<Sheet>, Vec<usize>> {
        if self.bundles.is_empty() {
            return best(job, parts, wanted, on);
        }
        self.wanted.retain(|part| self.parts[*part].count > 0);
        let together = best(job, &self.parts, &self.wanted, on);
        let asked = Rectangles::of(job, parts, wanted, on.group, |stock| stock.margin, on.gap);
        let cost = |sheets: &[Sheet]| asked.cost_of_sheets(sheets);
        let together = match together {
            Ok(sheets) if cost(&sheets) <= least_cost(&asked.problem) => return Ok(self.apart(sheets, parts)),
            together => together,
        };
        match (together, best(job, parts, wanted, on)) {
            (Ok(together), Ok(alone)) if cost(&alone) < cost(&together) => Ok(alone),
            (Ok(together), _) => Ok(self.apart(together, parts)),
            (Err(_), Ok(alone)) => Ok(alone),
            (Err(together), Err(alone)) => {
                let together = self.parts_of(&together);
                Err(if together.len() < alone.len() { together } else { alone })
            }
        }
    }

    /// The sheets with all pieces of each bundle on them.
    fn apart(&self, sheets: Vec<Sheet>, parts: &[Part]) -> Vec<Sheet> {
        let pieces = |placement: &Placement| match self.bundle(placement.part) {
            Some(bundle) => bundle.pieces(placement, parts),
            None => vec![*placement],
        };
        let each = |sheet: Sheet| Sheet { placements: sheet.placements.iter().flat_map(pieces).collect(), ..sheet };
        sheets.into_iter().map(each).collect()
    }

    /// The parts of these: of a bundle, that of each piece.
    fn parts_of(&self, found: &[usize]) -> Vec<usize> {
        let of = |part: &usize| self.bundle(*part).map_or_else(|| vec![*part], Bundle::members);
        found.iter().flat_map(of).collect()
    }

    fn bundle(&self, part: usize) -> Option<&B> {
        part.checked_sub(self.singles).and_then(|i| self.bundles.get(i))
    }
}

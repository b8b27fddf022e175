//! How a part is cut, where there is more than one method.

use crate::design::{Hole, Part};
use crate::finding::{Finding, JobCheck, Status};
use crate::job::{Hold, Job, Lead, Router};

/// What is done otherwise than the job asks, where what it asks cannot be held or cut.
///
/// A planner takes the first form of [`Form::of`] whose program is proved; which one that is, it does not decide itself.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Form {
    pub openings: Openings,
    pub held: Held,
    pub lead: LeadIn,
}

/// What becomes of the wood in a wide opening.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Openings {
    /// It comes out in one piece, held by tabs until then; of a round opening up to [`Router::CHIPS`] cutters wide, as chips.
    #[default]
    Asked,
    /// All of it comes out as chips.
    Chips,
}

/// What holds a part in the sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Held {
    /// What the job asks for.
    #[default]
    Asked,
    /// Tabs no wider than 3.5 mm and no higher than 1.5.
    SmallTabs,
    /// An onion skin, with small tabs in it.
    Skin,
}

/// How the cutter comes to an outline.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LeadIn {
    /// As the job asks.
    #[default]
    Asked,
    /// Down along the outline itself.
    None,
}

/// Width and height of tabs for which there is little room (mm): the least that a proof takes for a tab, and some.
const SMALL_TAB: [f64; 2] = [3.5, 1.5];

impl Router {
    /// A round opening of at most this many cutters comes out as chips: what falls out of a wider one is worth its tabs.
    pub const CHIPS: f64 = 10.0;

    /// Does all of a wide opening come out as chips, unless something else is asked for? Common practice for an entrance: a
    /// small disc flies.
    pub fn as_chips(&self, hole: &Hole) -> bool {
        hole.is_round() && hole.width + self.cutting.hole_allowance <= Router::CHIPS * self.cutter.diameter.value
    }
}

impl Form {
    /// The forms that a part may be cut in, the best first and the safest last.
    pub fn of(router: &Router, part: &Part) -> Vec<Form> {
        let wide = |hole: &Hole| {
            let drilled = hole.is_round() && router.drill_for(hole.width).is_some();
            !drilled && router.cuts_out(hole.width) && !router.as_chips(hole)
        };
        let openings: &[Openings] =
            if part.holes.iter().any(wide) { &[Openings::Asked, Openings::Chips] } else { &[Openings::Asked] };
        let leads: &[LeadIn] =
            if router.cutting.lead == Lead::None { &[LeadIn::Asked] } else { &[LeadIn::Asked, LeadIn::None] };
        let held = [Held::Asked, Held::SmallTabs, Held::Skin];
        let forms = leads.iter().flat_map(|lead| {
            held.iter().flat_map(move |held| {
                openings.iter().map(move |openings| Form { openings: *openings, held: *held, lead: *lead })
            })
        });
        forms.collect()
    }

    /// The router with what this form changes.
    pub(super) fn router(self, asked: &Router) -> Router {
        let mut router = asked.clone();
        let cutting = &mut router.cutting;
        if self.held != Held::Asked {
            cutting.tab_width = cutting.tab_width.min(SMALL_TAB[0]);
            cutting.tab_height = cutting.tab_height.min(SMALL_TAB[1]);
        }
        if self.held == Held::Skin {
            cutting.hold = Hold::OnionSkin;
        }
        if self.lead == LeadIn::None {
            cutting.lead = Lead::None;
        }
        router
    }

    /// What a maker is told of a part that is cut otherwise than the job asks.
    pub fn told(self, job: &Job, router: &Router, part: &Part) -> Option<Finding> {
        let mut otherwise = Vec::new();
        let asked = &router.cutting;
        let cutting = self.router(router).cutting;
        let show = |mm: f64| job.units.measured(mm);
        if cutting.hold != asked.hold {
            otherwise.push(format!("it is held by a skin of {}, cut last and slowly", show(cutting.skin)));
        }
        if (cutting.tab_width, cutting.tab_height) != (asked.tab_width, asked.tab_height) {
            let height = cutting.tab_height.min(part.thickness / 2.0);
            otherwise.push(format!("its tabs are {} wide and at most {} high", show(cutting.tab_width), show(height)));
        }
        if self.openings == Openings::Chips {
            otherwise.push("its openings come out as chips".into());
        }
        if otherwise.is_empty() {
            return None;
        }
        Some(
            Finding::plain(JobCheck::CutOtherwise, &part.name, Status::Caution)
                .source("as asked for there is no room on it: the first of other forms that is proved is taken")
                .advice(otherwise.join("; ")),
        )
    }
}

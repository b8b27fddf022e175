//! The near miss: the smallest change of one dimension that lets one more set in.
//!
//! Each change is tried as though the maker had written it: the spec is read again with the other value, designed, checked
//! and laid out. A change counts only if no check says more against the job than before.

use super::change::{Place, with};
use super::checked_sets;
use super::search::fits;
use crate::design::{Kinds, Reach};
use crate::finding::Status;
use crate::job::{CutBy, Job};
use crate::made::Checked;
use crate::profile::{Profiles, Tool, ToolKind};
use crate::reading::Source;
use crate::route;
use crate::units::{INCH, Units};
use crate::watch::Search;
use std::sync::Arc;

/// A change that lets one more set in.
#[derive(Clone, Debug, PartialEq)]
pub struct Near {
    /// What it is a dimension of: a box, a stock, `saw` or `router`.
    pub of: String,
    /// The key of the spec.
    pub key: &'static str,
    /// In the trade's words.
    pub what: &'static str,
    /// Millimetres.
    pub from: f64,
    pub to: f64,
    /// A profile's name, where it is a tool that changes.
    pub profile: Option<String>,
}

impl Near {
    /// How much less (mm).
    pub fn change(&self) -> f64 {
        self.from - self.to
    }

    /// `cover-overhang 1/4 in → 1/8 in`.
    pub fn say(&self, units: Units) -> String {
        let to = match &self.profile {
            Some(name) => format!("{} ({name})", units.measured(self.to)),
            None => units.measured(self.to),
        };
        format!("{}: {} ({}) from {} to {to}", self.of, self.what, self.key, units.measured(self.from))
    }
}

/// A dimension that may be smaller.
struct Dimension {
    place: Place,
    of: String,
    key: &'static str,
    what: &'static str,
    from: f64,
    /// No less than this is sensible.
    least: f64,
    step: f64,
}

/// Layouts tried in all.
const MOST_TRIES: u32 = 48;

/// How long each is searched for, at most: there are many, and what a change is worth should show soon.
const EFFORT: u32 = 3;

/// No saw blade cuts a narrower kerf than about this (common practice: thin-kerf blades cut 1/16 in and more).
const THINNEST_KERF: f64 = INCH / 16.0;

/// Changes that let `sets` + 1 sets in, each of one dimension, the smallest first.
pub fn near_misses(
    spec: &Arc<Source>,
    profiles: &Profiles,
    kinds: &Kinds,
    checked: &Checked,
    (cut, sets): (CutBy, u32),
    search: &Search,
) -> Vec<Near> {
    let search = Search { effort: search.effort.min(EFFORT), ..search.clone() };
    let mut trial = Trial { spec, profiles, kinds, search, cut, sets: sets + 1, against: against(checked), tries: 0 };
    let mut found = Vec::new();
    for dimension in dimensions(&checked.job, cut) {
        found.extend(trial.smallest(&dimension));
    }
    if cut == CutBy::Router {
        found.extend(trial.cutter(&checked.job));
    }
    found.sort_by(|a, b| a.change().total_cmp(&b.change()));
    found
}

/// How much the checks say against a job.
fn against(checked: &Checked) -> (usize, usize) {
    let count = |status| checked.findings.iter().filter(|finding| finding.status == status).count();
    (count(Status::Refused), count(Status::Caution))
}

fn dimensions(job: &Job, cut: CutBy) -> Vec<Dimension> {
    let (fine, coarse) = match job.units {
        Units::Millimetres => (0.1, 1.0),
        Units::Inches => (INCH / 64.0, INCH / 16.0),
    };
    let mut all = Vec::new();
    let mut add = |place, of: &str, key, what, from: f64, least: f64, step| {
        if from > least {
            all.push(Dimension { place, of: of.into(), key, what, from, least, step });
        }
    };
    for (i, order) in job.boxes.iter().enumerate().filter(|(_, order)| order.per_set.is_some()) {
        for Reach { key, what, length } in order.design.reaches() {
            add(Place::Box(i), &order.name, key, what, length, 0.0, coarse);
        }
    }
    match cut {
        CutBy::Saw => {
            if let Some(saw) = &job.saw {
                add(Place::Saw, "saw", "kerf", "width of the cut", saw.kerf, THINNEST_KERF, fine);
            }
        }
        CutBy::Router => {
            if let Some(router) = &job.router {
                let what = "wood left between parts";
                add(Place::Router, "router", "clearance", what, router.clearance, 0.0, fine);
            }
        }
    }
    for (i, stock) in job.stock.iter().enumerate() {
        match cut {
            CutBy::Saw => add(Place::Stock(i), &stock.name, "trim", "trim of the edges", stock.trim, 0.0, coarse),
            CutBy::Router => {
                add(Place::Stock(i), &stock.name, "margin", "margin at the edges", stock.margin, 0.0, coarse)
            }
        }
    }
    all
}

struct Trial<'a> {
    spec: &'a Arc<Source>,
    profiles: &'a Profiles,
    kinds: &'a Kinds,
    search: Search,
    cut: CutBy,
    /// The number wanted.
    sets: u32,
    /// What the checks say against the job as it is.
    against: (usize, usize),
    tries: u32,
}

impl Trial<'_> {
    /// Is the changed spec no worse, and do the sets fit?
    fn works(&mut self, place: Place, key: &str, value: &str, also: impl Fn(&Checked) -> bool) -> bool {
        if self.tries >= MOST_TRIES || self.search.watch.stopped() {
            return false;
        }
        let Some(changed) = with(self.spec, place, key, value) else { return false };
        let Ok(checked) = checked_sets(&changed, self.profiles, self.kinds) else { return false };
        let (refused, cautions) = against(&checked);
        if refused > self.against.0 || cautions > self.against.1 {
            return false;
        }
        self.tries += 1;
        fits(&checked.job, &checked.assemblies, self.cut, self.sets, &self.search) && also(&checked)
    }

    /// The smallest step down at which the sets fit, if they do at any.
    fn smallest(&mut self, dimension: &Dimension) -> Option<Near> {
        let Dimension { place, key, from, least, step, .. } = *dimension;
        let steps = ((from - least) / step - 1e-9).ceil() as u32;
        let at = |steps: u32| (from - f64::from(steps) * step).max(least);
        let mut works =
            |steps: u32| self.works(place, key, &format!("\"{:.4} mm\"", at(steps)), |_| true).then_some(steps);
        // Right down first: where that does not help, nothing does. Checks may forbid the last steps.
        let mut most = (0..4).map(|halves| steps >> halves).filter(|steps| *steps > 0).find_map(&mut works)?;
        let mut fails = 0;
        while most - fails > 1 {
            let middle = fails + (most - fails) / 2;
            match works(middle) {
                Some(less) => most = less,
                None => fails = middle,
            }
        }
        let Dimension { of, what, .. } = dimension;
        Some(Near { of: of.clone(), key, what, from, to: at(most), profile: None })
    }

    /// The largest smaller end mill with which the sets fit, and which can cut all that the job asks for.
    fn cutter(&mut self, job: &Job) -> Option<Near> {
        let now = job.router.as_ref()?.cutter.diameter.value;
        let mut smaller: Vec<Arc<Tool>> = self
            .profiles
            .all::<Tool>()
            .filter(|tool| tool.kind == ToolKind::EndMill && tool.diameter.value < now - 1e-6)
            .cloned()
            .collect();
        smaller.sort_by(|a, b| b.diameter.value.total_cmp(&a.diameter.value).then(a.name.cmp(&b.name)));
        let search = self.search.clone();
        let can_cut = |checked: &Checked| {
            let parts = crate::build::parts(&checked.job, &checked.assemblies);
            let layout = crate::layout::nest(&checked.job, &parts, &search);
            layout.is_ok_and(|layout| route::routes(&checked.job, &parts, &layout).is_ok())
        };
        let fits = smaller
            .into_iter()
            .find(|tool| self.works(Place::Router, "cutter", &format!("\"{}\"", tool.name), can_cut))?;
        Some(Near {
            of: "router".into(),
            key: "cutter",
            what: "diameter of the cutter",
            from: now,
            to: fits.diameter.value,
            profile: Some(fits.name.clone()),
        })
    }
}

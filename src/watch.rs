//! How a search for layouts runs: how long, and watched from outside, which tells how far it is and may stop it.

use std::fmt;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering::Relaxed};
use std::sync::{Arc, Mutex, PoisonError};

/// How long to search where nothing else is asked for: a fraction of a second for a job of some hundred pieces.
pub const EFFORT: u32 = 10;

/// How layouts are searched for.
///
/// ```
/// use nestwright::watch::{EFFORT, Search};
///
/// let longer = Search { effort: 10 * EFFORT, ..Search::default() };
/// assert!(longer.watch.progress().is_none());
/// ```
#[derive(Clone, Debug)]
pub struct Search {
    /// Twice as much takes twice as long; the same effort gives the same sheets. 0 takes the first that comes.
    pub effort: u32,
    /// For whoever wants to see how far a search is, or to stop it.
    pub watch: Watch,
}

impl Default for Search {
    fn default() -> Search {
        Search { effort: EFFORT, watch: Watch::default() }
    }
}

impl Search {
    /// With so much effort, unwatched.
    pub fn of(effort: u32) -> Search {
        Search { effort, ..Search::default() }
    }
}

/// A handle on the searches of a job, for another thread. All clones are one handle.
///
/// It changes nothing of what is found, unless it stops the search: then the best so far is taken, and searches that would
/// have come later end at their first try.
///
/// ```
/// use nestwright::watch::Watch;
///
/// let watch = Watch::default();
/// assert!(watch.progress().is_none());
/// watch.stop();
/// assert!(watch.stopped());
/// ```
#[derive(Clone, Default)]
pub struct Watch {
    stop: Arc<AtomicBool>,
    seen: Arc<Seen>,
    /// Is it that of a part of a search?
    part: bool,
}

#[derive(Default)]
struct Seen {
    /// Looks of the searches that run, done and asked for.
    done: AtomicU64,
    asked: AtomicU64,
    best: Mutex<Option<Best>>,
}

/// The best that is known where a search runs.
#[derive(Clone, Copy, Debug)]
struct Best {
    at_least: u64,
    cost: i64,
    sheets: u64,
    filled: f64,
}

/// How far a search is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// Sheets of the best layout so far.
    pub sheets: u64,
    /// No layout takes fewer.
    pub at_least: u64,
    /// Share of those sheets that becomes parts, with the gap beside each.
    pub filled: f64,
    /// Share of the search that is done, if nothing ends it early.
    pub done: f64,
}

impl Watch {
    /// Asks the searches to end with the best they have.
    pub fn stop(&self) {
        self.stop.store(true, Relaxed);
    }

    /// Has somebody asked for an end?
    pub fn stopped(&self) -> bool {
        self.stop.load(Relaxed)
    }

    /// A handle for a part of a search: what it has looked at counts, but its sheets are not those of the whole.
    pub(super) fn apart(&self) -> Watch {
        Watch { part: true, ..self.clone() }
    }

    /// How far the search is that runs now; `None` when none does.
    pub fn progress(&self) -> Option<Progress> {
        let best = (*self.seen.best.lock().unwrap_or_else(PoisonError::into_inner))?;
        let (done, asked) = (self.seen.done.load(Relaxed), self.seen.asked.load(Relaxed));
        let Best { at_least, sheets, filled, .. } = best;
        Some(Progress { sheets, at_least, filled, done: (done as f64 / asked.max(1) as f64).min(1.0) })
    }

    /// A search of so many looks begins, or several at once.
    pub(super) fn begin(&self, at_least: u64, looks: u64) {
        self.seen.done.store(0, Relaxed);
        self.seen.asked.store(looks, Relaxed);
        let none = Best { at_least, cost: i64::MAX, sheets: 0, filled: 0.0 };
        *self.seen.best.lock().unwrap_or_else(PoisonError::into_inner) = Some(none);
    }

    pub(super) fn end(&self) {
        *self.seen.best.lock().unwrap_or_else(PoisonError::into_inner) = None;
    }

    pub(super) fn looked(&self, looks: u64) {
        self.seen.done.fetch_add(looks, Relaxed);
    }

    /// All pieces lie on so many sheets.
    pub(super) fn found(&self, cost: i64, sheets: u64, filled: f64) {
        if !self.part
            && let Some(best) = &mut *self.seen.best.lock().unwrap_or_else(PoisonError::into_inner)
            && cost < best.cost
        {
            (best.cost, best.sheets, best.filled) = (cost, sheets, filled);
        }
    }
}

impl fmt::Debug for Watch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Watch").field("stopped", &self.stopped()).finish()
    }
}

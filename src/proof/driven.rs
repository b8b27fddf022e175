//! When the screws that hold a sheet are driven.

use super::cut::Cut;
use super::replay::{Replay, What};

/// When the screws of a sheet are in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Driven {
    /// Before the programs start: none of them marks their places.
    Before,
    /// At a stop before the cut of this index.
    From(usize),
    /// Never: their places are marked, and no program stops for them.
    Never,
}

impl Driven {
    /// The first stop for a hand after a mark.
    pub fn of(replay: &Replay, is_mark: impl Fn(&Cut) -> bool) -> Driven {
        let mut marked = false;
        let mut next = 0;
        for act in replay.acts.iter().flatten() {
            match &act.what {
                What::Cuts(range) => {
                    next = range.end;
                    marked |= replay.cuts[range.clone()].iter().any(&is_mark);
                }
                What::Pause if marked => return Driven::From(next),
                _ => {}
            }
        }
        if marked { Driven::Never } else { Driven::Before }
    }

    /// Are they in when the cut of this index is made?
    pub fn at(self, cut: usize) -> bool {
        match self {
            Driven::Before => true,
            Driven::From(first) => cut >= first,
            Driven::Never => false,
        }
    }
}

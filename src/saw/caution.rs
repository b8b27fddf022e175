//! What to take care of at a step, and who says so.

use crate::units::Units;

/// Shorter cuts are fed by a push stick from end to end, longer ones for this last stretch (mm).
pub const PUSH_STICK: f64 = 300.0;
/// A piece between blade and fence that is not wider than this is taken away with the push stick (mm).
pub const TAKEN_BY_STICK: f64 = 150.0;
/// Hands keep this far from a table saw's blade (mm): 6 in.
const HANDS: f64 = 152.4;
const WIS_16: &str = "HSE information sheet WIS 16, Circular saw benches; CCOHS, Woodworking machines: push sticks";
const OSHA: &str = "US 29 CFR 1910.213(s)(9)";
const MANUALS: &str = "table saw manuals";
const PRACTICE: &str = "common practice";

const BY_HAND: &str = "Clamp it and cut with a hand saw, or use a bandsaw, beside the line; plane to the line.";

/// Why a method is ruled out, in words that follow "because".
pub(super) type Why = &'static str;

/// Something to take care of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Caution {
    /// A whole sheet or most of it.
    LargeSheet,
    /// A board along the guide.
    BothParts,
    /// The guide lies on a narrow piece.
    NarrowUnderGuide,
    /// The cut is short: the push stick from end to end.
    PushStickThroughout,
    /// A long cut: the push stick for its last stretch.
    PushStickAtTheEnd,
    /// No room for a push stick between guard and fence.
    PushBlock,
    /// A narrow piece between blade and fence.
    TakeAwayByStick,
    /// The piece is held between stop and blade.
    NeverTheFenceAsStop,
    /// A short piece falls off a long one.
    StopAheadOfBlade,
    /// Little is left to hold.
    ClampToTheGauge,
    /// A long piece hangs over.
    FarEnd,
    /// Less is left than the blade is wide.
    OnlyDust,
    /// Not on the saws, and why.
    NotOnTheSaw(Reasons),
}

/// At most three reasons why a cut is not for the saws.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Reasons(pub [&'static str; 3]);

impl Reasons {
    pub(super) fn new(why: &[Why]) -> Reasons {
        let mut reasons = Reasons::default();
        for (place, why) in reasons.0.iter_mut().zip(why) {
            *place = why;
        }
        reasons
    }

    pub fn joined(&self) -> String {
        let said: Vec<&str> = self.0.iter().copied().filter(|why| !why.is_empty()).collect();
        said.join("; ")
    }
}

impl Caution {
    /// For the maker, as a sentence.
    pub fn text(self, units: Units) -> String {
        let show = |mm| units.show(mm);
        match self {
            Caution::LargeSheet => "Support the sheet over its whole length on both sides of the cut, or have a second \
                                    person; both halves must lie still when they part."
                .into(),
            Caution::BothParts => {
                "Clamp the guide and support both parts.".into()
            }
            Caution::NarrowUnderGuide => {
                "Lay wood of the same thickness beside the piece, so that the guide cannot tip.".into()
            }
            Caution::PushStickThroughout => format!(
                "The cut is shorter than {}: push stick from end to end, hands never in line with the blade.",
                show(PUSH_STICK)
            ),
            Caution::PushStickAtTheEnd => format!("Push stick for the last {} of the cut.", show(PUSH_STICK)),
            Caution::PushBlock => {
                "Too narrow for a hand or a stick beside the guard: feed it with a push block or a carrier that runs along the \
                 fence."
                    .into()
            }
            Caution::TakeAwayByStick => {
                "Take the piece from between blade and fence with the push stick, or when the blade stands.".into()
            }
            Caution::NeverTheFenceAsStop => {
                "Stop on the gauge or sled; never use the fence as the stop. The off-cut lies free.".into()
            }
            Caution::StopAheadOfBlade => "Hold the longer part at the gauge. The block ends ahead of the blade, so that \
                                          nothing is caught between the two: never the fence itself. Reach for the \
                                          short piece when the blade stands."
                .into(),
            Caution::ClampToTheGauge => format!(
                "Clamp the piece to the gauge or sled: no hand comes nearer to the blade than {}.",
                show(HANDS)
            ),
            Caution::FarEnd => "A stand or a second person under the far end.".into(),
            Caution::OnlyDust => "Less than the blade's width is left beyond the line: feed slowly, nothing falls off.".into(),
            Caution::NotOnTheSaw(reasons) => {
                format!("Not on the table saw or along the guide: {}. {BY_HAND}", reasons.joined())
            }
        }
    }

    /// The same without what holds for one step only.
    pub fn general(self, units: Units) -> String {
        match self {
            Caution::NotOnTheSaw(_) => {
                format!("Not on the table saw or along the guide. {BY_HAND}")
            }
            _ => self.text(units),
        }
    }

    /// Why a cut is not for the saws.
    pub fn why(self) -> Option<String> {
        if let Caution::NotOnTheSaw(reasons) = self { Some(reasons.joined()) } else { None }
    }

    pub fn source(self) -> &'static str {
        match self {
            Caution::PushStickThroughout | Caution::PushStickAtTheEnd | Caution::TakeAwayByStick => WIS_16,
            Caution::PushBlock => OSHA,
            Caution::NeverTheFenceAsStop | Caution::StopAheadOfBlade | Caution::ClampToTheGauge => MANUALS,
            Caution::NotOnTheSaw(_) => "the limits in the saw's profile",
            Caution::LargeSheet
            | Caution::BothParts
            | Caution::NarrowUnderGuide
            | Caution::FarEnd
            | Caution::OnlyDust => PRACTICE,
        }
    }

    /// A few letters for a file.
    pub fn key(self) -> &'static str {
        match self {
            Caution::LargeSheet => "large-sheet",
            Caution::BothParts => "both-parts",
            Caution::NarrowUnderGuide => "narrow-under-guide",
            Caution::PushStickThroughout => "push-stick-throughout",
            Caution::PushStickAtTheEnd => "push-stick-at-the-end",
            Caution::PushBlock => "push-block",
            Caution::TakeAwayByStick => "take-away-by-stick",
            Caution::NeverTheFenceAsStop => "never-the-fence-as-stop",
            Caution::StopAheadOfBlade => "stop-ahead-of-blade",
            Caution::ClampToTheGauge => "clamp-to-the-gauge",
            Caution::FarEnd => "far-end",
            Caution::OnlyDust => "only-dust",
            Caution::NotOnTheSaw(_) => "not-on-the-saw",
        }
    }
}

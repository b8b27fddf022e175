//! Safe sawing, by what has been published for those who teach and inspect it.

use crate::shared::make;
use nestwright::Made;
use nestwright::saw::{Caution, Method, Step};
use proptest::prelude::*;

fn job(boards: &[(f64, f64, u32)]) -> Made {
    let mut spec = String::from(
        "title = \"boards\"\nstock = { material = \"birch-plywood\", size = [2440, 1220], thickness = 12, trim = 4 }\n\
         saw = { kerf = 3 }\n",
    );
    for (i, (length, width, count)) in boards.iter().enumerate() {
        spec.push_str(&format!("[[part]]\nname = \"board {i}\"\nsize = [{length:.1}, {width:.1}]\ncount = {count}\n"));
    }
    make(&spec)
}

fn boards() -> impl Strategy<Value = Vec<(f64, f64, u32)>> {
    prop::collection::vec((15.0..1100.0f64, 15.0..700.0f64, 1u32..8), 1..9)
}

fn on(made: &Made, method: Method) -> impl Iterator<Item = &Step> {
    made.saw.steps.iter().filter(move |step| step.method == method)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// HSE information sheet WIS 16, "Circular saw benches: safe working practices", as restated by HSE's page "Circular
    /// saw bench" and by the manuals of British saw benches: a push stick for every cut under 300 mm and for the last
    /// 300 mm of a longer one, and to take the piece from between saw and fence unless it is wider than 150 mm. CCOHS,
    /// "Woodworking machines: push sticks", has the same 300 mm. US 29 CFR 1910.213(s)(9), by OSHA's woodworking page:
    /// push sticks for small pieces.
    #[test]
    fn every_cut_along_the_fence_says_how_it_is_fed(boards in boards()) {
        let made = job(&boards);
        for step in on(&made, Method::Fence) {
            let says = |caution| step.cautions.contains(&caution);
            if says(Caution::PushBlock) {
                prop_assert!(step.measure < 76.3);
                continue;
            }
            prop_assert_eq!(says(Caution::PushStickThroughout), step.length() < 300.0);
            prop_assert_eq!(says(Caution::PushStickAtTheEnd), step.length() >= 300.0);
            prop_assert_eq!(says(Caution::TakeAwayByStick), step.measure <= 150.0);
        }
    }

    /// Table saw manuals of several makers: nothing shorter than 6 in is crosscut; hands stay 6 in from the blade; the
    /// fence is never the stop of a crosscut. Common practice, without a source: a piece runs along the fence on an edge
    /// of at least a foot, which is also at least as long as the piece is wide.
    #[test]
    fn nothing_short_is_held_by_hand_and_nothing_runs_along_the_fence_on_its_short_end(boards in boards()) {
        let made = job(&boards);
        for step in on(&made, Method::Fence) {
            prop_assert!(step.length() >= 304.7 && step.length() >= step.measure);
            prop_assert!(step.square.is_none(), "along the fence, or at the gauge: never both");
        }
        for step in on(&made, Method::GaugeStop).chain(on(&made, Method::GaugeFree)) {
            let across = step.rect.area() / step.length();
            let held = step.measure.max(across - step.measure - 3.0);
            prop_assert!(across >= 152.3);
            prop_assert!(held >= 152.3 || step.cautions.contains(&Caution::ClampToTheGauge));
            prop_assert!(
                step.cautions.contains(&Caution::NeverTheFenceAsStop)
                    || step.cautions.contains(&Caution::StopAheadOfBlade)
            );
        }
    }

    /// HSE, "Circular saw bench": the work must be in the operator's control. Common practice: one person does not push a
    /// whole sheet over a table saw; it is broken down lying still.
    #[test]
    fn whole_sheets_are_broken_down_by_the_guided_saw(boards in boards()) {
        let made = job(&boards);
        for step in &made.saw.steps {
            let sheet = step.rect.width() > 2000.0 && step.rect.height() > 1000.0;
            prop_assert!(!sheet || (step.method == Method::Guide && step.cautions.contains(&Caution::LargeSheet)));
        }
    }
}

/// What can be cut on no saw safely is not put on one: the step names a safer tool and says why.
#[test]
fn a_cut_that_would_be_dangerous_is_refused_with_a_safer_tool() {
    // The only strip is 100 mm wide and 120 long: too short for fence and gauge, too small for the guide.
    let made = make(
        "title = \"bits\"\nstock = { material = \"birch-plywood\", size = [120, 110], thickness = 12 }\n\
         saw = { kerf = 3 }\n[[part]]\nname = \"bit\"\nsize = [40, 30]\ncount = 4",
    );
    let by_hand: Vec<&Step> = on(&made, Method::Hand).collect();
    assert!(!by_hand.is_empty() && on(&made, Method::Fence).chain(on(&made, Method::GaugeStop)).next().is_none());
    for step in by_hand {
        let said: Vec<String> = step.cautions.iter().map(|caution| caution.text(made.job.units)).collect();
        assert!(said.iter().any(|text| text.contains("hand saw") && text.contains("too short")), "{said:?}");
    }
    assert!(made.findings.iter().any(|finding| finding.advice.contains("hand saw")));
}

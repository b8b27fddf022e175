//! Saw plans, cut again by something that knows only the steps.

use crate::shared::make;
use nestwright::saw::{Way, replay};
use proptest::prelude::*;

fn spec(trim: f64, kerf: f64, machine: &str, parts: &[(f64, f64, u32, &str)]) -> String {
    let mut spec = format!(
        "title = \"boards\"\nstock = {{ material = \"birch-plywood\", size = [2440, 1220], thickness = 12, trim = {trim:.1} }}\n\
         saw = {{ kerf = {kerf:.1}, machine = \"{machine}\" }}\n"
    );
    for (i, (length, width, count, grain)) in parts.iter().enumerate() {
        spec.push_str(&format!(
            "[[part]]\nname = \"board {i}\"\nsize = [{length:.1}, {width:.1}]\ncount = {count}\ngrain = \"{grain}\"\n"
        ));
    }
    spec
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]
    /// Whatever the job, the written steps give exactly its parts: `make` itself refuses a plan that does not.
    #[test]
    fn any_plan_gives_exactly_the_parts(
        trim in prop::sample::select(vec![0.0, 2.0, 5.0, 12.0]),
        kerf in prop::sample::select(vec![0.0, 1.8, 3.2]),
        machine in prop::sample::select(vec!["table-saw", "large-table-saw", "circular-saw"]),
        boards in prop::collection::vec(
            (20.0..1190.0f64, 12.0..1190.0f64, 1u32..7, prop::sample::select(vec!["long", "cross", "any"])),
            1..9,
        )
    ) {
        let made = make(&spec(trim, kerf, machine, &boards));
        let saw = made.job.saw.as_ref().expect("given");
        prop_assert_eq!(replay(&made.saw, &made.parts, saw), Vec::<String>::new());
        if machine == "circular-saw" {
            prop_assert!(made.saw.steps.iter().all(|step| matches!(step.way, Way::Guide | Way::Hand)));
        }
    }
}

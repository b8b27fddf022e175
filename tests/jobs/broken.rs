//! The proof can fail: programs broken by machine are refused wherever an independent judge says that it matters. The
//! whole suite is `cargo bench --bench mutants`.

#[path = "../shared/mutants/mod.rs"]
mod mutants;

use crate::shared;

#[test]
fn programs_broken_by_machine_are_refused_where_it_matters() {
    let small = mutants::small();
    let mut missed = Vec::new();
    let mut all = mutants::Count::default();
    for (i, name) in ["boards, one program a tool", "finger tray", "inch tray"].into_iter().enumerate() {
        let (_, spec) = small.iter().find(|job| job.0 == name).expect("a job of this name");
        for sheet in mutants::sheets(&shared::make(spec)) {
            for outcome in sheet.break_them(1, i as u64) {
                all.add(&outcome);
                if let (Some(why), None) = (&outcome.matters, &outcome.caught) {
                    missed.push(format!("{name}: {}: {}: {why}", outcome.kind, outcome.told));
                }
            }
        }
    }
    // Most of what is done to a program matters; else this would prove nothing.
    assert!(all.matter >= 40 && all.matter * 2 > all.made, "{all:?}");
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

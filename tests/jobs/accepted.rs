//! Cautions that a spec accepts: counted, not shouted. And what every hive gets, told once.

use crate::shared::{check, make};
use nestwright::design::Kinds;
use nestwright::finding::{Finding, JobCheck, Status, accepted};
use nestwright::profile::Profiles;
use nestwright::reading::Source;
use nestwright::spec;

/// Two nucs, each with two holes of 3/4 in: a mouse passes 3/8 in.
fn nucs(accept: &str) -> String {
    let hole = |panel: &str| {
        format!("[[box.hole]]\npanel = \"{panel}\"\nuse = \"entrance\"\ndiameter = 19\nacross = \"centre\"\nup = 30\n")
    };
    let nuc = |name: &str, frames: u32| {
        format!(
            "[[box]]\nname = \"{name}\"\nkind = \"frame-box\"\ncount = 1\nframe = \"langstroth-deep\"\nframes = {frames}\n{}{}",
            hole("front"),
            hole("back")
        )
    };
    format!(
        "title = \"nucs\"\n{accept}\nstock = {{ material = \"birch-plywood\", size = [2440, 1220], thickness = 12 }}\n\
         router = {{ machine = \"desktop-router\", cutter = \"endmill-6\" }}\n{}{}",
        nuc("five", 5),
        nuc("six", 6)
    )
}

fn mice(findings: &[Finding]) -> Vec<&Finding> {
    findings.iter().filter(|finding| finding.id == JobCheck::MouseWayIn.into()).collect()
}

#[test]
fn mice_are_told_of_once_a_job_with_every_entrance_that_lets_them_in() {
    let checked = check(&nucs(""));
    let [told] = mice(&checked.findings)[..] else { panic!("{:#?}", mice(&checked.findings)) };
    assert_eq!(told.status, Status::Caution);
    for entrance in ["five, front", "five, back", "six, front", "six, back"] {
        assert!(told.subject.contains(entrance), "{entrance}: {}", told.subject);
    }
    assert!(told.box_name.is_none() && told.advice.contains("mice"), "{told:#?}");
}

#[test]
fn an_accepted_caution_is_counted_and_not_told() {
    let made = make(&nucs("accept = [\"mouse-way-in\", \"robber-way-in\"]"));
    assert!(mice(&made.findings).iter().all(|finding| finding.status == Status::Accepted));
    let told = made.findings.iter().filter(|finding| finding.status == Status::Caution);
    assert!(told.clone().all(|finding| finding.id != JobCheck::RobberWayIn.into()));
    let said = accepted(&made.findings).expect("some are accepted");
    assert!(said.contains("accepted by the spec: mouse-way-in"), "{said}");
    assert_eq!(accepted(&check(&nucs("")).findings), None);
}

#[test]
fn what_cannot_be_accepted_is_refused_at_its_place_with_the_nearest_name() {
    let problem = |id: &str| {
        let source = Source::new("nucs.toml", nucs(&format!("accept = [\"{id}\"]")));
        let problems =
            spec::read(&source, &Profiles::built_in(), &Kinds::built_in()).expect_err("not an id of a caution");
        let [only] = &problems[..] else { panic!("{problems:#?}") };
        assert_eq!(&source.text[only.span.clone()], format!("\"{id}\""));
        format!("{}; {}; {}", only.message, only.expected, only.help)
    };
    let misspelt = problem("mouse-wayin");
    assert!(misspelt.contains("no check is called") && misspelt.contains("did you mean `mouse-way-in`?"), "{misspelt}");
    let never = problem("bee-space-ends");
    assert!(never.contains("never gives a caution") && never.contains("check --json"), "{never}");
}

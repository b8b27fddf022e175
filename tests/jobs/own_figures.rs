//! Machines and tools of one's own, with figures that none of the built-in ones has.

use nestwright::design::Kinds;
use nestwright::error::Error;
use nestwright::profile::Profiles;
use nestwright::reading::Source;
use nestwright::{Made, starters};
use std::fs;

const PLAIN_ROUTER: &str = include_str!("../../profiles/machines/plain-router.toml");
const END_MILL: &str = include_str!("../../profiles/tools/endmill-6.toml");

/// The built-in profiles and one more, `own`: this text with other figures in it.
fn shelf(folder: &str, text: &str, figures: &[(&str, &str)]) -> Result<Profiles, Error> {
    let dir = tempfile::tempdir().expect("a temporary folder");
    fs::create_dir(dir.path().join(folder)).expect("made");
    let kept = text.lines().filter(|line| !figures.iter().any(|(key, _)| line.starts_with(&format!("{key} ="))));
    let own = figures.iter().map(|(key, value)| format!("{key} = {{ value = {value}, source = \"a test\" }}"));
    let text: Vec<String> = kept.map(String::from).chain(own).collect();
    fs::write(dir.path().join(folder).join("own.toml"), text.join("\n")).expect("written");
    let mut profiles = Profiles::built_in();
    profiles.add_folder(dir.path()).map(|()| profiles)
}

fn make(spec: impl Into<String>, profiles: &Profiles) -> Result<Made, Error> {
    let checked = nestwright::check(
        &Source::new("test.toml", spec.into()),
        profiles,
        &Kinds::built_in(),
        &crate::shared::search(),
    )?;
    nestwright::make(checked, &crate::shared::search())
}

fn proved(spec: impl Into<String>, profiles: &Profiles) -> Made {
    let made = make(spec, profiles).unwrap_or_else(|error| panic!("{error}"));
    assert!(crate::shared::proved(&made.proof));
    made
}

/// A board with an opening that comes out in one piece, a bored hole, a slot and a recess.
fn board(router: &str) -> String {
    format!(
        r#"
        title = "Figures of one's own"
        stock = {{ material = "birch-plywood", size = [600, 400], thickness = 12.1 }}
        [router]
        {router}
        [[part]]
        name = "board"
        size = [300, 200]
        hole = [
            {{ use = "vent", diameter = 60, across = 60, up = 100 }},
            {{ use = "vent", diameter = 10, across = 130, up = 60 }},
            {{ use = "entrance", slot = [80, 12], across = 220, up = 60 }},
        ]
        pocket = [{{ face = "outer", purpose = "recess", size = [60, 40], depth = 5, across = 220, up = 140 }}]
        "#
    )
}

/// The steepest way down goes no faster downwards than the machine may go straight down, read off the words themselves.
#[test]
fn a_steep_ramp_is_no_faster_downwards_than_the_machine_may_plunge() {
    for angle in ["30", "45", "90"] {
        let profiles = shelf("tools", END_MILL, &[("ramp-angle", angle)]).unwrap_or_else(|error| panic!("{error}"));
        for (machine, plunge) in [("desktop-router", 1000.0), ("plain-router", 600.0)] {
            let made = proved(board(&format!("machine = \"{machine}\"\ncutter = \"own\"")), &profiles);
            let (mut at, mut feed, mut downwards) = ([f64::NAN; 3], f64::NAN, 0.0_f64);
            for line in made.programs[0].text.lines().filter(|line| !line.starts_with('(')) {
                let before = at;
                for word in line.split(' ') {
                    let (letter, number) = word.split_at(1);
                    match (["X", "Y", "Z"].iter().position(|it| *it == letter), number.parse()) {
                        (Some(axis), Ok(number)) => at[axis] = number,
                        (None, Ok(number)) if letter == "F" => feed = number,
                        _ => {}
                    }
                }
                let [x, y, z] = [0, 1, 2].map(|i| at[i] - before[i]);
                // An arc is longer than its chord, and less steep.
                let straight = !line.contains(" I") && !line.starts_with("G0");
                if straight && z < 0.0 && at[2] < 0.0 {
                    downwards = downwards.max(feed * -z / x.hypot(y).hypot(z));
                }
            }
            assert!(downwards > 0.5 * plunge && downwards <= plunge * 1.001, "{angle}°, {machine}: {downwards}");
        }
    }
}

/// Every kind of starter on a machine whose chords may be as far from their arcs as a profile allows.
#[test]
fn coarse_chords_cut_every_part_free() {
    for tolerance in ["0.2", "0.5"] {
        let figures = [("arc-tolerance", tolerance), ("travel", "[2600, 1300, 100]")];
        let profiles = shelf("machines", PLAIN_ROUTER, &figures).unwrap_or_else(|error| panic!("{error}"));
        proved(board("machine = \"own\"\ncutter = \"endmill-6\""), &profiles);
        let tray = starters::find("tray").expect("a starter").source().text.replace("desktop-router", "own");
        assert!(tray.contains("\"own\""));
        proved(tray, &profiles);
    }
}

/// Two decimals of an inch are a quarter of a millimetre: round a circle hardly larger than that no helix can be written. What is
/// not refused for it is made, and proved.
#[test]
fn a_hole_hardly_wider_than_the_cutter_is_bored_or_refused() {
    let figures = [("units", "\"in\""), ("decimals", "2")];
    let profiles = shelf("machines", PLAIN_ROUTER, &figures).unwrap_or_else(|error| panic!("{error}"));
    let mut made = Vec::new();
    for tenths in (62..=90).step_by(2) {
        let width = f64::from(tenths) / 10.0;
        let spec = board("machine = \"own\"\ncutter = \"endmill-6\"")
            .replace("diameter = 10,", &format!("diameter = {width},"));
        match make(spec, &profiles) {
            Ok(job) => {
                assert!(crate::shared::proved(&job.proof), "{width}");
                made.push(tenths);
            }
            Err(Error::Refused(findings)) => {
                let told = format!("{findings:?}");
                assert!(told.contains("FeatureMade"), "{width}: {told}");
            }
            Err(error) => panic!("{width}: {error}"),
        }
    }
    // From the cutter's 6 mm and three digits, each 0.254 mm, on.
    assert_eq!(made, (68..=90).step_by(2).collect::<Vec<i32>>());
}

/// What is wrong with a machine of one's own, as it is told.
fn machine_refused(figures: &[(&str, &str)]) -> String {
    match shelf("machines", PLAIN_ROUTER, figures) {
        Err(Error::Unreadable(problems)) => problems.iter().map(|it| format!("{it}\n")).collect(),
        Err(other) => panic!("{other}"),
        Ok(_) => panic!("it was read"),
    }
}

#[test]
fn a_place_to_park_beyond_the_machine_s_reach_is_refused() {
    let why = machine_refused(&[("park", "[9999, 0]")]);
    assert!(why.contains("`park` is beyond the machine's reach") && why.contains("X up to 1300 mm"), "{why}");
    assert!(machine_refused(&[("park", "[0, 1301]")]).contains("`park`"));
    // Within its reach, but not with this sheet on the same machine.
    let profiles = shelf("machines", PLAIN_ROUTER, &[("park", "[-800, 0]")]).unwrap_or_else(|error| panic!("{error}"));
    let spec = board("machine = \"own\"\ncutter = \"endmill-6\"");
    let why = make(spec.clone(), &profiles).expect_err("600 and 800 are more than 1300").to_string();
    assert!(why.contains("where the spindle is parked") && why.contains("nearer `park`"), "{why}");
    let profiles = shelf("machines", PLAIN_ROUTER, &[("park", "[-700, 0]")]).unwrap_or_else(|error| panic!("{error}"));
    proved(spec, &profiles);
}

#[test]
fn limits_near_nothing_do_not_contradict_themselves() {
    let why = machine_refused(&[("arc-tolerance", "0")]);
    assert!(why.contains("a length more than 0: from 0.001 mm to 0.5 mm"), "{why}");
    let Err(why) = shelf("tools", END_MILL, &[("chip-load", "[0, 0]")]) else { panic!("it was read") };
    assert!(why.to_string().contains("a length more than 0: from 0.005 mm to 3 mm"), "{why}");
}

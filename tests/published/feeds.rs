//! Feeds against worked examples.

use nestwright::job::Cutting;
use nestwright::profile::{Machine, Material, Profiles, Tool};
use nestwright::reading::Sourced;
use nestwright::route::Feeds;

/// A two-flute cutter with one chip load and one depth of pass, on a machine that takes any feed.
fn feeds(speed: f64, chip: f64, pass_depth: f64, material: &str) -> Feeds {
    let profiles = Profiles::built_in();
    let of = |value| Sourced { value, source: String::new() };
    let mut tool: Tool = (*profiles.find::<Tool>("endmill-6").expect("built in")).clone();
    (tool.speed, tool.pass_depth) = (of(speed), of(pass_depth));
    tool.chip_load = Sourced { value: [chip, chip], source: String::new() };
    let mut machine: Machine = (*profiles.find::<Machine>("desktop-router").expect("built in")).clone();
    machine.feed = of(20_000.0);
    Feeds::new(&tool, &profiles.find::<Material>(material).expect("built in"), &machine, &Cutting::default())
}

/// Feed = rev/min × flutes × chip load, as in any machining handbook, by hand: 18 000 rev/min, two flutes and 0.1 mm a tooth make 3600 mm a minute.
#[test]
fn a_feed_is_speed_times_flutes_times_chip_load() {
    assert_eq!(feeds(18_000.0, 0.1, 1.0, "birch-plywood").cut, 3600.0);
}

/// Common practice, as on charts of chip loads: the chip load is for a depth of one diameter; at two diameters
/// it is a quarter less, at three a half.
#[test]
fn deep_passes_are_slower() {
    let cut = |depth| feeds(18_000.0, 0.1, depth, "birch-plywood").cut;
    assert_eq!([cut(0.5), cut(2.0), cut(3.0)], [3600.0, 2700.0, 1800.0]);
}

/// Common practice for carbide spirals in plywood (a list of such figures, no published source): a quarter-inch cutter
/// takes 0.006 to 0.009 in a tooth. At 16 000 rev/min the middle of that is 240 in a minute.
#[test]
fn a_quarter_inch_cutter_in_plywood_goes_at_240_inches_a_minute() {
    let profiles = Profiles::built_in();
    let tool = profiles.find::<Tool>("endmill-1-4").expect("built in");
    let machine = profiles.find::<Machine>("shop-router").expect("built in");
    let material = profiles.find::<Material>("birch-plywood").expect("built in");
    let feeds = Feeds::new(&tool, &material, &machine, &Cutting::default());
    assert!((feeds.cut / 25.4 - 240.0).abs() < 1e-6, "{}", feeds.cut / 25.4);
}

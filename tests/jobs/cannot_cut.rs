//! What cannot be cut is refused with the part, the feature and what would do; what can be cut better is told.

use crate::routing::{ROUTER, made, parts};
use crate::shared::{board, check, make, router_job, side_by_side};
use nestwright::design::{Hole, HoleUse, Part, PartPocket};
use nestwright::error::Error;
use nestwright::finding::{Finding, Status};
use nestwright::geometry::{Outline, Point};
use nestwright::profile::Profiles;
use nestwright::route::routes;

/// The findings with which a router and parts are refused.
fn refused(router: &str, parts: &[Part]) -> Vec<Finding> {
    let job = router_job(&format!("machine = \"desktop-router\"\n{ROUTER}{router}"), &Profiles::built_in());
    match routes(&job, parts, &side_by_side(parts)) {
        Err(Error::Refused(findings)) => findings.into_findings(),
        Err(other) => panic!("{other}"),
        Ok(_) => panic!("it was routed"),
    }
}

/// One finding about this part, whose check and advice have these words.
fn assert_refused(findings: &[Finding], part: &str, check: &str, advice: &[&str]) {
    let found = findings.iter().find(|finding| finding.subject == part && finding.check.contains(check));
    let finding = found.unwrap_or_else(|| panic!("nothing about {part}, {check}: {findings:#?}"));
    assert_eq!(finding.status, Status::Refused);
    for words in advice {
        assert!(finding.advice.contains(words), "{}", finding.advice);
    }
}

#[test]
fn a_cutter_too_big_for_a_feature_is_refused_with_the_one_that_would_do() {
    let mut part = board("comb", Outline::rectangle(100.0, 60.0));
    part.outline = Outline::polygon([
        (0.0, 0.0),
        (100.0, 0.0),
        (100.0, 60.0),
        (52.0, 60.0),
        (52.0, 40.0),
        (47.0, 40.0),
        (47.0, 60.0),
        (0.0, 60.0),
    ]);
    assert_refused(&refused("", &[part]), "comb", "outline", &["at most 5 mm", "wider"]);
    let mut part = board("lid", Outline::rectangle(100.0, 60.0));
    part.pockets.push(PartPocket {
        purpose: "groove".into(),
        outline: Outline::from_rect(nestwright::geometry::Rect::new(10.0, 20.0, 90.0, 25.0)),
        depth: 4.0,
        under: false,
    });
    assert_refused(&refused("", &[part]), "lid", "groove", &["at most 4.9 mm"]);
    // Room for the cutter, none for the relief of a corner that must be square.
    let mut part = board("finger", Outline::rectangle(100.0, 60.0));
    part.outline = Outline::polygon([
        (0.0, 0.0),
        (100.0, 0.0),
        (100.0, 60.0),
        (53.2, 60.0),
        (53.2, 40.0),
        (46.8, 40.0),
        (46.8, 60.0),
        (0.0, 60.0),
    ]);
    part.square_corners = vec![Point::new(53.2, 40.0), Point::new(46.8, 40.0)];
    assert_refused(&refused("", &[part]), "finger", "relief", &["53.2 mm from the left", "narrower cutter"]);
}

#[test]
fn what_is_deeper_than_the_flute_is_refused() {
    let mut part = board("thick", Outline::rectangle(100.0, 60.0));
    part.thickness = 25.0;
    assert_refused(
        &refused("", &[part.clone()]),
        "thick",
        "outline: flute length of endmill-6",
        &["25.3 mm", "longer"],
    );
    part.pockets.push(PartPocket {
        purpose: "well".into(),
        outline: Outline::from_rect(nestwright::geometry::Rect::new(10.0, 10.0, 50.0, 50.0)),
        depth: 23.0,
        under: false,
    });
    assert_refused(&refused("", &[part]), "thick", "well: flute length", &["23 mm deep"]);
}

#[test]
fn a_hole_without_its_drill_is_refused() {
    let mut part = board("board", Outline::rectangle(100.0, 60.0));
    part.holes.push(Hole::round(HoleUse::Pilot, Point::new(50.0, 30.0), 4.0));
    assert_refused(&refused("", &[part]), "board", "pilot", &["no listed drill is 4 mm", "`drills`", "6.6 mm"]);
}

#[test]
fn feeds_and_speeds_beyond_the_machine_are_refused() {
    let parts = [board("board", Outline::rectangle(100.0, 60.0))];
    assert_refused(&refused("feed = 9000\n", &parts), "desktop-router", "feed of endmill-6", &["5000 mm a minute"]);
    assert_refused(&refused("speed = 30000\n", &parts), "desktop-router", "speed of endmill-6", &["2500 to 24000"]);
}

/// The place in the spec is that of the key, not of its table.
#[test]
fn what_a_key_asks_too_much_of_is_pointed_at() {
    for key in ["feed = 9000", "speed = 30000", "finish = 2"] {
        let spec = format!(
            "title = \"t\"\nstock = {{ material = \"birch-plywood\", size = [600, 400], thickness = 12.1 }}\n\
             part = {{ name = \"board\", size = [100, 60], count = 1 }}\n[router]\nmachine = \"desktop-router\"\n\
             cutter = \"endmill-6\"\n{key}\n"
        );
        let Err(Error::Refused(findings)) = nestwright::make(check(&spec), &crate::shared::search()) else {
            panic!("{key} was made")
        };
        let spots: Vec<&str> = findings.iter().filter_map(|it| Some(&spec[it.spot.clone()?])).collect();
        let (_, value) = key.split_once(" = ").expect("a value");
        assert_eq!(spots, [value], "{key}");
    }
}

/// Of several holes and recesses the one that cannot be cut is pointed at, in a box and in a loose part.
#[test]
fn a_hole_or_recess_that_cannot_be_cut_is_pointed_at() {
    let asked = |panel: &str| {
        format!(
            "hole = [\n{{ {panel}use = \"vent\", diameter = 20, across = 50, up = 30 }},\n\
             {{ {panel}use = \"vent\", slot = [40, 2], across = 50, up = 60 }} ]\n\
             pocket = [\n{{ {panel}face = \"inner\", size = [30, 20], depth = 4, across = 120, up = 30 }},\n\
             {{ {panel}face = \"inner\", size = [30, 4], depth = 4, across = 120, up = 60 }} ]\n"
        )
    };
    let head = "title = \"t\"\nstock = { material = \"birch-plywood\", size = [1200, 600], thickness = 12.1 }\n\
                router = { machine = \"desktop-router\", cutter = \"endmill-6\" }\n";
    let tray = "[[box]]\nname = \"tray\"\nkind = \"open-box\"\ncount = 1\ninside = [200, 160, 90]\n";
    let board = "[[part]]\nname = \"board\"\nsize = [200, 90]\ncount = 1\n";
    for spec in [format!("{head}{tray}{}", asked("panel = \"front\", ")), format!("{head}{board}{}", asked(""))] {
        let Err(Error::Refused(findings)) = nestwright::make(check(&spec), &crate::shared::search()) else {
            panic!("it was made")
        };
        let spots =
            findings.iter().filter(|it| it.refused()).map(|it| &spec[it.spot.clone().expect("points into the spec")]);
        let spots: Vec<&str> = spots.collect();
        assert!(spots.len() == 2 && spots[0].contains("slot = [40, 2]"), "{spots:?}");
        assert!(spots[1].contains("size = [30, 4]") && !spots[1].contains("30, 20"), "{spots:?}");
    }
}

/// The last pass goes to the full depth at once: by common practice it takes no more than a quarter of the cutter's width.
#[test]
fn too_much_left_for_the_last_pass_is_refused() {
    let parts = [board("board", Outline::rectangle(100.0, 60.0))];
    assert_refused(&refused("finish = 2\n", &parts), "endmill-6", "last pass", &["`finish` to 1.5 mm or less"]);
    assert!(!made("finish = 1.5\n", &[]).1.is_empty());
}

#[test]
fn a_sheet_larger_than_the_machine_is_refused() {
    let job = router_job(&format!("machine = \"desktop-router\"\n{ROUTER}"), &Profiles::built_in());
    let parts = [board("board", Outline::rectangle(100.0, 60.0))];
    let mut layout = side_by_side(&parts);
    layout.sheets[0].length = 2600.0;
    let Err(Error::Refused(findings)) = routes(&job, &parts, &layout) else { panic!("it was routed") };
    assert_refused(&findings, "desktop-router", "sheet 1 fits", &["2600 × 400 mm", "2500 × 1300 mm"]);
}

/// A router gets the sheets that its machine takes, though a larger one is cheaper; the saw takes that one. Where all are
/// larger than the machine, the part is refused.
#[test]
fn a_sheet_that_the_machine_does_not_take_is_left_to_the_saw() {
    let spec = |small: &str| {
        format!(
            r#"
            title = "Boards"
            router = {{ machine = "desktop-router", cutter = "endmill-6" }}
            saw = {{ kerf = 3 }}
            [[stock]]
            name = "large"
            material = "birch-plywood"
            size = [3000, 1500]
            thickness = 12.1
            price = 5
            [[stock]]
            name = "small"
            material = "birch-plywood"
            size = {small}
            thickness = 12.1
            price = 50
            [[part]]
            name = "board"
            size = [440, 160]
            "#
        )
    };
    assert!(!check(&spec("[1220, 610]")).refused());
    let made = make(&spec("[1220, 610]"));
    assert_eq!((made.layout.sheets[0].stock, made.saw.sheets[0].stock), (1, 0));
    let checked = check(&spec("[2600, 1400]"));
    assert_refused(&checked.findings, "desktop-router", "fits the machine", &["2500 × 1300 mm"]);
}

#[test]
fn recesses_on_both_faces_are_refused() {
    let mut part = parts().remove(0);
    let other = PartPocket { purpose: "rabbet".into(), under: true, ..part.pockets[0].clone() };
    part.pockets.push(other);
    assert_refused(&refused("", &[part]), "board", "one face", &["recess", "rabbet"]);
}

/// A feed that makes the chip too thin or too thick is cautioned about, with the speed that brings it back.
#[test]
fn a_chip_load_out_of_range_is_told_with_what_brings_it_back() {
    let findings = |router: &str| made(&format!("screws = false\n{router}"), &[]).1.remove(0).findings;
    let about_mill = |router: &str| {
        let found = findings(router).into_iter().find(|f| f.check == "chip load" && f.subject == "endmill-6");
        found.expect("checked")
    };
    assert_eq!(about_mill("").status, Status::Ok);
    // 2400 / (2 × 0.19) is 6316 turns a minute.
    let thin = about_mill("feed = 2400\n");
    assert_eq!(thin.status, Status::Caution);
    assert!(thin.advice.contains("thin") && thin.advice.contains("6300 rev/min"), "{}", thin.advice);
    let thick = about_mill("feed = 5000\nspeed = 8000\n");
    assert!(thick.advice.contains("thick") && thick.advice.contains("13200 rev/min"), "{}", thick.advice);
    // 8000 × 2 × 0.19 is 3040.
    assert!(thick.advice.contains("3040 mm/min at 8000 rev/min"), "{}", thick.advice);
    // 2600 turns would tear the wood, and 24 000 × 2 × 0.19 is more than the machine's 5000: at that, 13 200.
    let hot = about_mill("feed = 1000\nspeed = 24000\n");
    assert!(
        hot.advice.contains("thin") && hot.advice.contains("13200 rev/min and a feed of 5000 mm/min"),
        "{}",
        hot.advice
    );
}

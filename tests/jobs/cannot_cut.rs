//! What cannot be cut is refused with the part, the feature and what would do; what can be cut better is told.

use crate::routing::{ROUTER, made, parts};
use crate::shared::{board, check, make, router_job, side_by_side};
use nestwright::design::{Hole, HoleUse, Part, PartPocket};
use nestwright::error::Error;
use nestwright::finding::{Finding, Status};
use nestwright::geometry::{Outline, Point};
use nestwright::profile::Profiles;
use nestwright::route::routes;
use nestwright::units::{Units, parse_length};

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

/// What a spec is refused for, with end mills of the maker's own: `own`, so wide and with so much cutting edge (mm).
fn refused_with(spec: &str, diameter: f64, flute: f64) -> Vec<Finding> {
    let mut profiles = Profiles::built_in();
    let tool = format!(
        "title = \"Mill\"\nkind = {{ value = \"end-mill\", source = \"invented\" }}\n\
         diameter = {{ value = {diameter}, source = \"invented\" }}\n\
         flute-length = {{ value = {flute}, source = \"invented\" }}\nflutes = {{ value = 2, source = \"invented\" }}\n\
         chip-load = {{ value = [0.04, 0.1], source = \"invented\" }}\nspeed = {{ value = 16000, source = \"invented\" }}\n\
         ramp-angle = {{ value = 5, source = \"invented\" }}\npass-depth = {{ value = 0.5, source = \"invented\" }}\n"
    );
    profiles.add_text("tools", "own", &tool).expect("a tool");
    let (search, kinds) = (crate::shared::search(), nestwright::design::Kinds::built_in());
    let checked = nestwright::check(&nestwright::reading::Source::new("t.toml", spec), &profiles, &kinds, &search);
    let checked = checked.unwrap_or_else(|error| panic!("{error}"));
    let findings = if checked.refused() {
        checked.findings
    } else {
        match nestwright::make(checked, &search) {
            Err(Error::Refused(findings)) => findings.into_findings(),
            Err(other) => panic!("{other}"),
            Ok(_) => Vec::new(),
        }
    };
    findings.into_iter().filter(Finding::refused).collect()
}

/// The number in the one advice that is given, between these words; in millimetres.
fn advised(findings: &[Finding], units: Units, before: &str, after: &str) -> f64 {
    let [finding] = findings else { panic!("{findings:#?}") };
    let (_, rest) = finding.advice.split_once(before).unwrap_or_else(|| panic!("no `{before}`: {}", finding.advice));
    let number = rest.split(after).next().unwrap_or_default();
    parse_length(number, units).unwrap_or_else(|error| panic!("{number}: {error}"))
}

const BOTH: [Units; 2] = [Units::Millimetres, Units::Inches];

/// A spec of one board in these units, everything in millimetres; with a router and further keys of the board.
fn board_of(units: Units, stock: &str, router: &str, part: &str) -> String {
    format!(
        "title = \"t\"\nunits = \"{units}\"\n[stock]\nmaterial = \"birch-plywood\"\n{stock}\n[router]\n{router}\n\
         [[part]]\nname = \"board\"\ncount = 1\n{part}\n"
    )
}

const STOCK: &str = "size = [\"600 mm\", \"400 mm\"]\nthickness = \"12.1 mm\"";
const BOARD: &str = "size = [\"200 mm\", \"120 mm\"]";

/// A quarter of 3 mm is 0.75 mm, of a 1/8 inch cutter 1/32 in.
#[test]
fn the_last_pass_that_is_advised_is_not_refused() {
    for units in BOTH {
        for diameter in [3.0, 3.175, 5.3] {
            let spec = |finish: f64| {
                let router = format!("machine = \"desktop-router\"\ncutter = \"own\"\nfinish = \"{finish} mm\"");
                board_of(units, STOCK, &router, BOARD)
            };
            let most = advised(&refused_with(&spec(2.5), diameter, 20.0), units, "`finish` to ", " or less");
            assert!(most > 0.7 && refused_with(&spec(most), diameter, 20.0).is_empty(), "{diameter}, {units}: {most}");
        }
    }
}

/// 3000 mm a minute are 118.11 in.
#[test]
fn the_feed_that_is_advised_is_not_refused() {
    for units in BOTH {
        for machine in ["plain-router", "desktop-router"] {
            let spec = |feed: f64| {
                let router = format!("machine = \"{machine}\"\ncutter = \"own\"\nfeed = \"{feed} mm\"");
                board_of(units, STOCK, &router, BOARD)
            };
            let most = advised(&refused_with(&spec(9000.0), 6.0, 20.0), units, "the machine goes ", " a minute");
            assert!(refused_with(&spec(most), 6.0, 20.0).is_empty(), "{machine}, {units}: {most}");
        }
    }
}

/// Of a cutter of 8 mm the narrowest hole is 8.8 mm wide: more than 11/32 in, which is 8.73.
#[test]
fn the_hole_and_the_cutter_that_are_advised_are_not_refused() {
    let router = "machine = \"desktop-router\"\ncutter = \"own\"";
    for units in BOTH {
        for diameter in [8.0, 6.35, 5.07] {
            let round = |wide: f64| {
                let hole = format!(
                    "{BOARD}\nhole = [{{ use = \"vent\", diameter = \"{wide} mm\", across = \"90 mm\", up = \"60 mm\" }}]"
                );
                board_of(units, STOCK, router, &hole)
            };
            let least = advised(&refused_with(&round(5.1), diameter, 20.0), units, "or make it ", " or more");
            assert!(refused_with(&round(least), diameter, 20.0).is_empty(), "{diameter}, {units}: {least}");
        }
        let slot = board_of(
            units,
            STOCK,
            router,
            &format!(
                "{BOARD}\nhole = [{{ use = \"vent\", slot = [\"40 mm\", \"4.1 mm\"], across = \"90 mm\", up = \"60 mm\" }}]"
            ),
        );
        let widest = advised(&refused_with(&slot, 6.0, 20.0), units, "take a cutter of at most ", ", or make");
        assert!(refused_with(&slot, widest, 20.0).is_empty(), "{units}: {widest}");
    }
}

/// Recesses over one another that leave less than 2 mm of 12.177.
#[test]
fn the_depth_that_is_advised_for_recesses_over_one_another_is_not_refused() {
    let router = "machine = \"desktop-router\"\ncutter = \"own\"\nflip = \"length\"";
    for units in BOTH {
        let spec = |above: f64| {
            let recess = |face: &str, depth: f64| {
                format!(
                    "{{ face = \"{face}\", size = [\"40 mm\", \"30 mm\"], depth = \"{depth} mm\", across = \"90 mm\", \
                     up = \"60 mm\" }}"
                )
            };
            let pockets = format!("{BOARD}\npocket = [{}, {}]", recess("outer", above), recess("inner", 5.0));
            board_of(
                units,
                "size = [\"600 mm\", \"400 mm\"]\nthickness = \"12.177 mm\"\nmargin = \"40 mm\"",
                router,
                &pockets,
            )
        };
        let both = advised(&refused_with(&spec(6.0), 6.0, 20.0), units, "together no deeper than ", ";");
        assert!(both > 10.1 && refused_with(&spec(both - 5.0), 6.0, 20.0).is_empty(), "{units}: {both}");
    }
}

/// A groove of 5 mm takes a cutter of 0.19685 in, and none of 0.197.
#[test]
fn the_cutter_that_is_advised_for_a_narrow_place_gets_in() {
    let router = "machine = \"desktop-router\"\ncutter = \"own\"";
    for units in BOTH {
        for wide in [5.0, 4.27] {
            let pocket = format!(
                "{BOARD}\npocket = [{{ face = \"outer\", size = [\"90 mm\", \"{wide} mm\"], depth = \"4 mm\", \
                 across = \"90 mm\", up = \"60 mm\" }}]"
            );
            let spec = board_of(units, STOCK, router, &pocket);
            let widest = advised(&refused_with(&spec, 6.0, 20.0), units, "take one of at most ", ", or make");
            assert!(widest > 4.0 && refused_with(&spec, widest, 20.0).is_empty(), "{wide}, {units}: {widest}");
        }
    }
}

/// Through 21.987 mm and into the spoilboard.
#[test]
fn the_cutting_edge_that_is_advised_is_long_enough() {
    for units in BOTH {
        for thickness in [21.987, 22.003] {
            let stock = format!("size = [\"600 mm\", \"400 mm\"]\nthickness = \"{thickness} mm\"");
            let spec = board_of(units, &stock, "machine = \"desktop-router\"\ncutter = \"own\"", BOARD);
            let least = advised(&refused_with(&spec, 8.0, 20.0), units, "the cut is ", " deep");
            assert!(refused_with(&spec, 8.0, least).is_empty(), "{thickness}, {units}: {least}");
        }
    }
}

/// 2500 mm are 98.425 in: between 98 13/32 and 98 7/16. A sheet that is too large is shown larger than the reach, and one cut
/// down to the reach that is shown is taken.
#[test]
fn a_sheet_too_large_by_a_hair_is_shown_larger_than_the_reach() {
    for (units, long) in [(Units::Millimetres, 2500.04), (Units::Inches, 2500.1)] {
        let spec = |long: f64| {
            let stock = format!("size = [\"{long} mm\", \"1000 mm\"]\nthickness = \"12.1 mm\"");
            board_of(units, &stock, "machine = \"desktop-router\"\ncutter = \"own\"", BOARD)
        };
        let findings = refused_with(&spec(long), 6.0, 20.0);
        let (shown, reach) = (
            advised(&findings, units, "the sheet is ", " × "),
            advised(&findings, units, "the machine reaches ", " × "),
        );
        assert!(shown > reach, "{units}: {}", findings[0].advice);
        assert!(refused_with(&spec(reach), 6.0, 20.0).is_empty(), "{units}: {reach}");
    }
}

/// Notches of a third of 40 mm, and a cutter of 12. The reliefs of two corners take 12 times the root of two, 16.97 mm, of the
/// bottom along the diagonals, and 24 mm straight into it: neither has room, with a last pass or without.
#[test]
fn the_relief_that_is_advised_has_room() {
    let spec = |relief: &str, finish: &str| {
        format!(
            "title = \"t\"\n[stock]\nmaterial = \"birch-plywood\"\nsize = [1200, 900]\nthickness = 12.1\n[router]\n\
             machine = \"desktop-router\"\ncutter = \"own\"\nhold = \"onion-skin\"\nrelief = \"{relief}\"\n{finish}\n\
             [[box]]\nname = \"b\"\nkind = \"open-box\"\ncount = 1\ninside = [221.9, 67.7, 40]\ncorner = \"finger\"\n"
        )
    };
    for relief in ["diagonal", "deep"] {
        for finish in ["", "finish = 1"] {
            let findings = refused_with(&spec(relief, finish), 12.0, 40.0);
            assert!(!findings.is_empty(), "{relief}");
            for finding in &findings {
                assert_eq!(finding.check, "outline: room for the relief of a square corner");
                assert!(finding.advice.ends_with("wider fingers, or set `relief = \"wide\"`"), "{}", finding.advice);
            }
            assert!(refused_with(&spec("wide", finish), 12.0, 40.0).is_empty(), "{relief}");
        }
    }
}

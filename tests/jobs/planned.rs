//! Whatever `check` passes, `make` delivers: jobs that were once passed and then could not be proved, cut down to what mattered.

use crate::shared::{check, make, search};
use nestwright::design::Kinds;
use nestwright::error::Error;
use nestwright::finding::{JobCheck, Status};
use nestwright::job::Hold;
use nestwright::profile::Profiles;
use nestwright::reading::Source;
use nestwright::watch::Search;

/// A sheet, a router with these further keys, and parts or boxes.
fn spec(stock: &str, router: &str, rest: &str) -> String {
    format!("title = \"t\"\n[stock]\nmaterial = \"birch-plywood\"\n{stock}\n[router]\n{router}\n{rest}")
}

fn part(keys: &str) -> String {
    format!("[[part]]\nname = \"p\"\n{keys}\n")
}

/// It is checked without a refusal, and made.
fn made(about: &str, spec: &str) -> nestwright::Made {
    let checked = check(spec);
    let refused: Vec<_> = checked.findings.iter().filter(|it| it.refused()).map(|it| &it.check).collect();
    assert!(refused.is_empty(), "{about}: refused for {refused:?}");
    nestwright::make(checked, &search()).unwrap_or_else(|error| panic!("{about}: {error}"))
}

const SHEET: &str = "size = [1200, 900]\nthickness = 12.1";

#[test]
fn small_loose_parts_are_held() {
    for (machine, cutter) in [("desktop-router", "endmill-1-4"), ("shop-router", "endmill-6")] {
        for hold in ["tabs", "onion-skin"] {
            for [long, wide] in [[10, 10], [11, 10], [17, 10], [20, 10], [24, 21], [25, 12]] {
                let router = format!("machine = \"{machine}\"\ncutter = \"{cutter}\"\nhold = \"{hold}\"");
                let about = format!("{long} × {wide}, {hold}, {cutter}");
                let made = made(&about, &spec(SHEET, &router, &part(&format!("size = [{long}, {wide}]\ncount = 2"))));
                // By two tabs each, which the proof has measured across the slot.
                assert_eq!(made.routes[0].holding.tabs.len(), 4, "{about}");
            }
        }
    }
}

#[test]
fn openings_about_which_tabs_have_no_room_come_out_as_chips() {
    for (thickness, router) in [
        ("18.2", "tab-width = 15\ntab-height = 6\nfinish = 1"),
        ("12.1", "tab-height = 4"),
        ("15", "tab-width = 20\ntab-height = 5"),
        ("19.05", "tab-width = 24.2\nhole-allowance = 0.3"),
    ] {
        let stock = format!("size = [1200, 900]\nthickness = {thickness}");
        let router = format!("machine = \"shop-router\"\ncutter = \"endmill-6\"\n{router}");
        let holes = "size = [520, 300]\n\
                     [[part.hole]]\nuse = \"vent\"\ndiameter = 32\nacross = 60\nup = 150\n\
                     [[part.hole]]\nuse = \"handhold\"\nslot = [40, 40]\nacross = 220\nup = 150\n\
                     [[part.hole]]\nuse = \"vent\"\ndiameter = 38\nacross = 380\nup = 150";
        made(&router, &spec(&stock, &router, &part(holes)));
    }
}

/// A bird's entrance is cleared whole: a small disc flies (common practice). A wide opening comes out in one piece.
#[test]
fn an_entrance_comes_out_as_chips_and_a_wide_opening_in_one_piece() {
    use nestwright::route::OperationKind;
    let hole = |diameter| {
        let keys =
            format!("size = [300, 300]\n[[part.hole]]\nuse = \"vent\"\ndiameter = {diameter}\nacross = 150\nup = 150");
        let made = make(&spec(SHEET, "machine = \"shop-router\"\ncutter = \"endmill-6\"", &part(&keys)));
        let operations = made.routes[0].runs.iter().flat_map(|run| &run.operations);
        operations.filter(|it| it.kind == OperationKind::Cutout).count()
    };
    assert_eq!([hole(38), hole(60), hole(61)], [0, 0, 1]);
}

#[test]
fn finishing_passes_in_deep_corners_take_no_more_than_the_cutter_may() {
    for finish in ["1.0", "1.19", "1.25", "1.5"] {
        let router = format!("machine = \"shop-router\"\ncutter = \"endmill-1-4\"\nfinish = {finish}");
        let keys = "size = [169, 100]\n[[part.pocket]]\nsize = [100, 62]\ndepth = 13\nacross = \"centre\"\nup = 50";
        made(finish, &spec("size = [1200, 900]\nthickness = 18", &router, &part(keys)));
    }
}

/// The reference promises a caution for a feed of the maker's own beyond what the tool is made for.
#[test]
fn a_feed_beyond_the_chip_load_is_a_caution() {
    let router = "machine = \"older-router\"\ncutter = \"endmill-6\"\nfeed = 4032.5\nspeed = 8000";
    let made = made("a fast feed", &spec(SHEET, router, &part("size = [200, 100]")));
    let caution = made.findings.iter().find(|it| it.check == "chip load").expect("told");
    assert_eq!(caution.status, Status::Caution);
}

/// The same limit in inches may come out a hair over it: that is within it, for the check and for whatever comes after.
#[test]
fn what_is_a_hair_over_a_limit_is_judged_once() {
    for (router, thickness) in [
        ("machine = \"desktop-router\"\ncutter = \"endmill-6\"\nfeed = 196.8504", "0.472"),
        ("machine = \"desktop-router\"\ncutter = \"endmill-1-4\"\nfinish = 0.0626", "0.472"),
        ("machine = \"desktop-router\"\ncutter = \"endmill-6\"", "0.8545"),
    ] {
        let stock = format!("size = [96, 48]\nthickness = {thickness}");
        let spec = format!("units = \"in\"\n{}", spec(&stock, router, &part("size = [10, 5]")));
        made(router, &spec);
    }
}

#[test]
fn a_sheet_as_long_as_the_travel_may_have_no_margin() {
    for margin in [0, 1, 2, 3] {
        let router = "machine = \"desktop-router\"\ncutter = \"endmill-6\"\nfinish = 1";
        let stock = format!("size = [2500, 1220]\nthickness = 19\nmargin = {margin}");
        made("no margin", &spec(&stock, router, &part("size = [200, 232]\ncount = 60")));
    }
}

#[test]
fn screw_marks_leave_the_wood_that_the_screw_holds_in() {
    let drill = "title = \"Drill\"\nkind = \"drill\"\ndiameter = 3\nflute-length = 40\nflutes = 2\n\
                 chip-load = [0.02, 0.1]\nspeed = 8000\nramp-angle = 90\npass-depth = 1\n";
    let drill = drill
        .lines()
        .map(|line| match line.split_once(" = ") {
            Some((key, value)) if key != "title" => format!("{key} = {{ value = {value}, source = \"invented\" }}\n"),
            _ => format!("{line}\n"),
        })
        .collect::<String>();
    let mut profiles = Profiles::built_in();
    profiles.add_text("tools", "thin-drill", &drill).expect("a profile");
    let text = spec(
        SHEET,
        "machine = \"shop-router\"\ncutter = \"endmill-6\"\ndrills = [\"thin-drill\"]",
        &part("size = [300, 200]\n[[part.hole]]\nuse = \"pilot\"\ndiameter = 3\nacross = 150\nup = 100"),
    );
    let checked = nestwright::check(&Source::new("t.toml", text), &profiles, &Kinds::built_in(), &search());
    let made = nestwright::make(checked.expect("readable"), &search()).unwrap_or_else(|error| panic!("{error}"));
    assert!(!made.routes[0].holding.screws.is_empty());
}

/// A run of holes that ended low must not be where the next cycle goes back to.
#[test]
fn a_cycle_goes_back_to_the_height_of_rapid_moves() {
    for machine in ["shop-router", "older-router"] {
        for drills in ["[]", "[\"drill-20\"]", "[\"drill-3-4\"]", "[\"drill-20\", \"drill-3-4\"]"] {
            for count in [2, 3] {
                let router = format!("machine = \"{machine}\"\ncutter = \"endmill-1-4\"\ndrills = {drills}");
                let nuc = format!(
                    "[[box]]\nname = \"nuc\"\nkind = \"frame-box\"\ncount = {count}\nframe = \"langstroth-deep\"\nframes = 5\n\
                     [[box.hole]]\npanel = \"front\"\nuse = \"entrance\"\ndiameter = \"3/4 in\"\nacross = \"centre\"\nup = \"7/8 in\"\n\
                     [[box.hole]]\npanel = \"back\"\nuse = \"vent\"\ndiameter = 20\nacross = \"centre\"\ndown = 60\n"
                );
                made(&router, &spec("size = [2440, 1220]\nthickness = 12.1", &router, &nuc));
            }
        }
    }
}

#[test]
fn a_recess_in_no_wood_is_refused_where_it_is_asked_for() {
    // In the corner that the roof's slope takes off the side.
    let text = spec(
        SHEET,
        "machine = \"older-router\"\ncutter = \"endmill-6\"",
        "[[box]]\nname = \"b\"\nkind = \"cavity-box\"\ncount = 1\ninside = [175, 330, 689]\n\
         [[box.pocket]]\npanel = \"right side\"\nsize = [137, 21]\ndepth = 6\nacross = 15\ndown = 32\n",
    );
    let source = Source::new("t.toml", text);
    let result = nestwright::check(&source, &Profiles::built_in(), &Kinds::built_in(), &search());
    let Err(Error::Unreadable(problems)) = result else { panic!("it was read") };
    assert!(problems[0].message.contains("lies off the wood"), "{problems:?}");
    assert!(source.text[problems[0].span.clone()].contains("pocket"));
}

/// A form other than the one asked for is told.
#[test]
fn a_part_held_otherwise_than_asked_says_so() {
    let router = "machine = \"desktop-router\"\ncutter = \"endmill-1-4\"\ntab-width = 50\ntab-height = 6";
    let made = made("wide tabs", &spec(SHEET, router, &part("size = [45, 30]")));
    assert_eq!(made.job.router.as_ref().expect("a router").cutting.hold, Hold::Tabs);
    let told = made.findings.iter().find(|it| it.check == "cut otherwise than asked").expect("told");
    assert!(told.status == Status::Caution && told.advice.contains("tabs are"), "{told:?}");
}

#[test]
fn a_saw_takes_off_what_it_can_and_no_less() {
    let text = "title = \"t\"\n[stock]\nmaterial = \"softwood-plywood\"\nsize = [2440, 1220]\nthickness = 15\non-hand = 3\n\
                [saw]\nkerf = 5\nstages = 3\n[[box]]\nname = \"b\"\nkind = \"cavity-box\"\ncount = \"max\"\n\
                inside = [\"400.05 mm\", \"60 mm\", \"460 mm\"]\nroof = \"gabled\"\naccess = \"side\"\n";
    make(text);
}

/// The sheet's picture tells the heights that the tabs have, not the one asked for.
#[test]
fn the_picture_of_a_sheet_tells_each_height_of_tabs() {
    let router = "machine = \"desktop-router\"\ncutter = \"endmill-6\"\ntab-width = 50\ntab-height = 6";
    let parts =
        "[[part]]\nname = \"stop\"\nsize = [45, 30]\ncount = 4\n[[part]]\nname = \"plate\"\nsize = [200, 150]\n";
    let made = make(&spec(SHEET, router, parts));
    let count = |high: f64| made.routes[0].holding.tabs.iter().filter(|tab| (tab.height - high).abs() < 1e-9).count();
    assert_eq!([count(6.0), count(1.5)], [2, 8]);
    let files = nestwright::export::files(&made).expect("files");
    let picture = String::from_utf8(files["sheet-1.svg"].to_vec()).expect("text");
    assert!(picture.contains("2 tabs, 6 mm high; 8 tabs, 1.5 mm high"));
}

/// A machine of the maker's own: the built-in one of this name with other figures.
fn machine(base: &str, figures: &[(&str, &str)]) -> String {
    let path = format!("{}/profiles/machines/{base}.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).expect("a built-in profile");
    let kept = text.lines().filter(|line| !figures.iter().any(|(key, _)| line.starts_with(&format!("{key} ="))));
    let own = figures.iter().map(|(key, value)| format!("{key} = {{ value = {value}, source = \"invented\" }}"));
    kept.map(String::from).chain(own).map(|line| line + "\n").collect()
}

/// An end mill of so many millimetres that goes down at an angle.
fn mill(diameter: f64, pass_depth: f64) -> String {
    format!(
        "title = \"Mill\"\nkind = {{ value = \"end-mill\", source = \"invented\" }}\n\
         diameter = {{ value = {diameter}, source = \"invented\" }}\n\
         flute-length = {{ value = 40, source = \"invented\" }}\nflutes = {{ value = 2, source = \"invented\" }}\n\
         chip-load = {{ value = [0.04, 0.1], source = \"invented\" }}\nspeed = {{ value = 16000, source = \"invented\" }}\n\
         ramp-angle = {{ value = 15, source = \"invented\" }}\npass-depth = {{ value = {pass_depth}, source = \"invented\" }}\n"
    )
}

/// The same as [`made`], with profiles of the maker's own: folder, name and text.
fn made_with(about: &str, spec: &str, own: &[(&str, &str, String)]) -> nestwright::Made {
    made_in(about, spec, own, &search())
}

/// The same with the layouts that a search finds.
fn made_in(about: &str, spec: &str, own: &[(&str, &str, String)], search: &Search) -> nestwright::Made {
    let mut profiles = Profiles::built_in();
    for (folder, name, text) in own {
        profiles.add_text(folder, name, text).unwrap_or_else(|error| panic!("{about}: {error}"));
    }
    let checked = nestwright::check(&Source::new("t.toml", spec), &profiles, &Kinds::built_in(), search);
    let checked = checked.unwrap_or_else(|error| panic!("{about}: {error}"));
    let refused: Vec<_> = checked.findings.iter().filter(|it| it.refused()).map(|it| &it.check).collect();
    assert!(refused.is_empty(), "{about}: refused for {refused:?}");
    nestwright::make(checked, search).unwrap_or_else(|error| panic!("{about}: {error}"))
}

/// Tabs of neighbours wound about the corners of a wide slot: where no form holds so near to others, parts lie further apart.
#[test]
fn parts_whose_tabs_are_in_each_other_s_way_lie_further_apart() {
    let stock = "size = [2026, 1300]\nthickness = 12.1\non-hand = 6\nmargin = 15.75";
    let router = "machine = \"older-router\"\ncutter = \"wide\"\ndrills = [\"drill-20\"]\nhold = \"onion-skin\"\n\
                  clearance = 0\nrelief = \"deep\"";
    let nuc = "[[box]]\nname = \"hutch\"\nkind = \"frame-box\"\ncount = 3\nframe = \"zander\"\nframes = 2\n\
               rest = \"inner-wall\"\nfloor = \"fixed\"\nend-gap = 7.94\nrest-cleat = 36.5\nlip = 3.18\n";
    let made = made_with("tabs", &spec(stock, router, nuc), &[("tools", "wide", mill(12.0, 0.634))]);
    let told = made.findings.iter().find(|it| it.check == "parts further apart than asked").expect("told");
    assert_eq!(told.status, Status::Caution);
    assert!(made.job.router.as_ref().is_some_and(|router| router.clearance > 10.0));
}

/// A small part between others with wide tabs: where it has no more forms of its own, those beside it take the next.
#[test]
fn neighbours_with_wide_tabs_make_room_for_a_small_part() {
    let tool = mill(6.0, 0.25).replace("value = 15,", "value = 20.653,");
    let stock = "size = [2440, 1220]\nthickness = 9\non-hand = 1\nmargin = 22.225";
    let router =
        "machine = \"desktop-router\"\ncutter = \"own\"\ntab-width = 13.15\ntab-height = 4.5\nrelief = \"deep\"";
    let parts = "[[box]]\nname = \"hutch\"\nkind = \"open-box\"\ncount = \"max\"\n\
                 inside = [\"6.6692 in\", \"7 in\", \"2.56 in\"]\n\
                 [[part]]\nname = \"lid\"\nsize = [\"7.6749 in\", 214.46]\ncount = \"max\"\nper-set = 3\n\
                 [[part]]\nname = \"cleat\"\nsize = [\"0.554 in\", \"1.5 in\"]\ncount = \"max\"\ngrain = \"long\"\n";
    // In the very first layout that is found they lie so.
    let made = made_in("cleats", &spec(stock, router, parts), &[("tools", "own", tool)], &Search::of(0));
    let otherwise =
        |name: &str| made.findings.iter().any(|it| it.check == "cut otherwise than asked" && it.subject == name);
    assert!(otherwise("cleat") && otherwise("lid"), "the cleat, and what lies beside it");
}

/// A helix that goes down at exactly the angle that its tool may, by the digits of a program: those of the arcs' centres too.
#[test]
fn an_angle_is_kept_but_for_the_digits_of_a_program() {
    let tool = mill(10.0, 0.459).replace("value = 15,", "value = 30,").replace("[0.04, 0.1]", "[0.1, 0.625]");
    let tool = tool.replace("flutes = { value = 2,", "flutes = { value = 4,").replace("16000", "16248.024");
    let own = machine(
        "desktop-router",
        &[("decimals", "4"), ("z-zero", "\"spoilboard\""), ("spoilboard", "0.1"), ("clear", "12.7"), ("plunge", "430")],
    );
    let swarm = "title = \"Swarm\"\nvolume = { value = [20, 30], source = \"invented\" }\n\
                 entrance-area = { value = [8, 16], source = \"invented\" }\n\
                 entrance-up = { value = [25, 60], source = \"invented\" }\n";
    let stock = "size = [1698, 1236]\nthickness = 12.7\ntrim = 9.07";
    let router = "machine = \"own\"\ncutter = \"own\"\nhold = \"onion-skin\"\ntab-width = 7\nhole-allowance = 0.05";
    let box_ = "[[box]]\nname = \"hutch\"\nkind = \"cavity-box\"\ncount = 2\noccupant = \"swarm\"\n\
                side-overhang = \"11/16 in\"\n";
    let profiles = [("tools", "own", tool), ("machines", "own", own), ("occupants", "swarm", swarm.to_string())];
    made_with("angle", &spec(stock, router, box_), &profiles);
}

/// What is wanted as often as the sheets give ends where nobody would go on in one job.
#[test]
fn a_count_of_max_ends_at_what_one_job_may_have() {
    let spec = "title = \"t\"\n[stock]\nmaterial = \"birch-plywood\"\nsize = [200, 180]\nthickness = 9\non-hand = 10000\n\
                [saw]\nkerf = 3\n[[box]]\nname = \"b\"\nkind = \"open-box\"\ncount = \"max\"\ninside = [60, 63, 51]\n";
    let checked = check(spec);
    let pieces: u32 = checked.assemblies.iter().map(|it| it.count * it.panels.len() as u32).sum();
    assert!((5000..=6000).contains(&pieces), "{pieces}");
    let told = checked.findings.iter().find(|it| it.check == "number from the sheets on hand").expect("told");
    assert!(told.advice.contains("more are not built from one job"), "{}", told.advice);
}

/// Between fingers there is no room for what a last pass would take: there the outline is cut at its line at once.
#[test]
fn notches_too_narrow_for_an_allowance_are_cut_without() {
    let box_ =
        "[[box]]\nname = \"b\"\nkind = \"open-box\"\ncount = 1\ninside = [221.9, 67.7, 40]\ncorner = \"finger\"\n";
    for relief in ["wide"] {
        for finish in [1, 3] {
            let router = format!(
                "machine = \"desktop-router\"\ncutter = \"own\"\nfinish = {finish}\nrelief = \"{relief}\"\nhold = \"onion-skin\""
            );
            made_with(relief, &spec(SHEET, &router, box_), &[("tools", "own", mill(12.0, 0.512))]);
        }
    }
}

/// Many thin passes of a slender cutter: their strips crossed one another on a fixed grid over and over, until a number was too
/// large.
#[test]
fn what_many_thin_passes_sweep_over_is_added_up() {
    let tool = mill(3.175, 0.05).replace("value = 15,", "value = 2,").replace("[0.04, 0.1]", "[0.07, 0.19]");
    let box_ =
        "[[box]]\nname = \"b\"\nkind = \"open-box\"\ncount = 1\ninside = [157.1625, 60.25, 120]\ncorner = \"finger\"\n";
    let router = "machine = \"shop-router\"\ncutter = \"own\"\nhold = \"onion-skin\"\nclearance = 3\ntab-height = 4";
    let stock = "size = [381, 304.8]\nthickness = 12.7";
    made_with("thin passes", &spec(stock, router, box_), &[("tools", "own", tool)]);
}

/// With three decimals of an inch an arc of half a turn may be written about quite another centre: slots hardly wider than
/// the cutter are made to their edges wherever they lie on the sheet.
#[test]
fn three_decimals_of_an_inch_make_slots_to_their_edges() {
    let slots: String = (0..48)
        .map(|i| {
            let (row, column) = (f64::from(i / 12), f64::from(i % 12));
            format!(
                "[[part.hole]]\nuse = \"vent\"\nslot = [{}, 14]\nacross = {}\nup = {}\n",
                15.17 + 0.11 * column,
                30.0 + 40.23 * column,
                30.0 + 40.37 * row + 0.09 * column
            )
        })
        .collect();
    let own = machine("older-router", &[("decimals", "3"), ("units", "\"in\""), ("arc-tolerance", "\"0.0018 in\"")]);
    let router = "machine = \"own\"\ncutter = \"own\"\nhold = \"onion-skin\"";
    let profiles = [("tools", "own", mill(8.0, 0.595)), ("machines", "own", own)];
    made_with("slots", &spec(SHEET, router, &part(&format!("size = [520, 180]\n{slots}"))), &profiles);
}

/// In two decimals of an inch the path around a hole hardly wider than its cutter is a circle of two digits, and no straight line.
#[test]
fn two_decimals_of_an_inch_make_holes_hardly_wider_than_the_cutter() {
    let holes: String = (0..40)
        .map(|i| {
            let (row, column) = (f64::from(i / 10), f64::from(i % 10));
            let (across, up) = (30.0 + 30.07 * column, 30.0 + 30.13 * row);
            let size = if i % 2 == 0 { "diameter = 8.96" } else { "slot = [8.96, 8.96]" };
            format!("[[part.hole]]\nuse = \"vent\"\n{size}\nacross = {across}\nup = {up}\n")
        })
        .collect();
    for arcs in ["\"centre\"", "\"radius\"", "\"none\""] {
        let own = machine("older-router", &[("decimals", "2"), ("units", "\"in\""), ("arcs", arcs)]);
        let router = "machine = \"own\"\ncutter = \"own\"\nhole-allowance = 0.178";
        let profiles = [("tools", "own", mill(8.0, 0.484)), ("machines", "own", own)];
        made_with(arcs, &spec(SHEET, router, &part(&format!("size = [330, 150]\n{holes}"))), &profiles);
    }
}

/// A recess into which the cutter does not even go is refused where it is asked for, also one so small that its four corners
/// would be more than all of it.
#[test]
fn a_recess_narrower_than_the_cutter_is_refused() {
    for size in ["[2, 2]", "[2, 5.9]", "[40, 5.9]"] {
        let pocket = format!("size = [100, 80]\n[[part.pocket]]\nsize = {size}\ndepth = 6\nacross = 40\nup = 40");
        let checked = check(&spec(SHEET, "machine = \"older-router\"\ncutter = \"endmill-6\"", &part(&pocket)));
        let refused: Vec<_> = checked.findings.iter().filter(|it| it.refused()).collect();
        assert!(
            refused.iter().any(|it| it.id == JobCheck::CutterWidth.into() && it.spot.is_some()),
            "{size}: {refused:?}"
        );
    }
}

/// Two digits after the point are few for an inch, and R words tell an arc's centre by even fewer.
#[test]
fn two_decimals_are_enough_on_any_machine() {
    let parts = "[[part]]\nname = \"plate\"\nsize = [300, 200]\ncount = 2\n\
                 [[part.hole]]\nuse = \"vent\"\ndiameter = 16\nacross = 60\nup = 150\n\
                 [[part.hole]]\nuse = \"vent\"\ndiameter = 9\nacross = 60\nup = 60\n\
                 [[part.hole]]\nuse = \"handhold\"\nslot = [60, 20]\nacross = 180\nup = 60\n\
                 [[part.hole]]\nuse = \"vent\"\ndiameter = 80\nacross = 180\nup = 130\n\
                 [[part.pocket]]\nsize = [40, 30]\ndepth = 4\nacross = 270\nup = 30\n\
                 [[part]]\nname = \"stop\"\nsize = [45, 30]\ncount = 6\n";
    let mut units = std::collections::BTreeMap::new();
    for unit in ["mm", "in"] {
        for arcs in ["centre", "radius", "none"] {
            for (hold, cutter) in [("tabs", 6.0), ("onion-skin", 3.0)] {
                let about = format!("{unit}, {arcs}, {hold}, {cutter}");
                let (unit, arcs) = (format!("\"{unit}\""), format!("\"{arcs}\""));
                let own = machine("older-router", &[("decimals", "2"), ("units", &unit), ("arcs", &arcs)]);
                let router = format!("machine = \"own\"\ncutter = \"own\"\nhold = \"{hold}\"");
                let profiles = [("tools", "own", mill(cutter, 0.9)), ("machines", "own", own)];
                let made = made_with(&about, &spec(SHEET, &router, parts), &profiles);
                *units.entry(made.job.router.as_ref().map(|router| router.machine.units.name())).or_insert(0) += 1;
            }
        }
    }
    assert_eq!(units.len(), 2);
}

//! Every check fails once, and tells what to change.

use crate::shared::{check, job_of};
use glam::DVec3;
use nestwright::design::Board;
use nestwright::design::{Assembly, Facing, HungFrames, Panel};
use nestwright::finding::{Finding, Status};
use nestwright::fit;
use nestwright::geometry::Outline;
use nestwright::profile::{Frame, Profiles};

/// The findings of a box whose keys are `keys`, in stock of this thickness (mm).
fn box_in(thickness: f64, keys: &str) -> Vec<Finding> {
    let spec = format!(
        "title = \"t\"\n[stock]\nmaterial = \"birch-plywood\"\nsize = [2440, 1220]\nthickness = {thickness}\n\
         [[box]]\nname = \"box\"\ncount = 1\n{keys}\n"
    );
    check(&spec).findings
}

fn nuc_in(thickness: f64, keys: &str) -> Vec<Finding> {
    let frames = if keys.contains("frames = ") { "" } else { "frames = 5\n" };
    box_in(thickness, &format!("kind = \"frame-box\"\nframe = \"langstroth-deep\"\n{frames}{keys}"))
}

fn found<'a>(findings: &'a [Finding], check: &str) -> &'a Finding {
    let of = || findings.iter().filter(|finding| finding.check == check);
    let worst = of().max_by_key(|finding| finding.status);
    worst.unwrap_or_else(|| panic!("no {check} among {:#?}", findings.iter().map(|f| &f.check).collect::<Vec<_>>()))
}

/// The check came out like this, and its advice has the word.
fn assert_says(findings: &[Finding], check: &str, status: Status, word: &str) {
    let finding = found(findings, check);
    assert_eq!(finding.status, status, "{finding:#?}");
    assert!(finding.advice.contains(word), "{check}: no `{word}` in: {}", finding.advice);
    assert!(!finding.source.is_empty(), "{check} names no source");
}

#[test]
fn frames_that_do_not_fit_their_box_are_refused_with_the_key_to_change() {
    use Status::Refused;
    assert_says(&nuc_in(12.1, "side-gap = 5"), "frames the inside width takes", Refused, "takes 4 frames");
    assert_says(&nuc_in(12.1, "side-gap = 5"), "bee space at the side walls", Refused, "`side-gap` larger");
    assert_says(&nuc_in(12.1, "side-gap = 30"), "bee space at the side walls", Refused, "dummy board");
    assert_says(&nuc_in(18.2, ""), "bee space at the frame ends", Refused, "thinner stock");
    assert_says(&nuc_in(12.1, "above = 20"), "bee space above the top bars", Refused, "`above`");
    assert_says(&nuc_in(12.1, "below = 2"), "space below the frames", Refused, "`below`");
    assert_says(&nuc_in(12.1, "below = 40"), "space below the frames", Status::Caution, "`below`");
    assert_says(&nuc_in(5.0, ""), "lug bearing on the rest", Refused, "`lug-gap`");
    assert_says(&nuc_in(12.1, "lug-gap = 0"), "play at each lug end", Refused, "`lug-gap`");
    assert_says(&nuc_in(12.1, "cover-play = 0"), "play along the box, in all", Refused, "play");
}

/// The lugs' room as it usually is, said in the spec, so that thick ends do not widen it.
const USUAL: &str = "lug-gap = \"1/8 in\"";

/// A cleat rest in thick stock closes the bee space; a rabbet would do, and the check says so.
#[test]
fn a_refusal_tells_the_thickness_and_the_choice_that_would_do() {
    let findings = nuc_in(18.2, USUAL);
    let ends = found(&findings, "bee space at the frame ends");
    let range = ends.thickness.expect("a range of thicknesses");
    let (least, most) = (range.least.expect("a least"), range.most.expect("a most"));
    // The lugs project 11/16 in and lie 1/16 in short of the wall's outside: the wall is 6 to 3/8 in from the end bars
    // when it is (11/16 + 1/16 in) − 3/8 in = 9.525 to (11/16 + 1/16 in) − 6 = 13.05 mm thick.
    assert!((least - 9.525).abs() < 0.05 && (most - 13.05).abs() < 0.05, "{least} to {most}");
    assert!(ends.advice.contains("from 9.5") && ends.advice.contains("yours is 18.2 mm"), "{}", ends.advice);
    assert!(findings.iter().any(|finding| finding.advice.contains("rest = \"rabbet\"")), "{findings:#?}");
    // And it is true.
    assert!(nuc_in(18.2, "rest = \"rabbet\"").iter().all(|finding| !finding.refused()));
}

/// A thickness that is told as an end works, even by the rule that the end is worked out from: the wall is (11/16 + 1/16 in)
/// less 3/8 in to 6 mm thick. It is the same end whichever stock it is looked for from, in the digits that calipers show.
#[test]
fn an_end_that_is_told_works_and_is_told_one_way() {
    let (thin, thick) = (0.75 * 25.4 - 9.525, 0.75 * 25.4 - 6.0);
    let ends = |thickness: f64| {
        let findings = nuc_in(thickness, USUAL);
        let range = findings.iter().filter(|it| it.check == "bee space at the frame ends").find_map(|it| it.thickness);
        let range = range.or_else(|| found(&findings, "works in stock of this thickness").thickness);
        range.expect("a range").most.expect("an end")
    };
    for thickness in [10.0, 11.37, 12.1, 13.0, 13.05, 15.0, 18.2, 19.03] {
        assert!((ends(thickness) - 13.05).abs() < 1e-9, "{thickness}: {}", ends(thickness));
    }
    let least = found(&nuc_in(18.2, USUAL), "bee space at the frame ends").thickness.and_then(|range| range.least);
    assert!((least.expect("an end") - 9.53).abs() < 1e-9, "{least:?}");
    assert!(least.expect("an end") >= thin && ends(12.1) <= thick + 1e-9);
    for thickness in [9.53, 13.05] {
        assert!(nuc_in(thickness, USUAL).iter().all(|finding| !finding.refused()), "{thickness}");
    }
    // In inches to a thousandth: 13.05 mm is 0.5138 in.
    let inches = |thickness: &str| {
        let spec = format!(
            "title = \"t\"\nunits = \"in\"\n[stock]\nmaterial = \"birch-plywood\"\nsize = [96, 48]\n\
             thickness = {thickness}\n[[box]]\nname = \"box\"\ncount = 1\nkind = \"frame-box\"\n\
             frame = \"langstroth-deep\"\nframes = 5\n{USUAL}\n"
        );
        check(&spec).findings
    };
    assert_says(&inches("0.75"), "bee space at the frame ends", Status::Refused, "to 0.513 in; yours is 0.75 in");
    let works = "works in stock of this thickness";
    assert!(found(&inches("0.476"), works).advice.contains("thicker than 0.513 in"));
    // A hair beyond, as much as the checks forgive, it still works.
    assert_ne!(found(&inches("0.514"), works).status, Status::Refused);
}

/// Of every frame in every rest, in half-inch and in three-quarter stock: it fits, or one refusal says why not, and the
/// other rest that it names does fit.
#[test]
fn every_frame_has_a_rest_and_the_others_name_it() {
    let frames = ["langstroth-deep", "national-brood", "deutsch-normal", "zander", "dadant", "dadant-us"];
    let rests = ["cleat", "rabbet", "inner-wall"];
    for (frame, thickness) in frames.iter().flat_map(|frame| [(frame, 12.1), (frame, 18.2)]) {
        let refused = rests.map(|rest| -> Vec<Finding> {
            let keys = format!("kind = \"frame-box\"\nframe = \"{frame}\"\nframes = 5\nrest = \"{rest}\"");
            box_in(thickness, &keys).into_iter().filter(Finding::refused).collect()
        });
        let fits: Vec<&str> = (0..3).filter(|i| refused[*i].is_empty()).map(|i| rests[i]).collect();
        assert!(!fits.is_empty(), "{frame} in {thickness} mm has no rest: {refused:#?}");
        for (rest, found) in rests.iter().zip(&refused).filter(|(_, found)| !found.is_empty()) {
            assert_eq!(found.len(), 1, "{frame}, {rest}, {thickness} mm: {found:#?}");
            let advice = &found[0].advice;
            let named: Vec<&str> =
                rests.into_iter().filter(|other| advice.contains(&format!("would work: rest = \"{other}\""))).collect();
            assert!(named.iter().any(|other| fits.contains(other)), "{frame}, {rest}, {thickness} mm: {advice}");
        }
    }
}

/// At the edge of its range a box is cautioned: the next sheet of the same kind may be thicker.
#[test]
fn a_box_that_another_sheet_would_spoil_is_cautioned() {
    let check = "works in stock of this thickness";
    assert_says(&nuc_in(12.9, USUAL), check, Status::Caution, "measure each one");
    let fine = found(&nuc_in(12.1, USUAL), check).clone();
    assert_eq!(fine.status, Status::Ok);
    assert!(fine.advice.contains("thicker than 13.05 mm: bee space at the frame ends, too little"), "{}", fine.advice);
}

#[test]
fn holes_where_something_is_are_refused_with_a_place_that_is_free() {
    let with = |hole: &str| nuc_in(12.1, &format!("hole = [{{ {hole} }}]"));
    let vent = |place: &str| with(&format!("panel = \"back\", use = \"vent\", diameter = 20, {place}"));
    let refused = Status::Refused;
    assert_says(&vent("across = \"centre\", down = 15"), "free on both faces", refused, "below the panel's upper edge");
    assert_says(&vent("across = 11, up = 100"), "wood to the panel's edge", refused, "its centre is free from");
    assert_says(&vent("across = 20, up = 100"), "clear of every other part", refused, "further in");
    let two = nuc_in(
        12.1,
        "hole = [{ panel = \"back\", use = \"vent\", diameter = 20, across = 60, up = 100 },
                 { panel = \"back\", use = \"vent\", diameter = 20, across = 81, up = 100 }]",
    );
    assert_says(&two, "wood to the next hole or recess", refused, "its centre is free from");
    let open = with("panel = \"back\", use = \"vent\", diameter = 20, across = \"centre\", up = 100, mesh = false");
    assert_says(&open, "mesh over it", Status::Caution, "staple mesh");
}

#[test]
fn an_entrance_that_does_not_suit_is_named() {
    let with = |hole: &str| nuc_in(12.1, &format!("hole = [{{ panel = \"front\", use = \"entrance\", {hole} }}]"));
    let check = "narrower way, for drones and mice";
    assert_says(&with("diameter = 20, across = \"centre\", up = 22"), check, Status::Caution, "mice");
    assert_says(&with("slot = [100, 6], across = \"centre\", up = 22"), check, Status::Caution, "drones");
    assert_eq!(found(&with("slot = [100, 9], across = \"centre\", up = 22"), check).status, Status::Ok);
    let wide = with("slot = [170, 9.5], across = \"centre\", up = 22");
    assert_says(&wide, "area of all entrances, for robbers", Status::Caution, "smaller");
    assert_says(&nuc_in(12.1, ""), "a way in", Status::Caution, "use = \"entrance\"");
}

#[test]
fn cavities_that_do_not_suit_their_animal_are_named() {
    let nest = |keys: &str| box_in(15.0, &format!("kind = \"cavity-box\"\n{keys}"));
    let small = nest("occupant = \"bluebird\"\ninside = [90, 127, 203]");
    assert_says(&small, "floor, shorter side of the cavity", Status::Refused, "`inside`");
    let low = nest("occupant = \"bluebird\"\ninside = [127, 127, 185]");
    assert_says(&low, "height of the cavity", Status::Caution, "`inside`");
    let lower = nest("occupant = \"bluebird\"\ninside = [127, 127, 150]");
    assert_says(&lower, "height of the cavity", Status::Refused, "`inside`");
    let narrow = nest(
        "occupant = \"bluebird\"\n\
         hole = [{ panel = \"front\", use = \"entrance\", diameter = 30, across = \"centre\", up = 167 }]",
    );
    assert_says(&narrow, "narrower way", Status::Refused, "`diameter`");
    let low = nest(
        "occupant = \"bluebird\"\n\
         hole = [{ panel = \"front\", use = \"entrance\", diameter = 38.1, across = \"centre\", up = 80 }]",
    );
    assert_says(&low, "centre above the floor", Status::Caution, "`up`");
    assert_says(&nest("occupant = \"bluebird\"\ndrains = 0"), "drain holes", Status::Caution, "use = \"drain\"");
    let thin = box_in(12.1, "kind = \"cavity-box\"\noccupant = \"great-tit\"");
    assert_says(&thin, "thickness of the walls", Status::Caution, "thicker");
    let roof = "the roof is held at more than one end";
    // The walls' upper edges are cut square: under a steep slope that runs across them they touch it along a line, and a nail
    // through the one misses the other.
    let keys = "roof = \"gabled\"\naccess = \"front\"";
    assert_says(&nest(&format!("inside = [127, 127, 203]\n{keys}")), roof, Status::Caution, "`access`");
    for keys in
        ["", "roof = \"gabled\"", "roof = \"gabled\"\naccess = \"side\"", "access = \"front\"", "access = \"side\""]
    {
        assert_eq!(found(&nest(&format!("inside = [127, 127, 203]\n{keys}")), roof).status, Status::Ok, "{keys}");
    }
    let swarm = nest("occupant = \"honey-bee-swarm\"\ninside = [250, 250, 300]");
    assert_says(&swarm, "volume of the cavity", Status::Caution, "larger");
    let wide = nest(
        "occupant = \"honey-bee-swarm\"\n\
         hole = [{ panel = \"front\", use = \"entrance\", diameter = 60, across = \"centre\", up = 60 }]",
    );
    assert_says(&wide, "area of all entrances", Status::Caution, "smaller");
}

/// A stack of two: the super is wider, or its frames hang too low or too high.
#[test]
fn boxes_that_do_not_stand_on_each_other_are_refused() {
    let stack = |upper: &str| {
        let body = "kind = \"frame-box\"\ncount = 1\nrest = \"rabbet\"\ncover = \"none\"\n";
        let spec = format!(
            "title = \"t\"\nstock = {{ material = \"birch-plywood\", size = [2440, 1220], thickness = 18.2 }}\n\
             [[box]]\nname = \"body\"\n{body}floor = \"loose\"\nframe = \"langstroth-deep\"\nframes = 10\n\
             [[box]]\nname = \"super\"\n{body}floor = \"none\"\nstands-on = \"body\"\nframe = \"langstroth-medium\"\n\
             {upper}\n"
        );
        check(&spec).findings
    };
    assert!(stack("frames = 10").iter().all(|finding| !finding.refused()));
    assert_says(&stack("frames = 8"), "outsides differ by", Status::Refused, "the same frames");
    let between = "bee space between the boxes";
    let trade = stack("frames = 10\nbelow = 6");
    assert_says(&trade, between, Status::Caution, "smaller `below` of the upper box");
    let high = stack("frames = 10\nbelow = 12");
    assert_says(&high, between, Status::Refused, "`below` of the upper box smaller");
    let low = stack("frames = 10\nbelow = 0\nabove = 5.9");
    assert!(low.iter().any(Finding::refused), "{low:#?}");
}

#[test]
fn recesses_that_leave_too_little_wood_are_refused() {
    let part = |depth: f64| {
        let spec = format!(
            "title = \"t\"\nstock = {{ material = \"birch-plywood\", size = [2440, 1220], thickness = 12 }}\n\
             [[part]]\nname = \"board\"\nsize = [300, 200]\n\
             pocket = [{{ size = [100, 30], depth = {depth}, across = \"centre\", up = 100, purpose = \"groove\" }}]\n"
        );
        check(&spec).findings
    };
    let check = "wood left under the groove";
    assert_says(&part(10.0), check, Status::Refused, "shallower");
    assert_says(&part(8.5), check, Status::Caution, "shallower");
    assert_eq!(found(&part(6.0), check).status, Status::Ok);
}

#[test]
fn a_fastener_that_is_too_long_or_too_short_is_named() {
    let with = |fastener: &str| {
        let spec = format!(
            "title = \"t\"\nstock = {{ material = \"birch-plywood\", size = [2440, 1220], thickness = 12.7 }}\n\
             hardware = {{ fastener = \"{fastener}\" }}\n\
             [[box]]\nname = \"nuc\"\ncount = 1\nkind = \"frame-box\"\nframe = \"langstroth-deep\"\nframes = 5\n"
        );
        check(&spec).findings
    };
    // Common practice: 18-gauge 1 1/4 in brads through two thicknesses of half-inch stock come out 1/4 in, and are
    // clinched.
    let brads = with("brad-1-1-4");
    assert_says(&brads, "point comes out by", Status::Caution, "Clinch it");
    let out = found(&brads, "point comes out by").measured.expect("a measure").value();
    assert!((out - 25.4 / 4.0).abs() < 1e-6, "{out}");
    // What cannot be bent over is filed: 1 1/4 in through 12 mm and 19 mm.
    let rim = "title = \"t\"\nstock = { material = \"birch-plywood\", size = [2440, 1220], thickness = 12.1 }\n\
               hardware = { fastener = \"brad-1-1-4\" }\n[[box]]\nname = \"nuc\"\ncount = 1\nkind = \"frame-box\"\n\
               frame = \"langstroth-deep\"\nframes = 5\nrest = \"rabbet\"\nfloor = \"loose\"\ncover = \"none\"\n";
    let rim = check(rim).findings;
    let out = found(&rim, "point comes out by").measured.expect("a measure").value();
    assert!((out - (1.25 * 25.4 - 12.1 - 0.75 * 25.4)).abs() < 1e-6, "{out}");
    assert_says(&rim, "point comes out by", Status::Caution, "File it flush");
    assert_says(&with("screw-4x40"), "point comes out by", Status::Caution, "shorter screw");
    let short = with("brad-1");
    assert_eq!(found(&short, "point comes out by").status, Status::Ok);
    let held = found(&short, "holds in the edge by, at least").measured.expect("a measure").value();
    assert!((held - 12.7).abs() < 1e-6, "{held}");
}

#[test]
fn a_heavy_box_is_a_caution_for_the_one_who_lifts_it() {
    let spec = "title = \"t\"\nstock = { material = \"birch-plywood\", size = [2440, 1220], thickness = 19 }\n\
                [[box]]\nname = \"body\"\ncount = 1\nkind = \"frame-box\"\nframe = \"langstroth-deep\"\nframes = 10\n\
                rest = \"rabbet\"\nfloor = \"none\"\ncover = \"none\"\n";
    assert_says(&check(spec).findings, "the box alone, every frame full", Status::Caution, "frame by frame");
}

/// A made-up kind: a box of blocks, which takes one function.
fn blocks(blocks: &[(&str, Facing, [f64; 3], [f64; 3])]) -> Assembly {
    let panel = |(name, facing, least, most): &(&str, Facing, [f64; 3], [f64; 3])| {
        Panel::block(name, name, *facing, DVec3::from(*least), DVec3::from(*most))
    };
    Assembly::new(blocks.iter().map(panel).collect())
}

fn findings_of(build: impl Fn() -> Assembly + Send + Sync + 'static) -> Vec<Finding> {
    let (job, assemblies) = job_of(move |_: &Board| build(), 12.0);
    fit::check(&job, &assemblies)
}

#[test]
fn made_up_boxes_that_cannot_be_built_are_refused() {
    let clash = findings_of(|| {
        blocks(&[
            ("shelf", Facing::Up, [0.0, 0.0, 0.0], [200.0, 100.0, 12.0]),
            ("post", Facing::Front, [50.0, 40.0, 6.0], [150.0, 52.0, 90.0]),
        ])
    });
    assert_says(&clash, "no two parts in one place", Status::Refused, "the shelf and the post");
    let held = findings_of(|| {
        blocks(&[
            ("shelf", Facing::Up, [0.0, 0.0, 0.0], [200.0, 100.0, 12.0]),
            ("post", Facing::Front, [50.0, 40.0, 20.0], [150.0, 52.0, 90.0]),
        ])
    });
    assert_says(&held, "every part is held", Status::Refused, "the shelf and the post");
    // Six walls round a block: it cannot have come in.
    let shut = findings_of(|| {
        blocks(&[
            ("kernel", Facing::Up, [12.0, 12.0, 12.0], [88.0, 88.0, 24.0]),
            ("left", Facing::Left, [0.0, 0.0, 0.0], [12.0, 100.0, 36.0]),
            ("right", Facing::Right, [88.0, 0.0, 0.0], [100.0, 100.0, 36.0]),
            ("front", Facing::Front, [12.0, 0.0, 0.0], [88.0, 12.0, 36.0]),
            ("back", Facing::Back, [12.0, 88.0, 0.0], [88.0, 100.0, 36.0]),
            ("lid", Facing::Up, [12.0, 12.0, 24.0], [88.0, 88.0, 36.0]),
            ("floor", Facing::Down, [12.0, 12.0, 0.0], [88.0, 88.0, 12.0]),
        ])
    });
    assert!(found(&shut, "can be put together").status == Status::Ok, "walls come last: {shut:#?}");
    let caught = findings_of(|| {
        let mut assembly = blocks(&[
            ("drawer", Facing::Up, [12.0, 12.0, 12.0], [88.0, 88.0, 24.0]),
            ("left", Facing::Left, [0.0, 0.0, 0.0], [12.0, 100.0, 36.0]),
            ("right", Facing::Right, [88.0, 0.0, 0.0], [100.0, 100.0, 36.0]),
            ("front", Facing::Front, [12.0, 0.0, 0.0], [88.0, 12.0, 36.0]),
            ("back", Facing::Back, [12.0, 88.0, 0.0], [88.0, 100.0, 36.0]),
            ("lid", Facing::Up, [12.0, 12.0, 24.0], [88.0, 88.0, 36.0]),
            ("floor", Facing::Down, [12.0, 12.0, 0.0], [88.0, 88.0, 12.0]),
        ]);
        assembly.panels[0].sub_assembly = "drawer".into();
        assembly
    });
    assert_says(&caught, "comes off", Status::Refused, "a way out");
}

/// A board with a waist in the jaws of another: each holds the other in every direction.
#[test]
fn parts_that_hold_each_other_in_every_direction_cannot_be_put_together() {
    let stuck = findings_of(|| {
        let mut assembly = blocks(&[
            ("jaws", Facing::Front, [0.0, 40.0, 0.0], [100.0, 52.0, 100.0]),
            ("board", Facing::Up, [0.0, 0.0, 30.0], [100.0, 100.0, 42.0]),
        ]);
        let mouth = [(55.0, 100.0), (55.0, 42.0), (70.0, 42.0), (70.0, 30.0), (30.0, 30.0), (30.0, 42.0), (45.0, 42.0)];
        let jaws = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0)].into_iter().chain(mouth);
        assembly.panels[0].outline = Outline::polygon(jaws.chain([(45.0, 100.0), (0.0, 100.0)]));
        let right = [(100.0, 0.0), (100.0, 40.0), (70.0, 40.0), (70.0, 52.0), (100.0, 52.0), (100.0, 100.0)];
        let left = right.map(|(x, y)| (100.0 - x, y));
        assembly.panels[1].outline = Outline::polygon(right.into_iter().chain(left.into_iter().rev()));
        assembly
    });
    assert_says(&stuck, "can be put together", Status::Refused, "jaws, board");
}

#[test]
fn a_made_up_cover_that_is_too_small_and_one_nailed_over_the_frames() {
    let frame = || Profiles::built_in().find::<Frame>("langstroth-deep").expect("built in");
    let body = |cover_width: f64, nailed: bool| {
        findings_of(move || {
            let frame = frame();
            let (bar, lug) = (frame.top_bar_length.value, frame.lug_thickness.value);
            let (t, wide, long, rest) = (12.0, 190.0, bar + 3.0, 240.0);
            let high = rest + lug + 9.0;
            let mut assembly = blocks(&[
                ("left", Facing::Left, [0.0, 0.0, 0.0], [t, long, high]),
                ("right", Facing::Right, [wide + t, 0.0, 0.0], [wide + 2.0 * t, long, high]),
                ("front", Facing::Front, [t, 0.0, 0.0], [wide + t, t, rest]),
                ("back", Facing::Back, [t, long - t, 0.0], [wide + t, long, rest]),
                ("lid", Facing::Up, [0.0, 0.0, high], [cover_width, long, high + t]),
            ]);
            if !nailed {
                assembly.panels[4].sub_assembly = "lid".into();
            }
            assembly.frames = Some(HungFrames {
                spacing: frame.spacing.value,
                frame,
                count: 5,
                middle: (wide / 2.0 + t, long / 2.0),
                rest,
                rooms: Vec::new(),
            });
            assembly
        })
    };
    assert_says(&body(214.0, true), "frames lift out", Status::Refused, "the lid is fixed over the frames");
    assert_says(&body(180.0, false), "reaches past the box", Status::Refused, "larger");
    assert_eq!(found(&body(214.0, false), "covers the box, flush all round").status, Status::Ok);
}

/// A roof that is hinged behind ends flush there: what is measured is how far it reaches out elsewhere, 19.05 mm at the
/// sides (3/4 in, the key's own default) and more in front.
#[test]
fn a_hinged_roof_is_flush_behind_and_measured_elsewhere() {
    let findings = box_in(15.0, "kind = \"cavity-box\"\ninside = [200, 200, 300]\naccess = \"roof\"\n");
    let roof = found(&findings, "reaches past the box, flush at the back");
    assert_eq!(roof.status, Status::Ok);
    assert!((roof.measured.expect("a measure").value() - 19.05).abs() < 0.01, "{roof:?}");
}

/// An occupant, and a box of blocks with no hole in it.
#[test]
fn a_made_up_nest_box_without_an_entrance_is_refused() {
    let occupant = Profiles::built_in().find("bluebird").expect("built in");
    let shut = findings_of(move || Assembly {
        occupant: Some(std::sync::Arc::clone(&occupant)),
        ..blocks(&[("board", Facing::Up, [0.0, 0.0, 0.0], [100.0, 100.0, 12.0])])
    });
    assert_says(&shut, "a way in", Status::Refused, "use = \"entrance\"");
}

/// Whatever is refused or cautioned in any of the samples' kinds says what to change, and where its limit comes from.
#[test]
fn nothing_is_refused_without_advice_or_without_a_source() {
    let odd = [
        nuc_in(25.0, ""),
        nuc_in(4.0, ""),
        nuc_in(12.1, "frames = 1\nside-gap = 0\nlug-gap = 20\nbelow = 0\nabove = 0\ncover-play = 40"),
        nuc_in(18.2, "corner = \"finger\"\nrest = \"rabbet\"\nfloor = \"loose\"\ncover = \"telescoping\""),
        nuc_in(9.0, "corner = \"rabbet\"\nrest = \"rabbet\"\nhandhold = \"cleat\""),
        box_in(6.0, "kind = \"open-box\"\ninside = [300, 200, 100]"),
        box_in(3.5, "kind = \"cavity-box\"\noccupant = \"bat\""),
        box_in(30.0, "kind = \"cavity-box\"\noccupant = \"wood-duck\"\nslope = 45"),
    ];
    for finding in odd.iter().flatten().filter(|finding| finding.status != Status::Ok) {
        assert!(finding.advice.len() > 15, "{finding:#?}");
        assert!(!finding.source.is_empty(), "{finding:#?}");
    }
}

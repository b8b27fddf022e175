//! Solid wood: its movement across the grain, by the Wood Handbook.

use crate::shared::check;
use nestwright::finding::{Finding, JobCheck};
use nestwright::profile::{Fastener, Material, Profiles, Wood};
use nestwright::reading::Sourced;
use nestwright::units::INCH;

fn woods() -> Vec<(String, Wood)> {
    let profiles = Profiles::built_in();
    profiles.all::<Material>().filter_map(|it| Some((it.name.clone(), it.wood.clone()?))).collect()
}

/// Source: Forest Products Laboratory, Wood Handbook, General Technical Report FPL-GTR-282 (2021), the note under Table 13-5 (from
/// memory): the coefficients are for each per cent of moisture, of the size at 10 per cent, on a straight line from where
/// shrinkage starts, at 30 per cent, for cedars at 22, to the total shrinkage of Table 4-3. Both tables must tell the same.
#[test]
fn coefficients_follow_from_the_shrinkage_as_the_handbook_says() {
    let woods = woods();
    assert!(woods.len() >= 8, "{}", woods.len());
    for (name, wood) in woods {
        let starts = if name.contains("cedar") { 22.0 } else { 30.0 };
        for (shrinkage, coefficient) in wood.shrinkage.value.into_iter().zip(wood.movement.value) {
            let each = shrinkage / 100.0 / starts;
            let at_ten = 1.0 - each * (starts - 10.0);
            // Five decimals are printed.
            assert!((each / at_ten - coefficient).abs() < 0.6e-5, "{name}: {} {coefficient}", each / at_ten);
        }
    }
}

fn white_fir() -> Wood {
    let sourced = |value| Sourced { value, source: String::new() };
    Wood {
        shrinkage: sourced([3.3, 7.0]),
        movement: sourced([0.00112, 0.00245]),
        hardness: Sourced { value: 2100.0, source: String::new() },
        season: sourced([9.0, 14.0]),
    }
}

/// Source: Forest Products Laboratory, Wood Handbook, General Technical Report FPL-GTR-282 (2021), chapter 13, its example of the
/// formula with coefficients (from memory): a flat-grained board of white fir, 232 mm wide at 8 per cent, is 1.705 mm wider at 11.
#[test]
fn the_handbook_s_board_of_white_fir() {
    assert!((white_fir().moves(232.0, 8.0, 11.0) - 1.705).abs() < 0.001);
}

/// Source: the same chapter, its formula for larger changes (from memory): from 8 to 11 per cent the change is
/// D (M_F - M_I) / (30 (100) / S - 30 + M_I), which must come to nearly the same from 6 to 14 per cent.
#[test]
fn the_formula_by_total_shrinkage_agrees() {
    for (name, wood) in woods().into_iter().filter(|(name, _)| !name.contains("cedar")) {
        let [_, shrinkage] = wood.shrinkage.value;
        for (from, to) in [(8.0, 11.0), (14.0, 6.0), (6.0, 14.0)] {
            let by_shrinkage = 300.0 * (to - from) / (3000.0 / shrinkage - 30.0 + from);
            let moved = wood.moves(300.0, from, to);
            assert!((moved / by_shrinkage - 1.0).abs() < 0.02, "{name}: {moved} {by_shrinkage}");
        }
    }
}

fn body(moisture: &str) -> Vec<Finding> {
    check(&format!(
        "title = \"t\"\nunits = \"in\"\n\
         [stock]\nmaterial = \"eastern-white-pine\"\nsize = [96, 11.25]\nthickness = 0.75\n{moisture}\n\
         [[box]]\nname = \"body\"\ncount = 1\nkind = \"frame-box\"\nframe = \"langstroth-deep\"\nframes = 10\n\
         rest = \"rabbet\"\ncorner = \"finger\"\nfloor = \"none\"\ncover = \"none\"\n"
    ))
    .findings
}

/// A deep body of 9 5/8 in from eastern white pine. Source of the coefficient, 0.00212: Forest Products Laboratory, Wood Handbook,
/// General Technical Report FPL-GTR-282 (2021), Table 13-5. From 12 to 16 per cent the walls grow by 0.0848 of an inch in ten; the
/// rest is cut 9 in above their lower edge, 1/4 in of which are left below frames of 9 1/8 in on lugs of 3/8 in.
#[test]
fn a_body_in_a_damp_autumn_lifts_its_frames() {
    let findings = body("moisture = 12\nseason = [8, 16]");
    let moves = findings.iter().find(|it| it.id == JobCheck::BoardMovement.into()).expect("told");
    let in_all = moves.measured.expect("measured").value();
    assert!((in_all - 9.625 * INCH * 0.00212 * 8.0).abs() < 0.01, "{in_all}");
    let below: Vec<f64> = findings
        .iter()
        .filter(|it| it.id == JobCheck::SeasonFit.into() && it.check.contains("below"))
        .filter_map(|it| Some(it.measured?.value()))
        .collect();
    let damp = INCH * (0.25 + 9.0 * 0.00212 * 4.0);
    assert!(matches!(below[..], [one] if (one - damp).abs() < 0.01), "{below:?}, {damp}");
}

/// In a season without seasons whatever fits as it is cut fits.
#[test]
fn nothing_moves_where_the_moisture_stays() {
    let findings = body("moisture = 12\nseason = [12, 12]");
    let fits = |it: &&Finding| it.id == JobCheck::SeasonFit.into();
    assert_eq!(findings.iter().filter(fits).map(|it| it.advice.is_empty()).collect::<Vec<_>>(), [false]);
    assert!(findings.iter().filter(fits).all(|it| it.status == nestwright::finding::Status::Ok));
}

/// Lead holes of screws: 70 per cent of the root's diameter in softwood, about 90 in hardwood, the root being about two thirds of
/// the shank (Forest Products Laboratory, "Wood Handbook", FPL-GTR-190, 2010, chapter 8; the two shares are from memory, that of the
/// root was read there). A table of pilot holes as common practice has 3/32 in (2.4 mm) for a No. 8 screw (4.2 mm) in softwood and
/// 7/64 in (2.8 mm) in hardwood: as wide or a little wider.
#[test]
fn pilots_are_as_wide_as_the_handbook_has_them() {
    let profiles = Profiles::built_in();
    let screw = profiles.find::<Fastener>("screw-4x40").expect("built in");
    let density = |name: &str| profiles.find::<Material>(name).expect("built in").density.value;
    let root = 4.0 * 2.0 / 3.0;
    for soft in
        ["eastern-white-pine", "ponderosa-pine", "western-redcedar", "douglas-fir", "western-larch", "softwood-plywood"]
    {
        let pilot = screw.pilot(density(soft)).expect("a screw");
        assert!((pilot - 0.7 * root).abs() < 1e-9, "{soft}: {pilot}");
    }
    let hard = screw.pilot(density("birch-plywood")).expect("a screw");
    assert!((hard - 0.9 * root).abs() < 1e-9);
    assert!(profiles.find::<Fastener>("brad-2").expect("built in").pilot(500.0).is_none());
}

/// Engineering handbooks give nails and screws as allowable loads, a fifth to a sixth of what pulls them out: American Wood
/// Council, "National Design Specification for Wood Construction" (2018), tables 12.2B and 12.2C, from memory: in wood of specific
/// gravity 0.50 a nail of 0.148 in holds 36 lb for each inch, a wood screw no. 8 (0.164 in) 117 lb.
#[test]
fn what_pulls_a_fastener_out_is_some_five_and_a_half_times_what_design_allows() {
    const POUND: f64 = 4.448_22;
    let of = |name: &str, inches: f64| {
        let found: std::sync::Arc<Fastener> = Profiles::built_in().find(name).expect("built in");
        let diameter = Sourced { value: inches * INCH, source: "a test".into() };
        Fastener { diameter: Some(diameter), ..Fastener::clone(&found) }
    };
    for (fastener, allowed) in [(of("brad-2", 0.148), 36.0), (of("screw-4x40", 0.164), 117.0)] {
        let bears = nestwright::fit::withdrawal(&fastener, 560.0, INCH).expect("a thickness") / POUND;
        assert!((5.4..5.8).contains(&(bears / allowed)), "{}: {bears}", fastener.name);
    }
}

/// Forest Products Laboratory, "Wood Handbook", FPL-GTR-190 (2010), table 8-4, from memory: K for softwoods of specific gravity
/// 0.29 to 0.42, 0.43 to 0.47 and 0.48 to 0.52, in pounds and inches: nails 1440, 1800, 2200; screws 3360, 4320, 5280.
#[test]
fn lateral_loads_are_those_of_the_table_in_pounds_and_inches() {
    const POUND: f64 = 4.448_22;
    let of = |name: &str| -> std::sync::Arc<Fastener> { Profiles::built_in().find(name).expect("built in") };
    for (gravity, nail, screw) in [(0.35, 1440.0, 3360.0), (0.45, 1800.0, 4320.0), (0.50, 2200.0, 5280.0)] {
        let (brad, wood_screw) = (of("brad-2"), of("screw-4x40"));
        let inches = |fastener: &Fastener| fastener.diameter.as_ref().expect("a thickness").value / INCH;
        let told = |fastener| nestwright::fit::lateral(fastener, gravity * 1120.0, 40.0).expect("known") / POUND;
        let (by_nail, by_screw) = (nail * inches(&brad).powf(1.5), screw * inches(&wood_screw).powi(2));
        assert!((told(&brad) / by_nail - 1.0).abs() < 0.002, "{gravity}");
        assert!((told(&wood_screw) / by_screw - 1.0).abs() < 0.002, "{gravity}");
        // Half as deep as it wants, it bears half.
        let half =
            nestwright::fit::lateral(&brad, gravity * 1120.0, 7.0 * inches(&brad) * INCH).expect("known") / POUND;
        assert!((half / by_nail - 0.5).abs() < 0.002);
    }
}

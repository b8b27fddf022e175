//! Sheets: what their standard allows, and boxes across it.

use crate::shared::check;
use nestwright::finding::{Finding, JobCheck, Status, Theme};
use nestwright::profile::{Material, Profiles};
use nestwright::units::INCH;

/// NIST Voluntary Product Standard PS 1 (PS 1-19): least and most thickness of a category (in); unsanded, touch-sanded and
/// overlaid panels.
const CATEGORIES: [(f64, f64, f64); 8] = [
    (1.0 / 4.0, 0.219, 0.281),
    (3.0 / 8.0, 0.344, 0.406),
    (15.0 / 32.0, 0.438, 0.500),
    (1.0 / 2.0, 0.469, 0.531),
    (19.0 / 32.0, 0.563, 0.625),
    (5.0 / 8.0, 0.594, 0.656),
    (23.0 / 32.0, 0.688, 0.750),
    (3.0 / 4.0, 0.719, 0.781),
];

fn material(name: &str) -> std::sync::Arc<Material> {
    Profiles::built_in().find(name).expect("built in")
}

/// Source: PS 1-19: unsanded and touch-sanded panels to 13/16 in may be 1/32 in off, sanded ones to 3/4 in 1/64 in.
#[test]
fn the_tolerance_of_plywood_gives_the_standard_s_categories() {
    let [less, more] = material("softwood-plywood").tolerance.value;
    for (nominal, least, most) in CATEGORIES {
        // The table is rounded to a thousandth.
        assert!((nominal - less / INCH - least).abs() < 0.0008, "{nominal}");
        assert!((nominal + more / INCH - most).abs() < 0.0008, "{nominal}");
    }
    let sanded = material("birch-plywood").tolerance.value;
    assert!(sanded.iter().all(|off| (off / INCH - 1.0 / 64.0).abs() < 1e-9));
}

fn nuc(thickness: f64, material: &str) -> Vec<Finding> {
    check(&format!(
        "title = \"t\"\nunits = \"in\"\n\
         stock = {{ material = \"{material}\", size = [96, 48], thickness = {thickness} }}\n\
         [[box]]\nname = \"nuc\"\ncount = 1\nkind = \"frame-box\"\nframe = \"langstroth-deep\"\nframes = 5\n\
         lug-gap = \"1/8 in\"\n"
    ))
    .findings
}

/// The five-frame nuc with cleat rests that is made from half-inch plywood, its lugs with 1/8 in of room in all: unless that is
/// said, it follows the thickness. Source of the thicknesses: PS 1-19: the half-inch
/// category, 0.469 to 0.531 in; of 15/32, 0.438 to 0.500 in. At 15/32 it works over the whole category; half-inch stock at
/// its thickest closes the bee space at the frame ends (under 6 mm), and a sheet near that is cautioned.
#[test]
fn a_cleat_rest_across_the_standard_s_tolerance() {
    let refused = |thickness: f64| nuc(thickness, "softwood-plywood").iter().any(Finding::refused);
    for thickness in [0.438, 0.469, 0.500] {
        assert!(!refused(thickness), "{thickness}");
    }
    assert!(refused(0.531));
    let range = |thickness: f64| {
        let findings = nuc(thickness, "softwood-plywood");
        let finding = findings.into_iter().find(|finding| finding.theme == Theme::Thickness).expect("checked");
        (finding.status, finding.thickness.expect("a range"))
    };
    let (status, limits) = range(0.469);
    assert_eq!(status, Status::Ok);
    // From 3/8 in, where the space at the frame ends is 3/8 in, to where it is 6 mm: 3/4 in less that.
    assert!((limits.least.expect("a least") - 0.375 * INCH).abs() < 0.05, "{limits:?}");
    assert!((limits.most.expect("a most") - (0.75 * INCH - 6.0)).abs() < 0.05, "{limits:?}");
    assert_eq!(range(0.500).0, Status::Caution, "a half-inch sheet may be 1/32 in thicker");
}

/// Source: PS 1-19: unsanded and touch-sanded panels of the half-inch category are from 0.469 to 0.531 in, whichever of them lies
/// on the bench today. The nuc with cleat rests holds to 0.515 in, so a thin one is cautioned as a thick one is; and a sheet of
/// 0.45 in is no half-inch one.
#[test]
fn the_tolerance_is_about_what_a_sheet_is_sold_as() {
    let sold = |thickness: f64, nominal: &str| {
        check(&format!(
            "title = \"t\"\nunits = \"in\"\n\
             stock = {{ material = \"softwood-plywood\", size = [96, 48], thickness = {thickness}, nominal = \"{nominal}\" }}\n\
             [[box]]\nname = \"nuc\"\ncount = 1\nkind = \"frame-box\"\nframe = \"langstroth-deep\"\nframes = 5\n\
             lug-gap = \"1/8 in\"\n"
        ))
        .findings
    };
    let of = |findings: &[Finding], id: JobCheck| {
        findings.iter().find(|it| it.id == id.into()).map(|it| (it.status, it.advice.clone())).expect("told")
    };
    for thickness in [0.470, 0.480, 0.500] {
        let (status, advice) = of(&sold(thickness, "1/2 in"), JobCheck::StockThickness);
        assert_eq!(status, Status::Caution, "{thickness}");
        assert!(advice.contains("from 0.469 in to 0.531 in"), "{advice}");
    }
    assert_eq!(of(&sold(0.470, "15/32 in"), JobCheck::StockThickness).0, Status::Ok);
    assert_eq!(of(&sold(0.450, "1/2 in"), JobCheck::NominalThickness).0, Status::Caution);
    assert_eq!(of(&sold(0.470, "1/2 in"), JobCheck::NominalThickness).0, Status::Ok);
}

/// A sheet that isn't even is cut by its thickest place, and the box must hold at its thinnest too. The nuc with cleat rests
/// works from 9.53 to 13.05 mm.
#[test]
fn a_sheet_that_is_not_even_holds_over_all_of_it() {
    let uneven = |thickness: &str| {
        check(&format!(
            "title = \"t\"\nstock = {{ material = \"birch-plywood\", size = [2440, 1220], thickness = {thickness} }}\n\
             [[box]]\nname = \"nuc\"\ncount = 1\nkind = \"frame-box\"\nframe = \"langstroth-deep\"\nframes = 5\n"
        ))
    };
    let status = |thickness: &str| {
        let findings = uneven(thickness).findings;
        findings.iter().find(|it| it.id == JobCheck::UnevenSheet.into()).map(|it| it.status)
    };
    assert_eq!(status("[11.8, 12.2]"), Some(Status::Ok));
    assert_eq!(status("[9.3, 12.2]"), Some(Status::Refused));
    assert_eq!(status("12.2"), None);
    assert!((uneven("[11.8, 12.2]").assemblies[0].panels[0].thickness - 12.2).abs() < 1e-9);
}

/// European Committee for Standardization, EN 315, "Plywood, tolerances for dimensions" (2000), from memory: sanded plywood of
/// nominal thickness t is from t - (0.4 + 0.03 t) to t + (0.2 + 0.03 t). The lists of several
/// mills have the same, rounded down to tenths: 12 mm -0.7 +0.5, 18 mm -0.9 +0.7, 24 mm -1.1 +0.9.
#[test]
fn european_plywood_may_be_as_thick_as_its_standard_says() {
    let sanded = material("metric-plywood");
    for (nominal, thinner, thicker) in [(12.0, 0.76, 0.56), (18.0, 0.94, 0.74), (24.0, 1.12, 0.92), (30.0, 1.3, 1.1)] {
        let [less, more] = sanded.tolerance_of(nominal);
        assert!((less - thinner).abs() < 1e-9 && (more - thicker).abs() < 1e-9, "{nominal}: {less} {more}");
    }
}

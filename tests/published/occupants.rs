//! Nest boxes against published tables.

use crate::shared::{check, job_of};
use nestwright::design::kinds::CavityBox;
use nestwright::finding::{Status, Theme};
use nestwright::fit;
use nestwright::profile::{Occupant, Profiles};
use nestwright::units::INCH;

/// Source: USDA Farmers' Bulletin 609, "Bird houses and how to build them", its table of dimensions: for bluebirds a
/// floor of 5 × 5 in, 8 in deep, entrance 1 1/2 in, 6 in above the floor.
#[test]
fn a_bluebird_box_measures_what_the_table_says() {
    let occupant = Profiles::built_in().find::<Occupant>("bluebird").expect("built in");
    for thickness in [0.472 * INCH, 0.75 * INCH] {
        let (job, assemblies) = job_of(CavityBox::for_occupant(occupant.clone()), thickness);
        let findings = fit::check(&job, &assemblies);
        for (check, inches) in [
            ("floor, shorter side of the cavity", 5.0),
            ("floor, longer side of the cavity", 5.0),
            ("height of the cavity", 8.0),
            ("narrower way", 1.5),
            ("centre above the floor", 6.0),
        ] {
            let finding = findings.iter().find(|finding| finding.check == check).unwrap_or_else(|| panic!("{check}"));
            assert!((finding.measured.expect("a measure").value() / INCH - inches).abs() < 1e-3, "{finding:?}");
            assert_eq!(finding.status, Status::Ok);
        }
    }
}

/// Common practice, without a source: 28 mm for great tits, the hole's lower edge at least 125 mm above the floor, walls
/// of at least 15 mm.
#[test]
fn a_great_tit_box_has_its_hole_high_and_is_cautioned_about_thin_walls() {
    let occupant = Profiles::built_in().find::<Occupant>("great-tit").expect("built in");
    let (job, assemblies) = job_of(CavityBox::for_occupant(occupant), 12.0);
    let front = assemblies[0].panel("front").expect("a front");
    let hole = &front.holes[0];
    assert!((hole.length - 28.0).abs() < 1e-9);
    // The floor is let in between the walls: its upper face is one thickness up.
    assert!(hole.centre.y - hole.length / 2.0 - 12.0 >= 125.0);
    let findings = fit::check(&job, &assemblies);
    let walls = findings.iter().find(|finding| finding.check == "thickness of the walls").expect("checked");
    assert_eq!(walls.status, Status::Caution);
}

#[test]
fn an_entrance_that_is_too_small_for_the_bird_is_refused() {
    let checked = check(
        r#"
        title = "too small"
        units = "in"
        stock = { material = "softwood-plywood", size = [96, 48], thickness = 0.472 }
        [[box]]
        name = "box"
        kind = "cavity-box"
        count = 1
        occupant = "bluebird"
        [[box.hole]]
        panel = "front"
        use = "entrance"
        diameter = 1
        across = "centre"
        up = "6 1/2"
        "#,
    );
    assert!(checked.findings.iter().any(|finding| finding.refused() && finding.theme == Theme::Entrance));
}

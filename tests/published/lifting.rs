//! What boxes weigh, and what one person should lift.

use crate::shared::job_of;
use nestwright::design::kinds::FrameBox;
use nestwright::design::kinds::frame_box::{Cover, Floor, Rest};
use nestwright::finding::Status;
use nestwright::fit;
use nestwright::profile::Profiles;
use nestwright::units::INCH;

fn body(frame: &str, frames: u32) -> (f64, Status, f64) {
    let frame = Profiles::built_in().find(frame).expect("built in");
    let design =
        FrameBox { rest: Rest::Rabbet, floor: Floor::None, cover: Cover::None, ..FrameBox::new(frame, frames) };
    let (job, assemblies) = job_of(design, 0.75 * INCH);
    let findings = fit::check(&job, &assemblies);
    let full = findings.iter().find(|finding| finding.check == "the box alone, every frame full").expect("weighed");
    let pounds = full.measured.expect("a measure").value() * 2.204_62;
    (pounds, full.status, full.allowed.and_then(|limits| limits.most).expect("a limit"))
}

/// A tray of 300 × 200 × 80 mm inside, from 12.1 mm of 680 kg/m³: by hand 324.2 × 224.2 × 92.1 mm less the inside are
/// 1 894 350 mm³, 1.288 kg, however its corners meet.
#[test]
fn a_tray_weighs_its_wood() {
    let checked = crate::shared::check(
        "title = 't'\nunits = 'mm'\nsaw = { kerf = 3 }\n\
         stock = { material = 'birch-plywood', size = [1220, 610], thickness = 12.1 }\n\
         box = { name = 'tray', kind = 'open-box', count = 1, inside = [300, 200, 80] }",
    );
    let empty = checked.findings.iter().find(|it| it.id.name() == "lift-empty").expect("weighed");
    let kilograms = empty.measured.expect("a measure").value();
    assert!((kilograms - 1.288).abs() < 0.0005, "{kilograms}");
}

/// Source of the limit: Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH) Publication 94-110: load
/// constant 23 kg (51 lb). Common practice, without a source: a ten-frame super full of honey weighs about 90 lb when deep,
/// 60 lb when medium, 50 lb when shallow; a tenth either way, for nobody fills every cell.
#[test]
fn full_supers_weigh_what_beekeepers_say_and_the_heavy_ones_are_cautioned() {
    for (frame, pounds) in [("langstroth-deep", 90.0), ("langstroth-medium", 60.0), ("langstroth-shallow", 50.0)] {
        let (weight, status, limit) = body(frame, 10);
        assert!((weight / pounds - 1.0).abs() < 0.1, "{frame}: {weight} lb");
        assert_eq!(limit, 23.0);
        assert_eq!(status == Status::Caution, weight > 51.0, "{frame}");
    }
}

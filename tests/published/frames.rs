//! Boxes for standard frames, against the published frames and the bee space.

use crate::shared::job_of;
use nestwright::design::kinds::FrameBox;
use nestwright::design::kinds::frame_box::{Cover, Floor, Rest};
use nestwright::finding::{Finding, Status, Theme};
use nestwright::fit;
use nestwright::profile::{Frame, Profiles};
use nestwright::units::INCH;
use std::sync::Arc;

/// Bee space, inches: 1/4 to 3/8.
/// Common practice: 6 mm to 3/8 in. US patent 9300 (1852) has about three eighths of an inch, and no range.
const BEE_SPACE: (f64, f64) = (0.25, 0.375);

fn frame(name: &str) -> Arc<Frame> {
    Profiles::built_in().find(name).expect("built in")
}

fn findings(name: &str, frames: u32, thickness: f64) -> Vec<Finding> {
    let (job, assemblies) = job_of(FrameBox::new(frame(name), frames), thickness);
    fit::check(&job, &assemblies)
}

fn measured(findings: &[Finding], check: &str) -> f64 {
    let finding = findings.iter().find(|finding| finding.check == check).unwrap_or_else(|| panic!("no {check}"));
    finding.measured.expect("a measure").value()
}

/// Source: USDA Farmers' Bulletin 447, "Bees" (1911): the frame is 17 5/8 in from end bar to end bar, and
/// 9 1/8 in deep. Source of the depth of the medium, 6 1/4 in: common practice.
#[test]
fn langstroth_frames_have_the_published_size() {
    for (name, depth) in [("langstroth-deep", 9.125), ("langstroth-medium", 6.25)] {
        let frame = frame(name);
        assert!((frame.body_length.value - 17.625 * INCH).abs() < 1e-6);
        assert!((frame.depth.value - depth * INCH).abs() < 1e-6);
    }
}

/// Source: BS 1300:1960, as given in MAFF Advisory Leaflet 367: top bar 17 in, 14 in wide, brood frame 8 1/2 in deep,
/// lug 1 1/2 in.
#[test]
fn the_national_brood_frame_has_the_published_size() {
    let frame = frame("national-brood");
    assert!((frame.top_bar_length.value - 17.0 * INCH).abs() < 1e-6);
    assert!((frame.body_length.value - 14.0 * INCH).abs() < 1e-6);
    assert!((frame.depth.value - 8.5 * INCH).abs() < 1e-6);
    let lug = (frame.top_bar_length.value - frame.body_length.value) / 2.0;
    assert!((lug - 1.5 * INCH).abs() < 1e-6);
}

#[test]
fn langstroth_nucs_in_half_inch_stock_keep_the_bee_space_all_round() {
    for name in ["langstroth-deep", "langstroth-medium"] {
        for frames in 3..=6 {
            let findings = findings(name, frames, INCH / 2.0);
            assert!(findings.iter().all(|finding| !finding.refused()), "{name}: {findings:#?}");
            let frames = || findings.iter().filter(|finding| finding.theme == Theme::Frames);
            assert!(frames().all(|finding| finding.status == Status::Ok), "{name}: {findings:#?}");
            for check in ["bee space at the frame ends", "bee space at the side walls", "bee space above the top bars"]
            {
                let inches = measured(&findings, check) / INCH;
                assert!((BEE_SPACE.0..=BEE_SPACE.1 + 1e-6).contains(&inches), "{name}: {check}: {inches}");
            }
        }
    }
}

/// A cleat rest lets the wall reach up to the end bars but for half of what the lugs project past them; in 12 mm stock
/// the National's 1 1/2 in lugs leave about 28 mm.
#[test]
fn a_national_nuc_with_a_cleat_rest_in_12_mm_is_refused_and_told_why() {
    let findings = findings("national-brood", 5, 12.0);
    let ends = findings.iter().find(|finding| finding.check == "bee space at the frame ends").expect("checked");
    assert_eq!(ends.status, Status::Refused);
    let gap = ends.measured.expect("a measure").value();
    assert!((gap - 28.0).abs() < 0.5, "{gap}");
    assert!(ends.advice.contains("inner wall"), "{}", ends.advice);
}

/// Langstroth's own rest needs thin stock: the lug projects 11/16 in, so thick walls close the space at the ends.
#[test]
fn a_langstroth_cleat_rest_in_three_quarter_inch_stock_closes_the_bee_space() {
    let findings = findings("langstroth-deep", 5, 0.75 * INCH);
    let ends = findings.iter().find(|finding| finding.check == "bee space at the frame ends").expect("checked");
    assert_eq!(ends.status, Status::Refused);
    assert!(ends.measured.expect("a measure").value() < BEE_SPACE.0 * INCH);
}

/// Figures of the other standards in millimetres: top bar, body, depth. Common practice: Deutsch Normal (394,
/// 370 × 223) and the body of Zander (420 × 220). Zander's top bar and both Dadants are from memory. BS 1300:1960, as given in MAFF Advisory Leaflet 367, for the
/// National super's 5 1/2 in; the Langstroth shallow's 5 3/8 in is common practice.
#[test]
fn the_other_standard_frames_have_their_sizes() {
    for (name, top_bar, body, depth) in [
        ("deutsch-normal", 394.0, 370.0, 223.0),
        ("zander", 477.0, 420.0, 220.0),
        ("dadant", 470.0, 435.0, 300.0),
        ("dadant-us", 482.0, 448.0, 285.0),
        ("national-super", 17.0 * INCH, 14.0 * INCH, 5.5 * INCH),
        ("langstroth-shallow", 19.0 * INCH, 17.625 * INCH, 5.375 * INCH),
    ] {
        let frame = frame(name);
        assert!((frame.top_bar_length.value - top_bar).abs() < 1e-6, "{name}");
        assert!((frame.body_length.value - body).abs() < 1e-6, "{name}");
        assert!((frame.depth.value - depth).abs() < 1e-6, "{name}");
    }
}

/// Every standard frame hangs in a body with a rabbet in some stock, or on an inner wall when its lugs are long, with a bee
/// space at its ends and enough wood under its lugs.
#[test]
fn every_standard_frame_has_a_body_that_is_not_refused() {
    for (name, rest, thickness) in [
        ("langstroth-deep", Rest::Rabbet, 19.0),
        ("langstroth-medium", Rest::Rabbet, 19.0),
        ("langstroth-shallow", Rest::Rabbet, 19.0),
        ("deutsch-normal", Rest::Rabbet, 19.0),
        ("zander", Rest::InnerWall, 12.0),
        ("dadant", Rest::Rabbet, 19.0),
        ("dadant-us", Rest::Rabbet, 19.0),
        ("national-brood", Rest::InnerWall, 19.0),
        ("national-super", Rest::InnerWall, 12.0),
    ] {
        let floor = Floor::Loose;
        let design = FrameBox { rest, floor, cover: Cover::Inner, ..FrameBox::new(frame(name), 6) };
        let (job, assemblies) = job_of(design, thickness);
        let refused: Vec<_> = fit::check(&job, &assemblies).into_iter().filter(|finding| finding.refused()).collect();
        assert!(refused.is_empty(), "{name}: {refused:#?}");
    }
}

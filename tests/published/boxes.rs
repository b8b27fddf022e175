//! Boxes that the trade makes, in the stock that it makes them from.

use crate::shared::{job_of, parts_of};
use nestwright::design::kinds::FrameBox;
use nestwright::design::kinds::frame_box::{Corner, Cover, Floor, Rest, Walls};
use nestwright::design::{Assembly, Board, Design, OtherWood, Part};
use nestwright::finding::Status;
use nestwright::fit;
use nestwright::profile::{BeeSpace, Profiles};
use nestwright::units::INCH;

/// The trade's own thickness for hive bodies.
const STOCK: f64 = 0.75 * INCH;

fn body(frame: &str, frames: u32, rest: Rest) -> FrameBox {
    let frame = Profiles::built_in().find(frame).expect("built in");
    FrameBox { rest, floor: Floor::None, cover: Cover::None, ..FrameBox::new(frame, frames) }
}

fn assembly(design: FrameBox) -> Assembly {
    job_of(design, STOCK).1.swap_remove(0)
}

/// Distance in inches between the faces of two panels that look at each other.
fn clear(assembly: &Assembly, a: &str, b: &str) -> f64 {
    let [a, b] = [a, b].map(|name| assembly.panel(name).unwrap_or_else(|| panic!("no {name}")));
    let between = (b.place.origin - a.place.origin).dot(a.place.normal()).abs();
    (between - a.thickness - b.thickness) / INCH
}

fn near(what: &str, measured: f64, inches: f64) {
    // The three figures of the rabbet contradict each other by 1/32 in: 18 5/16 + 2 × 3/8 is not 19 1/8.
    assert!((measured - inches).abs() <= 1.0 / 32.0 + 1e-9, "{what}: {measured} in, not {inches}");
}

/// Common practice, without a source: boards 3/8 in thick part a ten-frame body, 14 11/16 in wide inside, into four rooms of two
/// frames for queens to mate from.
#[test]
fn four_rooms_of_two_frames_are_as_wide_as_a_ten_frame_body() {
    let frame = Profiles::built_in().find("langstroth-deep").expect("built in");
    let design = FrameBox { rooms: vec![2, 2, 2, 2], rest: Rest::Rabbet, ..FrameBox::new(frame, 8) };
    let others = vec![OtherWood { panels: "partition".into(), thickness: 0.375 * INCH }];
    let parted = design.build(&Board { others, ..Board::plain(STOCK, Some(6.0)) });
    let inside = clear(&parted, "left side", "right side");
    assert!((inside - 14.6875).abs() <= 1.0 / 16.0 + 1e-9, "{inside} in");
}

/// Common practice, without a source: a Langstroth body for ten frames is 18 5/16 × 14 11/16 in inside; 9 5/8 in deep for
/// deep frames, 6 5/8 for medium, 5 3/4 for shallow; from rest to rest 19 1/8 in; the rabbet for the lugs 5/8 in down and
/// 3/8 in wide.
#[test]
fn ten_frame_langstroth_bodies_have_the_trade_s_sizes() {
    for (frame, deep) in [("langstroth-deep", 9.625), ("langstroth-medium", 6.625), ("langstroth-shallow", 5.75)] {
        for corner in [Corner::Butt, Corner::Rabbet, Corner::Finger] {
            for walls in [Walls::Sides, Walls::Ends] {
                let assembly = assembly(FrameBox { corner, walls, ..body(frame, 10, Rest::Rabbet) });
                near("inside length", clear(&assembly, "front", "back"), 18.0 + 5.0 / 16.0);
                near("inside width", clear(&assembly, "left side", "right side"), 14.0 + 11.0 / 16.0);
                let front = assembly.panel("front").expect("a front");
                near("depth", front.outline.bounds().height() / INCH, deep);
                let rest = front.pockets.iter().find(|pocket| pocket.purpose == "rest").expect("a rabbet");
                near("rabbet, down", (front.outline.bounds().y1 - rest.outline.bounds().y0) / INCH, 5.0 / 8.0);
                near("rabbet, wide", rest.depth / INCH, 3.0 / 8.0);
                let rest_to_rest = clear(&assembly, "front", "back") + 2.0 * rest.depth / INCH;
                near("rest to rest", rest_to_rest, 19.125);
                let foot = assembly.footprint.expect("it stacks");
                near("outside length", foot.outside.height() / INCH, 18.0 + 5.0 / 16.0 + 1.5);
                near("outside width", foot.outside.width() / INCH, 14.0 + 11.0 / 16.0 + 1.5);
            }
        }
    }
}

/// The trade's bodies are not refused, standing on their like in the trade's stock: a deep one leaves 1/2 in between the
/// frames, which is a caution; the others keep the bee space.
#[test]
fn the_trade_s_bodies_stand_on_each_other() {
    for (frame, between) in [("langstroth-deep", 0.5), ("langstroth-medium", 0.375), ("langstroth-shallow", 0.375)] {
        let (job, assemblies) = job_of(body(frame, 10, Rest::Rabbet), STOCK);
        let findings = fit::check(&job, &assemblies);
        assert!(findings.iter().all(|finding| !finding.refused()), "{frame}: {findings:#?}");
        let across = findings.iter().find(|finding| finding.check == "bee space between the boxes").expect("checked");
        near("between the boxes", across.measured.expect("a measure").value() / INCH, between);
        assert_eq!(across.status == Status::Ok, between < 0.4, "{frame}");
    }
}

/// Source: BS 1300:1960, as given in MAFF Advisory Leaflet 367: 18 1/8 in square outside, brood body 8 7/8 in deep, super
/// 5 7/8 in; bottom bee space, frame tops level with the box's top. Inside 16 5/8 × 14 5/8 in, with walls of 3/4 in that
/// stand further in at the frames' ends: common practice.
#[test]
fn national_bodies_have_the_standard_s_sizes() {
    for (frame, deep) in [("national-brood", 8.875), ("national-super", 5.875)] {
        for corner in [Corner::Butt, Corner::Rabbet] {
            let assembly = assembly(FrameBox { corner, ..body(frame, 11, Rest::InnerWall) });
            assert!(assembly.refusals.is_empty(), "{:?}", assembly.refusals);
            let foot = assembly.footprint.expect("it stacks");
            near("outside", foot.outside.width() / INCH, 18.125);
            near("outside", foot.outside.height() / INCH, 18.125);
            near("depth", foot.upper / INCH, deep);
            near("inside, across", clear(&assembly, "left side", "right side"), 16.625);
            near("inside, along", clear(&assembly, "front", "back"), 14.625);
            let frames = assembly.frames.as_ref().expect("frames");
            assert_eq!(frames.frame.bee_space.value, BeeSpace::Bottom);
            let tops = frames.rest + frames.frame.lug_thickness.value;
            near("frame tops below the upper edge", (foot.upper - tops) / INCH, 0.0);
        }
    }
}

/// The same, in millimetres as the leaflet gives them: 460 mm square, 225 and 150 mm deep. The parts that show it are the
/// two sides.
#[test]
fn a_national_side_is_460_by_225() {
    for (frame, deep) in [("national-brood", 225.0), ("national-super", 150.0)] {
        let parts: Vec<Part> = parts_of(body(frame, 11, Rest::InnerWall), STOCK);
        let side = parts.iter().find(|part| part.name == "side").expect("a side");
        assert_eq!(side.count, 2);
        assert!((side.length - 460.0).abs() < INCH / 32.0, "{}", side.length);
        assert!((side.width - deep).abs() < INCH / 32.0, "{}", side.width);
    }
}

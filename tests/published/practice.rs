//! What makers cut, as common practice: no source is published for these sizes.

use crate::shared::{job_of, parts_of};
use nestwright::build::{assemble, parts};
use nestwright::design::Part;
use nestwright::design::kinds::FrameBox;
use nestwright::geometry::Side;
use nestwright::job::Saw;
use nestwright::layout::{Axis, Content, Pattern, Strip, Turn};
use nestwright::profile::Profiles;
use nestwright::saw::{Action, Edge, Method, Step, plan, replay};
use nestwright::units::INCH;

/// Five-frame deep nuc in stock of exactly half an inch, butt corners, cleat rest: sides 19 1/8 × 10 1/4, fronts and backs
/// 7 1/2 × 9 1/2, fixed floor 8 1/2 × 20, cleated cover 9 × 22, rest cleats 8 1/2 × 2, cover cleats 8 1/2 × 3/4.
#[test]
fn a_five_frame_deep_nuc_comes_out_at_the_sizes_makers_cut() {
    let frame = Profiles::built_in().find("langstroth-deep").expect("built in");
    let parts = parts_of(FrameBox::new(frame, 5), INCH / 2.0);
    let expected: [(&str, u32, f64, f64); 6] = [
        ("side", 2, 19.125, 10.25),
        ("front and back", 2, 9.5, 7.5),
        ("floor", 1, 20.0, 8.5),
        ("cover", 1, 22.0, 9.0),
        ("rest cleat", 2, 8.5, 2.0),
        ("cover cleat", 2, 8.5, 0.75),
    ];
    assert_eq!(parts.len(), expected.len(), "{:?}", parts.iter().map(|part| &part.name).collect::<Vec<_>>());
    for (name, count, length, width) in expected {
        let part = parts.iter().find(|part| part.name == name).unwrap_or_else(|| panic!("no {name}"));
        assert_eq!(part.count, count, "{name}");
        assert!((part.length / INCH - length).abs() <= 1.0 / 32.0, "{name}: {}", part.length / INCH);
        assert!((part.width / INCH - width).abs() <= 1.0 / 32.0, "{name}: {}", part.width / INCH);
    }
}

/// A strip across the sheet, filled from its lower edge with rows of equal pieces side by side.
fn strip(parts: &[Part], size: f64, rows: &[(&str, usize, usize)]) -> Strip {
    let mut stack = Vec::new();
    for (name, beside, times) in rows {
        let (part, about) =
            parts.iter().enumerate().find(|(_, part)| part.name == *name).unwrap_or_else(|| panic!("no {name}"));
        let piece = || Strip { size: about.length, content: Content::Part { part, turn: Turn::None } };
        let content = || match beside {
            1 => Content::Part { part, turn: Turn::None },
            _ => Content::Split { axis: Axis::X, strips: (0..*beside).map(|_| piece()).collect() },
        };
        stack.extend((0..*times).map(|_| Strip { size: about.width, content: content() }));
    }
    Strip { size: size * INCH, content: Content::Split { axis: Axis::Y, strips: stack } }
}

/// Four five-frame nucs from one sheet of 4 × 8 ft: the maker squares one end, crosscuts strips of 19 1/8, 19 1/8, 22, 20
/// and 9 1/2 in with a guided saw, and goes to the table saw once the piece is short. The kerfs fit: the last strip still
/// comes out.
#[test]
fn four_nucs_are_cut_from_a_sheet_in_the_order_makers_cut_them() {
    let frame = Profiles::built_in().find("langstroth-deep").expect("built in");
    let (mut job, _) = job_of(FrameBox::new(frame, 5), INCH / 2.0);
    job.boxes[0].count = 4;
    let bench = Profiles::built_in().find("table-saw").expect("built in");
    let saw = Saw { kerf: INCH / 8.0, bench, together: 1, stages: None };
    job.saw = Some(saw.clone());
    let assemblies = assemble(&job).expect("a box");
    let parts = parts(&job, &assemblies);
    let strips = vec![
        strip(&parts, 19.125, &[("side", 1, 4), ("cover cleat", 2, 4)]),
        strip(&parts, 19.125, &[("side", 1, 4)]),
        strip(&parts, 22.0, &[("cover", 1, 4), ("rest cleat", 2, 4)]),
        strip(&parts, 20.0, &[("floor", 1, 4), ("front and back", 2, 1)]),
        strip(&parts, 9.5, &[("front and back", 1, 6)]),
    ];
    let pattern = Pattern {
        stock: 0,
        length: 96.0 * INCH,
        width: 48.0 * INCH,
        thickness: INCH / 2.0,
        trim: 0.0,
        kerf: saw.kerf,
        content: Content::Split { axis: Axis::X, strips },
    };
    let made = plan(&job, &assemblies, &parts, std::slice::from_ref(&pattern)).expect("a plan");
    assert_eq!(replay(&made, &parts, &saw), Vec::<String>::new());

    // One end is squared to the long edge before anything is measured.
    let [first, rest @ ..] = &made.steps[..] else { panic!("no steps") };
    assert_eq!((first.action, first.method), (Action::Square, Method::Guide));
    assert_eq!(first.square, Some((Side::Lower, Edge::LongReference)));
    // Then the strips, each from the fresh end and square to the long edge.
    let across: Vec<&Step> = rest.iter().filter(|step| step.piece == "sheet 1").collect();
    let measures: Vec<f64> = across.iter().map(|step| (step.measure / INCH * 32.0).round() / 32.0).collect();
    assert_eq!(measures, [19.125, 19.125, 22.0, 20.0, 9.5]);
    assert!(across[..4].iter().all(|step| step.method == Method::Guide));
    assert!(across[..4].iter().all(|step| step.square == Some((Side::Lower, Edge::LongReference))));
    assert!(across.windows(2).all(|pair| (pair[1].rect.x0 - pair[0].line() - saw.kerf).abs() < 1e-6));
    // What is left is short, and goes to the table saw: so does every strip.
    assert!(across[4].rect.width() < 24.0 * INCH);
    let guided = made.steps.iter().filter(|step| step.method == Method::Guide).count();
    assert_eq!(guided, 5, "{:?}", made.steps.iter().map(|step| (&step.piece, step.method)).collect::<Vec<_>>());
    assert!(made.steps.iter().all(|step| step.method != Method::Hand));
    // The kerfs are in it: five strips, five kerfs, and what squaring took.
    let used: f64 = across.iter().map(|step| step.measure + saw.kerf).sum::<f64>() + first.measure;
    assert!(used < 96.0 * INCH && used > 90.0 * INCH, "{}", used / INCH);
    // Every size that holds bee space is measured from the piece's own other edge.
    for piece in &made.pieces {
        let [length, width] = made.critical[piece.part];
        assert!((!length || piece.length.cuts == 1) && (!width || piece.width.cuts == 1), "{piece:?}");
    }
}

/// What holds bee space in a hive box: its sides hold the rests apart and the cover above the floor, its ends hold the
/// sides apart and the lugs above the floor. A cover or a cleat that is a little long does no harm.
#[test]
fn what_holds_bee_space_is_known_from_the_box_itself() {
    let frame = Profiles::built_in().find("langstroth-deep").expect("built in");
    let (mut job, assemblies) = job_of(FrameBox::new(frame, 5), INCH / 2.0);
    let bench = Profiles::built_in().find("table-saw").expect("built in");
    job.saw = Some(Saw { kerf: 3.0, bench, together: 1, stages: None });
    let parts = parts(&job, &assemblies);
    let patterns = nestwright::layout::cut_plan(&job, &parts, &crate::shared::search()).expect("patterns");
    let made = plan(&job, &assemblies, &parts, &patterns).expect("a plan");
    let critical = |name: &str| {
        made.critical[parts.iter().position(|part| part.name == name).unwrap_or_else(|| panic!("no {name}"))]
    };
    assert_eq!(critical("side"), [true, true]);
    assert_eq!(critical("front and back"), [true, true]);
    assert_eq!(critical("cover"), [false, false]);
    assert_eq!(critical("cover cleat"), [false, false]);
    assert!(!critical("rest cleat")[0]);
}

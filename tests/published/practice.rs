//! What makers cut, as common practice: no source is published for these sizes.

use crate::shared::parts_of;
use nestwright::design::kinds::FrameBox;
use nestwright::profile::Profiles;
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

//! Pieces that were cut from whole sheets at random and without waste: so many sheets hold them, and no fewer do.

use nestwright::layout::search::{Bin, PieceKind, Problem};

/// Length and width.
pub type Size = (i32, i32);

/// What a cut of this rectangle gives, by two throws of the dice.
pub type Way = fn(Size, [u32; 2]) -> Vec<Size>;

/// Sheets of 2440 × 1220, one piece of them cut after another for as long as there are dice; nothing under 60 comes of it.
pub fn cut_up(sheets: u32, dice: &[u32], grain: bool, way: Way) -> Problem {
    let bin = (2440, 1220);
    let mut items = vec![bin; sheets as usize];
    for roll in dice.chunks_exact(3) {
        let at = roll[0] as usize % items.len();
        let parts = way(items[at], [roll[1], roll[2]]);
        if parts.iter().all(|(length, width)| *length.min(width) >= 60) {
            items.swap_remove(at);
            items.extend(parts);
        }
    }
    let kind = |(length, width)| PieceKind { length, width, straight: true, turned: !grain, count: 1 };
    Problem {
        kinds: items.into_iter().map(kind).collect(),
        bins: vec![Bin { length: bin.0, width: bin.1, supply: None, cost: 1 }],
        stages: None,
    }
}

/// From edge to edge.
pub fn in_two((length, width): Size, [way, place]: [u32; 2]) -> Vec<Size> {
    let share = |side: i32| side / 5 + (place % (side as u32 * 3 / 5 + 1)) as i32;
    if way as i32 % (length + width) < length {
        vec![(share(length), width), (length - share(length), width)]
    } else {
        vec![(length, share(width)), (length, width - share(width))]
    }
}

/// From edge to edge, or into four boards that turn about a fifth in the middle, twice each of two sizes.
pub fn in_two_or_pinwheels((length, width): Size, [way, place]: [u32; 2]) -> Vec<Size> {
    let share = |side: i32, place: u32| side / 4 + (place % (side as u32 / 4 + 1)) as i32;
    let (a, b) = (share(length, place), share(width, place >> 16));
    match way % 4 {
        0 => vec![(a, width), (length - a, width)],
        1 => vec![(length, b), (length, width - b)],
        _ => vec![(length - a, b), (a, width - b), (length - a, b), (a, width - b), (length - 2 * a, width - 2 * b)],
    }
}

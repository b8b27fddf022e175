//! Boards added to a box.

use super::boxes::Sort;
use super::draw::{Draw, Span};

fn away() -> Span {
    Span::of(-20_000.0, 20_000.0)
}

fn size_span() -> Span {
    Span::of(5.0, 20_000.0)
}

/// Some boards of a box of this sort; of another stock where there is one.
pub fn boards(draw: &mut Draw, sort: Sort, other: bool) {
    let how_many = draw.chance.whole(1, 2);
    for i in 0..how_many {
        draw.open("[[box.board]]", "box.board");
        draw.quoted("name", ["batten", "board 2"][i as usize]);
        // In a box of frames there is no room inside, a nest box wants its own, and two boards inside would cross.
        if i == 0 && sort == Sort::Open && draw.chance.odds(0.7) {
            inside(draw)
        } else {
            let walls: &[&str] = match (i, how_many, sort) {
                (0, 1, Sort::Open) => &["left side", "both", "front", "back"],
                (0, 1, _) => &["left side", "both"],
                (0, ..) => &["left side"],
                _ => &["right side"],
            };
            let wall = draw.chance.pick(walls);
            on_a_face(draw, wall)
        }
        if other && draw.given() {
            draw.quoted("stock", "other");
        }
    }
}

fn inside(draw: &mut Draw) {
    let place = draw.chance.below(3);
    let (walls, keys, size) = match place {
        0 => ("[\"front\", \"back\"]", ["from-left", "from-right"], "height"),
        1 => ("[\"left side\", \"right side\"]", ["from-front", "from-back"], "height"),
        _ => ("[\"left side\", \"right side\"]", ["from-floor", "from-top"], "depth"),
    };
    draw.line("between", walls);
    let key = draw.chance.pick(&keys);
    draw.length(key, away().mostly(8.0, 16.0));
    if draw.given() {
        draw.length(size, size_span().mostly(30.0, 38.0));
    }
    if draw.chance.odds(0.5) {
        draw.length("let-in", Span::of(0.0, 40.0).mostly(0.5, 2.0));
    }
}

/// Low on a wall, where no cover reaches down.
fn on_a_face(draw: &mut Draw, wall: &str) {
    match wall {
        "both" => draw.line("against", "[\"left side\", \"right side\"]"),
        wall => draw.quoted("against", wall),
    }
    if draw.given() {
        draw.word("face", &["outer", "outer", "outer", "outer", "inner"]);
    }
    let (along, ends) = match wall {
        "front" | "back" => ("width", ["from-left", "from-right"]),
        _ => ("depth", ["from-front", "from-back"]),
    };
    draw.length("height", size_span().mostly(20.0, 40.0));
    if draw.given() {
        draw.length("from-floor", away().mostly(-8.0, 4.0));
    }
    if draw.chance.odds(0.7) {
        draw.length(along, size_span().mostly(25.0, 50.0));
    }
    if draw.chance.odds(0.6) {
        let key = draw.chance.pick(&ends);
        draw.length(key, away().mostly(-5.0, 12.0));
    }
}

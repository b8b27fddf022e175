//! What to pencil on the wood.

/// `A`, `B`, … `Z`, `AA`, …
pub(super) fn letters(mut index: usize) -> String {
    let mut name = String::new();
    loop {
        name.insert(0, char::from(b'A' + (index % 26) as u8));
        if index < 26 {
            return name;
        }
        index = index / 26 - 1;
    }
}

/// The name of the strip of this number that comes off a piece: `A` off sheet 1 (`2A` where there are several), `A3` off
/// `A`, `A3a` off `A3`, and so on by turns.
pub(super) fn strip(piece: &str, depth: usize, index: usize) -> String {
    match depth {
        0 => format!("{piece}{}", letters(index)),
        depth if depth % 2 == 1 => format!("{piece}{}", index + 1),
        _ => format!("{piece}{}", letters(index).to_lowercase()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_go_on_after_z_and_tell_generations_apart() {
        assert_eq!(letters(0), "A");
        assert_eq!(letters(25), "Z");
        assert_eq!(letters(26), "AA");
        assert_eq!(letters(701), "ZZ");
        assert_eq!(letters(702), "AAA");
        assert_eq!(strip("2", 0, 1), "2B");
        assert_eq!(strip("2B", 1, 0), "2B1");
        assert_eq!(strip("2B1", 2, 2), "2B1c");
    }
}

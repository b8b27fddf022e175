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

/// The name of the next piece that comes off a sheet or off what is cut from it: `A`, `B` the strips off sheet 1 (`2A` where
/// there are several), `A1`, `A2` whatever comes of `A`, in order: short enough to pencil on.
pub(super) fn strip(stem: &str, depth: usize, index: usize) -> String {
    if depth == 0 { format!("{stem}{}", letters(index)) } else { format!("{stem}{}", index + 1) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_go_on_after_z() {
        assert_eq!(letters(0), "A");
        assert_eq!(letters(25), "Z");
        assert_eq!(letters(26), "AA");
        assert_eq!(letters(701), "ZZ");
        assert_eq!(letters(702), "AAA");
        assert_eq!(strip("2", 0, 1), "2B");
        assert_eq!(strip("2B", 1, 0), "2B1");
        assert_eq!(strip("2B", 2, 9), "2B10");
    }
}

//! Letters of single strokes, for a cutter: straight lines on a grid of [`HIGH`] units from foot to head, corners cut off.
//!
//! Drawn for this program. Strokes of a letter that run beside one another are two units apart or more.

use crate::geometry::Vec2;

/// Units from a letter's foot to its head.
pub const HIGH: f64 = 6.0;
/// Width of a space between words.
const SPACE: f64 = 2.0;

/// Each letter's strokes, a stroke's corners as pairs of digits: units to the right and up.
const LETTERS: [(char, &[&str]); 40] = [
    ('A', &["0004264440", "0242"]),
    ('B', &["00063645443303", "3342413000"]),
    ('C', &["4536160501103041"]),
    ('D', &["00062644422000"]),
    ('E', &["46060040", "0333"]),
    ('F', &["000646", "0333"]),
    ('G', &["45361605011030414323"]),
    ('H', &["0006", "4046", "0343"]),
    ('I', &["0006"]),
    ('J', &["4641301001"]),
    ('K', &["0006", "4602", "1340"]),
    ('L', &["060040"]),
    ('M', &["0006234640"]),
    ('N', &["00064046"]),
    ('O', &["100105163645413010"]),
    ('P', &["00063645443303"]),
    ('Q', &["100105163645413010", "2240"]),
    ('R', &["00063645443303", "2340"]),
    ('S', &["453616050413334241301001"]),
    ('T', &["0646", "2620"]),
    ('U', &["060110304146"]),
    ('V', &["062046"]),
    ('W', &["0610233046"]),
    ('X', &["0640", "0046"]),
    ('Y', &["062346", "2320"]),
    ('Z', &["06460040"]),
    ('0', &["100105162635312010"]),
    ('1', &["051610"]),
    ('2', &["05163645440040"]),
    ('3', &["05163645443313", "334241301001"]),
    ('4', &["30360242"]),
    ('5', &["460603334241301001"]),
    ('6', &["4536160501103041423303"]),
    ('7', &["064620"]),
    ('8', &["130405163645443313", "1302011030414233"]),
    ('9', &["0110304145361605041343"]),
    ('-', &["0323"]),
    ('.', &["0001"]),
    ('/', &["0046"]),
    ('+', &["0323", "1214"]),
];

/// Strokes of a line of text, in units from its lower-left corner, and the line's width.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    pub strokes: Vec<Vec<Vec2>>,
    pub width: f64,
}

/// Does the font have this sign, small letters as capitals?
fn has(sign: char) -> bool {
    sign == ' ' || sign.to_uppercase().all(|capital| LETTERS.iter().any(|(known, _)| *known == capital))
}

/// The signs of a text that are not in the font, each once.
pub fn lacking(text: &str) -> Vec<char> {
    let mut lacking = Vec::new();
    for sign in text.chars().filter(|sign| !has(*sign)) {
        if !lacking.contains(&sign) {
            lacking.push(sign);
        }
    }
    lacking
}

/// The strokes of a text, `gap` units between its letters; small letters as capitals. `None` where it has a sign that is not
/// in the font.
pub fn line(text: &str, gap: f64) -> Option<Line> {
    let (mut strokes, mut at, mut end) = (Vec::new(), 0.0, 0.0);
    for sign in text.chars().flat_map(char::to_uppercase) {
        if sign == ' ' {
            at += SPACE;
            continue;
        }
        let (_, letter) = LETTERS.iter().find(|(known, _)| *known == sign)?;
        let corners = |stroke: &&str| -> Vec<Vec2> {
            let units: Vec<f64> = stroke.bytes().map(|digit| f64::from(digit - b'0')).collect();
            units.chunks_exact(2).map(|pair| Vec2::new(at + pair[0], pair[1])).collect()
        };
        let own: Vec<Vec<Vec2>> = letter.iter().map(corners).collect();
        end = own.iter().flatten().map(|corner| corner.x).fold(at, f64::max);
        strokes.extend(own);
        at = end + gap;
    }
    Some(Line { strokes, width: end })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_letter_is_its_own_and_stands_on_the_grid() {
        for (i, (sign, strokes)) in LETTERS.iter().enumerate() {
            assert!(LETTERS[..i].iter().all(|(other, drawn)| other != sign && drawn != strokes), "{sign}");
            for stroke in *strokes {
                let fits = |pair: &[u8]| matches!(pair, [b'0'..=b'4', b'0'..=b'6']);
                assert!(stroke.len() >= 4 && stroke.len() % 2 == 0, "{sign}: {stroke}");
                assert!(stroke.as_bytes().chunks(2).all(fits), "{sign}: {stroke}");
            }
        }
    }

    /// So there is wood between them, as long as the cutter is narrower than that.
    #[test]
    fn strokes_beside_one_another_are_two_units_apart() {
        for (sign, _) in &LETTERS {
            let strokes = line(&sign.to_string(), 2.0).expect("a letter").strokes;
            let sides: Vec<(Vec2, Vec2)> =
                strokes.iter().flat_map(|stroke| stroke.windows(2)).map(|pair| (pair[0], pair[1])).collect();
            for (i, (a, b)) in sides.iter().enumerate() {
                let stroke = (*b - *a).normalize();
                let along = |it: Vec2| (it - *a).dot(stroke);
                for (c, d) in &sides[i + 1..] {
                    let parallel = stroke.cross(*d - *c).abs() < 1e-9;
                    let shared = along(*b).min(along(*c).max(along(*d))) - along(*c).min(along(*d)).max(0.0);
                    let apart = stroke.cross(*c - *a).abs();
                    assert!(!parallel || shared <= 0.0 || apart >= 2.0, "{sign}: {apart}");
                }
            }
        }
    }

    #[test]
    fn a_line_is_as_wide_as_its_letters_and_the_gaps_between_them() {
        // I has no width, L four units; a gap of two between letters, and a space of two more between words.
        let line = line("il l", 2.0).expect("letters");
        assert_eq!(line.width, 0.0 + 2.0 + 4.0 + (2.0 + 2.0) + 4.0);
        assert_eq!(line.strokes.len(), 3);
        assert_eq!(super::line("Käfer", 2.0), None);
        assert_eq!(lacking("Käfer & Bär's 2"), ['ä', '&', '\'']);
    }
}

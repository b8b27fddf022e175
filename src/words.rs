//! How counts are said, where a line may break, and what a file is called.

use std::collections::HashSet;

/// A count with its word: `1 cut`, `12 cuts`, `0 boxes`.
///
/// ```
/// use nestwright::words::counted;
/// assert_eq!([counted(1, "cut"), counted(12, "cut"), counted(0, "box")], ["1 cut", "12 cuts", "0 boxes"]);
/// ```
pub fn counted(count: usize, one: &str) -> String {
    let ending = match one {
        _ if count == 1 => "",
        one if one.ends_with(['s', 'x']) || one.ends_with("ch") => "es",
        _ => "s",
    };
    format!("{count} {one}{ending}")
}

/// A sentence that begins with a capital.
///
/// ```
/// use nestwright::words::sentence;
/// assert_eq!(sentence("drill it."), "Drill it.");
/// ```
pub fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A letter for each of many things, by its place: A, B, …, Z, A1, B1, …
///
/// ```
/// use nestwright::words::letter;
/// assert_eq!([0, 25, 26, 53].map(letter), ["A", "Z", "A1", "B2"]);
/// ```
pub fn letter(index: usize) -> String {
    let letter = char::from(b'A' + u8::try_from(index % 26).unwrap_or(0));
    if index < 26 { letter.to_string() } else { format!("{letter}{}", index / 26) }
}

/// Where a line may break: the text's words, a figure with its fraction and its unit as one.
///
/// ```
/// use nestwright::words::unbroken;
/// assert_eq!(unbroken("Drive 3 brads of 1 1/4 in, here."), ["Drive", "3", "brads", "of", "1 1/4 in,", "here."]);
/// ```
pub fn unbroken(text: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match found.last_mut() {
            Some(last) if belong(last, word) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => found.push(word.into()),
        }
    }
    found
}

/// The text with spaces that do not break between a figure, its fraction and its unit, for whatever breaks the lines itself.
///
/// ```
/// use nestwright::words::tied;
/// assert_eq!(tied(" 2 brads of 1 1/4\n in, "), " 2 brads of 1\u{a0}1/4\u{a0}in, ");
/// assert_eq!(tied("3 sq in or 2 cu ft a go"), "3\u{a0}sq\u{a0}in or 2\u{a0}cu\u{a0}ft a go");
/// ```
pub fn tied(text: &str) -> String {
    let (mut tied, mut rest, mut last) = (String::with_capacity(text.len()), text, "");
    while let Some(start) = rest.find(|c: char| !c.is_whitespace()) {
        let (space, words) = rest.split_at(start);
        let (word, after) = words.split_at(words.find(char::is_whitespace).unwrap_or(words.len()));
        tied.push_str(if belong(last, word) { "\u{a0}" } else { space });
        tied.push_str(word);
        (rest, last) = (after, word);
    }
    tied.push_str(rest);
    tied
}

/// Is this word the fraction or the unit of a figure at the end of what stands before it?
fn belong(before: &str, word: &str) -> bool {
    const UNITS: [&str; 20] = [
        "mm", "cm", "m", "in", "ft", "kg", "g", "lb", "oz", "l", "ml", "min", "mm²", "cm²", "m²", "%", "s", "mm/min",
        "in/min", "rev/min",
    ];
    // Square and cubic inches and feet have two words.
    const OF_FEET: [&str; 2] = ["sq", "cu"];
    let is_unit = |word: &str| UNITS.contains(&word.trim_end_matches([',', '.', ';', ':', ')']));
    let is_fraction = |word: &str| {
        let halves = word.split_once('/');
        halves.is_some_and(|(over, under)| {
            !over.is_empty()
                && over.bytes().all(|b| b.is_ascii_digit())
                && under.starts_with(|c: char| c.is_ascii_digit())
        })
    };
    let figure = before.ends_with(|c: char| c.is_ascii_digit());
    let of_feet = before.rsplit(' ').next().is_some_and(|last| OF_FEET.contains(&last));
    figure && (is_fraction(word) || is_unit(word) || OF_FEET.contains(&word)) || of_feet && is_unit(word)
}

/// A name as a file's name on any system: lower-case letters, digits and hyphens, never empty, never a device's name.
pub fn file_name(name: &str) -> String {
    /// Names that some systems keep for devices.
    const DEVICES: [&str; 6] = ["con", "prn", "aux", "nul", "com", "lpt"];
    let mut slug = String::new();
    for c in name.chars().flat_map(char::to_lowercase) {
        if c.is_ascii_alphanumeric() {
            slug.push(c);
        } else if !slug.ends_with('-') && !slug.is_empty() {
            slug.push('-');
        }
    }
    slug.truncate(60);
    let slug = slug.trim_matches('-').to_string();
    let device = DEVICES.iter().any(|device| slug.trim_end_matches(|c: char| c.is_ascii_digit()) == *device);
    if slug.is_empty() || device { format!("part-{slug}").trim_end_matches('-').to_string() } else { slug }
}

/// A file name for each of the names, no two alike.
pub fn file_names<'a>(names: impl IntoIterator<Item = &'a str>) -> Vec<String> {
    let mut taken = HashSet::new();
    names
        .into_iter()
        .map(|name| {
            let plain = file_name(name);
            let mut unique = plain.clone();
            let mut number = 2;
            while !taken.insert(unique.clone()) {
                unique = format!("{plain}-{number}");
                number += 1;
            }
            unique
        })
        .collect()
}

/// `a`, `a and b`, `a, b and c`.
pub fn and<S: AsRef<str>>(words: &[S]) -> String {
    match words {
        [] => String::new(),
        [only] => only.as_ref().into(),
        [others @ .., last] => {
            let others: Vec<&str> = others.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", others.join(", "), last.as_ref())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_become_harmless() {
        assert_eq!(file_name("left side"), "left-side");
        assert_eq!(file_name("../../etc/passwd"), "etc-passwd");
        assert_eq!(file_name("CON"), "part-con");
        assert_eq!(file_name("lpt1"), "part-lpt1");
        assert_eq!(file_name("🐝"), "part");
        assert!(file_name(&"x".repeat(500)).len() <= 60);
        assert_eq!(file_names(["Side", "side!"]), ["side", "side-2"]);
    }
}

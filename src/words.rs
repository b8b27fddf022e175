//! How counts are said, and where a line may break.

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

/// Where a line may break: the text's words, a figure with its fraction and its unit as one.
///
/// ```
/// use nestwright::words::unbroken;
/// assert_eq!(unbroken("Drive 3 brads of 1 1/4 in, here."), ["Drive", "3", "brads", "of", "1 1/4 in,", "here."]);
/// ```
pub fn unbroken(text: &str) -> Vec<String> {
    const UNITS: [&str; 15] = ["mm", "cm", "m", "in", "ft", "kg", "g", "lb", "oz", "l", "ml", "min", "mm²", "m²", "%"];
    let is_unit = |word: &str| UNITS.contains(&word.trim_end_matches([',', '.', ';', ':', ')']));
    let is_fraction = |word: &str| {
        let halves = word.split_once('/');
        halves.is_some_and(|(over, under)| {
            !over.is_empty()
                && over.bytes().all(|b| b.is_ascii_digit())
                && under.starts_with(|c: char| c.is_ascii_digit())
        })
    };
    let mut found: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match found.last_mut() {
            Some(last) if last.ends_with(|c: char| c.is_ascii_digit()) && (is_fraction(word) || is_unit(word)) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => found.push(word.into()),
        }
    }
    found
}

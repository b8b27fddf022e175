//! How counts are said.

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

//! Comments that no controller takes for anything else.

/// Text that any controller takes as a comment, and as nothing else: printable ASCII, not too long.
///
/// Brackets would end it or open another. A percent sign ends the whole text on controllers that read tapes; `! ~ ?` act at
/// once on small ones, wherever they stand; `; $ #` begin something on others (common practice).
pub(super) fn plain(text: &str) -> String {
    let comment: String = text
        .chars()
        .map(|c| match c {
            '(' | '[' | '{' => '<',
            ')' | ']' | '}' => '>',
            '×' => 'x',
            ';' => ',',
            '%' | '!' | '~' | '?' | '$' | '#' | '^' | '`' | '\\' | '|' => '.',
            ' '..='~' => c,
            _ => '.',
        })
        .take(110)
        .collect();
    let first: String = comment.trim_start().chars().take_while(char::is_ascii_alphabetic).collect();
    if ACTIVE.contains(&first.to_ascii_uppercase().as_str()) { format!("- {comment}") } else { comment }
}

/// What a comment must not begin with: RS274/NGC shows one that begins with MSG, to the operator (NIST IR 6556, 3.3.4), and
/// controllers have added others that print, open files or stop.
const ACTIVE: [&str; 10] =
    ["MSG", "DEBUG", "PRINT", "LOG", "LOGOPEN", "LOGCLOSE", "LOGAPPEND", "PROBEOPEN", "PROBECLOSE", "PY"];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_comment_can_never_end_early_or_carry_a_command() {
        assert_eq!(plain("box) M30 (\n%G0\u{e9}"), "box> M30 <..G0.");
        assert_eq!(plain("msg, hello"), "- msg, hello");
    }
}

//! The page's own style and script, and what keeps anything else in it from running.

use base64::Engine;
use sha2::{Digest, Sha256};

pub(super) const STYLE: &str = concat!(
    include_str!("style/paper.css"),
    include_str!("style/page.css"),
    include_str!("style/parts.css"),
    include_str!("style/checks.css"),
    include_str!("style/steps.css"),
    include_str!("style/replay.css"),
    include_str!("style/proof.css"),
    include_str!("style/print.css"),
);

/// Bundled from `page/job` and `page/view` by `.ci/page job`; kept in the repository, so that building needs nothing but Rust.
pub(super) const SCRIPT: &str = include_str!("script.js");

/// The content security policy: this style and this script by their checksums, and nothing else, from anywhere.
pub fn policy() -> String {
    let sum = |text: &str| base64::engine::general_purpose::STANDARD.encode(Sha256::digest(text.as_bytes()));
    format!(
        "default-src 'none'; style-src 'sha256-{}'; script-src 'sha256-{}'; base-uri 'none'; form-action 'none'",
        sum(STYLE),
        sum(SCRIPT)
    )
}

/// JSON that can stand in a script element: what could end the element, or start a comment, is written as an escape.
pub(super) fn inert(json: &str) -> String {
    let mut text = String::with_capacity(json.len());
    for c in json.chars() {
        match c {
            '<' | '>' | '&' | '\u{2028}' | '\u{2029}' => text.push_str(&format!("\\u{:04x}", u32::from(c))),
            c => text.push(c),
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn json_says_the_same_and_has_no_markup() {
        let json = serde_json::to_string("</script><!-- & \u{2028}").expect("text");
        let text = inert(&json);
        assert!(!text.contains(['<', '>', '&', '\u{2028}']), "{text}");
        assert_eq!(serde_json::from_str::<String>(&text).expect("JSON"), "</script><!-- & \u{2028}");
    }

    /// The text of an element ends where its end tag first appears.
    #[test]
    fn style_and_script_do_not_end_themselves() {
        assert!(!STYLE.contains("</") && !SCRIPT.contains("</") && !SCRIPT.contains("<!--"));
    }
}

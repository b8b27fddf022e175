//! Figures of the page that stay with their fraction and their unit where a line breaks, on however narrow a screen.

use crate::words::tied;

/// What minijinja writes for a slash. In text, outside of all tags, a slash is as harmless as a letter.
const SLASH: &str = "&#x2f;";

/// The page with its words tied; its tags, scripts and styles stay as they are.
pub(super) fn page_tied(page: &str) -> String {
    let (mut out, mut rest) = (String::with_capacity(page.len()), page);
    while let Some(start) = rest.find('<') {
        let (text, tag) = rest.split_at(start);
        out.push_str(&tied(&text.replace(SLASH, "/")));
        let end = ["script", "style"].into_iter().find_map(|name| {
            let opened = tag[1..].strip_prefix(name)?;
            opened.starts_with([' ', '>']).then(|| tag.find(&format!("</{name}>")).unwrap_or(tag.len()))
        });
        let (tag, after) = tag.split_at(end.unwrap_or_else(|| end_of_tag(tag)));
        out.push_str(tag);
        rest = after;
    }
    out.push_str(&tied(&rest.replace(SLASH, "/")));
    out
}

/// Where a tag ends: behind the first `>` that is in no quotes.
fn end_of_tag(tag: &str) -> usize {
    let mut quote = None;
    for (at, c) in tag.char_indices() {
        match (quote, c) {
            (None, '>') => return at + 1,
            (None, '"' | '\'') => quote = Some(c),
            (Some(open), c) if c == open => quote = None,
            _ => {}
        }
    }
    tag.len()
}

#[cfg(test)]
mod tests {
    use super::page_tied;

    #[test]
    fn text_is_tied_and_nothing_else() {
        let page =
            "<p title=\"5 mm > 4 mm\">1 1&#x2f;2 in <b>9.5 mm</b></p><script>const a = '5 mm' < 3;</script> 4\n kg";
        let tied = page_tied(page);
        assert_eq!(
            tied,
            "<p title=\"5 mm > 4 mm\">1\u{a0}1/2\u{a0}in <b>9.5\u{a0}mm</b></p><script>const a = '5 mm' < 3;</script> 4\u{a0}kg"
        );
    }
}

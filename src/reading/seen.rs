//! Which characters show as themselves, and which play tricks on whoever reads them.

/// Does this character show as itself, wherever it is written: on a screen, on paper, in a file's name?
///
/// Control characters do not, nor what turns the direction of the letters around it, is invisible, ends a line by another
/// name or stands for no character at all (Unicode Standard Annex 9, section 2, and chapter 23 of the standard). The
/// joiner and the selectors that emoji are made with may stay, and so may the letters of any script.
pub fn shows_as_itself(c: char) -> bool {
    let trick = matches!(c,
        '\u{ad}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}' | '\u{180e}'
        | '\u{200b}' | '\u{200c}' | '\u{200e}' | '\u{200f}'
        | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}'
        | '\u{2800}' | '\u{3164}' | '\u{feff}' | '\u{ffa0}'
        | '\u{fff9}'..='\u{fffb}'
        | '\u{e000}'..='\u{f8ff}'
        | '\u{e0000}'..='\u{10ffff}');
    let nothing = (0xfdd0..=0xfdef).contains(&u32::from(c)) || u32::from(c) & 0xfffe == 0xfffe;
    !c.is_control() && !trick && !nothing
}

/// The text with a mark in the place of every character that does not show as itself; line ends and tabs stay.
///
/// The mark is as many bytes long as what it replaces, so that places in the text stay where they are.
///
/// ```
/// use nestwright::reading::harmless;
/// assert_eq!(harmless("red \u{1b}[31m"), "red ?[31m");
/// assert_eq!(harmless("🐝 Ärger\n"), "🐝 Ärger\n");
/// ```
pub fn harmless(text: &str) -> String {
    let mark = |c: char| match c.len_utf8() {
        1 => '?',
        2 => '¿',
        3 => '\u{fffd}',
        _ => '🛑',
    };
    text.chars().map(|c| if shows_as_itself(c) || matches!(c, '\n' | '\r' | '\t') { c } else { mark(c) }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_of_any_script_and_emoji_stay() {
        for text in ["Käse", "улей", "蜂箱", "כוורת", "خلية", "🐝", "👩\u{200d}🌾", "½ × Ø ″"]
        {
            assert_eq!(harmless(text), text);
        }
    }

    #[test]
    fn tricks_are_marked_and_places_stay() {
        for trick in ['\0', '\u{1b}', '\u{7f}', '\u{9b}', '\u{202e}', '\u{2028}', '\u{200b}', '\u{feff}', '\u{e0041}'] {
            let text = format!("a{trick}b");
            let shown = harmless(&text);
            assert!(shown.chars().all(shows_as_itself), "{shown:?}");
            assert_eq!(shown.len(), text.len());
        }
    }
}

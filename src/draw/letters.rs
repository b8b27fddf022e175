//! The letters of all drawings: one bundled font, its widths known here.

use crate::words::unbroken;
use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, GlyphId, MetadataProvider};
use std::collections::HashMap;
use std::sync::OnceLock;

/// The font as a TrueType file; see `fonts/README.md`.
pub const FONT: &[u8] = include_bytes!("../../fonts/dejavu-sans-condensed.ttf");

/// What a viewer without this font should take: letters of nearly the same width.
pub(super) const FAMILY: &str = "'DejaVu Sans Condensed','DejaVu Sans','Liberation Sans',Arial,Helvetica,sans-serif";

/// A font's size is its em; a drawing gives the height of capitals (ISO 3098). This is the em for a height of 1.
pub const EM: f64 = 2048.0 / 1493.0;

/// Below the baseline hang the tails of letters, in heights of a capital.
pub(super) const TAIL: f64 = 0.33;

/// One character as the font draws it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Glyph {
    pub id: u16,
    /// How far it moves the pen on, in ems.
    pub advance: f64,
}

struct Letters {
    glyphs: HashMap<char, Glyph>,
    unknown: Glyph,
}

/// The glyph of a character; one that the font has not got is shown as an empty box.
pub fn glyph(c: char) -> Glyph {
    static LETTERS: OnceLock<Letters> = OnceLock::new();
    let letters = LETTERS.get_or_init(read);
    letters.glyphs.get(&c).copied().unwrap_or(letters.unknown)
}

fn read() -> Letters {
    let font = FontRef::new(FONT).expect("the bundled font is a font");
    let em = f64::from(font.metrics(Size::unscaled(), LocationRef::default()).units_per_em);
    let metrics = font.glyph_metrics(Size::unscaled(), LocationRef::default());
    let glyph = |(code, id): (u32, GlyphId)| {
        let advance = f64::from(metrics.advance_width(id)?) / em;
        Some((char::from_u32(code)?, Glyph { id: u16::try_from(id.to_u32()).ok()?, advance }))
    };
    let glyphs: HashMap<char, Glyph> = font.charmap().mappings().filter_map(glyph).collect();
    let unknown = glyphs.get(&'□').copied().unwrap_or(Glyph { id: 0, advance: 0.6 });
    Letters { glyphs, unknown }
}

/// How wide a text comes out, with capitals of this height (both mm).
///
/// ```
/// // Figures are all of one width, so that columns of them line up.
/// assert_eq!(nestwright::draw::text_width("111", 2.5), nestwright::draw::text_width("888", 2.5));
/// ```
pub fn text_width(text: &str, height: f64) -> f64 {
    text.chars().map(|c| glyph(c).advance).sum::<f64>() * EM * height
}

/// The text, or as much of its start as fits, with an ellipsis.
pub fn shortened(text: &str, height: f64, room: f64) -> String {
    if text_width(text, height) <= room {
        return text.into();
    }
    let mut short = String::new();
    for c in text.chars() {
        short.push(c);
        if text_width(&short, height) + text_width("…", height) > room {
            short.pop();
            break;
        }
    }
    format!("{}…", short.trim_end())
}

/// The text in lines no wider than `room`, broken between words, but not within a figure; a word too long for a line is
/// broken anywhere.
pub fn wrapped(text: &str, height: f64, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in &unbroken(text) {
        let longer = if line.is_empty() { word.to_string() } else { format!("{line} {word}") };
        if text_width(&longer, height) <= room {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            if !line.is_empty() && text_width(&line, height) + text_width(&c.to_string(), height) > room {
                lines.push(std::mem::take(&mut line));
            }
            line.push(c);
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Advances of the font file, read with fontTools: 0 is 1172 of 2048, H is 1386, × is 1544.
    #[test]
    fn widths_are_the_font_s_own() {
        let wide = |text| text_width(text, 1.0) / EM * 2048.0;
        assert!((wide("0") - 1172.0).abs() < 1e-9);
        assert!((wide("H×") - (1386.0 + 1544.0)).abs() < 1e-9);
    }

    #[test]
    fn every_sign_that_drawings_use_is_there() {
        let unknown = glyph('\u{10ffff}');
        for c in "⌀×±°½¼¾⅛→↑≤≥–—’“”²³€£$✓□…µ".chars().filter(|c| *c != '□') {
            assert_ne!(glyph(c), unknown, "{c}");
        }
    }

    #[test]
    fn lines_keep_within_their_room() {
        let text = "glue the front to both sides and keep its lower edge flush, antidisestablishmentarianism";
        for line in wrapped(text, 2.5, 25.0) {
            assert!(text_width(&line, 2.5) <= 25.0, "{line}");
        }
        assert_eq!(wrapped(text, 2.5, 25.0).concat().replace(' ', ""), text.replace(' ', ""));
        assert!(text_width(&shortened(text, 2.5, 30.0), 2.5) <= 30.0);
        assert_eq!(shortened("side", 2.5, 30.0), "side");
        assert_eq!(wrapped("", 2.5, 10.0), Vec::<String>::new());
    }
}

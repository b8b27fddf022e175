//! A picture as an SVG file.

use super::letters::{EM, FAMILY};
use super::pen::{Colour, Pen};
use super::picture::{Mark, Picture, Text};
use crate::geometry::{Outline, Point};
use std::collections::BTreeSet;
use std::fmt::Write;

/// The picture as an SVG file: one user unit is one millimetre on paper, and it prints at that size.
pub fn svg(picture: &Picture) -> String {
    let (w, h) = (n(picture.width), n(picture.height));
    let pens: BTreeSet<Pen> = picture.pens().collect();
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\" \
         role=\"img\">\n<title>{}</title>\n<style>text{{font-family:{FAMILY};font-stretch:condensed;fill:{}}}",
        escaped(&picture.title),
        Pen::Solid.look().fill.map_or_else(String::new, hex),
    );
    for pen in pens {
        out.push_str(&rule(pen));
    }
    out.push_str("</style>\n");
    for mark in &picture.marks {
        match mark {
            Mark::Line { points, pen } => line(&mut out, points, *pen),
            Mark::Area { outlines, pen } => area(&mut out, outlines, *pen),
            Mark::Text(letters) => text(&mut out, letters),
        }
    }
    out.push_str("</svg>\n");
    out
}

fn rule(pen: Pen) -> String {
    let look = pen.look();
    let mut rule = format!(".{}{{fill:{}", look.class, look.fill.map_or("none".into(), hex));
    match look.stroke {
        Some(stroke) => {
            let _ = write!(rule, ";stroke:{};stroke-width:{};stroke-linejoin:round", hex(stroke), n(look.width));
        }
        None => rule.push_str(";stroke:none"),
    }
    if !look.dashes.is_empty() {
        let dashes: Vec<String> = look.dashes.iter().map(|dash| n(*dash)).collect();
        let _ = write!(rule, ";stroke-dasharray:{}", dashes.join(" "));
    }
    rule + "}"
}

fn hex([r, g, b]: Colour) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

fn line(out: &mut String, points: &[Point], pen: Pen) {
    let class = pen.look().class;
    if let [from, to] = points {
        let (x1, y1, x2, y2) = (n(from.x), n(from.y), n(to.x), n(to.y));
        let _ = writeln!(out, "<line class=\"{class}\" x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\"/>");
    } else {
        let list: Vec<String> = points.iter().map(|p| format!("{},{}", n(p.x), n(p.y))).collect();
        let _ = writeln!(out, "<polyline class=\"{class}\" points=\"{}\"/>", list.join(" "));
    }
}

fn area(out: &mut String, outlines: &[Outline], pen: Pen) {
    let class = pen.look().class;
    if let [outline] = outlines
        && outline.vertices.len() == 4
        && outline.is_rectangle()
    {
        let b = outline.bounds();
        let (x, y, w, h) = (n(b.x0), n(b.y0), n(b.width()), n(b.height()));
        let _ = writeln!(out, "<rect class=\"{class}\" x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\"/>");
        return;
    }
    let path: String = outlines.iter().map(closed_path).collect();
    let rule = if outlines.len() > 1 { " fill-rule=\"evenodd\"" } else { "" };
    let _ = writeln!(out, "<path class=\"{class}\"{rule} d=\"{path}\"/>");
}

fn closed_path(outline: &Outline) -> String {
    let Some(first) = outline.vertices.first() else { return String::new() };
    let mut path = format!("M{} {}", n(first.at.x), n(first.at.y));
    for side in outline.segments() {
        let (x, y) = (n(side.end.x), n(side.end.y));
        if side.is_arc() {
            let large = u8::from(side.sweep().abs() > std::f64::consts::PI);
            // SVG's sweep flag is the direction of growing angle on a page whose y runs down: the outline is already in
            // those coordinates, so a positive bulge is the flag set.
            let sweep = u8::from(side.bulge > 0.0);
            let r = n(side.radius());
            let _ = write!(path, "A{r} {r} 0 {large} {sweep} {x} {y}");
        } else {
            let _ = write!(path, "L{x} {y}");
        }
    }
    path + "Z"
}

/// Its length is said too, so that a viewer with other letters still keeps the room it was given.
fn text(out: &mut String, letters: &Text) {
    if letters.text.trim().is_empty() {
        return;
    }
    let start = letters.start();
    let (x, y) = (n(start.x), n(start.y));
    let turn = if letters.turned { format!(" transform=\"rotate(-90 {x} {y})\"") } else { String::new() };
    let _ = writeln!(
        out,
        "<text x=\"{x}\" y=\"{y}\" font-size=\"{}\" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\"{turn}>{}</text>",
        n(letters.height * EM),
        n(letters.width()),
        escaped(&letters.text)
    );
}

/// Three decimals, a thousandth of a millimetre on paper, without zeros at the end.
fn n(value: f64) -> String {
    let thousandths = (value * 1000.0).round();
    // Beyond what an integer holds no paper reaches.
    let whole = thousandths.abs().min(1e15) as u64;
    let mut digits = String::with_capacity(12);
    if thousandths < 0.0 {
        digits.push('-');
    }
    let _ = write!(digits, "{}", whole / 1000);
    let mut rest = whole % 1000;
    if rest > 0 {
        digits.push('.');
        for place in [100, 10, 1] {
            if rest == 0 {
                break;
            }
            digits.push(char::from(b'0' + (rest / place) as u8));
            rest %= place;
        }
    }
    digits
}

/// Text that cannot become markup.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::n;
    use crate::units::decimal;

    proptest::proptest! {
        /// As the standard library rounds and writes, but for halves of a thousandth.
        #[test]
        fn numbers_are_the_library_s(value in -2000.0..2000.0f64) {
            let theirs: f64 = decimal(value, 3).parse().expect("a number");
            let ours: f64 = n(value).parse().expect("a number");
            proptest::prop_assert!((ours - theirs).abs() < 1.1e-3 && (ours - value).abs() < 0.5001e-3);
        }
    }

    #[test]
    fn zeros_at_the_end_are_left_out() {
        assert_eq!([0.0, -0.0001, 1.5, -20.02, 100.0, 0.001].map(n), ["0", "0", "1.5", "-20.02", "100", "0.001"]);
    }
}

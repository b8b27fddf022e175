//! A small SVG canvas in millimetres, y down, as paper has it.

use crate::geometry::{Outline, Point};
use crate::units::decimal;
use std::fmt::Write;

/// Where a text stands about its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// A picture being drawn. One user unit is one millimetre on paper.
pub struct Svg {
    width: f64,
    height: f64,
    body: String,
}

/// Line widths and letters, in millimetres: thick and thin lines of ISO 128, letters of ISO 3098.
const STYLE: &str = "text{font-family:'DejaVu Sans','Liberation Sans',Arial,sans-serif;fill:#1a1a1a}\
.thick{fill:none;stroke:#1a1a1a;stroke-width:.5;stroke-linejoin:round}\
.thin{fill:none;stroke:#1a1a1a;stroke-width:.25}\
.centre{fill:none;stroke:#1a1a1a;stroke-width:.18;stroke-dasharray:6 1 1 1}\
.dashed{fill:none;stroke:#1a1a1a;stroke-width:.25;stroke-dasharray:3 1.2}\
.solid{fill:#1a1a1a;stroke:none}\
.wood{fill:#f3e6cf;stroke:#1a1a1a;stroke-width:.35}\
.sheet{fill:#fbf8f2;stroke:#1a1a1a;stroke-width:.5}\
.hole{fill:#fff;stroke:#1a1a1a;stroke-width:.25}\
.paper{fill:#fff;stroke:none}";

impl Svg {
    /// An empty picture of this size on paper, in millimetres.
    pub fn new(width: f64, height: f64) -> Svg {
        let mut svg = Svg { width, height, body: String::new() };
        svg.rect(0.0, 0.0, width, height, "paper");
        svg
    }

    pub fn line(&mut self, from: Point, to: Point, class: &str) {
        let _ = writeln!(
            self.body,
            "<line class=\"{class}\" x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"/>",
            n(from.x),
            n(from.y),
            n(to.x),
            n(to.y)
        );
    }

    pub fn rect(&mut self, x: f64, y: f64, width: f64, height: f64, class: &str) {
        let _ = writeln!(
            self.body,
            "<rect class=\"{class}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>",
            n(x),
            n(y),
            n(width),
            n(height)
        );
    }

    pub fn polygon(&mut self, points: &[Point], class: &str) {
        let list: Vec<String> = points.iter().map(|p| format!("{},{}", n(p.x), n(p.y))).collect();
        let _ = writeln!(self.body, "<polygon class=\"{class}\" points=\"{}\"/>", list.join(" "));
    }

    /// An outline already in paper coordinates; arcs stay arcs.
    pub fn outline(&mut self, outline: &Outline, class: &str) {
        let Some(first) = outline.vertices.first() else { return };
        let mut path = format!("M{} {}", n(first.at.x), n(first.at.y));
        for side in outline.segments() {
            if side.is_arc() {
                let large = u8::from(side.sweep().abs() > std::f64::consts::PI);
                // SVG's sweep flag is the direction of growing angle on a page whose y runs down: the outline is already
                // in those coordinates, so a positive bulge is the flag set.
                let sweep = u8::from(side.bulge > 0.0);
                let r = n(side.radius());
                let _ = write!(path, "A{r} {r} 0 {large} {sweep} {} {}", n(side.end.x), n(side.end.y));
            } else {
                let _ = write!(path, "L{} {}", n(side.end.x), n(side.end.y));
            }
        }
        let _ = writeln!(self.body, "<path class=\"{class}\" d=\"{path}Z\"/>");
    }

    /// A line of text with its baseline at `at`; `turned` runs it upwards, to be read from the right.
    pub fn text(&mut self, at: Point, height: f64, anchor: Anchor, turned: bool, text: &str) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        // Letter height is the height of a capital; a font's size is its em, about 1.37 times that.
        let size = n(height * 1.37);
        let turn = if turned { format!(" transform=\"rotate(-90 {} {})\"", n(at.x), n(at.y)) } else { String::new() };
        let _ = writeln!(
            self.body,
            "<text x=\"{}\" y=\"{}\" font-size=\"{size}\" text-anchor=\"{anchor}\"{turn}>{}</text>",
            n(at.x),
            n(at.y),
            escaped(text)
        );
    }

    /// The finished file; `title` is what screen readers say.
    pub fn finish(self, title: &str) -> String {
        let (w, h) = (n(self.width), n(self.height));
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\" \
             role=\"img\">\n<title>{}</title>\n<style>{STYLE}</style>\n{}</svg>\n",
            escaped(title),
            self.body
        )
    }
}

/// Three decimals: a thousandth of a millimetre on paper.
fn n(value: f64) -> String {
    decimal(value, 3)
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

/// About how wide a text comes out (mm), for the common sans-serif letters.
pub(crate) fn text_width(text: &str, height: f64) -> f64 {
    text.chars().count() as f64 * height * 0.82
}

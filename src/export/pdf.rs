//! Pictures bound into a PDF: vector, with text that can be selected, its one font embedded, and bookmarks.
//!
//! After ISO 32000-1. The bytes depend on the pictures alone: no dates, no random identifiers. One millimetre of a picture
//! is one millimetre of paper, and viewers are told not to scale it when they print.

use crate::draw::{Colour, EM, FONT, Look, Mark, Page, Pen, Picture, Text, glyph};
use crate::geometry::Point;
use kurbo::{BezPath, PathEl};
use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::types::{CidFontType, FontFlags, LineJoinStyle, PageMode, SystemInfo, UnicodeCmap};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};
use rayon::prelude::*;
use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, MetadataProvider};
use std::collections::BTreeMap;

/// PDF's unit is 1/72 inch.
const POINT: f64 = 72.0 / 25.4;

/// How hard to compress: the library's middle level.
const LEVEL: u8 = 6;

const FONT_NAME: Name = Name(b"NESTWR+DejaVuSansCondensed");
const IDENTITY: SystemInfo = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };

/// Numbers for the document's objects, one after the other.
struct Refs(i32);

impl Refs {
    fn take(&mut self) -> Ref {
        self.0 += 1;
        Ref::new(self.0)
    }
}

/// The pages as one PDF file.
pub fn pdf(title: &str, pages: &[Page]) -> Vec<u8> {
    let mut refs = Refs(0);
    let (catalog, info, tree, outline, font) = (refs.take(), refs.take(), refs.take(), refs.take(), refs.take());
    let leaves: Vec<(Ref, Ref)> = pages.iter().map(|_| (refs.take(), refs.take())).collect();
    let contents: Vec<Vec<u8>> =
        pages.par_iter().map(|page| compress_to_vec_zlib(&content(&page.picture), LEVEL)).collect();

    let mut pdf = Pdf::new();
    let mut root = pdf.catalog(catalog);
    root.pages(tree).outlines(outline).page_mode(PageMode::UseOutlines).lang(TextStr("en"));
    let mut preferences = root.viewer_preferences();
    preferences.display_doc_title(true);
    preferences.insert(Name(b"PrintScaling")).primitive(Name(b"None"));
    preferences.finish();
    root.finish();
    let maker = concat!("nestwright ", env!("CARGO_PKG_VERSION"));
    pdf.document_info(info).title(TextStr(title)).creator(TextStr(maker)).producer(TextStr(maker));

    pdf.pages(tree).kids(leaves.iter().map(|(leaf, _)| *leaf)).count(leaves.len() as i32);
    for ((page, (leaf, stream)), content) in pages.iter().zip(&leaves).zip(&contents) {
        let (width, height) = (page.picture.width * POINT, page.picture.height * POINT);
        let mut object = pdf.page(*leaf);
        object.parent(tree).contents(*stream).media_box(Rect::new(0.0, 0.0, width as f32, height as f32));
        object.resources().fonts().pair(Name(b"F"), font);
        object.finish();
        pdf.stream(*stream, content).filter(Filter::FlateDecode);
    }
    embed_font(&mut pdf, &mut refs, font, pages);
    bookmarks(&mut pdf, &mut refs, outline, pages, &leaves);
    pdf.finish()
}

/// What is set on the page at the moment; `None` where nothing has been yet.
#[derive(Default)]
struct Set {
    fill: Option<Colour>,
    stroke: Option<(Colour, f64, &'static [f64])>,
}

impl Set {
    /// Sets what the look wants and is not set yet.
    fn take_up(&mut self, content: &mut Content, look: Look) {
        let rgb = |colour: Colour| colour.map(|part| (f32::from(part) / 255.0 * 1000.0).round() / 1000.0);
        if look.fill.is_some() && self.fill != look.fill {
            self.fill = look.fill;
            let [r, g, b] = look.fill.map_or([0.0; 3], rgb);
            content.set_fill_rgb(r, g, b);
        }
        let Some(stroke) = look.stroke else { return };
        if self.stroke != Some((stroke, look.width, look.dashes)) {
            self.stroke = Some((stroke, look.width, look.dashes));
            let [r, g, b] = rgb(stroke);
            content.set_stroke_rgb(r, g, b).set_line_width(look.width as f32);
            content.set_dash_pattern(look.dashes.iter().map(|dash| *dash as f32), 0.0);
        }
    }
}

/// A page's marks in PDF's language.
fn content(picture: &Picture) -> Vec<u8> {
    let mut content = Content::new();
    // From here on a unit is a millimetre and y runs down, as in the picture.
    content.transform([POINT as f32, 0.0, 0.0, -POINT as f32, 0.0, (picture.height * POINT) as f32]);
    content.set_line_join(LineJoinStyle::RoundJoin);
    let mut set = Set::default();
    for mark in &picture.marks {
        match mark {
            Mark::Line { points, pen } => {
                set.take_up(&mut content, pen.look());
                for (i, point) in points.iter().enumerate() {
                    let (x, y) = xy(*point);
                    if i == 0 {
                        content.move_to(x, y)
                    } else {
                        content.line_to(x, y)
                    };
                }
                content.stroke();
            }
            Mark::Area { outlines, pen } => {
                let look = pen.look();
                set.take_up(&mut content, look);
                for outline in outlines {
                    trace(&mut content, &outline.to_path());
                }
                match (look.fill, look.stroke) {
                    (Some(_), Some(_)) => content.fill_even_odd_and_stroke(),
                    (Some(_), None) => content.fill_even_odd(),
                    (None, Some(_)) => content.stroke(),
                    (None, None) => content.end_path(),
                };
            }
            Mark::Text(text) => {
                set.take_up(&mut content, Pen::Solid.look());
                write(&mut content, text);
            }
        }
    }
    content.finish().into_vec()
}

/// A thousandth of a millimetre is finer than any printer.
fn n(value: f64) -> f32 {
    ((value * 1e3).round() / 1e3) as f32
}

fn xy(point: Point) -> (f32, f32) {
    (n(point.x), n(point.y))
}

fn trace(content: &mut Content, path: &BezPath) {
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(to) => content.move_to(n(to.x), n(to.y)),
            PathEl::LineTo(to) => content.line_to(n(to.x), n(to.y)),
            PathEl::QuadTo(by, to) => {
                // No outline has one; a curve through the same middle stands in.
                content.cubic_to(n(by.x), n(by.y), n(by.x), n(by.y), n(to.x), n(to.y))
            }
            PathEl::CurveTo(a, b, to) => content.cubic_to(n(a.x), n(a.y), n(b.x), n(b.y), n(to.x), n(to.y)),
            PathEl::ClosePath => content.close_path(),
        };
    }
}

/// A line of text, glyph by glyph: as wide as the picture takes it to be.
fn write(content: &mut Content, text: &Text) {
    let start = text.start();
    let (x, y) = xy(start);
    // The page's y runs down, letters stand up.
    let matrix = if text.turned { [0.0, -1.0, -1.0, 0.0, x, y] } else { [1.0, 0.0, 0.0, -1.0, x, y] };
    let glyphs: Vec<u8> = text.text.chars().flat_map(|c| glyph(c).id.to_be_bytes()).collect();
    content.begin_text().set_font(Name(b"F"), n(text.height * EM)).set_text_matrix(matrix);
    content.show(Str(&glyphs)).end_text();
}

/// The font, with the widths of the glyphs in use and the characters they stand for.
fn embed_font(pdf: &mut Pdf, refs: &mut Refs, font: Ref, pages: &[Page]) {
    let (cid, descriptor, file, unicode) = (refs.take(), refs.take(), refs.take(), refs.take());
    let mut used: BTreeMap<u16, (char, f64)> = BTreeMap::new();
    for c in pages.iter().flat_map(|page| page.picture.texts()).flat_map(|text| text.text.chars()) {
        let glyph = glyph(c);
        used.entry(glyph.id).or_insert((c, glyph.advance));
    }
    pdf.type0_font(font)
        .base_font(FONT_NAME)
        .encoding_predefined(Name(b"Identity-H"))
        .descendant_font(cid)
        .to_unicode(unicode);
    let mut object = pdf.cid_font(cid);
    object.subtype(CidFontType::Type2).base_font(FONT_NAME).system_info(IDENTITY).font_descriptor(descriptor);
    object.cid_to_gid_map_predefined(Name(b"Identity")).default_width(0.0);
    let mut widths = object.widths();
    for (id, (_, advance)) in &used {
        widths.consecutive(*id, [(advance * 1000.0) as f32]);
    }
    widths.finish();
    object.finish();

    let face = FontRef::new(FONT).expect("the bundled font is a font");
    let face = face.metrics(Size::unscaled(), LocationRef::default());
    let thousandths = |units: f32| units * 1000.0 / f32::from(face.units_per_em);
    let bounds = face.bounds.unwrap_or_default();
    pdf.font_descriptor(descriptor)
        .name(FONT_NAME)
        .flags(FontFlags::NON_SYMBOLIC)
        .bbox(Rect::new(
            thousandths(bounds.x_min),
            thousandths(bounds.y_min),
            thousandths(bounds.x_max),
            thousandths(bounds.y_max),
        ))
        .italic_angle(0.0)
        .ascent(thousandths(face.ascent))
        .descent(thousandths(face.descent))
        .cap_height((1000.0 / EM) as f32)
        .stem_v(80.0)
        .font_file2(file);
    let squeezed = compress_to_vec_zlib(FONT, LEVEL);
    let mut stream = pdf.stream(file, &squeezed);
    stream.filter(Filter::FlateDecode).pair(Name(b"Length1"), FONT.len() as i32);
    stream.finish();

    let mut cmap = UnicodeCmap::new(Name(b"Custom"), IDENTITY);
    for (id, (c, _)) in &used {
        cmap.pair(*id, *c);
    }
    let cmap = cmap.finish();
    pdf.cmap(unicode, &cmap).name(Name(b"Custom")).system_info(IDENTITY);
}

/// A bookmark and those under it, as places in the list of pages.
struct Bookmark {
    page: usize,
    id: Ref,
    under: Vec<Bookmark>,
}

/// The table of contents beside the pages: a chapter's pages under its first one.
fn bookmarks(pdf: &mut Pdf, refs: &mut Refs, root: Ref, pages: &[Page], leaves: &[(Ref, Ref)]) {
    let mut chapters: Vec<Bookmark> = Vec::new();
    for (page, sheet) in pages.iter().enumerate() {
        let bookmark = Bookmark { page, id: refs.take(), under: Vec::new() };
        match chapters.last_mut() {
            Some(chapter) if pages[chapter.page].chapter == sheet.chapter => chapter.under.push(bookmark),
            _ => chapters.push(bookmark),
        }
    }
    let (Some(first), Some(last)) = (chapters.first(), chapters.last()) else { return };
    pdf.outline(root).first(first.id).last(last.id).count(chapters.len() as i32);
    for (i, chapter) in chapters.iter().enumerate() {
        let mut item = pdf.outline_item(chapter.id);
        item.title(TextStr(&pages[chapter.page].chapter)).parent(root);
        item.dest().page(leaves[chapter.page].0).fit();
        beside(&mut item, &chapters, i);
        // A chapter of one page needs no second line for it; the others start closed.
        let mut under: Vec<(usize, Ref)> = Vec::new();
        if !chapter.under.is_empty() {
            under.push((chapter.page, refs.take()));
            under.extend(chapter.under.iter().map(|bookmark| (bookmark.page, bookmark.id)));
            item.first(under[0].1).last(under[under.len() - 1].1).count(-(under.len() as i32));
        }
        item.finish();
        for (k, (page, id)) in under.iter().enumerate() {
            let mut item = pdf.outline_item(*id);
            item.title(TextStr(&pages[*page].name)).parent(chapter.id);
            item.dest().page(leaves[*page].0).fit();
            if k > 0 {
                item.prev(under[k - 1].1);
            }
            if let Some((_, next)) = under.get(k + 1) {
                item.next(*next);
            }
        }
    }
}

fn beside(item: &mut pdf_writer::writers::OutlineItem, all: &[Bookmark], i: usize) {
    if i > 0 {
        item.prev(all[i - 1].id);
    }
    if let Some(next) = all.get(i + 1) {
        item.next(next.id);
    }
}

//! `drawings.pdf`, read back by a library that reads PDF for others.

use crate::shared::make;
use lopdf::content::{Content, Operation};
use lopdf::{Dictionary, Document, Object, ObjectId};
use nestwright::draw::{FONT, book};
use nestwright::export::pdf;

/// A part of 100 × 60 mm fits at full size; its hole gives a template.
const BOARD: &str = r#"
    title = "Rule & <square>"
    paper = "a4"
    stock = { material = "birch-plywood", size = [600, 400], thickness = 12 }
    saw = { kerf = 3 }
    [[part]]
    name = "gauge"
    size = [100, 60]
    hole = [{ use = "pilot", diameter = 8, across = 30, up = 20 }]
    [[box]]
    name = "tray"
    kind = "open-box"
    count = 1
    inside = [120, 90, 60]
"#;

/// The document, and the names of its pages.
fn document(spec: &str) -> (Document, Vec<(String, String)>, Vec<u8>) {
    let made = make(spec);
    let pages = book(&made);
    let bytes = pdf(&made.job.title, &pages);
    let names = pages.into_iter().map(|page| (page.chapter, page.name)).collect();
    (Document::load_mem(&bytes).expect("readable"), names, bytes)
}

fn number(object: &Object) -> f64 {
    f64::from(object.as_float().expect("a number"))
}

fn page_size(document: &Document, page: ObjectId) -> (f64, f64) {
    let page = document.get_dictionary(page).expect("a page");
    let media: Vec<f64> = page.get(b"MediaBox").and_then(Object::as_array).expect("a box").iter().map(number).collect();
    (media[2] - media[0], media[3] - media[1])
}

/// Every straight stretch of a page, in points of 1/72 in, as the operators of ISO 32000-1 put it on paper.
fn stretches(document: &Document, page: ObjectId) -> Vec<[(f64, f64); 2]> {
    let content = document.get_page_content(page);
    let mut matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
    let (mut at, mut found) = ((0.0, 0.0), Vec::new());
    for Operation { operator, operands } in Content::decode(&content).expect("decoded").operations {
        let values: Vec<f64> = match operator.as_str() {
            "cm" | "m" | "l" => operands.iter().map(number).collect(),
            _ => continue,
        };
        if operator == "cm" {
            assert_eq!(matrix, [1.0, 0.0, 0.0, 1.0, 0.0, 0.0], "set once");
            matrix.copy_from_slice(&values);
            continue;
        }
        let [a, b, c, d, e, f] = matrix;
        let to = (a * values[0] + c * values[1] + e, b * values[0] + d * values[1] + f);
        if operator == "l" {
            found.push([at, to]);
        }
        at = to;
    }
    found
}

/// A millimetre is 72/25.4 points: ISO 32000-1, 8.3.2.3.
const MILLIMETRE: f64 = 72.0 / 25.4;

fn has_length(stretches: &[[(f64, f64); 2]], millimetres: f64, upright: bool) -> bool {
    stretches.iter().any(|[from, to]| {
        let (x, y) = ((to.0 - from.0).abs() / MILLIMETRE, (to.1 - from.1).abs() / MILLIMETRE);
        let (long, other) = if upright { (y, x) } else { (x, y) };
        (long - millimetres).abs() < 0.01 && other < 0.001
    })
}

#[test]
fn a_hundred_millimetres_are_a_hundred_millimetres() {
    let (document, names, _) = document(BOARD);
    let mut seen = (0, 0);
    for (number, page) in document.get_pages() {
        let (chapter, name) = &names[number as usize - 1];
        let lines = stretches(&document, page);
        if chapter == "Templates at true scale" {
            // The ruler, whatever is on the template.
            assert!(has_length(&lines, 100.0, false) && has_length(&lines, 4.0 * 25.4, false), "{name}");
            seen.0 += 1;
        }
        if name == "gauge" {
            assert!(has_length(&lines, 100.0, false) && has_length(&lines, 60.0, true), "{name}");
            assert!(!has_length(&lines, 99.0, false) && !has_length(&lines, 61.0, true), "{name}");
            seen.1 += 1;
        }
    }
    assert!(seen.0 >= 1 && seen.1 == 1, "{seen:?}");
}

/// Sheets lie, templates and steps at the saw stand (ISO 216 and ANSI Y14.1 sizes, mm).
#[test]
fn pages_have_the_size_of_the_paper() {
    for (paper, short, long) in
        [("a4", 210.0, 297.0), ("a3", 297.0, 420.0), ("letter", 215.9, 279.4), ("tabloid", 279.4, 431.8)]
    {
        let (document, names, _) = document(&BOARD.replace("\"a4\"", &format!("\"{paper}\"")));
        assert_eq!(document.get_pages().len(), names.len());
        for (number, page) in document.get_pages() {
            let (width, height) = page_size(&document, page);
            let (width, height) = (width / MILLIMETRE, height / MILLIMETRE);
            let near = |a: f64, b: f64| (a - b).abs() < 0.01;
            let lies = near(width, long) && near(height, short);
            let stands = near(width, short) && near(height, long);
            assert!(lies || stands, "{paper}, page {number}: {width} × {height}");
        }
    }
}

/// Nothing is asked of the machine that shows it: the one font is in the file, whole.
#[test]
fn the_font_is_embedded() {
    let (document, _, _) = document(BOARD);
    let dictionaries = || document.objects.values().filter_map(|object| object.as_dict().ok());
    let kind = |dictionary: &Dictionary, kind: &[u8]| {
        dictionary.get(b"Type").and_then(Object::as_name).is_ok_and(|name| name == kind)
    };
    let descriptors: Vec<&Dictionary> = dictionaries().filter(|one| kind(one, b"FontDescriptor")).collect();
    let described = dictionaries().filter(|one| kind(one, b"Font") && one.has(b"FontDescriptor")).count();
    let fonts = dictionaries().filter(|one| kind(one, b"Font") && !one.has(b"DescendantFonts")).count();
    assert_eq!((descriptors.len(), described, fonts), (1, 1, 1));
    let file = descriptors[0].get(b"FontFile2").and_then(Object::as_reference).expect("embedded");
    let stream = document.get_object(file).and_then(Object::as_stream).expect("a stream");
    assert!(stream.decompressed_content().expect("unpacked") == FONT);
}

/// What a search or a copy finds: letters, not outlines, and markup as it was written.
#[test]
fn text_can_be_selected() {
    let (document, names, _) = document(BOARD);
    let cover = document.extract_text(&[1]).expect("text");
    assert!(cover.contains("Rule & <square>"), "{cover}");
    for (i, (_, name)) in names.iter().enumerate().filter(|(_, (chapter, _))| chapter == "Parts") {
        let text = document.extract_text(&[i as u32 + 1]).expect("text");
        assert!(text.contains(name.as_str()), "{name}: {text}");
    }
}

/// The outline beside the pages leads to every chapter and every page.
#[test]
fn bookmarks_lead_to_every_page() {
    let (document, names, bytes) = document(BOARD);
    let catalog = document.catalog().expect("a catalog");
    let root = catalog.get(b"Outlines").and_then(Object::as_reference).expect("an outline");
    let (mut titles, mut targets) = (Vec::new(), Vec::new());
    let mut rest = vec![document.get_dictionary(root).and_then(|root| root.get(b"First")).cloned().expect("one")];
    while let Some(item) = rest.pop() {
        let item = document.get_dictionary(item.as_reference().expect("a reference")).expect("an item");
        titles.push(lopdf::decode_text_string(item.get(b"Title").expect("a title")).expect("text"));
        let dest = item.get(b"Dest").and_then(Object::as_array).expect("where to");
        targets.push(dest[0].as_reference().expect("a page"));
        rest.extend([b"Next" as &[u8], b"First"].iter().filter_map(|key| item.get(key).ok().cloned()));
    }
    for (chapter, name) in &names {
        assert!(titles.contains(chapter), "{chapter}");
        let alone = names.iter().filter(|(other, _)| other == chapter).count() == 1;
        assert!(alone || titles.contains(name), "{name}");
    }
    for page in document.get_pages().into_values() {
        assert!(targets.contains(&page));
    }
    // Nothing in it tells when or where it was made.
    for mark in ["CreationDate", "ModDate", "/ID"] {
        assert!(!bytes.windows(mark.len()).any(|part| part == mark.as_bytes()), "{mark}");
    }
}

//! Pictures rendered by another library, held against pictures kept from an earlier day.
//!
//! When a drawing is meant to change, look at the new one and keep it: `KEEP_PICTURES=1 cargo test --test peers kept`.

use crate::shared::make;
use nestwright::draw::{FONT, Page, Shows, book, svg};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};
use std::path::PathBuf;

const WIDTH: u32 = 900;

/// A box with fingers, a rest, a handhold and an entrance; nothing in its drawings depends on how sheets are nested.
const BODY: &str = r#"
    title = "Kept pictures"
    paper = "a4"
    stock = { material = "birch-plywood", size = [2440, 1220], thickness = 18 }
    [[box]]
    name = "body"
    kind = "frame-box"
    count = 1
    frame = "langstroth-deep"
    frames = 8
    corner = "finger"
    rest = "rabbet"
    floor = "fixed"
    cover = "none"
    hole = [
        { panel = "front", use = "entrance", slot = [80, 8], across = "centre", up = 20 },
        { panel = "back", use = "vent", diameter = 25, across = 100, down = 60 },
    ]
"#;

fn rendered(page: &Page) -> Pixmap {
    let mut options = Options { font_family: "DejaVu Sans Condensed".into(), ..Options::default() };
    options.fontdb_mut().load_font_data(FONT.to_vec());
    let tree = Tree::from_str(&svg(&page.picture), &options).expect("readable");
    let scale = WIDTH as f32 / tree.size().width();
    let mut pixels = Pixmap::new(WIDTH, (tree.size().height() * scale).ceil() as u32).expect("not empty");
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixels.as_mut());
    pixels
}

/// The share of pixels that are plainly different.
fn difference(a: &Pixmap, b: &Pixmap) -> f64 {
    if (a.width(), a.height()) != (b.width(), b.height()) {
        return 1.0;
    }
    let plainly = |(a, b): (&u8, &u8)| a.abs_diff(*b) > 60;
    let pairs = a.data().chunks(4).zip(b.data().chunks(4));
    let count = pairs.filter(|(a, b)| a.iter().zip(b.iter()).any(plainly)).count();
    count as f64 / f64::from(a.width() * a.height())
}

#[test]
fn drawings_look_as_the_kept_ones_do() {
    let pages = book(&make(BODY));
    let part = |name: &str| pages.iter().find(|page| page.chapter == "Parts" && page.name == name);
    let exploded = pages.iter().find(|page| matches!(page.shows, Shows::Exploded(_)));
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/peers/kept");
    let mut before = None;
    for (name, page) in [("side", part("side")), ("front", part("front")), ("exploded", exploded)] {
        let page = page.unwrap_or_else(|| panic!("no {name}"));
        let now = rendered(page);
        let file = folder.join(format!("{name}.png"));
        if std::env::var_os("KEEP_PICTURES").is_some() {
            std::fs::create_dir_all(&folder).expect("a folder");
            std::fs::write(&file, now.encode_png().expect("encoded")).expect("kept");
        }
        let kept = Pixmap::load_png(&file).expect("a kept picture");
        let apart = difference(&now, &kept);
        assert!(apart < 0.002, "{name}: {:.2} % of it looks different", apart * 100.0);
        // Another drawing would be told apart.
        if let Some(other) = before.replace(now) {
            assert!(difference(&other, &kept) > 0.01, "{name}");
        }
    }
}

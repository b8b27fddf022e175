//! Hole templates: true to scale, from the edges they name, on as many pages as it takes.

use crate::shared::make;
use nestwright::draw::{Mark, Pen, Picture, svg, template, template_pages};
use nestwright::geometry::{Point, Rect};
use nestwright::made::Made;

const BOARDS: &str = r#"
    title = "boards"
    paper = "a4"
    stock = { material = "birch-plywood", size = [2440, 1220], thickness = 12 }
    [[part]]
    name = "small"
    size = [180, 120]
    count = 6
    hole = [{ use = "pilot", diameter = 4, across = 20, up = 30 }, { use = "vent", slot = [60, 10], across = 90, up = 80 }]
    [[part]]
    name = "long"
    size = [900, 400]
    hole = [{ use = "vent", diameter = 20, across = 450, up = 200 }, { use = "vent", diameter = 25, across = 40, up = 30 }]
"#;

fn index_of(made: &Made, name: &str) -> usize {
    made.parts.iter().position(|part| part.name == name).expect("there")
}

fn pages_of(made: &Made, name: &str) -> Vec<Picture> {
    template_pages(made, &[index_of(made, name)])
}

fn bounds(points: &[Point]) -> Rect {
    points.iter().fold(Rect::from_points(points[0], points[0]), |rect, point| rect.union_pt(*point))
}

/// Closed lines of a pen, by the rectangles around them.
fn rings(picture: &Picture, wanted: Pen) -> Vec<Rect> {
    picture
        .marks
        .iter()
        .filter_map(|mark| match mark {
            Mark::Line { points, pen } if *pen == wanted && points.len() > 3 => Some(bounds(points)),
            _ => None,
        })
        .collect()
}

fn lines(picture: &Picture, wanted: Pen) -> Vec<(Point, Point)> {
    picture
        .marks
        .iter()
        .filter_map(|mark| match mark {
            Mark::Line { points, pen } if *pen == wanted && points.len() == 2 => Some((points[0], points[1])),
            _ => None,
        })
        .collect()
}

/// Points to be punched: the little rings, one millimetre across.
fn centres(picture: &Picture) -> Vec<Point> {
    rings(picture, Pen::Thin).iter().filter(|ring| (ring.width() - 1.0).abs() < 0.01).map(Rect::center).collect()
}

#[test]
fn holes_stand_at_their_true_distances_from_the_edges_to_align_to() {
    let made = make(BOARDS);
    let pages = pages_of(&made, "small");
    assert_eq!(pages.len(), 1);
    let page = &pages[0];
    assert_eq!((page.width, page.height), (210.0, 297.0));
    // Each patch has an upright and a level edge; a hole's distances are those from the two that it is laid on.
    let edges = lines(page, Pen::Mark);
    let upright = |at: Point, far: f64| {
        edges.iter().any(|(a, b)| (a.x - b.x).abs() < 1e-9 && ((at.x - a.x).abs() - far).abs() < 1e-6)
    };
    let level = |at: Point, far: f64| {
        edges.iter().any(|(a, b)| (a.y - b.y).abs() < 1e-9 && ((at.y - a.y).abs() - far).abs() < 1e-6)
    };
    let found = centres(page);
    assert_eq!(found.len(), 3);
    // The pilot hole, and the ends of the slot, 25 to either side of its middle.
    for (x, y) in [(20.0, 30.0), (65.0, 80.0), (115.0, 80.0)] {
        let there =
            |at: &&Point| (upright(**at, x) || upright(**at, 180.0 - x)) && (level(**at, y) || level(**at, 120.0 - y));
        assert!(found.iter().any(|at| there(&at)), "{x}, {y} among {found:?}");
    }
    let holes = rings(page, Pen::Thick);
    assert!(holes.iter().any(|ring| (ring.width() - 4.0).abs() < 0.01 && (ring.height() - 4.0).abs() < 0.01));
    assert!(holes.iter().any(|ring| (ring.width().max(ring.height()) - 60.0).abs() < 0.01));
    let words: Vec<&str> = page.texts().map(|text| text.text.as_str()).collect();
    assert!(words.iter().any(|text| text.contains("⌀4 mm pilot")), "{words:?}");
    assert!(words.iter().any(|text| text.contains("slot 60 × 10 mm")));
    assert!(words.iter().any(|text| text.contains("drill 3 in a stack")), "{words:?}");
}

/// Each corner of a rectangle has a place to be drilled at: on the middle of its arc, where a bit is so wide; of a square corner as
/// far in as keeps the bit within both lines.
#[test]
fn a_rectangle_is_drilled_in_its_corners() {
    for (corner, bit, aside) in [(0.0, 10.0, 5.0), (6.0, 12.0, 6.0), (1.5, 10.0, 5.0)] {
        let made = make(&format!(
            "title = \"opening\"\nunits = \"mm\"\npaper = \"a4\"\n\
             stock = {{ material = \"birch-plywood\", size = [2440, 1220], thickness = 12 }}\n\
             part = {{ name = \"board\", size = [180, 120], hole = [\
             {{ use = \"vent\", size = [60, 40], corner-radius = {corner}, across = 80, up = 60 }}] }}\n"
        ));
        let page = &pages_of(&made, "board")[0];
        let found = centres(page);
        let around = bounds(&found);
        let (wide, high) = (60.0 - 2.0 * aside, 40.0 - 2.0 * aside);
        assert_eq!(found.len(), 4);
        let sizes = (around.width().max(around.height()), around.width().min(around.height()));
        assert!((sizes.0 - wide).abs() < 1e-6 && (sizes.1 - high).abs() < 1e-6, "{corner}: {around:?}");
        let words: Vec<&str> = page.texts().map(|text| text.text.as_str()).collect();
        let all = words.join(" ");
        assert!(
            all.contains("60 × 40 mm vent: 80 from left, 60 from lower") || all.contains("60 from upper"),
            "{words:?}"
        );
        let drawn = |ring: &&Rect| (ring.width() - bit).abs() < 0.01 && (ring.height() - bit).abs() < 0.01;
        assert_eq!(rings(page, Pen::Thin).iter().filter(drawn).count(), 4, "the bits at their size");
        let drill = format!("drill ⌀{bit} mm, saw out");
        assert!(words.iter().any(|text| text.contains(&drill)), "{words:?}");
    }
}

/// 100 mm and 4 in, to be held against a rule.
#[test]
fn every_page_has_rulers_that_tell_whether_it_was_scaled() {
    let made = make(BOARDS);
    for part in 0..made.parts.len() {
        for page in template_pages(&made, &[part]) {
            let lengths: Vec<f64> = lines(&page, Pen::Thick).iter().map(|(a, b)| a.distance(*b)).collect();
            for length in [100.0, 101.6] {
                assert!(lengths.iter().any(|known| (known - length).abs() < 1e-9), "{length} in {lengths:?}");
            }
        }
    }
}

/// Every hole is on one patch, at its true distance from the edge or the drawn line that its words name.
#[test]
fn holes_far_apart_have_patches_of_their_own() {
    let made = make(BOARDS);
    let pages = pages_of(&made, "long");
    let words: Vec<String> = pages.iter().flat_map(Picture::texts).map(|text| text.text.clone()).collect();
    let said = words.join(" ");
    assert!(said.contains("450 from left, 200 from lower") || said.contains("450 from left, 200 from upper"), "{said}");
    assert!(said.contains("40 from left, 30 from lower"), "{said}");
    let punched: usize = pages.iter().map(|page| centres(page).len()).sum();
    assert_eq!(punched, 2);
    // No page without a hole, and none with a patch that shows none.
    assert!(pages.iter().all(|page| !centres(page).is_empty()));
    // Drawn lines run through the middle of the hole that no edge is near.
    let far = pages.iter().find_map(|page| {
        let blue = lines(page, Pen::Mark);
        centres(page).into_iter().find(|at| {
            let through = |(a, b): &(Point, Point)| (a.x - at.x).abs() < 1e-6 && (b.x - at.x).abs() < 1e-6;
            blue.iter().any(through)
        })
    });
    assert!(far.is_some());
    // In one file the pages stand below each other, each as high as the paper.
    let all = template(&made, index_of(&made, "long")).expect("it has holes");
    assert_eq!((all.width, all.height), (210.0, 297.0 * pages.len() as f64));
    assert!(svg(&all).contains(&format!("height=\"{}mm\"", 297 * pages.len())));
}

/// Holes metres from every edge are laid on lines drawn with a rule, and one larger than the paper is drawn about its middle.
#[test]
fn holes_far_from_every_edge_are_laid_on_drawn_lines() {
    let spec = BOARDS.replace("size = [900, 400]", "size = [15000, 8000]").replace("[2440, 1220]", "[18000, 9000]");
    let spec = spec.replace("diameter = 20, across = 450, up = 200", "diameter = 900, across = 7000, up = 4000");
    let made = make(&spec);
    let pages = pages_of(&made, "long");
    assert_eq!(pages.len(), 1);
    let said: Vec<&str> = pages[0].texts().map(|text| text.text.as_str()).collect();
    let said = said.join(" ");
    assert!(said.contains("7000 from left, 4000 from lower") && said.contains("too large"), "{said}");
    assert!(rings(&pages[0], Pen::Thick).iter().any(|ring| (ring.width() - 25.0).abs() < 0.01));
    assert!(rings(&pages[0], Pen::Thick).iter().all(|ring| ring.width() < 100.0));
}

#[test]
fn what_has_no_holes_has_no_template_and_inches_come_on_letter() {
    let spec = BOARDS.replace("paper = \"a4\"", "units = \"in\"").replace("[180, 120]", "[7, 5]");
    let spec = spec
        .replace("[900, 400]", "[30, 14]")
        .replace("[2440, 1220]", "[96, 48]")
        .replace("thickness = 12", "thickness = 0.5");
    let spec = spec.replace("slot = [60, 10]", "slot = [2, 0.5]").replace("across = 90, up = 80", "across = 4, up = 3");
    let spec = spec.replace("diameter = 4, across = 20, up = 30", "diameter = 0.25, across = 1, up = 1");
    let spec = spec[..spec.rfind("hole =").expect("there")].to_string();
    let made = make(&spec);
    let pages = pages_of(&made, "small");
    assert_eq!((pages[0].width, pages[0].height), (215.9, 279.4));
    assert!(pages_of(&made, "long").is_empty());
    let files = nestwright::export::files(&made).expect("files");
    assert!(files.contains_key("templates/small.svg") && !files.contains_key("templates/long.svg"));
}

//! Parts nested by their true shape: sides of nest boxes under a sloping roof, head to tail.

use crate::shared::{check, make};
use nestwright::build;
use nestwright::design::Part;
use nestwright::geometry::Outline;
use nestwright::layout::{nest, verify};

fn spec(boxes: u32) -> String {
    format!(
        "title = \"nest boxes\"\nstock = {{ material = \"birch-plywood\", size = [1220, 1220], thickness = 12.1 }}\n\
         router = {{ machine = \"shop-router\", cutter = \"endmill-1-4\" }}\n\
         [[box]]\nname = \"nest box\"\nkind = \"cavity-box\"\ncount = {boxes}\ninside = [120, 160, 240]\n\
         roof = \"sloping\"\nslope = 20\n"
    )
}

fn sloped(parts: &[Part]) -> Vec<usize> {
    let fill = |part: &Part| part.outline.area() / (part.length * part.width);
    (0..parts.len()).filter(|i| fill(&parts[*i]) < 0.95).collect()
}

/// Two trapezoids head to tail: their long and their short side stand end to end, with the gap square to the slope between
/// them. That is geometry: along the grain they take long + short + gap ÷ cos(slope).
#[test]
fn sides_under_a_sloping_roof_lie_head_to_tail() {
    let made = make(&spec(4));
    let gap = made.job.router.as_ref().expect("given").gap();
    assert_eq!(verify(&made.job, &made.parts, &made.layout, gap), Vec::<String>::new());
    let sloped = sloped(&made.parts);
    assert!(!sloped.is_empty(), "the sides slope");
    for part in sloped {
        let about = &made.parts[part];
        let pieces: Vec<_> =
            made.layout.sheets.iter().flat_map(|sheet| &sheet.placements).filter(|at| at.part == part).collect();
        let [long, short] = long_and_short(&about.outline);
        let slope = ((long - short) / about.width).atan();
        let wanted = long + short + gap / slope.cos();
        for pair in pieces.chunks(2) {
            let [a, b] = pair else { panic!("an even number") };
            let turns = [a.turn.degrees(), b.turn.degrees()];
            assert_eq!((turns[0] + 180) % 360, turns[1], "{}: a half turn", about.name);
            let both = a.bounds(about).union(b.bounds(about));
            let (along, across) =
                if a.turn.swaps() { (both.height(), both.width()) } else { (both.width(), both.height()) };
            assert!((along - wanted).abs() < 0.1, "{along} and not {wanted}");
            assert!((across - about.width).abs() < 0.01);
        }
    }
}

/// The longer and the shorter of the two sides along x.
fn long_and_short(outline: &Outline) -> [f64; 2] {
    let along = outline.segments().filter(|side| (side.start.y - side.end.y).abs() < 1e-6).map(|side| side.chord());
    let mut along: Vec<f64> = along.collect();
    along.sort_by(|a, b| b.total_cmp(a));
    [along[0], along[1]]
}

/// The check of a layout knows true outlines: a tenth of a millimetre nearer is wrong, and so is what lies the other way.
#[test]
fn a_pair_that_is_too_near_is_found() {
    let made = make(&spec(4));
    let gap = made.job.router.as_ref().expect("given").gap();
    let part = sloped(&made.parts)[0];
    for turned_back in [false, true] {
        let mut layout = made.layout.clone();
        let placements = &mut layout.sheets[0].placements;
        let at = placements.iter().position(|at| at.part == part).expect("a pair lies on the first sheet");
        let (first, second) = (placements[at], &mut placements[at + 1]);
        assert_eq!(second.part, part);
        if turned_back {
            second.turn = first.turn;
        } else if (first.x - second.x).abs() > (first.y - second.y).abs() {
            second.x += 0.1 * (first.x - second.x).signum();
        } else {
            second.y += 0.1 * (first.y - second.y).signum();
        }
        let wrong = verify(&made.job, &made.parts, &layout, gap);
        assert!(wrong.iter().any(|wrong| wrong.contains("apart")), "{wrong:?}");
    }
}

/// A sheet that takes two sides head to tail and not two rectangles: half as many sheets do.
#[test]
fn true_shapes_save_sheets() {
    let mut job = check(&spec(4)).job;
    let mut parts = build::parts(&job, &build::assemble(&job).expect("boxes"));
    let side = parts[sloped(&parts)[0]].clone();
    let gap = job.router.as_ref().expect("given").gap();
    let [long, short] = long_and_short(&side.outline);
    let slope = ((long - short) / side.width).atan();
    let stock = &mut job.stock[side.stock];
    (stock.length, stock.width) = (long + short + gap / slope.cos() + 0.1, side.width + 0.1);
    stock.length += 2.0 * stock.margin;
    stock.width += 2.0 * stock.margin;
    parts = vec![side];
    let shaped = nest(&job, &parts, &crate::shared::search()).expect("a layout");
    assert_eq!(verify(&job, &parts, &shaped, gap), Vec::<String>::new());
    parts[0].outline = Outline::rectangle(parts[0].length, parts[0].width);
    let plain = nest(&job, &parts, &crate::shared::search()).expect("a layout");
    let pieces = parts[0].count as usize;
    assert_eq!((shaped.sheets.len(), plain.sheets.len()), (pieces / 2, pieces));
}

//! The drawings: nothing stands on anything else, and the file is the same every time.

use crate::shared::{make, samples};
use nestwright::Made;
use nestwright::draw::{Mark, Page, Pen, Picture, Text, book, part_drawing};
use nestwright::export::{files, pdf};
use nestwright::geometry::{Point, Rect};

/// A starter's job, or a sample's, with its name.
fn jobs() -> Vec<(String, Made)> {
    let starters = nestwright::starters::ALL.iter().map(|starter| (starter.name.to_string(), make(starter.text)));
    samples().into_iter().map(|(name, spec)| (name, make(&spec))).chain(starters).collect()
}

/// Every straight stretch that is drawn with ink, with the place of its mark; arcs as chords.
fn strokes(picture: &Picture) -> Vec<(usize, Point, Point)> {
    let mut strokes = Vec::new();
    for (i, mark) in picture.marks.iter().enumerate() {
        let mut add = |points: &[Point]| strokes.extend(points.windows(2).map(|pair| (i, pair[0], pair[1])));
        match mark {
            Mark::Line { points, .. } => add(points),
            Mark::Area { outlines, pen } if pen.look().stroke.is_some() => {
                for outline in outlines {
                    let mut points = outline.flattened(0.05);
                    points.extend(points.first().copied());
                    add(&points);
                }
            }
            _ => {}
        }
    }
    strokes
}

/// The place of the last mark under a text that hides everything drawn before it there.
fn cleared(picture: &Picture, bounds: Rect) -> usize {
    let covers = |mark: &Mark| match mark {
        Mark::Area { outlines, pen } => {
            pen.look().fill.is_some()
                && outlines.len() == 1
                && outlines[0].is_rectangle()
                && outlines[0].bounds().union(bounds) == outlines[0].bounds()
        }
        _ => false,
    };
    picture.marks.iter().rposition(covers).unwrap_or(0)
}

/// The stretch of a line that is inside a rectangle, as a share of the line.
fn inside(from: Point, to: Point, rect: Rect) -> f64 {
    let (mut least, mut most) = (0.0f64, 1.0f64);
    let way = to - from;
    for (start, step, low, high) in [(from.x, way.x, rect.x0, rect.x1), (from.y, way.y, rect.y0, rect.y1)] {
        if step == 0.0 {
            if start <= low || start >= high {
                return 0.0;
            }
            continue;
        }
        let (a, b) = ((low - start) / step, (high - start) / step);
        least = least.max(a.min(b));
        most = most.min(a.max(b));
    }
    (most - least).max(0.0)
}

/// What stands on a text, if anything does.
fn faults(page: &Page) -> Vec<String> {
    let picture = &page.picture;
    let texts: Vec<&Text> = picture.texts().filter(|text| !text.text.trim().is_empty()).collect();
    let strokes = strokes(picture);
    let paper = Rect::new(0.0, 0.0, picture.width, picture.height);
    let mut faults = Vec::new();
    for (i, text) in texts.iter().enumerate() {
        // A hundredth of a millimetre may be shared by what only touches.
        let bounds = text.bounds().inflate(-0.01, -0.01);
        if bounds.union(paper) != paper {
            faults.push(format!("`{}` leaves the paper", text.text));
        }
        for other in &texts[i + 1..] {
            let both = bounds.intersect(other.bounds());
            if both.width() > 0.0 && both.height() > 0.0 {
                faults.push(format!("`{}` stands on `{}`", text.text, other.text));
            }
        }
        let cleared = cleared(picture, bounds);
        for (_, from, to) in strokes.iter().filter(|(mark, ..)| *mark >= cleared) {
            if inside(*from, *to, bounds) > 1e-9 {
                faults.push(format!("a line from {from} to {to} crosses `{}` at {bounds}", text.text));
                break;
            }
        }
    }
    faults.into_iter().map(|fault| format!("{}, {}: {fault}", page.chapter, page.name)).collect()
}

/// What is drawn outside the frame, on a page that has one; only the caution stands there.
fn outside_the_frame(page: &Page) -> Vec<String> {
    let rects = page.picture.marks.iter().filter_map(|mark| match mark {
        Mark::Area { outlines, pen: Pen::Border } if outlines.len() == 1 && outlines[0].is_rectangle() => {
            Some(outlines[0].bounds())
        }
        _ => None,
    });
    let Some(frame) = rects.max_by(|a, b| a.area().total_cmp(&b.area())) else { return Vec::new() };
    let inside = frame.inflate(0.01, 0.01);
    let mut faults = Vec::new();
    // The centring marks stand outside.
    let border = |mark: usize| matches!(&page.picture.marks[mark], Mark::Line { pen: Pen::Border, .. });
    for (mark, from, to) in strokes(&page.picture) {
        if border(mark) {
            continue;
        }
        if !inside.contains(from) || !inside.contains(to) {
            faults.push(format!("{}, {}: a line from {from} to {to} leaves the frame", page.chapter, page.name));
        }
    }
    for text in page.picture.texts().filter(|text| !nestwright::draw::CAUTION.starts_with(&text.text)) {
        if inside.union(text.bounds()) != inside {
            faults.push(format!("{}, {}: `{}` leaves the frame", page.chapter, page.name, text.text));
        }
    }
    faults
}

/// On every page of every sample and starter, no text touches another text or any line, nor leaves the paper.
#[test]
fn no_text_stands_on_a_text_or_a_line() {
    let mut pages = 0;
    let mut all = Vec::new();
    for (name, made) in jobs() {
        for page in &book(&made) {
            pages += 1;
            let crowded = page.picture.texts().any(|text| text.text.contains("Not every feature"));
            assert!(!crowded, "{name}: {} does not have all its dimensions", page.name);
            all.extend(outside_the_frame(page).into_iter().map(|fault| format!("{name}: {fault}")));
            all.extend(faults(page).into_iter().map(|fault| format!("{name}: {fault}")));
        }
    }
    assert!(pages > 30, "only {pages} pages");
    assert!(all.is_empty(), "{} faults on {pages} pages:\n{}", all.len(), all.join("\n"));
}

/// Jobs that nobody drew the pages for: a dozen deep frames, a lath, names with markup and signs, many parts, many holes.
fn odd_jobs() -> Vec<(String, String)> {
    let dozen = r#"
        title = "Twelve frames"
        stock = { material = "birch-plywood", size = [2500, 1250], thickness = 18.2, trim = 3 }
        saw = { kerf = 3 }
        [[box]]
        name = "brood"
        kind = "frame-box"
        count = 1
        frame = "dadant"
        frames = 12
        corner = "finger"
        rest = "rabbet"
        cover = "telescoping"
    "#;
    let names = r#"
        title = "Long <b>lath</b> & \"friends\" 'quoted' 🐝 WWWWWWWWWWWWWWWWWW"
        stock = { material = "birch-plywood", size = [1500, 1250], thickness = 12.1 }
        saw = { kerf = 3 }
        router = { machine = "desktop-router", cutter = "endmill-6" }
        [[part]]
        name = "lath <b>&\"' 🐝 WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW"
        size = [1200, 20]
        count = 9
        grain = "long"
        [[part]]
        name = "averylongnamewithoutanyspaceinitwhatsoeverthatgoesonandon"
        size = [200, 300]
        grain = "cross"
        count = 3
        [[box]]
        name = "<i>nuc</i> & 'co' \"WWWWWWWWWWWWWW WWWWWWWWWWW\" 🐝"
        count = 1
        kind = "frame-box"
        frame = "langstroth-medium"
        frames = 4
        corner = "rabbet"
    "#;
    let mut many = String::from(
        "title = \"Thirty parts\"\nunits = \"in\"\npaper = \"letter\"\n\
         stock = { material = \"birch-plywood\", size = [96, 48], thickness = \"15/32\" }\n",
    );
    for i in 0..30 {
        many += &format!(
            "[[part]]\nname = \"shelf number {i}\"\nsize = [{}, {}]\n\
             hole = [{{ use = \"pilot\", diameter = \"3/8\", across = \"3/4\", up = 1 }}]\n",
            8.0 + f64::from(i) * 0.53125,
            3.0 + f64::from(i % 7) * 1.375
        );
    }
    let mut all = vec![("twelve frames".into(), dozen.into()), ("names".into(), names.into()), ("many".into(), many)];
    // Two dozen holes in one wall, each a little larger than advised: a table of holes over a page of cautions.
    let mut words = String::from(
        "title = \"Many words\"\nstock = { material = \"birch-plywood\", size = [2440, 1220], thickness = 12.1 }\n\
         box = { name = \"nuc\", kind = \"frame-box\", count = 1, frame = \"langstroth-deep\", frames = 10, \
         cover = \"none\", floor = \"none\", hole = [",
    );
    for i in 0..24 {
        let (x, y) = (30 + 58 * (i % 6) + 3 * (i % 5), 30 + 38 * (i / 6) + 2 * (i * 7 % 5));
        let diameter = 11.0 + 0.3 * f64::from(i);
        words +=
            &format!("{{ panel = \"front\", use = \"entrance\", diameter = {diameter:.1}, across = {x}, up = {y} }},");
    }
    all.push(("many words".into(), words + "] }\n"));
    // Long narrow sheets; and panels with a glue joint through their pieces.
    let boards = |glued: &str| {
        format!(
            "title = \"Boards\"\nunits = \"in\"\n\
             stock = {{ material = \"western-redcedar\", size = [96, 9.25], thickness = 0.72{glued} }}\n\
             saw = {{ kerf = 0.125 }}\nrouter = {{ machine = \"desktop-router\", cutter = \"endmill-6\" }}\n\
             [[box]]\nname = \"bluebird\"\nkind = \"cavity-box\"\ncount = 4\noccupant = \"bluebird\"\n\
             drains = 0\n"
        )
    };
    all.push(("boards".into(), boards("")));
    all.push(("panels of boards".into(), boards(", glue-up = 2")));
    for (paper, units) in [("a4", "mm"), ("a3", "in"), ("letter", "in"), ("tabloid", "mm")] {
        let mut holes = format!(
            "title = \"Thirty holes\"\nunits = \"{units}\"\npaper = \"{paper}\"\n\
             stock = {{ material = \"birch-plywood\", size = [\"2440 mm\", \"1220 mm\"], thickness = \"12 mm\" }}\n\
             [[part]]\nname = \"peg board\"\nsize = [\"620 mm\", \"410 mm\"]\n"
        );
        for i in 0..30 {
            // Scattered, and clear of each other.
            let (x, y) = (40 + 95 * (i % 6) + 7 * (i % 5), 35 + 80 * (i / 6) + 3 * (i * 11 % 13));
            let diameter = [5, 8, 20][i % 3];
            holes += &format!(
                "[[part.hole]]\nuse = \"pilot\"\ndiameter = \"{diameter} mm\"\nacross = \"{x} mm\"\nup = \"{y} mm\"\n"
            );
        }
        all.push((format!("holes on {paper}"), holes));
    }
    all
}

/// The same of jobs with odd shapes and names; markup in a name stays what it is.
#[test]
fn odd_jobs_are_drawn_clear_and_their_names_stay_inert() {
    let mut all = Vec::new();
    for (name, spec) in odd_jobs() {
        let made = make(&spec);
        let pages = book(&made);
        for page in &pages {
            let crowded = page.picture.texts().any(|text| text.text.contains("Not every feature"));
            assert!(!crowded, "{name}: {} does not have all its dimensions", page.name);
            all.extend(outside_the_frame(page).into_iter().map(|fault| format!("{name}: {fault}")));
            all.extend(faults(page).into_iter().map(|fault| format!("{name}: {fault}")));
            let svg = nestwright::draw::svg(&page.picture);
            assert!(!svg.contains("<b>") && !svg.contains("<i>"), "{name}: {}", page.name);
        }
        if name.starts_with("holes") {
            // Each hole has its number, on the board and in the table, and its place.
            let page = pages.iter().find(|page| page.chapter == "Parts").expect("a part");
            for number in 1..=30 {
                let number = number.to_string();
                assert!(page.picture.texts().filter(|text| text.text == number).count() >= 2, "{name}: {number}");
            }
        }
    }
    assert!(all.is_empty(), "{} faults:\n{}", all.len(), all.join("\n"));
}

/// A saw's gauge is set by it: the roof of this box falls by 15 degrees, that one's gables are cut at 45.
#[test]
fn sloping_edges_have_their_angle() {
    let (_, spec) = samples().into_iter().find(|(name, _)| name == "nest-boxes").expect("a sample");
    let made = make(&spec);
    let texts = |name: &str| {
        let part = made.parts.iter().position(|part| part.name == name).expect("it is there");
        part_drawing(&made, part).texts().map(|text| text.text.clone()).collect::<Vec<_>>()
    };
    for (part, angle) in [("bluebird box left side", "15°"), ("chickadee box front", "45°, 2 places")] {
        assert!(texts(part).iter().any(|text| text == angle), "{part}: {:?}", texts(part));
    }
    assert!(!texts("back plate").iter().any(|text| text.contains('°')));
}

/// The test of all pages would see it.
#[test]
fn a_text_on_a_line_or_a_text_is_a_fault() {
    use nestwright::draw::{Anchor, Shows};
    let mut picture = Picture::new(100.0, 100.0);
    picture.text(Point::new(20.0, 50.0), 2.5, Anchor::Start, false, "235.5");
    let page = |picture: &Picture| Page {
        chapter: "c".into(),
        name: "n".into(),
        shows: Shows::Cover,
        picture: picture.clone(),
    };
    assert!(faults(&page(&picture)).is_empty());
    let mut lined = picture.clone();
    lined.line(Point::new(0.0, 49.0), Point::new(99.0, 49.0), Pen::Thin);
    assert_eq!(faults(&page(&lined)).len(), 1);
    let mut doubled = picture.clone();
    doubled.text(Point::new(24.0, 52.0), 2.5, Anchor::Start, false, "7");
    assert_eq!(faults(&page(&doubled)).len(), 1);
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    let (_, spec) = samples().swap_remove(0);
    let (once, again) = (make(&spec), make(&spec));
    assert!(files(&once).expect("files") == files(&again).expect("files"));
    let bytes = pdf(&once.job.title, &book(&once));
    assert!(bytes.len() < 2_000_000, "{} bytes", bytes.len());
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig { cases: 16, failure_persistence: None, ..Default::default() })]

    /// A part of any size with holes anywhere, on any paper: no text on a text or a line, and nothing outside the frame.
    #[test]
    fn any_part_with_holes_anywhere_is_drawn_clear(
        size in (40.0..1800.0f64, 40.0..900.0f64),
        holes in proptest::collection::vec((0.0..1.0f64, 0.0..1.0f64, 2.0..60.0f64, 1.0..4.0f64), 0..7),
        paper in proptest::sample::select(&["a4", "a3", "letter", "tabloid"][..]),
        units in proptest::sample::select(&["mm", "in"][..]),
    ) {
        let fault = any_part(size, &holes, paper, units);
        proptest::prop_assert_eq!(fault, Vec::<String>::new());
    }
}

/// Faults of the drawing of one part: its size, its holes as shares of that, their width (mm) and how long they are for it.
fn any_part(size: (f64, f64), holes: &[(f64, f64, f64, f64)], paper: &str, units: &str) -> Vec<String> {
    let mut spec = format!(
        "title = \"Any part\"\npaper = \"{paper}\"\nunits = \"{units}\"\n\
         stock = {{ material = \"birch-plywood\", size = [\"3000 mm\", \"2000 mm\"], thickness = \"12 mm\" }}\n\
         [[part]]\nname = \"any\"\nsize = [\"{:.1} mm\", \"{:.1} mm\"]\n",
        size.0, size.1
    );
    for (x, y, diameter, stretch) in holes {
        let shape = if *stretch < 2.5 {
            format!("diameter = \"{diameter:.1} mm\"")
        } else if *stretch < 4.0 {
            format!("slot = [\"{:.1} mm\", \"{diameter:.1} mm\"]", diameter * stretch)
        } else {
            format!("size = [\"{diameter:.1} mm\", \"{:.1} mm\"]", diameter * stretch)
        };
        spec += &format!(
            "[[part.hole]]\nuse = \"vent\"\n{shape}\nacross = \"{:.1} mm\"\nup = \"{:.1} mm\"\n",
            x * size.0,
            y * size.1
        );
    }
    // Holes that run into each other or over the edge are refused before anything is drawn.
    let Ok(made) = nestwright::make(crate::shared::check(&spec), &crate::shared::search()) else { return Vec::new() };
    let pages = book(&made);
    let page = pages.iter().find(|page| page.chapter == "Parts").expect("a part");
    let mut all = faults(page);
    all.extend(outside_the_frame(page));
    all
}

/// The place of a hole up a long part stands over its line, where the thickness of the part is given too.
#[test]
fn the_thickness_keeps_clear_of_the_heights_beside_it() {
    let hole = (0.3545932228268731, 0.7206070876794165, 2.0, 1.0);
    let part = (1232.3491878839477, 172.49673488945055);
    assert_eq!(any_part(part, &[hole], "a4", "in"), Vec::<String>::new());
}

/// Whatever the sizes, every part gets its drawing, with its overall sizes on it.
#[test]
fn thin_tiny_and_huge_parts_are_drawn() {
    let made = make(
        r#"
        title = "Odd sizes"
        paper = "a3"
        stock = { material = "birch-plywood", size = [18000, 9000], thickness = 12 }
        [[part]]
        name = "beam"
        size = [17000, 15]
        [[part]]
        name = "chip"
        size = [10, 10]
        [[part]]
        name = "wall of a barn with a name that goes on and on and on"
        size = [15000, 8000]
        hole = [{ use = "vent", diameter = 3, across = 20, up = 20 }, { use = "vent", diameter = 1000, across = 9000, up = 5000 }]
        "#,
    );
    for page in &book(&made) {
        assert_eq!(faults(page), Vec::<String>::new());
    }
    let beam = made.parts.iter().position(|part| part.name == "beam").expect("it is there");
    let drawing = part_drawing(&made, beam);
    let texts: Vec<&str> = drawing.texts().map(|text| text.text.as_str()).collect();
    assert!(texts.contains(&"17000") && texts.contains(&"15"), "{texts:?}");
}

/// The nucs on sixteen pages, and nothing lost: every part with its sizes, every hole, cut and step.
#[test]
fn the_book_of_the_nucs_is_short_and_whole() {
    let made = make(crate::shared::measured_nucs());
    let pages = book(&made);
    assert!(pages.len() <= 16, "{:?}", pages.iter().map(|page| page.name.as_str()).collect::<Vec<_>>());
    let words: Vec<&str> = pages.iter().flat_map(|page| page.picture.texts()).map(|text| text.text.as_str()).collect();
    let said = words.join("\n");
    for (i, part) in made.parts.iter().enumerate() {
        assert!(said.contains(&format!("{}  {}, {} piece", i + 1, part.name, part.count)), "{}", part.name);
        for size in [part.length, part.width] {
            assert!(words.contains(&made.job.units.number(size).as_str()), "{}: {size}", part.name);
        }
    }
    for told in ["⌀20 entrance", "2 × ⌀20 vent", "⌀20 pilot", "⌀20 mm entrance", "⌀20 mm vent"] {
        assert!(said.contains(told), "{told}");
    }
    let table = |page: &&Page| page.chapter == "Saw plan" && page.name.starts_with("Steps");
    let rows: Vec<&str> =
        pages.iter().filter(table).flat_map(|page| page.picture.texts()).map(|text| text.text.as_str()).collect();
    for number in 1..=made.saw.length() {
        assert!(rows.contains(&number.to_string().as_str()), "cut {number}");
    }
    // Words of a step stand line by line.
    let said = words.join(" ");
    for step in made.steps.iter().flat_map(|steps| &steps.steps) {
        let text = step.text.join(" ");
        assert!(said.contains(&text), "{text}");
    }
}

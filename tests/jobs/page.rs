//! The job page holds the whole job, says what `job.json` says, and lets nothing of it act as markup.

use crate::shared::make;
use nestwright::export::{Files, files};
use serde_json::Value;

const NUCS: &str = r#"
    title = "Nucs for May"
    units = "mm"
    stock = { material = "birch-plywood", size = [2440, 1220], thickness = 12.1 }
    router = { machine = "desktop-router", cutter = "endmill-6", drills = ["drill-20"] }
    [[box]]
    name = "nuc"
    kind = "frame-box"
    count = 2
    frame = "langstroth-deep"
    frames = 5
    hole = [
        { panel = "front", use = "entrance", diameter = 20, across = "centre", up = 22 },
        { panel = "back", use = "vent", slot = [60, 10], across = "centre", down = 63.5 },
    ]
    [[part]]
    name = "gauge"
    size = [150, 30]
    count = 2
"#;

/// Every name that a maker gives, with something that would act if it were taken for markup.
const MARKUP: &str = r#"
    title = "</title><script>alert(1)</script> & \" '"
    stock = { material = "birch-plywood", size = [1220, 610], thickness = 12.1 }
    router = { machine = "desktop-router", cutter = "endmill-6" }
    [[box]]
    name = "<img src=x onerror=alert(2)>"
    kind = "open-box"
    count = 1
    inside = [200, 150, 80]
    [[part]]
    name = "</script><!-- {{ job }} {% x %}"
    size = [150, 30]
    count = 1
"#;

fn page(files: &Files) -> String {
    String::from_utf8(files["job.html"].clone()).expect("text")
}

/// The page with its plain character references read, and spaces that do not break as others; those that could be taken for
/// markup stay.
fn read(page: &str) -> String {
    page.replace("&#x2f;", "/").replace("&#x3d;", "=").replace("&#x27;", "'").replace('\u{a0}', " ")
}

/// The data in the script element of this id.
fn embedded(page: &str, id: &str) -> Value {
    let start = format!("<script type=\"application/json\" id=\"{id}\">");
    let from = page.find(&start).expect("the element") + start.len();
    let to = from + page[from..].find("</script>").expect("its end");
    serde_json::from_str(&page[from..to]).expect("JSON")
}

#[test]
fn its_data_is_that_of_job_json() {
    let files = files(&make(NUCS)).expect("files");
    let job: Value = serde_json::from_slice(&files["job.json"]).expect("JSON");
    let listed = job["files"].as_array().expect("a list").iter().any(|file| file["name"] == "job.html");
    assert!(listed, "the page is one of the job's files");
    // Not all of it: what the script draws from. The rest is in words on the page, and in the file.
    let shown = embedded(&page(&files), "job-data");
    let shown = shown.as_object().expect("an object");
    for key in ["title", "units", "parts", "sheets", "programs"] {
        assert!(shown.contains_key(key), "{key}");
    }
    for (key, value) in shown {
        assert_eq!(value, &job[key], "{key}");
    }
}

#[test]
fn every_part_finding_program_and_file_is_on_it() {
    let made = make(NUCS);
    let files = files(&made).expect("files");
    let page = read(&page(&files));
    for part in &made.parts {
        let row = format!(">{}</button>", part.name);
        assert!(page.contains(&row), "{}", part.name);
    }
    for finding in &made.findings {
        // The only box of a job need not be named at each.
        let subject = finding.subject.strip_prefix("nuc").unwrap_or(&finding.subject).trim_start_matches(", ");
        assert!(page.contains(&format!("{} <span>{subject}</span>", finding.check)), "{}", finding.check);
        let measured = finding.measured.map(|measured| measured.show(made.job.units)).unwrap_or_default();
        assert!(page.contains(&measured), "{}: {measured}", finding.check);
    }
    let texts = embedded(&page, "scene-data");
    for (program, shown) in made.programs.iter().zip(texts["programs"].as_array().expect("a list")) {
        assert_eq!(shown["text"], program.text, "{}: the replay reads the very text", program.file);
    }
    for step in made.steps.iter().flat_map(|steps| &steps.steps).filter(|step| !step.text.is_empty()) {
        let text = step.text[0].replace('\'', "&#39;");
        assert!(page.contains(&step.text[0]) || page.contains(&text), "{:?}", step.text);
    }
    for supply in &made.supplies {
        assert!(page.contains(&supply.what), "{}", supply.what);
    }
    let pieces = made.layout.sheets.iter().map(|sheet| sheet.placements.len()).sum::<usize>();
    assert_eq!(page.matches("class=\"piece\"").count(), pieces);
    for name in files.keys().filter(|name| *name != "job.html") {
        assert!(page.contains(&format!("href=\"{name}\"")), "no link to {name}");
    }
}

/// On however narrow a screen, no figure stands at the end of a line and its fraction or unit on the next: outside of tags,
/// the page breaks no line there. What units are is told by hand here, not by the program.
#[test]
fn figures_keep_their_units() {
    let inches = NUCS.replace("\"mm\"", "\"in\"").replace("[2440, 1220]", "[96, 48]").replace("12.1", "0.476");
    let inches = inches
        .replace("diameter = 20, across = \"centre\", up = 22", "diameter = 0.787, across = \"centre\", up = 0.87");
    let inches =
        inches.replace("[60, 10]", "[2.4, 0.4]").replace("down = 63.5", "down = 2.5").replace("[150, 30]", "[6, 1.2]");
    for (spec, unit) in [(NUCS, "mm"), (inches.as_str(), "in")] {
        let page = page(&files(&make(spec)).expect("files"));
        let (_, body) = page.split_once("</style>").expect("a style");
        let (body, _) = body.split_once("<script").expect("a script");
        let (mut loose, mut tied) = (Vec::new(), 0);
        for text in body.split('<').filter_map(|piece| piece.split_once('>')).map(|(_, text)| text) {
            for (at, _) in text.match_indices(unit).filter(|(at, _)| *at > 0) {
                let (before, after) = (&text[..at], &text[at + unit.len()..]);
                let word_ends = !after.starts_with(|c: char| c.is_alphanumeric());
                let figure = before.trim_end().ends_with(|c: char| c.is_ascii_digit());
                if word_ends && figure && before.ends_with([' ', '\n']) {
                    loose.push(text);
                }
                tied += usize::from(word_ends && before.ends_with('\u{a0}'));
            }
        }
        assert!(loose.is_empty(), "{loose:?}");
        assert!(tied > 50, "{tied} figures in {unit}");
    }
}

#[test]
fn every_measure_of_every_proof_is_on_it() {
    let made = make(NUCS);
    let page = read(&page(&files(&made).expect("files")));
    let (_, rest) = page.split_once("<section id=\"proof\"").expect("a section");
    let (section, _) = rest.split_once("</section>").expect("its end");
    assert_eq!(section.matches("<b>proved</b>").count(), made.programs.len());
    for proof in &made.proof {
        for measured in &proof.measures {
            assert!(section.contains(&measured.finding.check), "{}", measured.finding.check);
            let line = measured.line.map_or(String::new(), |line| format!("data-line=\"{line}\""));
            assert!(section.contains(&line), "{}: {line}", measured.finding.check);
        }
    }
    // A ring for each place, and a strip for each tool that cuts.
    let places = made.proof.iter().flat_map(|proof| &proof.measures).filter(|measured| measured.at.is_some());
    assert_eq!(section.matches("class=\"ring\"").count(), places.count());
    assert_eq!(section.matches("class=\"strip strip-through\"").count(), 2, "an end mill and a drill");
}

/// Each panel of each box stands in the scene, and its solid weighs what the panel does.
#[test]
fn the_solids_are_the_panels() {
    let made = make(NUCS);
    let scene = embedded(&page(&files(&made).expect("files")), "scene-data");
    let shown = scene["boxes"][0]["panels"].as_array().expect("panels");
    let panels = &made.assemblies[0].panels;
    assert_eq!(shown.len(), panels.len());
    for (panel, solid) in panels.iter().zip(shown) {
        assert_eq!(solid["name"], panel.name);
        let holes: f64 = panel.holes.iter().map(|hole| hole.outline().area()).sum();
        let wanted = (panel.outline.area() - holes) * panel.thickness;
        let volume: f64 = solid["layers"].as_array().expect("layers").iter().map(layer_volume).sum();
        assert!((volume - wanted).abs() < 0.002 * wanted, "{}: {volume} is not {wanted}", panel.name);
    }
}

fn layer_volume(layer: &Value) -> f64 {
    let number = |value: &Value| value.as_f64().expect("a number");
    let area: f64 = layer["rings"]
        .as_array()
        .expect("rings")
        .iter()
        .map(|ring| {
            let flat: Vec<f64> = ring.as_array().expect("a ring").iter().map(number).collect();
            let n = flat.len() / 2;
            let at = |i: usize| (flat[2 * (i % n)], flat[2 * (i % n) + 1]);
            (0..n).map(|i| at(i).0 * at(i + 1).1 - at(i + 1).0 * at(i).1).sum::<f64>() / 2.0
        })
        .sum();
    area * (number(&layer["bottom"]) - number(&layer["top"]))
}

#[test]
fn names_full_of_markup_stay_text() {
    let files = files(&make(MARKUP)).expect("files");
    let page = page(&files);
    assert!(!page.contains("<script>alert") && !page.contains("<img") && !page.contains("<!-- {{"));
    assert_eq!(page.matches("<script").count(), 3, "two of data and one that runs");
    assert!(read(&page).contains("&lt;img src=x onerror=alert(2)&gt;"));
    let job = embedded(&page, "job-data");
    assert_eq!(job["title"], "</title><script>alert(1)</script> & \" '");
}

/// No address but the names of the files beside it, and nothing that would fetch.
#[test]
fn it_needs_no_network() {
    // The name of a namespace is no address that anything is asked at.
    let page = page(&files(&make(NUCS)).expect("files")).replace("http://www.w3.org/2000/svg", "");
    for word in ["http://", "https://", "@import", "fetch(", "XMLHttpRequest", "<link", "<img", "<iframe"] {
        assert!(!page.contains(word), "{word}");
    }
    assert!(read(&page).contains("default-src 'none'"));
}

#[test]
fn the_same_job_gives_the_same_page() {
    let [a, b] = [0, 1].map(|_| files(&make(NUCS)).expect("files"));
    assert!(a["job.html"] == b["job.html"]);
}

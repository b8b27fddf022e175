//! What the tests of several folders need.
#![allow(dead_code)] // Each test program uses its own share of this.

use nestwright::build::parts;
use nestwright::design::{Assembly, Design, Part};
use nestwright::error::Error;
use nestwright::geometry::Outline;
use nestwright::job::{BoxOrder, Job, Stock};
use nestwright::layout::{Layout, Placement, Sheet, Turn};
use nestwright::paper::Paper;
use nestwright::profile::{Material, Profiles};
use nestwright::reading::Source;
use nestwright::units::{INCH, Units};
use nestwright::watch::Search;
use nestwright::{Checked, Made, design::Kinds};
use std::sync::Arc;

/// Reads and checks a spec that must be readable.
///
pub fn check(spec: &str) -> Checked {
    nestwright::check(&Source::new("test.toml", spec), &Profiles::built_in(), &Kinds::built_in(), &search())
        .unwrap_or_else(|error| panic!("{error}"))
}

/// With little effort, as tests run without optimization.
pub fn search() -> Search {
    Search::of(1)
}

/// Makes a spec that must be makeable.
pub fn make(spec: &str) -> Made {
    nestwright::make(check(spec), &search()).unwrap_or_else(|error| panic!("{error}"))
}

/// The problems of a spec that cannot be read, one line each.
pub fn problems(spec: &str) -> Vec<String> {
    match nestwright::check(&Source::new("test.toml", spec), &Profiles::built_in(), &Kinds::built_in(), &search()) {
        Err(nestwright::error::Error::Unreadable(problems)) => problems.iter().map(ToString::to_string).collect(),
        Err(other) => panic!("refused, not unreadable: {other}"),
        Ok(_) => panic!("it was read"),
    }
}

/// A job of one box of this design in stock of this thickness (mm).
pub fn job_of(design: impl Design + 'static, thickness: f64) -> (Job, Vec<Assembly>) {
    let material = Profiles::built_in().find::<Material>("birch-plywood").expect("built in");
    let stock = Stock {
        name: "stock".into(),
        material,
        glued: None,
        moisture: None,
        length: 96.0 * INCH,
        width: 48.0 * INCH,
        thickness,
        thinnest: None,
        nominal: None,
        on_hand: None,
        price: None,
        trim: 0.0,
        margin: 0.0,
        roomy: None,
        usable: [300.0, 100.0],
        keep_out: Vec::new(),
        from: None,
        spot: 0..0,
    };
    let order = BoxOrder {
        name: "box".into(),
        count: 1,
        per_set: None,
        stock: 0,
        panel_stock: Vec::new(),
        design: Arc::new(design),
        variants: vec![],
        stands_on: None,
        grain: vec![],
        boards: vec![],
        holes: vec![],
        pockets: vec![],
        spot: 0..0,
    };
    let job = Job {
        source: Source::new("test.toml", ""),
        title: "test".into(),
        owner: None,
        drawn_by: None,
        units: Units::Inches,
        paper: Paper::Letter,
        stock: vec![stock],
        router: None,
        saw: None,
        boxes: vec![order],
        loose: vec![],
        hardware: Default::default(),
        costing: Default::default(),
        accepts: vec![],
    };
    let assemblies = nestwright::build::assemble(&job).unwrap_or_else(|error| panic!("{error}"));
    (job, assemblies)
}

/// The parts of one box of this design.
pub fn parts_of(design: impl Design + 'static, thickness: f64) -> Vec<Part> {
    let (job, assemblies) = job_of(design, thickness);
    parts(&job, &assemblies)
}

/// The specs of the samples, by name.
pub fn samples() -> Vec<(String, String)> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("out-samples");
    let mut found: Vec<(String, String)> = std::fs::read_dir(folder)
        .expect("samples")
        .map(|entry| entry.expect("readable").path())
        .filter(|path| path.is_dir())
        .map(|path| {
            let name = path.file_name().expect("named").to_string_lossy().into_owned();
            (name, std::fs::read_to_string(path.join("job.toml")).expect("a spec"))
        })
        .collect();
    found.sort();
    found
}

/// The four five-frame nucs that benchmarks measure: a job that stays as it is when samples change.
pub fn measured_nucs() -> &'static str {
    include_str!("../../benches/jobs/nucs.toml")
}

/// A board of 12.1 mm with nothing in it.
pub fn board(name: &str, outline: Outline) -> Part {
    Part::plain(name, outline, 12.1)
}

/// Was there something to prove, and does all of it hold?
pub fn proved(proofs: &[nestwright::proof::Proof]) -> bool {
    !proofs.is_empty() && proofs.iter().all(nestwright::proof::Proof::proved)
}

/// A job for a sheet of 600 × 400 × 12.1 mm; `router` is what stands in its `router` table.
pub fn router_job(router: &str, profiles: &Profiles) -> Job {
    let spec = format!(
        r#"
        title = "toolpaths"
        stock = {{ material = "birch-plywood", size = [600, 400], thickness = 12.1 }}
        part = {{ name = "unused", size = [50, 50] }}
        [router]
        {router}
        "#
    );
    nestwright::spec::read(&Source::new("test.toml", spec), profiles, &Kinds::built_in())
        .unwrap_or_else(|problems| panic!("{}", Error::Unreadable(problems)))
}

/// One piece of each part on a sheet, from left to right, 40 mm apart.
pub fn side_by_side(parts: &[Part]) -> Layout {
    let mut x = 40.0;
    let placements = parts
        .iter()
        .enumerate()
        .map(|(part, piece)| {
            let placement = Placement { part, x, y: 40.0, turn: Turn::None };
            x += piece.length + 40.0;
            placement
        })
        .collect();
    Layout { sheets: vec![Sheet { stock: 0, length: 600.0, width: 400.0, thickness: 12.1, placements }] }
}

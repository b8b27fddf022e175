//! What the tests of several folders need.
#![allow(dead_code)] // Each test program uses its own share of this.

use nestwright::design::{Assembly, Design, Part, parts};
use nestwright::job::{BoxOrder, Job, Stock};
use nestwright::paper::Paper;
use nestwright::profile::{Material, Profiles};
use nestwright::reading::Source;
use nestwright::units::{INCH, Units};
use nestwright::{Checked, Made, design::Kinds};
use std::sync::Arc;

/// Reads and checks a spec that must be readable.
pub fn check(spec: &str) -> Checked {
    nestwright::check(&Source::new("test.toml", spec), &Profiles::built_in(), &Kinds::built_in())
        .unwrap_or_else(|error| panic!("{error}"))
}

/// Makes a spec that must be makeable.
pub fn make(spec: &str) -> Made {
    nestwright::make(check(spec)).unwrap_or_else(|error| panic!("{error}"))
}

/// The problems of a spec that cannot be read, one line each.
pub fn problems(spec: &str) -> Vec<String> {
    match nestwright::check(&Source::new("test.toml", spec), &Profiles::built_in(), &Kinds::built_in()) {
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
        length: 96.0 * INCH,
        width: 48.0 * INCH,
        thickness,
        on_hand: None,
        price: None,
        trim: 0.0,
        margin: 0.0,
        spot: 0..0,
    };
    let order = BoxOrder {
        name: "box".into(),
        count: 1,
        stock: 0,
        design: Arc::new(design),
        variants: vec![],
        stands_on: None,
        holes: vec![],
        pockets: vec![],
        spot: 0..0,
    };
    let job = Job {
        source: Source::new("test.toml", ""),
        title: "test".into(),
        units: Units::Inches,
        paper: Paper::Letter,
        stock: vec![stock],
        router: None,
        saw: None,
        boxes: vec![order],
        loose: vec![],
        hardware: Default::default(),
        costing: Default::default(),
    };
    let assemblies = nestwright::design::assemble(&job).unwrap_or_else(|error| panic!("{error}"));
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

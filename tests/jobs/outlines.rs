//! Loose parts whose outline is a drawing in a file of its own.

use crate::shared::search;
use nestwright::design::{HoleUse, Kinds, Part};
use nestwright::error::Error;
use nestwright::export;
use nestwright::profile::Profiles;
use nestwright::reading::{Beside, Source};
use nestwright::units::INCH;
use nestwright::{Made, check, make};
use std::f64::consts::PI;
use std::sync::Arc;

/// An entity of a drawing, as pairs of a group code and a value.
fn entity(name: &str, groups: &[(i32, f64)]) -> String {
    groups.iter().fold(format!("0\n{name}\n8\n0\n"), |all, (code, value)| format!("{all}{code}\n{value}\n"))
}

fn line(a: (f64, f64), b: (f64, f64)) -> String {
    entity("LINE", &[(10, a.0), (20, a.1), (11, b.0), (21, b.1)])
}

fn circle(x: f64, y: f64, radius: f64) -> String {
    entity("CIRCLE", &[(10, x), (20, y), (40, radius)])
}

fn polyline(corners: &[(f64, f64)]) -> String {
    let head = [(90, corners.len() as f64), (70, 1.0)];
    let corners = corners.iter().flat_map(|(x, y)| [(10, *x), (20, *y)]);
    entity("LWPOLYLINE", &head.into_iter().chain(corners).collect::<Vec<_>>())
}

fn drawing(unit: u32, entities: &str) -> String {
    format!(
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n{unit}\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
    )
}

/// Straight sides up to a half circle, as lines and an arc in no order; two eyes and a way in.
fn owl() -> String {
    let body = [
        line((0.0, 0.0), (4.0, 0.0)),
        entity("ARC", &[(10, 2.0), (20, 5.0), (40, 2.0), (50, 0.0), (51, 180.0)]),
        line((0.0, 5.0), (0.0, 0.0)),
        line((4.0, 5.0), (4.0, 0.0)),
        circle(1.2, 5.0, 0.5),
        circle(2.8, 5.0, 0.5),
        polyline(&[(1.0, 1.0), (3.0, 1.0), (3.0, 2.0), (1.0, 2.0)]),
    ];
    drawing(1, &body.concat())
}

fn source(drawing: &str) -> Arc<Source> {
    let spec = "title = \"t\"\nstock = { material = \"birch-plywood\", size = [1220, 1220], thickness = 12 }\n\
        router = { machine = \"large-router\", cutter = \"endmill-6\" }\nsaw = { kerf = 3.2 }\n\
        [[part]]\nname = \"owl\"\noutline = \"owl.dxf\"\n";
    let beside = Beside { name: "owl.dxf".into(), read: Ok(Source::new("owl.dxf", drawing)) };
    Source::with_beside("owls.toml", spec, vec![beside])
}

fn made(drawing: &str) -> Made {
    let checked = check(&source(drawing), &Profiles::built_in(), &Kinds::built_in(), &search());
    checked.and_then(|checked| make(checked, &search())).unwrap_or_else(|error| panic!("{error}"))
}

/// By hand: 4 × 5 in and half a circle of 2 in on it; in inches, though the job is in millimetres.
#[test]
fn a_drawing_is_cut_as_it_is_drawn() {
    let made = made(&owl());
    let part = &made.parts[0];
    assert!((part.length - 7.0 * INCH).abs() < 1e-6 && (part.width - 4.0 * INCH).abs() < 1e-6);
    assert!((part.outline.area() / (INCH * INCH) - (20.0 + 2.0 * PI)).abs() < 1e-6);
    let openings: Vec<(f64, f64)> = part.holes.iter().map(|hole| (hole.length / INCH, hole.width / INCH)).collect();
    let of = |long: f64, wide: f64| {
        openings.iter().filter(|(a, b)| (a - long).abs() < 1e-6 && (b - wide).abs() < 1e-6).count()
    };
    assert_eq!((openings.len(), of(1.0, 1.0), of(2.0, 1.0)), (3, 2, 1), "{openings:?}");
    assert!(part.holes.iter().all(|hole| hole.use_ == HoleUse::Opening));
    assert!(!made.programs.is_empty() && made.proof.len() == made.programs.len());
}

/// What another library writes of a part of ours reads back as the same part.
#[test]
fn our_own_drawings_read_back() {
    let first = made(&owl());
    let written = export::part_dxf(&first.parts[0], first.job.units).expect("it is written");
    let again = made(&String::from_utf8(written).expect("text"));
    let measure = |part: &Part| {
        let mut holes: Vec<[i64; 3]> = part
            .holes
            .iter()
            .map(|hole| [hole.length, hole.width, hole.outline().area()].map(|mm| (mm * 100.0).round() as i64))
            .collect();
        holes.sort_unstable();
        (holes, [part.length, part.width, part.outline.area()].map(|mm| (mm * 100.0).round() as i64))
    };
    assert_eq!(measure(&again.parts[0]), measure(&first.parts[0]));
}

/// Each at the line of the file that is wrong, with what would be right.
#[test]
fn what_is_wrong_with_a_drawing_is_pointed_at() {
    let square = polyline(&[(0.0, 0.0), (100.0, 0.0), (100.0, 80.0), (0.0, 80.0)]);
    let on = |more: &str| drawing(4, &format!("{square}{more}"));
    let open = drawing(4, &(line((0.0, 0.0), (100.0, 0.0)) + &line((100.0, 0.0), (50.0, 90.0))));
    let tilted = polyline(&[(20.0, 20.0), (40.0, 25.0), (38.0, 45.0), (18.0, 40.0)]);
    let crossed = polyline(&[(0.0, 0.0), (100.0, 80.0), (100.0, 0.0), (0.0, 90.0)]);
    let cases = [
        (open, "where no other begins", "expected closed lines"),
        (drawing(4, &crossed), "crosses itself", "goes round once"),
        (on(&circle(200.0, 20.0, 5.0)), "beside the outline", "openings inside it"),
        (on(&(circle(50.0, 40.0, 20.0) + &circle(50.0, 40.0, 5.0))), "inside an opening", "beside each other"),
        (on(&tilted), "square to the drawing", "expected such an opening"),
        (
            on(&entity("ELLIPSE", &[(10, 50.0), (20, 40.0)])),
            "`ELLIPSE` is neither a line nor an arc",
            "turn it into those",
        ),
        (on("0\nCIRCLE\n10\nfar\n20\n4\n40\n3\n"), "`far` is no number", "expected a number"),
        (on("0\nCIRCLE\n10\n5\n20\n4\n"), "lacks group 40", "expected a whole drawing"),
        (drawing(9, &square), "its unit is number 9", "expected inches (1)"),
        (drawing(4, &circle(3.0, 3.0, 2.0)), "4 × 4 mm", "from 10 mm"),
        (drawing(4, ""), "nothing is drawn in it", "expected lines"),
        ("not a drawing\nat all\n".to_string(), "this is no group code", "expected a drawing in DXF, as text"),
        (String::new(), "it has no entities", "expected a drawing in DXF, as text"),
    ];
    for (drawing, message, expected) in cases {
        match check(&source(&drawing), &Profiles::built_in(), &Kinds::built_in(), &search()) {
            Err(Error::Unreadable(problems)) => {
                let told: Vec<String> = problems.iter().map(ToString::to_string).collect();
                assert!(told[0].starts_with("owl.dxf:"), "{told:?}");
                assert!(told[0].contains(message) && told[0].contains(expected), "{message}: {told:?}");
            }
            other => panic!("{message}: it was read: {}", other.is_ok()),
        }
    }
}

//! The files, read back by other libraries.

use crate::shared::make;
use nestwright::Made;
use nestwright::export::files;

const NUCS: &str = r#"
    title = "Nucs & <things>"
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
"#;

const NEST_BOXES: &str = r#"
    title = "Nest boxes"
    units = "in"
    stock = { material = "softwood-plywood", size = [96, 48], thickness = 0.472 }
    router = { machine = "shop-router", cutter = "endmill-1-4", drills = ["drill-3-4"], labels = true }
    [[box]]
    name = "bluebird box"
    kind = "cavity-box"
    count = 2
    occupant = "bluebird"
    hole = [{ panel = "floor", use = "drain", diameter = "3/4", across = 1, up = 1 }]
"#;

fn jobs() -> [Made; 2] {
    [make(NUCS), make(NEST_BOXES)]
}

#[test]
fn every_dxf_is_read_by_the_dxf_crate_with_its_shapes_on_the_named_layers() {
    use dxf::entities::EntityType;
    for made in jobs() {
        let files = files(&made).expect("files");
        for (name, bytes) in files.iter().filter(|(name, _)| name.ends_with(".dxf")) {
            let drawing = dxf::Drawing::load(&mut bytes.as_slice()).unwrap_or_else(|why| panic!("{name}: {why}"));
            assert_eq!(drawing.header.version, dxf::enums::AcadVersion::R2000);
            assert_ne!(drawing.header.default_drawing_units, dxf::enums::Units::Unitless);
            for entity in drawing.entities() {
                let layer = entity.common.layer.as_str();
                match &entity.specific {
                    EntityType::LwPolyline(line) if layer == "ENGRAVING" => assert!(!line.is_closed(), "{name}"),
                    EntityType::LwPolyline(line) => {
                        assert!(line.is_closed(), "{name}");
                        assert!(["SHEET", "OUTLINE", "HOLES", "POCKETS"].contains(&layer), "{name}: {layer}");
                    }
                    EntityType::Circle(_) => assert_eq!(layer, "HOLES", "{name}"),
                    EntityType::Text(_) => assert_eq!(layer, "LABELS", "{name}"),
                    other => panic!("{name}: unexpected {other:?}"),
                }
            }
        }
        let sheet = dxf::Drawing::load(&mut files["sheet-1.dxf"].as_slice()).expect("readable");
        let on = |wanted: &str| sheet.entities().filter(|entity| entity.common.layer == wanted).count();
        assert_eq!(on("OUTLINE"), made.layout.sheets[0].placements.len());
        assert_eq!(on("SHEET"), 1);
        // As many strokes as the labels of all pieces have, and as long.
        let strokes = made.layout.sheets[0].placements.iter().filter_map(|it| made.parts[it.part].engraved());
        let strokes: Vec<_> = strokes.flat_map(|label| &label.strokes).collect();
        assert_eq!(on("ENGRAVING"), strokes.len());
        let long = |corners: &[(f64, f64)]| -> f64 {
            corners.windows(2).map(|pair| (pair[1].0 - pair[0].0).hypot(pair[1].1 - pair[0].1)).sum()
        };
        let lines = sheet.entities().filter(|entity| entity.common.layer == "ENGRAVING");
        let lines = lines.map(|entity| match &entity.specific {
            EntityType::LwPolyline(line) => long(&line.vertices.iter().map(|it| (it.x, it.y)).collect::<Vec<_>>()),
            other => panic!("{other:?}"),
        });
        let ours = strokes.iter().map(|stroke| long(&stroke.iter().map(|it| (it.x, it.y)).collect::<Vec<_>>()));
        let (drawn, written) = (lines.sum::<f64>() * made.job.units.in_mm(), ours.sum::<f64>());
        assert!((drawn - written).abs() < 1e-3, "{drawn} {written}");
        assert_eq!(written > 0.0, made.parts.iter().any(|part| part.label.is_some()));
    }
}

/// The library that renders SVG for others understands every picture, and sees something in it.
#[test]
fn every_svg_is_parsed_by_usvg() {
    for made in jobs() {
        for (name, bytes) in files(&made).expect("files").iter().filter(|(name, _)| name.ends_with(".svg")) {
            let tree =
                usvg::Tree::from_data(bytes, &usvg::Options::default()).unwrap_or_else(|why| panic!("{name}: {why}"));
            assert!(shapes(tree.root()) > 10, "{name}");
        }
    }
}

fn shapes(group: &usvg::Group) -> usize {
    let count = |node: &usvg::Node| if let usvg::Node::Group(group) = node { shapes(group) } else { 1 };
    group.children().iter().map(count).sum()
}

/// The words that design and standard allow: the common part of RS274/NGC (NIST IR 6556).
#[test]
fn every_program_is_parsed_by_the_gcode_crate_and_keeps_to_the_common_language() {
    const G: [u32; 18] = [0, 1, 2, 3, 4, 17, 20, 21, 40, 49, 54, 80, 81, 83, 90, 94, 98, 99];
    const M: [u32; 5] = [0, 3, 5, 6, 30];
    for made in jobs() {
        for program in &made.programs {
            let parsed = gcode::parse(&program.text).unwrap_or_else(|why| panic!("{}: {why:?}", program.file));
            let mut seen = 0;
            for block in &parsed.blocks {
                for code in &block.codes {
                    seen += 1;
                    match code {
                        gcode::Code::General(code) => {
                            let number = code.number.major();
                            assert!(G.contains(&number), "{}: G{number}", program.file);
                        }
                        gcode::Code::Miscellaneous(code) => {
                            assert!(M.contains(&code.number.major()), "{}: {code:?}", program.file);
                        }
                        _ => {}
                    }
                }
            }
            assert!(seen > 20, "{}: only {seen} codes", program.file);
        }
    }
}

//! DXF, release 2000, ASCII: closed polylines with true arcs, and circles; what is engraved as open polylines, on a layer of
//! its own.

use crate::design::{Hole, Part};
use crate::error::Error;
use crate::geometry::{Affine, Outline, Point, Vertex};
use crate::layout::Sheet;
use crate::units::Units;
use dxf::entities::{Circle, Entity, EntityType, LwPolyline, Text};
use dxf::enums::AcadVersion;
use dxf::objects::{Dictionary, Object, ObjectType};
use dxf::tables::Layer;
use dxf::{Block, Color, Drawing, Handle, LwPolylineVertex, Point as DxfPoint};

/// The layers, and the numbers of their colours in the format's own table.
const LAYERS: [(&str, u8); 6] =
    [("SHEET", 8), ("OUTLINE", 5), ("HOLES", 1), ("POCKETS", 3), ("ENGRAVING", 6), ("LABELS", 7)];

/// A drawing being filled, in the units it declares.
struct Filling {
    drawing: Drawing,
    scale: f64,
}

/// The sheet with everything on it, in the sheet's frame.
///
/// # Errors
/// [`Error::Fault`] when the library cannot write what it was given.
pub fn sheet_dxf(sheet: &Sheet, parts: &[Part], units: Units) -> Result<Vec<u8>, Error> {
    let mut filling = Filling::new(units);
    filling.outline(&Outline::rectangle(sheet.length, sheet.width), "SHEET");
    for placement in &sheet.placements {
        let part = &parts[placement.part];
        filling.part(part, placement.affine(part), f64::from(placement.turn.degrees()));
    }
    filling.finish()
}

/// One part, in its own frame.
///
/// # Errors
/// [`Error::Fault`] when the library cannot write what it was given.
pub fn part_dxf(part: &Part, units: Units) -> Result<Vec<u8>, Error> {
    let mut filling = Filling::new(units);
    filling.part(part, Affine::IDENTITY, 0.0);
    filling.finish()
}

impl Filling {
    fn new(units: Units) -> Filling {
        let mut drawing = Drawing::new();
        drawing.header.version = AcadVersion::R2000;
        drawing.header.default_drawing_units = match units {
            Units::Millimetres => dxf::enums::Units::Millimeters,
            Units::Inches => dxf::enums::Units::Inches,
        };
        drawing.header.drawing_units = match units {
            Units::Millimetres => dxf::enums::DrawingUnits::Metric,
            Units::Inches => dxf::enums::DrawingUnits::English,
        };
        for (name, colour) in LAYERS {
            drawing.add_layer(Layer { name: name.into(), color: Color::from_index(colour), ..Layer::default() });
        }
        // The library registers applications that have no data in a drawing of ours. The first, `ACAD`, must be there.
        while drawing.remove_app_id(1).is_some() {}
        // What release 2000 wants in every drawing: the two spaces as blocks, and a dictionary at the root.
        for name in ["*MODEL_SPACE", "*PAPER_SPACE"] {
            drawing.add_block(Block { name: name.into(), layer: "0".into(), ..Block::default() });
        }
        let root_handle = drawing.header.next_available_handle;
        let mut root = Dictionary::default();
        root.value_handles.insert("ACAD_GROUP".into(), root_handle.next_handle_value());
        drawing.add_object(Object::new(ObjectType::Dictionary(root)));
        let mut groups = Object::new(ObjectType::Dictionary(Dictionary::default()));
        groups.common.__owner_handle = root_handle;
        drawing.add_object(groups);
        Filling { drawing, scale: 1.0 / units.in_mm() }
    }

    fn part(&mut self, part: &Part, place: Affine, turn: f64) {
        self.outline(&part.outline.transformed(place), "OUTLINE");
        for hole in &part.holes {
            self.hole(hole, place);
        }
        for hole in &part.screw_holes {
            self.hole(&hole.drawn(), place);
        }
        for line in part.lined() {
            for ends in &line.strokes {
                let corners = ends.iter().map(|at| Vertex { at: place * *at, bulge: 0.0 });
                self.line(corners, false, "ENGRAVING");
            }
        }
        for pocket in &part.pockets {
            self.outline(&pocket.outline.transformed(place), "POCKETS");
        }
        for stroke in part.engraved().iter().flat_map(|label| &label.strokes) {
            let corners = stroke.iter().map(|at| Vertex { at: place * *at, bulge: 0.0 });
            self.line(corners, false, "ENGRAVING");
        }
        let height = (part.width / 4.0).clamp(3.0, 12.0);
        let at = place * Point::new(height, height);
        let text = Text {
            location: self.point(at),
            text_height: height * self.scale,
            value: plain(&part.name),
            rotation: turn,
            ..Text::default()
        };
        self.add(EntityType::Text(text), "LABELS");
    }

    fn hole(&mut self, hole: &Hole, place: Affine) {
        if hole.is_round() {
            let circle = Circle::new(self.point(place * hole.centre), hole.length / 2.0 * self.scale);
            self.add(EntityType::Circle(circle), "HOLES");
        } else {
            self.outline(&hole.outline().transformed(place), "HOLES");
        }
    }

    fn outline(&mut self, outline: &Outline, layer: &str) {
        self.line(outline.vertices.iter().copied(), true, layer);
    }

    fn line(&mut self, corners: impl Iterator<Item = Vertex>, closed: bool, layer: &str) {
        let vertices = corners.map(|vertex| LwPolylineVertex {
            x: self.number(vertex.at.x),
            y: self.number(vertex.at.y),
            bulge: vertex.bulge,
            ..LwPolylineVertex::default()
        });
        let mut line = LwPolyline { vertices: vertices.collect(), ..LwPolyline::default() };
        line.set_is_closed(closed);
        self.add(EntityType::LwPolyline(line), layer);
    }

    fn add(&mut self, specific: EntityType, layer: &str) {
        let mut entity = Entity::new(specific);
        entity.common.layer = layer.into();
        self.drawing.add_entity(entity);
    }

    fn point(&self, at: Point) -> DxfPoint {
        DxfPoint::new(self.number(at.x), self.number(at.y), 0.0)
    }

    /// In the drawing's units, without the dust of a transform.
    fn number(&self, mm: f64) -> f64 {
        let value = (mm * self.scale * 1e7).round() / 1e7;
        if value == 0.0 { 0.0 } else { value }
    }

    fn finish(mut self) -> Result<Vec<u8>, Error> {
        // The library leaves some things without a handle of their own: keep some for them.
        let first = self.drawing.header.next_available_handle;
        self.drawing.header.next_available_handle = Handle(first.0 + MOST_MENDED);
        let mut bytes = Vec::new();
        self.drawing.save(&mut bytes).map_err(|why| Error::Fault(format!("DXF: {why}")))?;
        let text = String::from_utf8(bytes).map_err(|why| Error::Fault(format!("DXF: {why}")))?;
        Ok(mended(&text, first).into_bytes())
    }
}

/// Nine kinds of table and the ends of two blocks.
const MOST_MENDED: u64 = 11;

/// The text as strict readers want it, and without the clock.
///
/// Each table and each block's end gets a handle of its own, the root dictionary an owner (nobody). The header variables
/// that hold the time of day or a random number are left out, as any of them may be: the same job gives the same bytes.
fn mended(text: &str, mut next: Handle) -> String {
    const TELL_TALES: [&str; 8] = [
        "$TDCREATE",
        "$TDUCREATE",
        "$TDUPDATE",
        "$TDUUPDATE",
        "$TDINDWG",
        "$TDUSRTIMER",
        "$FINGERPRINTGUID",
        "$VERSIONGUID",
    ];
    let mut out = String::with_capacity(text.len());
    let mut put = |code: &str, value: &str| {
        for line in [code, value] {
            out.push_str(line);
            out.push_str("\r\n");
        }
    };
    let mut fresh = || {
        let handle = next.as_string();
        next = next.next_handle_value();
        handle
    };
    // A file is pairs of lines, a code and a value. What begins with the pair 0 is called by that pair's value.
    let lines: Vec<&str> = text.lines().collect();
    let (mut skipping, mut thing, mut dictionaries) = (false, "", 0);
    for pair in lines.chunks_exact(2) {
        let (code, value) = (pair[0], pair[1]);
        match code.trim() {
            "0" => (skipping, thing) = (false, value.trim()),
            "9" => skipping = TELL_TALES.contains(&value.trim()),
            _ => {}
        }
        if skipping {
            continue;
        }
        match (thing, code.trim()) {
            ("TABLE", "2") => {
                put(code, value);
                put("  5", &fresh());
            }
            ("ENDBLK", "5") => put(code, &fresh()),
            ("DICTIONARY", "5") => {
                put(code, value);
                dictionaries += 1;
                if dictionaries == 1 {
                    put("330", "0");
                }
            }
            _ => put(code, value),
        }
    }
    out
}

/// Text that cannot break out of its line or call up a symbol.
fn plain(text: &str) -> String {
    text.chars().map(|c| if c.is_control() || c == '%' || c == '\\' || c == '^' { ' ' } else { c }).collect()
}

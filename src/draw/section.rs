//! Sections through a box for frames: how the frames hang in it, and the spaces that bees live by.
//!
//! Where a space is, is found in the panels; how large it is, is what the checks measured.

use super::assembly::title;
use super::form::{Form, Title};
use super::label::{Target, note};
use super::part::{rings_of, scale_text, scales};
use super::room::Room;
use super::solid::{Facet, facets};
use super::view::{View, seen};
use super::{Anchor, Pen, Picture};
use crate::Made;
use crate::design::{Assembly, Facing, HungFrames, Panel, Surface};
use crate::finding::Finding;
use crate::fit::{Solid, clear};
use crate::geometry::{Affine, Outline, Point, Rect, Region, Vec2, to_polygon};
use geo::bool_ops::FillRule;
use geo::{BooleanOps, Coord, LineString, MultiLineString, MultiPolygon, Polygon};
use glam::DVec3;

/// Lines of hatching stand this far apart (mm on paper).
const HATCH: f64 = 1.4;

/// A cut through the box: everything beyond a plane, looked at straight.
struct Cut {
    view: View,
    /// Facets of the panels and frames beyond the plane.
    beyond: Vec<Facet>,
    /// Where the plane cuts the panels, in the view's plane; frames come after the panels.
    caps: Vec<Region>,
    panels: usize,
}

/// The section of a box that frames hang in; `None` for any other.
pub fn section_view(made: &Made, index: usize) -> Option<Picture> {
    let assembly = &made.assemblies[index];
    let frames = assembly.frames.as_ref()?;
    let form = Form::lying(made.job.paper);
    let across = nearest_frame(frames);
    // Along the frames, seen from the right with the front on the left; and across them, seen from the front.
    let along = Cut::new(assembly, frames, View::straight(DVec3::Y, DVec3::Z), DVec3::X, across);
    let square = Cut::new(assembly, frames, View::straight(DVec3::X, DVec3::Z), DVec3::NEG_Y, -frames.middle.1);
    let (a, b) = (along.bounds(), square.bounds());
    let open = form.open();
    let space = (open.width() - 3.0 * BESIDE, open.height() - 2.0 * DETAIL - OVER - UNDER);
    let scale = scales(form.american)
        .find(|scale| (a.width() + b.width()) / scale <= space.0 && a.height().max(b.height()) / scale <= space.1)?;
    let (mut picture, mut room) = form.start(&Title { scale: scale_text(scale), ..title(made, index, "Section", 3) });
    let units = made.job.units;
    let notes = [
        format!("{} × {}, {} deep.", frames.count, frames.frame.title, units.show(frames.frame.depth.value)),
        "Hatched: wood that the section cuts. Grey: frames, shown as plain blocks.".into(),
        "In brackets: what is allowed.".into(),
    ];
    form.write(&mut picture, &mut room, &notes);
    let slack = (space.0 - (a.width() + b.width()) / scale) / 3.0;
    let foot = open.y1 - UNDER;
    let left = open.x0 + BESIDE + slack;
    let to_a = onto(a, scale, left, foot);
    let to_b = onto(b, scale, left + a.width() / scale + BESIDE + slack, foot);
    along.draw(&mut picture, &mut room, to_a, None);
    square.draw(&mut picture, &mut room, to_b, None);
    for (bounds, to_paper, words) in [(a, to_a, "Along the frames"), (b, to_b, "Across the frames")] {
        let at = to_paper * Point::new(bounds.center().x, bounds.y1) - Vec2::new(0.0, 4.0);
        caption(&mut picture, &mut room, at, words);
    }

    let spaces = Spaces::new(made, assembly, frames);
    let corner = Point::new(spaces.front_lug(), frames.rest + frames.frame.lug_thickness.value / 2.0);
    let middle = Point::new(open.center().x, open.y0 + DETAIL + 4.0);
    let to_detail = Affine::new([1.0, 0.0, 0.0, -1.0, middle.x - corner.x, middle.y + corner.y]);
    let around = Outline::circle(middle, 2.0 * DETAIL);
    along.draw(&mut picture, &mut room, to_detail, Some(&around));
    for (centre, diameter) in [(middle, 2.0 * DETAIL), (to_a * corner, 2.0 * DETAIL / scale)] {
        let ring = Outline::circle(centre, diameter);
        picture.outline(&ring, Pen::Thin);
        take(&mut room, &[Outline::polygon(ring.flattened(0.2).iter().map(|p| (p.x, p.y)))]);
    }
    let under = middle + Vec2::new(DETAIL + 3.0, -DETAIL + 3.5);
    picture.text(under, 3.5, Anchor::Start, false, "Detail, 1:1");
    room.take_text(Rect::new(under.x, under.y - 3.5, under.x + super::text_width("Detail, 1:1", 3.5), under.y + 1.2));

    let detailed = spaces.at_the_rest().into_iter().map(|space| (space, &along, to_detail));
    let lengthwise = spaces.along().into_iter().map(|space| (space, &along, to_a));
    let crosswise = spaces.across().into_iter().map(|space| (space, &square, to_b));
    for (space, cut, to_paper) in detailed.chain(lengthwise).chain(crosswise) {
        let Some(text) = space.text else { continue };
        let flat = Rect::from_points(cut.view.flat(space.from), cut.view.flat(space.to));
        let target = Target::Box(to_paper.transform_rect_bbox(flat));
        note(&mut picture, &mut room, &[target], &text);
    }
    Some(picture.titled(format!("{}, sections along and across the frames", assembly.name)))
}

/// Radius of the detail, and white over, under and beside the sections (mm on paper).
const DETAIL: f64 = 28.0;
const OVER: f64 = 18.0;
const UNDER: f64 = 16.0;
const BESIDE: f64 = 12.0;

fn caption(picture: &mut Picture, room: &mut Room, at: Point, words: &str) {
    picture.text(at, 3.5, Anchor::Middle, false, words);
    let half = super::text_width(words, 3.5) / 2.0;
    room.take_text(Rect::new(at.x - half, at.y - 3.5, at.x + half, at.y + 1.2));
}

/// x of the frame nearest to the middle of the row.
fn nearest_frame(frames: &HungFrames) -> f64 {
    let middle = frames.middle.0;
    frames.centres().min_by(|a, b| (a - middle).abs().total_cmp(&(b - middle).abs())).unwrap_or(middle)
}

/// From a view's plane to the paper, with the foot of `bounds` at a height and its left at a place.
fn onto(bounds: Rect, scale: f64, left: f64, foot: f64) -> Affine {
    Affine::new([1.0 / scale, 0.0, 0.0, -1.0 / scale, left - bounds.x0 / scale, foot + bounds.y0 / scale])
}

impl Cut {
    /// The cut by the plane at `height` along `toward`, which points at the eye: what is nearer is taken away.
    fn new(assembly: &Assembly, frames: &HungFrames, view: View, toward: DVec3, height: f64) -> Cut {
        let blocks = frame_blocks(frames);
        let (mut beyond, mut caps) = (Vec::new(), Vec::new());
        for (i, panel) in assembly.panels.iter().chain(&blocks).enumerate() {
            let rest: Vec<Facet> =
                facets(i, panel).into_iter().filter_map(|facet| behind(facet, toward, height)).collect();
            caps.push(cap(&rest, &view));
            beyond.extend(rest);
        }
        Cut { view, beyond, caps, panels: assembly.panels.len() }
    }

    fn bounds(&self) -> Rect {
        let points = self.beyond.iter().flat_map(|facet| &facet.rings[0]).map(|corner| self.view.flat(*corner));
        points.map(|p| Rect::from_points(p, p)).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO)
    }

    /// Draws it, only inside `within` (on paper) if that is given.
    fn draw(&self, picture: &mut Picture, room: &mut Room, to_paper: Affine, within: Option<&Outline>) {
        let within = within.map(|outline| to_polygon(&outline.transformed(to_paper.inverse())));
        let inside = |region: &Region| within.as_ref().map_or_else(|| region.clone(), |area| region.intersection(area));
        for face in seen(&self.beyond, &self.view) {
            let outlines = rings_of(&inside(&face.region), to_paper);
            if outlines.is_empty() {
                continue;
            }
            take(room, &outlines);
            picture.area(outlines, if face.owner < self.panels { Pen::WoodLight } else { Pen::Frame });
        }
        for (i, cap) in self.caps.iter().enumerate() {
            let cap = &inside(cap);
            let outlines = rings_of(cap, to_paper);
            if outlines.is_empty() {
                continue;
            }
            take(room, &outlines);
            if i < self.panels {
                picture.area(outlines, Pen::CutWood);
                hatch(picture, cap, to_paper, i % 2 == 0);
            } else {
                picture.area(outlines, Pen::CutFrame);
            }
        }
    }
}

fn take(room: &mut Room, outlines: &[Outline]) {
    for outline in outlines {
        let mut points: Vec<Point> = outline.vertices.iter().map(|vertex| vertex.at).collect();
        points.extend(points.first().copied());
        room.take_path(&points);
    }
}

/// What of a facet is beyond the plane.
fn behind(facet: Facet, toward: DVec3, height: f64) -> Option<Facet> {
    let ahead = |corner: &DVec3| corner.dot(toward) - height;
    if facet.rings[0].iter().all(|corner| ahead(corner) <= 0.0) {
        return Some(facet);
    }
    let rings: Vec<Vec<DVec3>> = facet
        .rings
        .iter()
        .map(|ring| {
            let mut kept = Vec::new();
            for (i, corner) in ring.iter().enumerate() {
                let next = &ring[(i + 1) % ring.len()];
                let (h0, h1) = (ahead(corner), ahead(next));
                if h0 <= 0.0 {
                    kept.push(*corner);
                }
                if (h0 <= 0.0) != (h1 <= 0.0) {
                    kept.push(*corner + (*next - *corner) * (h0 / (h0 - h1)));
                }
            }
            kept
        })
        .filter(|ring| ring.len() >= 3)
        .collect();
    (!rings.is_empty()).then_some(Facet { rings, ..facet })
}

/// Where the plane cuts a solid, from what is left of its skin.
///
/// A line of sight that starts inside the solid leaves it once more often than it enters: laid over each other, the facets
/// that look at the eye and those that look away, which run the other way round, cancel out everywhere but there.
fn cap(skin: &[Facet], view: &View) -> Region {
    let rings: Vec<Polygon<f64>> = skin
        .iter()
        .flat_map(|facet| &facet.rings)
        .map(|ring| {
            let flat = ring.iter().map(|corner| view.flat(*corner)).map(|p| Coord { x: p.x, y: p.y }).collect();
            Polygon::new(LineString::new(flat), vec![])
        })
        .collect();
    let all = MultiPolygon::new(rings);
    let cut = all.union_with_fill_rule(&MultiPolygon::new(vec![]), FillRule::NonZero);
    cut.into_iter().filter(|polygon| geo::Area::unsigned_area(polygon) > 0.5).collect()
}

/// Narrow lines at 45 degrees, leaning one way or the other.
fn hatch(picture: &mut Picture, region: &Region, to_paper: Affine, right: bool) {
    let paper: Region = geo::MapCoords::map_coords(region, |c| {
        let p = to_paper * Point::new(c.x, c.y);
        Coord { x: p.x, y: p.y }
    });
    let Some(bounds) = geo::BoundingRect::bounding_rect(&paper) else { return };
    let (least, most) = (bounds.min(), bounds.max());
    let high = most.y - least.y;
    let step = HATCH * std::f64::consts::SQRT_2;
    let first = ((least.x - high) / step).floor() as i64;
    let last = ((most.x + high) / step).ceil() as i64;
    // Counted from the paper's corner, so that pieces of one panel line up.
    let lines: Vec<LineString<f64>> = (first..=last)
        .map(|i| {
            let x = step * i as f64;
            let (low, top) = if right { (x, x + high) } else { (x + high, x) };
            LineString::new(vec![Coord { x: low, y: most.y }, Coord { x: top, y: least.y }])
        })
        .collect();
    for line in paper.clip(&MultiLineString::new(lines), false) {
        let points: Vec<Point> = line.coords().map(|c| Point::new(c.x, c.y)).collect();
        if points.len() >= 2 {
            picture.path(&points, Pen::Fine);
        }
    }
}

/// The frames as blocks: top bars, end bars as wide as the spacing, and bottom bars. What a standard does not give is drawn
/// as thick as the lug.
fn frame_blocks(frames: &HungFrames) -> Vec<Panel> {
    let frame = &frames.frame;
    let (bar, body) = (frame.top_bar_length.value / 2.0, frame.body_length.value / 2.0);
    let (half_bar, half_end) = (frame.top_bar_width.value / 2.0, frame.spacing.value / 2.0);
    let (thick, y, rest) = (frame.lug_thickness.value, frames.middle.1, frames.rest);
    let top = rest + thick;
    let foot = top - frame.depth.value;
    let block = |least: [f64; 3], most: [f64; 3]| {
        Panel::block("frame", "frame", Facing::Up, DVec3::from(least), DVec3::from(most))
    };
    frames
        .centres()
        .flat_map(|x| {
            [
                block([x - half_bar, y - bar, rest], [x + half_bar, y + bar, top]),
                block([x - half_end, y - body, foot], [x + half_end, y - body + thick, rest]),
                block([x - half_end, y + body - thick, foot], [x + half_end, y + body, rest]),
                block([x - half_bar, y - body + thick, foot], [x + half_bar, y + body - thick, foot + thick]),
            ]
        })
        .collect()
}

/// A space in the box, and what the checks say of it.
struct Space {
    from: DVec3,
    to: DVec3,
    text: Option<String>,
}

/// Finds the spaces around the frames.
struct Spaces<'a> {
    made: &'a Made,
    assembly: &'a Assembly,
    frames: &'a HungFrames,
    surfaces: Vec<Vec<Surface>>,
}

impl<'a> Spaces<'a> {
    fn new(made: &'a Made, assembly: &'a Assembly, frames: &'a HungFrames) -> Spaces<'a> {
        let surfaces = assembly.panels.iter().map(Panel::surfaces).collect();
        Spaces { made, assembly, frames, surfaces }
    }

    /// Where the front lug ends.
    fn front_lug(&self) -> f64 {
        self.frames.middle.1 - self.frames.frame.top_bar_length.value / 2.0
    }

    /// The frame in the cut as two blocks: its top bar, and all of it between the outsides of its end bars.
    fn frame(&self) -> (Solid, Solid) {
        let frame = &self.frames.frame;
        let (x, y) = (nearest_frame(self.frames), self.frames.middle.1);
        let (bar, body) = (frame.top_bar_length.value / 2.0, frame.body_length.value / 2.0);
        let (rest, top) = (self.frames.rest, self.frames.rest + frame.lug_thickness.value);
        let half = frame.top_bar_width.value / 2.0;
        (
            Solid::new([x - half, y - bar, rest], [x + half, y + bar, top]),
            Solid::new([x - half, y - body, top - frame.depth.value], [x + half, y + body, top]),
        )
    }

    /// Around the front lug, in the cut along the frames.
    fn at_the_rest(&self) -> Vec<Space> {
        let (bar, body) = self.frame();
        let (x, rest) = (nearest_frame(self.frames), self.frames.rest);
        let mut spaces = Vec::new();
        let mut add = |check: &str, from: DVec3, to: DVec3| {
            spaces.push(Space { from, to, text: self.text(check) });
        };
        if let Some((gap, _)) = clear(&self.surfaces, &bar, DVec3::NEG_Y) {
            let at = DVec3::new(x, bar.least.y, f64::midpoint(rest, bar.most.z));
            add("play at each lug end", at, at - DVec3::Y * gap);
        }
        if let Some(bearing) = self.measured("lug bearing on the rest") {
            let at = DVec3::new(x, bar.least.y, rest);
            add("lug bearing on the rest", at, at + DVec3::Y * bearing);
        }
        let near = bar.least.y + 12.0;
        if let Some((gap, _)) = clear(&self.surfaces, &bar, DVec3::Z) {
            let at = DVec3::new(x, near, bar.most.z);
            add("bee space above the top bars", at, at + DVec3::Z * gap);
        }
        if let Some((gap, _)) = clear(&self.surfaces, &body, DVec3::NEG_Y) {
            let at = DVec3::new(x, body.least.y, rest - 14.0);
            add("bee space at the frame ends", at, at - DVec3::Y * gap);
        }
        spaces
    }

    /// Elsewhere in the cut along the frames.
    fn along(&self) -> Vec<Space> {
        let (_, body) = self.frame();
        let below = clear(&self.surfaces, &body, DVec3::NEG_Z).map(|(gap, _)| {
            let at = DVec3::new(nearest_frame(self.frames), self.frames.middle.1, body.least.z);
            Space { from: at, to: at - DVec3::Z * gap, text: self.text("space below the frames") }
        });
        below.into_iter().collect()
    }

    /// In the cut across them.
    fn across(&self) -> Vec<Space> {
        let frame = &self.frames.frame;
        let (_, body) = self.frame();
        let half = frame.spacing.value / 2.0;
        let centres: Vec<f64> = self.frames.centres().collect();
        let (Some(first), Some(last)) = (centres.first(), centres.last()) else { return Vec::new() };
        let outermost = Solid {
            least: DVec3::new(last - half, body.least.y, body.least.z),
            most: DVec3::new(last + half, body.most.y, body.most.z),
        };
        let mut spaces = Vec::new();
        if let Some((gap, _)) = clear(&self.surfaces, &outermost, DVec3::X) {
            let at = DVec3::new(last + half, self.frames.middle.1, body.least.z + (body.most.z - body.least.z) * 0.5);
            spaces.push(Space { from: at, to: at + DVec3::X * gap, text: self.text("bee space at the side walls") });
        }
        let units = self.made.job.units;
        let text = match centres.len() {
            1 => "1 frame".to_string(),
            count => format!("{count} frames, {} apart", units.show(frame.spacing.value)),
        };
        let at = DVec3::new(*first, self.frames.middle.1, body.most.z);
        spaces.push(Space { from: at, to: at, text: Some(text) });
        spaces
    }

    fn finding(&self, check: &str) -> Option<&Finding> {
        let name = &self.assembly.name;
        self.made.findings.iter().find(|finding| finding.check == check && finding.subject.starts_with(name.as_str()))
    }

    fn measured(&self, check: &str) -> Option<f64> {
        self.finding(check).and_then(|finding| finding.measured).map(crate::finding::Measure::value)
    }

    /// `bee space at the frame ends 8.4 mm (6 to 9.5 mm)`.
    fn text(&self, check: &str) -> Option<String> {
        let finding = self.finding(check)?;
        let measure = finding.measured?;
        let units = self.made.job.units;
        let allowed = finding.allowed.map_or_else(String::new, |limits| format!(" ({})", limits.show(measure, units)));
        Some(format!("{check} {}{allowed}", measure.show(units)))
    }
}

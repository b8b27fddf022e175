//! Sections through a box for frames: how the frames hang in it, and the spaces that bees live by.

use super::assembly::title;
use super::cut::{Cut, take};
use super::dimension::{Baseline, Dimensions, FIRST_ROW, Measured, ROW};
use super::form::{Form, Title};
use super::label::{Target, note, plain_note};
use super::part::{scale_text, scales};
use super::room::Room;
use super::spaces::{Spaces, nearest_frame};
use super::view::View;
use super::{Anchor, Pen, Picture};
use crate::geometry::{Affine, Outline, Point, Rect, Vec2};
use crate::made::Designed;
use crate::units::Units;
use glam::DVec3;

/// The section of a box that frames hang in; `None` for any other.
pub fn section_view(designed: Designed, index: usize) -> Option<Picture> {
    let Designed { job, assemblies, .. } = designed;
    let assembly = &assemblies[index];
    let frames = assembly.frames.as_ref()?;
    let form = Form::lying(job.paper);
    let across = nearest_frame(frames);
    // Along the frames, seen from the right with the front on the left; and across them, seen from the front.
    let along = Cut::new(assembly, frames, View::straight(DVec3::Y, DVec3::Z), DVec3::X, across);
    let square = Cut::new(assembly, frames, View::straight(DVec3::X, DVec3::Z), DVec3::NEG_Y, -frames.middle.1);
    let (a, b) = (along.bounds(), square.bounds());
    let open = form.open();
    let arrangements = [side_by_side(open, a, b, form.american), stacked(open, a, b, form.american)];
    let Arrangement { scale, to_a, to_b, detail: middle, caption: detail_caption } =
        arrangements.into_iter().flatten().min_by(|one, other| one.scale.total_cmp(&other.scale))?;
    let (mut picture, mut room) =
        form.start(&Title { scale: scale_text(scale), ..title(job, assembly, (index, 3), "Section") });
    let units = job.units;
    let notes = [
        format!("{} × {}, {} deep.", frames.count, frames.frame.title, units.show(frames.frame.depth.value)),
        "Hatched: wood that the section cuts. Grey: frames, shown as plain blocks.".into(),
        "In brackets: what is allowed. Heights are over the walls' lower edge.".into(),
    ];
    form.write(&mut picture, &mut room, &notes);
    along.draw(&mut picture, &mut room, to_a, None);
    square.draw(&mut picture, &mut room, to_b, None);
    for (bounds, to_paper, words) in [(a, to_a, "Along the frames"), (b, to_b, "Across the frames")] {
        let at = to_paper * Point::new(bounds.center().x, bounds.y1) - Vec2::new(0.0, 4.0);
        caption(&mut picture, &mut room, at, words);
    }

    let spaces = Spaces::new(designed, assembly, frames);
    sizes(&mut picture, &mut room, units, &spaces, [(&along, to_a), (&square, to_b)]);
    let corner = Point::new(spaces.front_lug(), frames.rest + frames.frame.lug_thickness.value / 2.0);
    let to_detail = Affine::new([1.0, 0.0, 0.0, -1.0, middle.x - corner.x, middle.y + corner.y]);
    let around = Outline::circle(middle, 2.0 * DETAIL);
    along.draw(&mut picture, &mut room, to_detail, Some(&around));
    for (centre, diameter) in [(middle, 2.0 * DETAIL), (to_a * corner, 2.0 * DETAIL / scale)] {
        let ring = Outline::circle(centre, diameter);
        picture.outline(&ring, Pen::Thin);
        take(&mut room, &[Outline::polygon(ring.flattened(0.2).iter().map(|p| (p.x, p.y)))]);
    }
    caption(&mut picture, &mut room, detail_caption, "Detail, 1:1");

    let detailed = spaces.at_the_rest().into_iter().map(|space| (space, &along, to_detail));
    let lengthwise = spaces.along().into_iter().map(|space| (space, &along, to_a));
    let crosswise = spaces.across().into_iter().map(|space| (space, &square, to_b));
    for (space, cut, to_paper) in detailed.chain(lengthwise).chain(crosswise) {
        let Some(text) = space.text else { continue };
        let flat = Rect::from_points(cut.view.flat(space.from), cut.view.flat(space.to));
        // What the detail does not reach is shown in the section itself.
        let reached = (to_paper * flat.center()).distance(middle) < DETAIL - 2.0;
        let to_paper = if to_paper == to_detail && !reached { to_a } else { to_paper };
        let target = Target::Box(to_paper.transform_rect_bbox(flat));
        // What no leader reaches is said all the same.
        if note(&mut picture, &mut room, &[target], &text).is_none() {
            let near = to_paper.transform_rect_bbox(cut.bounds()).inflate(50.0, 26.0).intersect(open);
            if plain_note(&mut picture, &mut room, near, &text).is_none() {
                plain_note(&mut picture, &mut room, open, &text);
            }
        }
    }
    Some(picture.titled(format!("{}, sections along and across the frames", assembly.name)))
}

/// The sizes that a maker sets out: clear inside and outside, under each section; the heights of entrance, rest and walls beside
/// the first, the whole height beside the second. What finds no room is left out: the parts' drawings have it.
fn sizes(picture: &mut Picture, room: &mut Room, units: Units, spaces: &Spaces, sections: [(&Cut, Affine); 2]) {
    let clear = spaces.clear_inside();
    let mut line = |side: Baseline, origin: Point, to: Vec<Point>, values: Vec<f64>, row: f64| {
        let measured: Vec<Measured> =
            to.into_iter().zip(values).map(|(at, mm)| Measured { at, text: units.number(mm) }).collect();
        let (mut drawn, mut taken) = (picture.clone(), room.clone());
        let mut dimensions = Dimensions { picture: &mut drawn, room: &mut taken, low: false, kept: None };
        if dimensions.baseline(side, origin, &measured, row).is_some() {
            (*picture, *room) = (drawn, taken);
        }
    };
    for ((cut, to_paper), clear) in sections.iter().zip(clear) {
        let bounds = cut.bounds();
        let at = |x: f64, y: f64| *to_paper * Point::new(x, y);
        let foot = |x: f64| at(x, bounds.y0);
        if let Some([from, to]) = clear {
            line(Baseline::Below, foot(from), vec![foot(to)], vec![to - from], FIRST_ROW);
        }
        line(Baseline::Below, foot(bounds.x0), vec![foot(bounds.x1)], vec![bounds.width()], FIRST_ROW + ROW);
    }
    let [(along, to_a), (square, to_b)] = sections;
    let heights = spaces.heights();
    let left = along.bounds().x0;
    let points = heights.iter().map(|z| to_a * Point::new(left, *z)).collect();
    line(Baseline::Left, to_a * Point::new(left, 0.0), points, heights, FIRST_ROW);
    let whole = square.bounds();
    let [low, high] = [whole.y0, whole.y1].map(|z| to_b * Point::new(whole.x0, z));
    line(Baseline::Left, low, vec![high], vec![whole.height()], FIRST_ROW);
}

/// Where the two sections and the detail go.
struct Arrangement {
    /// How many times smaller than life the sections are.
    scale: f64,
    to_a: Affine,
    to_b: Affine,
    /// Middle of the detail, and of the words beside it.
    detail: Point,
    caption: Point,
}

/// The sections beside each other, the detail over them.
fn side_by_side(open: Rect, a: Rect, b: Rect, american: bool) -> Option<Arrangement> {
    let space = (open.width() - 2.0 * BESIDE - ASIDE, open.height() - 2.0 * DETAIL - OVER - UNDER);
    let scale = scales(american)
        .find(|scale| (a.width() + b.width()) / scale <= space.0 && a.height().max(b.height()) / scale <= space.1)?;
    let slack = (space.0 - (a.width() + b.width()) / scale) / 3.0;
    let (foot, left) = (open.y1 - UNDER, open.x0 + BESIDE + slack);
    Some(Arrangement {
        scale,
        to_a: onto(a, scale, left, foot),
        to_b: onto(b, scale, left + a.width() / scale + BESIDE + slack, foot),
        detail: Point::new(open.center().x, open.y0 + DETAIL + 4.0),
        caption: Point::new(open.center().x + DETAIL + 10.0, open.y0 + 8.0),
    })
}

/// One section over the other, the detail on their right.
fn stacked(open: Rect, a: Rect, b: Rect, american: bool) -> Option<Arrangement> {
    const RIGHT: f64 = 80.0;
    let space = (open.width() - BESIDE - RIGHT, open.height() - 2.0 * UNDER - 2.0 * CAPTION);
    let scale = scales(american)
        .find(|scale| a.width().max(b.width()) / scale <= space.0 && (a.height() + b.height()) / scale <= space.1)?;
    let slack = (space.1 - (a.height() + b.height()) / scale) / 2.0;
    let middle = |bounds: Rect| open.x0 + BESIDE + (space.0 - bounds.width() / scale) / 2.0;
    let foot = open.y1 - UNDER - slack / 2.0;
    Some(Arrangement {
        scale,
        to_a: onto(a, scale, middle(a), foot - b.height() / scale - UNDER - CAPTION - slack / 2.0),
        to_b: onto(b, scale, middle(b), foot),
        detail: Point::new(open.x1 - RIGHT / 2.0, open.center().y),
        caption: Point::new(open.x1 - RIGHT / 2.0, open.center().y - DETAIL - 4.0),
    })
}

/// Radius of the detail, and white over, under and beside the sections (mm on paper).
const DETAIL: f64 = 28.0;
const OVER: f64 = 18.0;
const UNDER: f64 = 26.0;
const BESIDE: f64 = 34.0;
/// White at the right.
const ASIDE: f64 = 12.0;
/// Room for the words over a section.
const CAPTION: f64 = 9.0;

fn caption(picture: &mut Picture, room: &mut Room, at: Point, words: &str) {
    picture.text(at, 3.5, Anchor::Middle, false, words);
    let half = super::text_width(words, 3.5) / 2.0;
    room.take_text(Rect::new(at.x - half, at.y - 3.5, at.x + half, at.y + 1.2).inflate(2.0, 0.0));
}

/// From a view's plane to the paper, with the foot of `bounds` at a height and its left at a place.
fn onto(bounds: Rect, scale: f64, left: f64, foot: f64) -> Affine {
    Affine::new([1.0 / scale, 0.0, 0.0, -1.0 / scale, left - bounds.x0 / scale, foot + bounds.y0 / scale])
}

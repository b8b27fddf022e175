//! A patch of paper around holes that lie together, and what it is laid on: edges of the panel where they are near, else lines
//! drawn with a rule.

use super::tile::Tile;
use super::{APART, AROUND, BESIDE, BEYOND, HEADING, LEAST_EDGE, LETTERS};
use crate::design::{Elevation, Face, Hole, Part};
use crate::draw::features::corner_of;
use crate::draw::{Anchor, Pen, Picture, shortened};
use crate::geometry::{Affine, FLATTEN, Outline, Point, Rect, Side, Vec2};
use crate::saw::{bits, stack};
use crate::units::Units;

/// Holes are shown together where that takes at most this much more paper than patches of their own.
const WASTE: f64 = 1.2;

/// Holes of a part on one piece of paper.
pub(super) struct Patch<'a> {
    pub shown: &'a Elevation,
    holes: Vec<&'a Hole>,
    /// What it shows, in the part's frame.
    window: Rect,
    /// What it is laid on: upright, and level.
    upright: Datum,
    level: Datum,
    /// A hole is larger than the paper: only its middle is shown.
    cut_off: bool,
}

/// What a patch is laid on, at a distance along x or y in the part's frame.
#[derive(Clone, Copy)]
enum Datum {
    /// The edge of the part at this side.
    Edge(Side, f64),
    /// A line to be drawn there with a rule.
    Line(f64),
}

impl Datum {
    fn at(self) -> f64 {
        match self {
            Datum::Edge(_, at) | Datum::Line(at) => at,
        }
    }

    fn is_line(self) -> bool {
        matches!(self, Datum::Line(_))
    }
}

/// The patches of a part, for paper with this room (mm).
pub(super) fn patches<'a>(shown: &'a Elevation, room: (f64, f64)) -> Vec<Patch<'a>> {
    let mut found: Vec<Patch<'a>> = Vec::new();
    for hole in &shown.part.holes {
        let alone = Patch::of(shown, vec![hole], room).unwrap_or_else(|| Patch::too_large(shown, hole, room));
        let joined = found.iter().enumerate().rev().find_map(|(i, known)| {
            let holes = known.holes.iter().copied().chain([hole]).collect();
            let both = Patch::of(shown, holes, room)?;
            let no_worse = both.lines() <= known.lines().max(alone.lines());
            (no_worse && both.window.area() <= WASTE * (known.window.area() + alone.window.area())).then_some((i, both))
        });
        match joined {
            Some((i, both)) => found[i] = both,
            None => found.push(alone),
        }
    }
    found
}

impl<'a> Patch<'a> {
    /// These holes laid on as many edges as are near enough, then on as little paper as that takes; `None` if they are too far
    /// apart for the paper.
    fn of(shown: &'a Elevation, holes: Vec<&'a Hole>, room: (f64, f64)) -> Option<Patch<'a>> {
        let part = &shown.part;
        let around =
            holes.iter().map(|hole| hole.outline().bounds()).reduce(|a, b| a.union(b))?.inflate(AROUND, AROUND);
        let panel = Rect::new(0.0, 0.0, part.length, part.width).inflate(BEYOND, BEYOND);
        let first = holes.first()?.centre;
        let edge = |long: f64, side, at| (long >= LEAST_EDGE).then_some(Datum::Edge(side, at));
        let upright = [
            edge(upright_edge(part, 0.0), Side::Left, 0.0),
            edge(upright_edge(part, part.length), Side::Right, part.length),
            Some(Datum::Line(first.x)),
        ];
        let level = [
            edge(level_edge(part, 0.0), Side::Lower, 0.0),
            edge(level_edge(part, part.width), Side::Upper, part.width),
            Some(Datum::Line(first.y)),
        ];
        let pairs = upright.into_iter().flatten().flat_map(|x| level.into_iter().flatten().map(move |y| (x, y)));
        let patches = pairs.map(|(upright, level)| {
            let to = Point::new(upright.at(), level.at());
            let beyond = Rect::from_points(to, to).inflate(BEYOND, BEYOND);
            let window = around.union(beyond).intersect(panel);
            Patch { shown, holes: holes.clone(), window, upright, level, cut_off: false }
        });
        let cost = |patch: &Patch| (patch.lines(), patch.window.area());
        patches
            .filter(|patch| patch.fits(room))
            .min_by(|a, b| cost(a).partial_cmp(&cost(b)).unwrap_or(std::cmp::Ordering::Equal))
    }

    /// The middle of a hole that is larger than the paper.
    fn too_large(shown: &'a Elevation, hole: &'a Hole, room: (f64, f64)) -> Patch<'a> {
        let window = Rect::from_center_size(hole.centre, (room.0.min(60.0), room.1.min(60.0)));
        let (upright, level) = (Datum::Line(hole.centre.x), Datum::Line(hole.centre.y));
        Patch { shown, holes: vec![hole], window, upright, level, cut_off: true }
    }

    /// How many lines have to be drawn before it can be laid.
    fn lines(&self) -> usize {
        usize::from(self.upright.is_line()) + usize::from(self.level.is_line())
    }

    fn fits(&self, room: (f64, f64)) -> bool {
        let (wide, high) = (self.window.width(), self.window.height());
        (wide <= room.0 && high <= room.1) || (high <= room.0 && wide <= room.1)
    }

    /// Does it lie on its side on the paper?
    fn turned(&self, most_wide: f64) -> bool {
        self.window.width() > most_wide
    }

    /// Its width and height on paper with its words.
    pub fn cell(&self, most_wide: f64) -> (f64, f64) {
        let (wide, high) = (self.window.width(), self.window.height());
        let (wide, high) = if self.turned(most_wide) { (high, wide) } else { (wide, high) };
        ((wide + BESIDE).min(most_wide).max(wide), high + HEADING)
    }

    /// Draws it into its cell of the page.
    pub fn draw(&self, picture: &mut Picture, units: Units, cell: Rect) {
        let turned = self.turned(cell.width());
        let window = self.window;
        // Paper's y runs down; turned as one turns the paper, x runs down and y to the right.
        let onto = if turned {
            Affine::new([0.0, 1.0, 1.0, 0.0, -window.y0, -window.x0])
        } else {
            Affine::new([1.0, 0.0, 0.0, -1.0, -window.x0, window.y1])
        };
        self.heading(picture, cell);
        let frame = onto.transform_rect_bbox(window);
        let corner = Vec2::new(cell.x0, cell.y0 + HEADING);
        let mut tile = Tile::new(frame, corner, Rect { y0: corner.y, ..cell });
        self.edges(&mut tile, onto);
        for hole in &self.holes {
            self.hole(&mut tile, units, onto, hole);
        }
        // Words last: they go where nothing is drawn.
        self.edge_words(&mut tile, onto);
        for hole in &self.holes {
            self.words(&mut tile, units, onto, hole);
        }
        picture.append(&tile.picture, Vec2::ZERO);
    }

    /// Which part, which of its faces the paper lies on, and how many pieces are drilled at once.
    fn heading(&self, picture: &mut Picture, cell: Rect) {
        let part = &self.shown.part;
        let pieces = match (part.count, stack(part)) {
            (1, _) => "1 piece".to_string(),
            (count, many) if many > 1 => {
                format!("{count} pieces: drill {many} in a stack, edges flush")
            }
            (count, _) => format!("{count} pieces, one at a time"),
        };
        let face = match (part.is_sided(), part.up) {
            (false, _) => "as drawn".to_string(),
            (true, Face::Inner) => format!("{}, paper on its inner face", self.shown.seen()),
            (true, Face::Outer) if part.box_name.is_none() => "paper on the face with the recess".to_string(),
            (true, Face::Outer) => format!("{}, paper on its outer face", self.shown.seen()),
        };
        let name = if self.shown.panel == part.name || part.name.ends_with(&self.shown.panel) {
            part.name.clone()
        } else {
            format!("{} (as the {})", part.name, self.shown.panel)
        };
        for (text, y) in [(format!("{name}: {face}"), 3.2), (pieces, 6.8)] {
            let text = shortened(&text, LETTERS, cell.width() + APART - 1.0);
            picture.text(Point::new(cell.x0, cell.y0 + y), LETTERS, Anchor::Start, false, &text);
        }
    }

    fn edges(&self, tile: &mut Tile, onto: Affine) {
        let part = &self.shown.part;
        let laid = |datum: Datum, a: f64, b: f64| {
            !datum.is_line() && (a - datum.at()).abs() < 1e-6 && (b - datum.at()).abs() < 1e-6
        };
        for side in part.outline.segments() {
            let (a, b) = (side.start, side.end);
            let marked = laid(self.upright, a.x, b.x) || laid(self.level, a.y, b.y);
            let mut points = vec![onto * a];
            side.flatten(FLATTEN, |point| points.push(onto * point));
            tile.path(&points, if marked { Pen::Mark } else { Pen::Phantom });
        }
        for pocket in &part.pockets {
            tile.outline(&pocket.outline.transformed(onto), Pen::Dashed);
        }
        for (from, to) in self.drawn_lines() {
            tile.path(&[onto * from, onto * to], Pen::Mark);
        }
    }

    /// The lines that are drawn on the panel first, right across the patch.
    fn drawn_lines(&self) -> Vec<(Point, Point)> {
        let window = self.window;
        let (x, y) = (self.upright.at(), self.level.at());
        let upright = self.upright.is_line().then(|| (Point::new(x, window.y0), Point::new(x, window.y1)));
        let level = self.level.is_line().then(|| (Point::new(window.x0, y), Point::new(window.x1, y)));
        upright.into_iter().chain(level).collect()
    }

    fn hole(&self, tile: &mut Tile, units: Units, onto: Affine, hole: &Hole) {
        if !self.cut_off {
            tile.outline(&hole.outline().transformed(onto), Pen::Thick);
        }
        let (bit, mut centres) = bits(hole, units);
        if self.cut_off && hole.corner.is_some() {
            // Its corners are beyond the paper.
            centres = vec![hole.centre];
        }
        for centre in centres {
            let at = onto * centre;
            let arm = if self.cut_off { 8.0 } else { bit / 2.0 + 4.0 };
            for arm in [Vec2::new(arm, 0.0), Vec2::new(0.0, arm)] {
                tile.path(&[at - arm, at + arm], Pen::Thin);
            }
            tile.outline(&Outline::circle(at, 1.0), Pen::Thin);
            if hole.corner.is_some() && !self.cut_off {
                tile.outline(&Outline::circle(at, bit), Pen::Thin);
            }
        }
    }

    /// Size, use and place of a hole, beside it.
    fn words(&self, tile: &mut Tile, units: Units, onto: Affine, hole: &Hole) {
        if let Some(corner) = hole.corner {
            return self.words_of_rectangle(tile, units, onto, (hole, corner));
        }
        let bounds = hole.outline().transformed(onto).bounds();
        let size = match (hole.is_round(), self.cut_off) {
            (true, false) => format!("⌀{} {}", units.show(hole.length), hole.use_),
            (false, false) => format!(
                "{} slot {} × {}: drill ⌀{} at both ends, saw between",
                hole.use_,
                units.number(hole.length),
                units.show(hole.width),
                units.show(hole.width)
            ),
            (true, true) => format!("⌀{} {}, too large:", units.show(hole.length), hole.use_),
            (false, true) => format!("slot {} × {}, too large:", units.number(hole.length), units.show(hole.width)),
        };
        let place = self.place(units, &bits(hole, units).1);
        if self.cut_off {
            tile.words_at_the_right(&[&size, &place, "draw it about this middle"]);
        } else {
            tile.words_beside(bounds.inflate(5.5, 5.5), &size, &[&size, &place]);
        }
    }

    /// The same of a rectangle: its middle is told, which lines are drawn through; its corners are on the paper.
    fn words_of_rectangle(&self, tile: &mut Tile, units: Units, onto: Affine, (hole, corner): (&Hole, f64)) {
        let (wide, high) = hole.size();
        let what = format!("{} × {} {}", units.number(wide), units.show(high), hole.use_);
        let place = self.place(units, &[hole.centre]);
        let drill = format!("{}: drill ⌀{}, saw out", corner_of(corner, units), units.show(bits(hole, units).0));
        if self.cut_off {
            let draw = "draw it about this middle";
            tile.words_at_the_right(&[&format!("{what}, too large:"), &place, draw, &format!("corners {drill}")]);
        } else {
            let bounds = hole.outline().transformed(onto).bounds();
            tile.words_beside(bounds.inflate(5.5, 5.5), &what, &[&format!("{what}: {place}"), &drill]);
        }
    }

    /// How far these points are from the edges that they are told from.
    fn place(&self, units: Units, points: &[Point]) -> String {
        let (mut across, mut up): (Vec<String>, Vec<String>) = points
            .iter()
            .map(|at| (units.number(self.from(self.upright, at.x)), units.number(self.from(self.level, at.y))))
            .unzip();
        across.dedup();
        up.dedup();
        let [x_name, y_name] = [self.name(self.upright, Side::Left), self.name(self.level, Side::Lower)];
        format!("{} from {x_name}, {} from {y_name}", across.join(" and "), up.join(" and "))
    }

    /// How far a place is from the edge that it is told from: the edge the patch is laid on, or the datum edge.
    fn from(&self, datum: Datum, at: f64) -> f64 {
        match datum {
            Datum::Edge(_, edge) => (at - edge).abs(),
            Datum::Line(_) => at,
        }
    }

    fn name(&self, datum: Datum, usual: Side) -> &'static str {
        match datum {
            Datum::Edge(side, _) => self.shown.edge(side),
            Datum::Line(_) => self.shown.edge(usual),
        }
    }

    /// The names of the edges that the patch is laid on, along them.
    fn edge_words(&self, tile: &mut Tile, onto: Affine) {
        let middle = self.window.center();
        let inside = self.holes.first().map_or(middle, |hole| hole.centre);
        let on_upright = (Point::new(self.upright.at(), middle.y), Point::new(inside.x, middle.y));
        let on_level = (Point::new(middle.x, self.level.at()), Point::new(middle.x, inside.y));
        for (datum, (on, inside)) in [(self.upright, on_upright), (self.level, on_level)] {
            let Datum::Edge(side, _) = datum else { continue };
            let name = self.shown.edge(side);
            let ends = self.shown.towards.filter(|_| side.is_upright());
            let towards =
                ends.map_or_else(String::new, |ends| format!(" ({})", ends[usize::from(side == Side::Right)]));
            let texts = [
                format!("{name} edge{towards} of {}: align here", self.shown.panel),
                format!("{name} edge{towards}: align"),
                format!("{name} edge"),
            ];
            texts.iter().find(|text| tile.along_edge(onto * on, onto * inside, text));
        }
    }
}

/// How much of a part's outline lies along the line x = `at`.
fn upright_edge(part: &Part, at: f64) -> f64 {
    let on = |p: Point| (p.x - at).abs() < 1e-6;
    part.outline
        .segments()
        .filter(|side| !side.is_arc() && on(side.start) && on(side.end))
        .map(|side| side.chord())
        .sum()
}

/// How much of it lies along the line y = `at`.
fn level_edge(part: &Part, at: f64) -> f64 {
    let on = |p: Point| (p.y - at).abs() < 1e-6;
    part.outline
        .segments()
        .filter(|side| !side.is_arc() && on(side.start) && on(side.end))
        .map(|side| side.chord())
        .sum()
}

//! A picture of a nested sheet: the pieces by name, and where the program's zero is.

use super::cut::hatch;
use super::dimension::{Baseline, Dimensions, LETTERS, Measured};
use super::flag::{DOT, SMALL, flag};
use super::form::{Form, Title};
use super::opening_tabs::opening_tabs;
use super::part::{scale_text, scales};
use super::piece_names::{Unnamed, legible, off_cut_label, rows, tiny_number, write_name};
use super::room::Room;
use super::{Anchor, Pen, Picture, text_width};
use crate::design::{Face, Label, Part};
use crate::geometry::{Affine, Outline, Point, Rect, Vec2, to_polygon};
use crate::job::{CutBy, KeepOut};
use crate::layout::{Placement, Sheet, holders};
use crate::made::Made;
use crate::profile::SheetZero;
use crate::route::{Holding, Route};
use crate::units::{Units, decimal};
use crate::words::counted;

/// Room for the dimensions, and at the other sides (mm).
const ROW: f64 = 7.0;
const DIMENSIONS: f64 = ROW + 4.0;
const EDGE: f64 = 4.0;

/// The picture of one sheet of a layout.
pub fn sheet_picture(made: &Made, index: usize) -> Picture {
    let (job, sheet) = (&made.job, &made.layout.sheets[index]);
    let form = Form::lying(job.paper);
    let open = form.open();
    let space = (open.width() - DIMENSIONS - EDGE, open.height() - DIMENSIONS - EDGE);
    let scale = scales(form.american)
        .find(|scale| sheet.length / scale <= space.0 && sheet.width / scale <= space.1)
        .unwrap_or_else(|| (sheet.length / space.0).max(sheet.width / space.1).ceil());
    let (picture, room) = form.start(&title(made, index, scale));
    let (length, width) = (sheet.length / scale, sheet.width / scale);
    let origin = Point::new(
        (open.x0 + DIMENSIONS + (space.0 - length) / 2.0).round(),
        (open.y1 - DIMENSIONS - (space.1 - width) / 2.0).round(),
    );
    let to_paper = Affine::new([1.0 / scale, 0.0, 0.0, -1.0 / scale, origin.x, origin.y]);
    let units = job.units;
    let cutter = job.router.as_ref().map_or(0.0, |router| router.cutter.diameter.value);
    let mut drawing = Drawing { sheet, parts: &made.parts, units, cutter, to_paper, picture, room };
    drawing.picture.rect(origin.x, origin.y - width, length, width, Pen::Sheet);
    drawing.room.take_sides(Rect::new(origin.x, origin.y - width, origin.x + length, origin.y));
    let left_over = left_over(made, index);
    drawing.off_cuts(&left_over);
    drawing.kept_out(&job.stock[sheet.stock].keep_out);
    drawing.pieces();
    for y in job.stock[sheet.stock].glue_lines() {
        drawing.glue_line(y);
    }
    let route = Route::of_sheet(&made.routes, index);
    if let Some(Route { holding, .. }) = route {
        draw_holding(&mut drawing.picture, &mut drawing.room, holding, to_paper);
    }
    for tab in route.map(opening_tabs).unwrap_or_default() {
        draw_tab(&mut drawing.picture, &mut drawing.room, (tab.at, tab.along, tab.width), to_paper);
    }
    let bounds = drawing.bounds();
    let unnamed = drawing.names(&bounds);
    for (number, rect) in &left_over {
        off_cut_label(&mut drawing.picture, &mut drawing.room, *number, *rect, to_paper, units);
    }
    let zero = zero_of(made);
    let [x, y] = zero.on(sheet.length, sheet.width);
    zero_mark(&mut drawing.picture, &mut drawing.room, (to_paper * Point::new(x, y), zero));
    drawing.size(origin, Point::new(origin.x + length, origin.y - width));
    let within = Rect::new(open.x0, open.y0, open.x1, origin.y + DIMENSIONS).inflate(-1.0, -1.0);
    drawing.flags(within, &bounds, &unnamed);
    let Drawing { mut picture, mut room, .. } = drawing;
    form.write(&mut picture, &mut room, &notes(made, (sheet, to_paper), route, &left_over));
    let heading = format!(
        "{}: sheet {} of {}, {}, {}",
        job.title,
        index + 1,
        made.layout.sheets.len(),
        job.stock[sheet.stock].material.title,
        counted(sheet.placements.len(), "piece")
    );
    picture.titled(heading)
}

/// What the title block says of a sheet.
fn title(made: &Made, index: usize, scale: f64) -> Title {
    let (job, sheets) = (&made.job, &made.layout.sheets);
    let (sheet, units) = (&sheets[index], job.units);
    let size =
        format!("{} × {} × {}", units.number(sheet.length), units.number(sheet.width), units.measured(sheet.thickness));
    Title {
        title: format!("Sheet {}", index + 1),
        kind: "Nested sheet".into(),
        number: format!("S {}", index + 1),
        sheet: format!("{} of {}", index + 1, sheets.len()),
        scale: scale_text(scale),
        material: job.stock[sheet.stock].material.title.clone(),
        more: [
            ("Pieces", sheet.placements.len().to_string()),
            ("Length × width × thickness", size),
            ("Becomes parts", format!("{} % of the sheet", decimal(sheet.yield_(&made.parts) * 100.0, 1))),
        ],
        ..Title::of(job)
    }
}

/// The off-cuts of a sheet, numbered through all sheets, as in the list.
pub(crate) fn left_over(made: &Made, index: usize) -> Vec<(usize, Rect)> {
    let numbered = made.off_cuts.iter().filter(|off_cut| off_cut.plan == CutBy::Router).enumerate();
    let of_sheet = numbered.filter(|(_, off_cut)| off_cut.sheet as usize == index + 1);
    of_sheet.map(|(i, off_cut)| (i + 1, off_cut.rect())).collect()
}

/// A sheet being drawn.
struct Drawing<'a> {
    sheet: &'a Sheet,
    parts: &'a [Part],
    units: Units,
    /// Diameter of the cutter.
    cutter: f64,
    /// From the sheet's frame.
    to_paper: Affine,
    picture: Picture,
    room: Room,
}

impl<'a> Drawing<'a> {
    /// What is left over, hatched.
    fn off_cuts(&mut self, left_over: &[(usize, Rect)]) {
        for (_, rect) in left_over {
            let region = crate::geometry::Region::from(to_polygon(&Outline::from_rect(*rect)));
            hatch(&mut self.picture, &region, self.to_paper, true, Pen::Fine);
            self.picture.outline(&Outline::from_rect(self.to_paper.transform_rect_bbox(*rect)), Pen::Phantom);
        }
    }

    /// What is left alone: crossed out, with what is there.
    fn kept_out(&mut self, kept: &[KeepOut]) {
        for it in kept {
            let rect = self.to_paper.transform_rect_bbox(it.rect);
            self.picture.outline(&Outline::from_rect(rect), Pen::Thin);
            let corners =
                [(rect.x0, rect.y0), (rect.x1, rect.y1), (rect.x0, rect.y1), (rect.x1, rect.y0)].map(Point::from);
            for ends in corners.chunks(2) {
                self.picture.line(ends[0], ends[1], Pen::Thin);
            }
            self.room.take_sides(rect);
            let (name, at) = (it.called(), rect.center() + (0.0, SMALL * 0.4));
            let wide = text_width(&name, SMALL) + 1.0;
            let spot = Rect::from_center_size(rect.center(), (wide, SMALL * 1.6));
            self.picture.rect(spot.x0, spot.y0, spot.width(), spot.height(), Pen::Paper);
            self.picture.text(at, SMALL, Anchor::Middle, false, &name);
            self.room.take_text(spot);
        }
    }

    /// Where two boards of a glued-up panel meet.
    fn glue_line(&mut self, y: f64) {
        let [from, to] = [0.0, self.sheet.length].map(|x| self.to_paper * Point::new(x, y));
        self.picture.line(from, to, Pen::Centre);
        self.room.take_line(from, to);
    }

    /// Outlines, openings, recesses and engraved letters of all pieces.
    fn pieces(&mut self) {
        let (picture, room) = (&mut self.picture, &mut self.room);
        for placement in &self.sheet.placements {
            let part = &self.parts[placement.part];
            let place = self.to_paper * placement.affine(part);
            picture.outline(&part.outline.transformed(place), Pen::Wood);
            for pocket in &part.pockets {
                picture.outline(&pocket.outline.transformed(place), Pen::recess(pocket.under));
            }
            let outlines = std::iter::once(part.outline.clone())
                .chain(part.holes.iter().map(|hole| hole.outline()))
                .chain(part.bored().map(|hole| hole.outline()))
                .chain(part.pockets.iter().map(|pocket| pocket.outline.clone()));
            for outline in outlines.map(|outline| outline.transformed(place)) {
                let mut points = outline.flattened(0.2);
                points.extend(points.first().copied());
                room.take_path(&points);
            }
            for hole in &part.holes {
                picture.outline(&hole.outline().transformed(place), Pen::Hole);
            }
            for hole in part.bored() {
                picture.outline(&hole.outline().transformed(place), Pen::Hole);
            }
            for [from, to] in part.lined().flat_map(|line| line.walls(self.cutter)) {
                picture.line(place * from, place * to, Pen::Thin);
            }
            for stroke in legible(part, self.to_paper).iter().flat_map(|label| &label.strokes) {
                let stroke: Vec<Point> = stroke.iter().map(|at| place * *at).collect();
                picture.path(&stroke, Pen::Thin);
                room.take_path(&stroke);
            }
        }
    }

    /// The rectangle around each piece, on paper.
    fn bounds(&self) -> Vec<Rect> {
        let of_piece = |placement: &Placement| {
            let part = &self.parts[placement.part];
            part.outline.transformed(self.to_paper * placement.affine(part)).bounds()
        };
        self.sheet.placements.iter().map(of_piece).collect()
    }

    /// Writes the pieces' names on them; returns those that have no room for theirs, with their numbers in the cut list.
    fn names(&mut self, bounds: &[Rect]) -> Vec<Unnamed<'a>> {
        let (sheet, parts) = (self.sheet, self.parts);
        let (picture, room) = (&mut self.picture, &mut self.room);
        // Names of pieces in openings first: no other name goes into an opening that holds something.
        let held = holders(&sheet.placements, parts);
        let mut unnamed = Vec::new();
        for inside in [true, false] {
            for (i, placement) in sheet.placements.iter().enumerate().filter(|(i, _)| held[*i].is_some() == inside) {
                let (number, part) = (placement.part + 1, &parts[placement.part]);
                // What is engraved and can be read names the piece.
                let named = legible(part, self.to_paper).is_some();
                if !named && write_name(picture, room, number, part, bounds[i], self.units).is_none() {
                    unnamed.push((number, part, bounds[i]));
                }
            }
            for within in held.iter().flatten().filter(|_| inside) {
                room.take_text(within.opening.outline().transformed(self.to_paper).bounds());
            }
        }
        unnamed
    }

    /// The sheet's length and width, from its lower-left corner to its upper-right one.
    fn size(&mut self, origin: Point, far: Point) {
        let (picture, room) = (&mut self.picture, &mut self.room);
        let mut dimensions = Dimensions { picture, room, low: false, kept: None };
        let along = Measured { at: Point::new(far.x, origin.y), text: self.units.number(self.sheet.length) };
        let across = Measured { at: Point::new(origin.x, far.y), text: self.units.number(self.sheet.width) };
        let _ = dimensions.baseline(Baseline::Below, origin, &[along], ROW);
        let _ = dimensions.baseline(Baseline::Left, origin, &[across], ROW);
    }

    /// The names of pieces that had no room for them, on flags beside the pieces, or else tiny numbers. A row of one part has one
    /// flag, and a dot on each piece.
    fn flags(&mut self, within: Rect, bounds: &[Rect], unnamed: &[Unnamed]) {
        let (picture, room) = (&mut self.picture, &mut self.room);
        for row in rows(unnamed, bounds) {
            let (number, part, _) = row[0];
            let more = if row.len() > 1 { format!(", {} in a row", row.len()) } else { String::new() };
            let (name, alone) = (format!("{number} {}{more}", part.name), format!("{number}{more}"));
            let middle = row[row.len() / 2].2;
            let flagged = flag(picture, room, within, (middle, bounds), &[&name, &alone], SMALL).is_some();
            for (i, (_, _, piece)) in row.iter().enumerate() {
                if !flagged {
                    tiny_number(picture, room, *number, *piece);
                } else if i != row.len() / 2 {
                    picture.circle(piece.center(), DOT, Pen::Solid);
                    room.take_text(Rect::from_center_size(piece.center(), (DOT, DOT)));
                }
            }
        }
    }
}

fn zero_of(made: &Made) -> SheetZero {
    made.job.router.as_ref().map_or(SheetZero::LowerLeft, |router| router.machine.sheet_zero.value)
}

/// Where the program's X and Y are zero: a cross with a quarter filled; in words at the sheet's lower-left corner, where
/// there is always room for them.
fn zero_mark(picture: &mut Picture, room: &mut Room, (origin, zero): (Point, SheetZero)) {
    picture.circle(origin, 4.0, Pen::Hole);
    let quarter = [origin, Point::new(origin.x + 2.0, origin.y), Point::new(origin.x, origin.y - 2.0)];
    picture.polygon(&quarter, Pen::Solid);
    picture.line(origin - (3.5, 0.0), origin + (3.5, 0.0), Pen::Thin);
    picture.line(origin - (0.0, 3.5), origin + (0.0, 3.5), Pen::Thin);
    if zero != SheetZero::LowerLeft {
        return;
    }
    let at = origin + (3.0, 4.8);
    picture.text(at, LETTERS, Anchor::Start, false, "X0 Y0");
    room.take_text(Rect::new(at.x, at.y - LETTERS, at.x + text_width("X0 Y0", LETTERS), at.y + 0.6));
}

/// A tab as a short bar on its cut: where it is, along the cut, and how wide.
fn draw_tab(picture: &mut Picture, room: &mut Room, (at, along, width): (Point, Vec2, f64), to_paper: Affine) {
    let (at, along) = (to_paper * at, Vec2::new(along.x, -along.y));
    let across = Vec2::new(-along.y, along.x);
    // As long as the tab and thick enough to be seen.
    let (half, thick) = ((width * to_paper.as_coeffs()[0] / 2.0).max(0.5), 0.55);
    let corner = |a: f64, c: f64| at + along * (half * a) + across * (thick * c);
    let bar = [corner(-1.0, -1.0), corner(1.0, -1.0), corner(1.0, 1.0), corner(-1.0, 1.0)];
    picture.polygon(&bar, Pen::Solid);
    room.take_text(Rect::from_points(bar[0], bar[2]).union_pt(bar[1]).union_pt(bar[3]));
}

/// Tabs as short bars across the outline, screws as crosses in circles.
fn draw_holding(picture: &mut Picture, room: &mut Room, holding: &Holding, to_paper: Affine) {
    for tab in &holding.tabs {
        draw_tab(picture, room, (tab.at, tab.along, tab.width), to_paper);
    }
    for pin in &holding.pins {
        let at = to_paper * pin.at;
        let diameter = (pin.diameter * to_paper.as_coeffs()[0]).max(1.6);
        picture.circle(at, diameter, Pen::Marked);
        picture.line(at - (diameter, 0.0), at + (diameter, 0.0), Pen::Thin);
        picture.line(at - (0.0, diameter), at + (0.0, diameter), Pen::Thin);
        room.take_text(Rect::from_center_size(at, (2.0 * diameter, 2.0 * diameter)));
    }
    for screw in &holding.screws {
        let at = to_paper * screw.at;
        let diameter = (screw.head * to_paper.as_coeffs()[0]).max(2.0);
        picture.circle(at, diameter, Pen::Marked);
        let arm = diameter * 0.35;
        picture.line(at - (arm, arm), at + (arm, arm), Pen::Thin);
        picture.line(at - (arm, -arm), at + (arm, -arm), Pen::Thin);
        room.take_text(Rect::from_center_size(at, (diameter, diameter)));
    }
}

/// How many tabs there are of each height, the highest first: where there is little room they are lower.
fn tabs(holding: &Holding, units: Units) -> String {
    let mut heights: Vec<(String, f64, usize)> = Vec::new();
    for tab in &holding.tabs {
        let shown = units.measured(tab.height);
        match heights.iter_mut().find(|(known, ..)| *known == shown) {
            Some((.., count)) => *count += 1,
            None => heights.push((shown, tab.height, 1)),
        }
    }
    heights.sort_by(|a, b| b.1.total_cmp(&a.1));
    let of_each = heights.iter().map(|(shown, _, count)| format!("{}, {shown} high", counted(*count, "tab")));
    of_each.collect::<Vec<_>>().join("; ")
}

fn notes(
    made: &Made,
    (sheet, to_paper): (&Sheet, Affine),
    route: Option<&Route>,
    left_over: &[(usize, Rect)],
) -> Vec<String> {
    let (parts, units) = (&made.parts, made.job.units);
    let mut notes = vec![
        format!("Dimensions in {}. Numbers are those of the cut list.", units.name()),
        "The face grain runs along the sheet's length.".into(),
    ];
    if !made.job.stock[sheet.stock].keep_out.is_empty() {
        notes.push("Crossed out: kept out, nothing is cut there.".into());
    }
    if let Some(glued) = made.job.stock[sheet.stock].glued {
        notes.push(format!("Dash-dotted lengthwise: glue joints of its {} boards.", glued.boards));
    }
    let inner_up = |placement: &Placement| parts[placement.part].is_sided() && parts[placement.part].up == Face::Inner;
    if sheet.placements.iter().any(inner_up) {
        notes.push(
            "Seen as it lies on the machine: with its inner face up a part is the mirror image of its drawing.".into(),
        );
    }
    if let Some(route) = route {
        let holding = &route.holding;
        notes.push(match zero_of(made) {
            SheetZero::LowerLeft => "X0 Y0: the program's zero.".into(),
            other => format!("Filled quarter: the program's zero, X0 Y0, at the {}.", other.told()),
        });
        if !holding.tabs.is_empty() {
            notes.push(format!("Black bars: {}.", tabs(holding, units)));
        }
        if !opening_tabs(route).is_empty() {
            notes.push("Bars in openings: tabs of what comes out of them.".into());
        }
        if let Some(pin) = holding.pins.first() {
            notes.push(
                "Drawn as it lies for face 2, see turning.txt. For face 1 it lies as this seen in a mirror.".into(),
            );
            notes.push(format!(
                "{} of {}, at the long crosses. Dashed: recesses of the lower face, cut first.",
                counted(holding.pins.len(), "pin"),
                units.measured(pin.diameter)
            ));
        }
        if !holding.screws.is_empty() {
            let screws = counted(holding.screws.len(), "hold-down screw");
            let other = if holding.pins.is_empty() { "" } else { "; for face 1 at that program's marks alone" };
            notes.push(format!("Crosses in circles: {screws}{other}."));
        }
    }
    let labels: Vec<&Label> = sheet.placements.iter().filter_map(|it| legible(&parts[it.part], to_paper)).collect();
    if let Some(depth) = labels.iter().map(|label| label.depth).reduce(f64::max) {
        notes.push(format!("Letters of single strokes: as they are engraved, {} deep.", units.measured(depth)));
    }
    let lined = sheet.placements.iter().flat_map(|it| parts[it.part].lined());
    if let Some(depth) = lined.map(|line| line.depth).reduce(f64::max) {
        notes.push(format!("Thin lines on pieces: where other parts will sit, cut {} deep.", units.measured(depth)));
    }
    if holders(&sheet.placements, parts).iter().any(Option::is_some) {
        notes.push("Pieces that lie in openings are cut out before these.".into());
    }
    if !left_over.is_empty() {
        notes.push("Hatched: left over, at least so large; listed in offcuts.toml.".into());
    }
    if sheet.placements.is_empty() {
        notes.push("Nothing is cut from it.".into());
    }
    notes
}

//! The view of a part along its face: its thickness, and how deep holes and recesses are.

use super::dimension::{Baseline, Dimensions, FIRST_ROW, LETTERS, Measured};
use super::features::Features;
use super::part::{ASIDE, Attempt, BETWEEN};
use super::rings::rings_of;
use super::solid::facets;
use super::view::{View, seen};
use super::{Anchor, Pen, text_width};
use crate::design::{Face, Facing, Panel, Part, PartPocket, Pocket};
use crate::geometry::{Affine, Point, Rect, Side, Vec2};
use glam::DVec3;

impl Attempt<'_> {
    /// The part seen along its face, over the face view: by the first-angle method its lower edge, by the third-angle
    /// method its upper edge, as the symbol in the title block says.
    pub(super) fn edge(&mut self, to_paper: Affine, features: &Features) -> Option<()> {
        let part = self.part;
        let panel = as_panel(part);
        let up = if self.american { DVec3::NEG_Z } else { DVec3::Z };
        let view = View::straight(DVec3::X, up);
        let thick = part.thickness / self.scale;
        let top_left = to_paper * Point::new(0.0, part.width) - Vec2::new(0.0, BETWEEN + thick);
        // In the view, heights run from -thickness to 0, or from 0 to -thickness.
        let highest = if self.american { part.thickness } else { 0.0 };
        let scale = self.scale;
        let to_paper = Affine::new([1.0 / scale, 0.0, 0.0, -1.0 / scale, top_left.x, top_left.y + highest / scale]);
        for shown in seen(&facets(0, &panel), &view) {
            let outlines = rings_of(&shown.region, to_paper);
            for outline in &outlines {
                self.take_outline(outline);
            }
            self.picture.area(outlines, Pen::Edge);
        }
        // Behind many holes nobody would find one.
        let few = if features.table.is_empty() { &part.holes[..] } else { &[] };
        for hole in few {
            let bounds = hole.outline().bounds();
            for x in [bounds.x0, bounds.x1] {
                let at = Point::new(top_left.x + x / self.scale, top_left.y);
                self.picture.line(at, at + Vec2::new(0.0, thick), Pen::Dashed);
                self.room.take_line(at, at + Vec2::new(0.0, thick));
            }
            let axis = Point::new(top_left.x + hole.centre.x / self.scale, top_left.y);
            let (from, to) = (axis - Vec2::new(0.0, 2.0), axis + Vec2::new(0.0, thick + 2.0));
            self.picture.line(from, to, Pen::Centre);
            self.room.take_line(from, to);
        }
        for pocket in &part.pockets {
            self.hidden_pocket(pocket, top_left);
        }
        let text = self.job.units.measured(part.thickness);
        let text = text.rsplit_once(' ').map_or(text.as_str(), |(number, _)| number).to_string();
        let foot = top_left + Vec2::new(0.0, thick);
        let item = Measured { at: top_left, text };
        let mut dimensions = Dimensions { picture: &mut self.picture, room: &mut self.room, low: false, kept: None };
        dimensions.baseline(Baseline::Left, foot, &[item], FIRST_ROW)?;
        let edge = self.shown.edge(if self.american { Side::Upper } else { Side::Lower });
        let words = format!("{edge} edge");
        // Beside it; over it where the paper ends there.
        let (end, wide) = (part.length / self.scale, text_width(&words, LETTERS));
        let beside = top_left + Vec2::new(end + ASIDE, thick / 2.0 + LETTERS / 2.0);
        let over = |x: f64| top_left + Vec2::new(x, -3.2);
        let spot = |at: Point| Rect::new(at.x, at.y - LETTERS, at.x + wide, at.y + 1.0);
        let places = [beside, over(end - wide), over((end - wide) / 2.0), over(0.0)];
        let at = places.into_iter().find(|at| self.room.is_free(spot(*at)))?;
        self.picture.text(at, LETTERS, Anchor::Start, false, &words);
        self.room.take_text(spot(at));
        Some(())
    }

    /// A recess that the near edge hides.
    fn hidden_pocket(&mut self, pocket: &PartPocket, top_left: Point) {
        let part = self.part;
        let (bounds, depth) = (pocket.outline.bounds(), pocket.depth);
        let open = if self.american { bounds.y1 >= part.width } else { bounds.y0 <= 0.0 };
        if open {
            return;
        }
        let at = |x: f64, depth: f64| {
            let down = if self.american != pocket.under { part.thickness - depth } else { depth };
            top_left + Vec2::new(x / self.scale, down / self.scale)
        };
        let (x0, x1) = (bounds.x0.max(0.0), bounds.x1.min(part.length));
        let mut path = vec![at(x0, depth), at(x1, depth)];
        if bounds.x0 > 0.0 {
            path.insert(0, at(x0, 0.0));
        }
        if bounds.x1 < part.length {
            path.push(at(x1, 0.0));
        }
        self.picture.path(&path, Pen::Dashed);
        self.room.take_path(&path);
    }
}

/// The part as a panel that lies face up with its corner at the origin.
fn as_panel(part: &Part) -> Panel {
    let mut panel = Panel::block(
        &part.name,
        &part.name,
        Facing::Up,
        DVec3::new(0.0, 0.0, -part.thickness),
        DVec3::new(part.length, part.width, 0.0),
    )
    .with_outline(part.outline.clone());
    panel.holes = part.holes.clone();
    panel.pockets = part
        .pockets
        .iter()
        .map(|pocket| Pocket {
            purpose: pocket.purpose.clone(),
            face: if pocket.under { Face::Inner } else { Face::Outer },
            outline: pocket.outline.clone(),
            depth: pocket.depth,
        })
        .collect();
    panel
}

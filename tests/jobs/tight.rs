//! No bee gets out of a closed box where it should not: a ball as small as one is let loose inside.

use glam::DVec3;
use nestwright::design::Board;
use nestwright::design::kinds::FrameBox;
use nestwright::design::kinds::frame_box::{Corner, Cover, Floor, Rest, Walls};
use nestwright::design::{Design, Facing, Panel};
use nestwright::geometry::Vec2;
use nestwright::profile::Profiles;
use nestwright::units::INCH;

/// Places are looked at this far apart (mm).
const STEP: f64 = 2.5;
/// Radius of the ball (mm). It finds its way through any gap of 6 mm, the least bee space, wherever the places lie.
const BALL: f64 = 1.75;

/// All places in a block round the panels, each free for the ball's middle or not.
struct Maze {
    least: DVec3,
    counts: [usize; 3],
    taken: Vec<bool>,
}

impl Maze {
    fn new(panels: &[Panel]) -> Maze {
        let mut around = (DVec3::INFINITY, DVec3::NEG_INFINITY);
        for panel in panels {
            let block = crate::assemblies::bounds(panel);
            around = (around.0.min(block.0), around.1.max(block.1));
        }
        let (least, most) = (around.0 - 8.0, around.1 + 8.0);
        let counts = ((most - least) / STEP).ceil().to_array().map(|count| count as usize);
        let mut maze = Maze { least, counts, taken: vec![false; counts.iter().product()] };
        panels.iter().for_each(|panel| maze.put(panel));
        maze
    }

    fn index(&self, at: [usize; 3]) -> usize {
        (at[2] * self.counts[1] + at[1]) * self.counts[0] + at[0]
    }

    fn put(&mut self, panel: &Panel) {
        let (least, most) = crate::assemblies::bounds(panel);
        let from = ((least - BALL - self.least) / STEP).floor().max(DVec3::ZERO).to_array().map(|i| i as usize);
        let to = ((most + BALL - self.least) / STEP).ceil().to_array().map(|i| i as usize);
        for z in from[2]..=to[2].min(self.counts[2] - 1) {
            for y in from[1]..=to[1].min(self.counts[1] - 1) {
                for x in from[0]..=to[0].min(self.counts[0] - 1) {
                    let index = self.index([x, y, z]);
                    let at = self.least + DVec3::new(x as f64, y as f64, z as f64) * STEP;
                    self.taken[index] = self.taken[index] || touches(panel, at);
                }
            }
        }
    }

    /// Does the ball get from here to the outermost places?
    fn leads_out(&self, from: DVec3) -> bool {
        let start = ((from - self.least) / STEP).round().to_array().map(|i| i as usize);
        assert!(!self.taken[self.index(start)], "the start is inside wood");
        let mut seen = self.taken.clone();
        let mut next = vec![start];
        while let Some(at) = next.pop() {
            for axis in 0..3 {
                if at[axis] == 0 || at[axis] + 1 == self.counts[axis] {
                    return true;
                }
                for to in [at[axis] - 1, at[axis] + 1] {
                    let mut there = at;
                    there[axis] = to;
                    let index = self.index(there);
                    if !seen[index] {
                        seen[index] = true;
                        next.push(there);
                    }
                }
            }
        }
        false
    }
}

fn touches(panel: &Panel, at: DVec3) -> bool {
    let (flat, w) = panel.place.to_flat(at);
    let ways = [Vec2::ZERO, Vec2::new(BALL, 0.0), Vec2::new(-BALL, 0.0), Vec2::new(0.0, BALL), Vec2::new(0.0, -BALL)];
    ways.iter()
        .any(|way| [-BALL, 0.0, BALL].iter().any(|deep| panel.contains(panel.place.to_space(flat + *way, w + deep))))
}

/// The box's panels without their holes, with its openings stopped, on a bench and under a lid where it has neither
/// floor nor cover.
fn closed(design: &FrameBox, thickness: f64) -> (Vec<Panel>, DVec3) {
    let assembly = design.build(&Board::plain(thickness, Some(6.0)));
    let mut panels = assembly.panels;
    panels.iter_mut().for_each(|panel| panel.holes.clear());
    let stopper = |least: DVec3, most: DVec3| Panel::block("stopper", "stopper", Facing::Up, least, most);
    for opening in &assembly.openings {
        let half = DVec3::new(opening.width / 2.0 + 2.0, thickness, opening.height / 2.0 + 2.0);
        panels.push(stopper(opening.centre - half, opening.centre + half));
    }
    let foot = assembly.footprint.expect("frame boxes stack");
    let (x, y) = ((foot.outside.x0, foot.outside.x1), (foot.outside.y0, foot.outside.y1));
    if design.floor == Floor::None {
        panels.push(stopper(DVec3::new(x.0, y.0, -10.0), DVec3::new(x.1, y.1, 0.0)));
    }
    if design.cover == Cover::None {
        panels.push(stopper(DVec3::new(x.0, y.0, foot.upper), DVec3::new(x.1, y.1, foot.upper + 10.0)));
    }
    let inside = assembly.inside.expect("has an inside") + DVec3::new(0.0, 0.0, 20.0);
    (panels, inside)
}

fn frame_box(frame: &str) -> FrameBox {
    FrameBox::new(Profiles::built_in().find(frame).expect("built in"), 2)
}

#[test]
fn closed_boxes_are_tight() {
    let boxes = [
        ("nuc", frame_box("langstroth-medium"), 0.5 * INCH),
        ("fingers", FrameBox { corner: Corner::Finger, ..frame_box("langstroth-medium") }, 12.1),
        (
            "super, ends running through",
            FrameBox {
                rest: Rest::Rabbet,
                walls: Walls::Ends,
                floor: Floor::None,
                cover: Cover::None,
                ..frame_box("langstroth-shallow")
            },
            0.75 * INCH,
        ),
        (
            "super, fingers, loose floor",
            FrameBox {
                rest: Rest::Rabbet,
                corner: Corner::Finger,
                floor: Floor::Loose,
                entrance_block: true,
                cover: Cover::Telescoping,
                ..frame_box("langstroth-shallow")
            },
            0.75 * INCH,
        ),
        ("National nuc", FrameBox { rest: Rest::InnerWall, ..frame_box("national-super") }, 12.1),
        (
            "National super",
            FrameBox {
                rest: Rest::InnerWall,
                corner: Corner::Rabbet,
                floor: Floor::None,
                cover: Cover::None,
                ..frame_box("national-super")
            },
            0.75 * INCH,
        ),
    ];
    for (name, design, thickness) in boxes {
        let (panels, inside) = closed(&design, thickness);
        assert!(!Maze::new(&panels).leads_out(inside), "{name}: there is a way out");
        // The check itself: with the front taken away there is one.
        let open: Vec<Panel> = panels.into_iter().filter(|panel| panel.name != "front").collect();
        assert!(Maze::new(&open).leads_out(inside), "{name}: even without its front it seems closed");
    }
}

/// What comes out of a large opening stands free of everything else: however thin the tabs of parts are, its own hold it.
#[test]
fn the_middle_of_an_opening_is_held_also_where_tabs_are_thin() {
    for hold in ["tabs", "onion-skin"] {
        for (cutter, width, height) in [("endmill-1-4", 2.0, 0.5), ("endmill-6", 3.0, 0.5), ("endmill-6", 2.0, 1.0)] {
            let made = crate::shared::make(&format!(
                r#"
                title = "A board with a wide entrance"
                stock = {{ material = "birch-plywood", size = [600, 400], thickness = 9 }}
                [router]
                machine = "desktop-router"
                cutter = "{cutter}"
                hold = "{hold}"
                tab-width = {width}
                tab-height = {height}
                [[part]]
                name = "front"
                size = [192, 182]
                count = 1
                hole = [{{ use = "entrance", diameter = 63.5, across = "centre", up = 90 }}]
                "#
            ));
            assert!(crate::shared::proved(&made.proof), "{hold} {cutter} {width} {height}");
        }
    }
}

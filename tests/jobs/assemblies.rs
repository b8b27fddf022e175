//! Every entry of the catalogue, in stock of many thicknesses: no two panels share any wood, every panel touches
//! another of its own sub-assembly, and no bee gets out where none should.

use crate::shared::job_of;
use glam::DVec3;
use nestwright::design::Board;
use nestwright::design::kinds::cavity_box::{Access, Roof, RoostBox};
use nestwright::design::kinds::frame_box::{Corner, Cover, Floor, Handhold, Rest, SoftCover, Walls};
use nestwright::design::kinds::{CavityBox, FrameBox, OpenBox};
use nestwright::design::{Assembly, Design, OtherWood, Panel, contacts, is_among, joints};
use nestwright::geometry::{Outline, Point};
use nestwright::joining::{driven, openings};
use nestwright::profile::{Fastener, Frame, Occupant, Profiles};
use nestwright::supply::supplies;
use nestwright::units::INCH;
use proptest::prelude::*;
use rayon::prelude::*;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, OnceLock};

fn frame(name: &str) -> Arc<Frame> {
    Profiles::built_in().find(name).expect("built in")
}

fn board(thickness: f64) -> Board {
    Board::plain(thickness, Some(6.0))
}

pub type Entry = (String, Arc<dyn Design>);

/// A name and a design of every sort that the catalogue has.
pub fn catalogue() -> &'static [Entry] {
    static ALL: OnceLock<Vec<Entry>> = OnceLock::new();
    ALL.get_or_init(entries)
}

fn entries() -> Vec<Entry> {
    let mut all: Vec<Entry> = Vec::new();
    let mut add = |name: &str, design: FrameBox| all.push((name.into(), Arc::new(design)));
    let nuc = || FrameBox::new(frame("langstroth-deep"), 5);
    let body = |name, frames| FrameBox {
        rest: Rest::Rabbet,
        floor: Floor::None,
        cover: Cover::None,
        ..FrameBox::new(frame(name), frames)
    };
    let national = || FrameBox { rest: Rest::InnerWall, ..FrameBox::new(frame("national-brood"), 5) };
    add("nuc", nuc());
    add("nuc, rabbet corners", FrameBox { corner: Corner::Rabbet, ..nuc() });
    add("nuc, finger corners", FrameBox { corner: Corner::Finger, ..nuc() });
    add("nuc, slots and cloth", FrameBox { handhold: Handhold::Slot, soft_cover: Some(SoftCover::Canvas), ..nuc() });
    add("nuc, recess", FrameBox { handhold: Handhold::Recess, corner: Corner::Rabbet, ..nuc() });
    add("nuc, division board", FrameBox { division_board: true, ..nuc() });
    add("nuc, telescoping cover", FrameBox { cover: Cover::Telescoping, ..nuc() });
    add("nuc, loose floor", FrameBox { floor: Floor::Loose, entrance_block: true, ..nuc() });
    for corner in [Corner::Butt, Corner::Rabbet, Corner::Finger] {
        for walls in [Walls::Sides, Walls::Ends] {
            add(&format!("body, {corner:?}, {walls:?}"), FrameBox { corner, walls, ..body("langstroth-medium", 10) });
        }
    }
    add(
        "body, cleats",
        FrameBox { handhold: Handhold::Cleat, cover: Cover::Telescoping, ..body("langstroth-deep", 10) },
    );
    add("body, recess", FrameBox { handhold: Handhold::Recess, corner: Corner::Finger, ..body("langstroth-deep", 10) });
    add("rooms, cleats", FrameBox { rooms: vec![2, 1, 2], frames: 5, ..nuc() });
    let rooms = |frame| FrameBox { rooms: vec![2, 2, 3, 2], room_covers: true, ..FrameBox::new(frame, 9) };
    let deep = || frame("langstroth-deep");
    add("rooms, own covers", FrameBox { corner: Corner::Rabbet, ..rooms(deep()) });
    add("rooms, rabbets", FrameBox { rest: Rest::Rabbet, cover: Cover::Telescoping, ..rooms(deep()) });
    add("rooms, inner walls", FrameBox { cover: Cover::Inner, ..rooms(frame("national-brood")) });
    let parted = FrameBox { rest: Rest::InnerWall, cover: Cover::Telescoping, ..rooms(frame("national-brood")) };
    add("rooms, rails", parted);
    for name in ["langstroth-shallow", "deutsch-normal", "zander", "dadant", "dadant-us"] {
        add(name, FrameBox { cover: Cover::Inner, floor: Floor::Loose, ..body(name, 9) });
    }
    add("National nuc", national());
    add("National nuc, rabbets", FrameBox { corner: Corner::Rabbet, cover: Cover::Telescoping, ..national() });
    for name in ["national-brood", "national-super"] {
        let standing = FrameBox { floor: Floor::None, cover: Cover::None, division_board: true, ..national() };
        add(name, FrameBox { frame: frame(name), frames: 11, ..standing });
    }
    let loose = FrameBox { floor: Floor::Loose, entrance_block: true, cover: Cover::Inner, ..national() };
    add("National nuc, loose floor", loose);
    let shelf = Profiles::built_in();
    for occupant in shelf.all::<Occupant>() {
        let name = occupant.name.clone();
        match &occupant.roost {
            Some(roost) => all.push((name, Arc::new(RoostBox::new(Arc::clone(occupant), roost)))),
            None => all.push((name, Arc::new(CavityBox::for_occupant(Arc::clone(occupant))))),
        }
    }
    let bluebird = || CavityBox::for_occupant(shelf.find::<Occupant>("bluebird").expect("built in"));
    for roof in [Roof::Sloping, Roof::Gabled] {
        for access in [None, Some(Access::Front), Some(Access::Side), Some(Access::Roof)] {
            for slides in [false, true] {
                let slope = if roof == Roof::Gabled { 45f64.to_radians() } else { 15f64.to_radians() };
                let back_plate = access != Some(Access::Roof);
                let design = CavityBox { roof, access, slides, slope, vents: 2, back_plate, ..bluebird() };
                if !slides || matches!(access, Some(Access::Front | Access::Side)) {
                    all.push((format!("{roof:?}, {access:?}, slides: {slides}"), Arc::new(design)));
                }
            }
        }
    }
    let flat = CavityBox { roof: Roof::Gabled, slope: 25f64.to_radians(), ..bluebird() };
    all.push(("flat gable".into(), Arc::new(flat)));
    for corner in [Corner::Butt, Corner::Rabbet, Corner::Finger] {
        all.push((format!("tray, {corner:?}"), Arc::new(OpenBox { corner, ..OpenBox::new([300.0, 200.0, 80.0]) })));
    }
    all
}

/// Places just inside a panel's surfaces, close enough together that nothing as wide as a cutter slips between them.
pub fn places_in(panel: &Panel) -> Vec<DVec3> {
    const DEEP: f64 = 0.06;
    const STEP: f64 = 4.0;
    let mut places = Vec::new();
    let mut put = |at: DVec3| {
        if panel.contains(at) {
            places.push(at);
        }
    };
    let t = panel.thickness;
    let mut depths = vec![DEEP, 0.47 * t, t - DEEP];
    for pocket in &panel.pockets {
        depths.extend([pocket.depth + DEEP, t - pocket.depth - DEEP]);
    }
    // Along every edge and pocket wall, a hair inside the wood on either side.
    let outlines = std::iter::once(&panel.outline).chain(panel.pockets.iter().map(|pocket| &pocket.outline));
    for outline in outlines {
        for side in outline.segments() {
            let steps = (side.length() / STEP).ceil().max(1.0) as usize;
            for i in 0..=steps {
                let share = (i as f64 / steps as f64).clamp(0.002, 0.998);
                let way = side.direction(share);
                for sign in [DEEP, -DEEP] {
                    let at = side.at(share) + nestwright::geometry::Vec2::new(-way.y, way.x) * sign;
                    depths.iter().for_each(|depth| put(panel.place.to_space(at, -depth)));
                }
            }
        }
    }
    // And over the faces.
    let bounds = panel.outline.bounds();
    let (across, up) = ((bounds.width() / 15.0).ceil() as usize, (bounds.height() / 15.0).ceil() as usize);
    for i in 0..across {
        for j in 0..up {
            let at = Point::new(
                bounds.x0 + (i as f64 + 0.5) * bounds.width() / across as f64,
                bounds.y0 + (j as f64 + 0.5) * bounds.height() / up as f64,
            );
            depths.iter().for_each(|depth| put(panel.place.to_space(at, -depth)));
        }
    }
    places
}

/// The upright block around a panel.
pub fn bounds(panel: &Panel) -> (DVec3, DVec3) {
    let flat = panel.outline.bounds();
    let corners = [(flat.x0, flat.y0), (flat.x1, flat.y0), (flat.x1, flat.y1), (flat.x0, flat.y1)];
    let in_space =
        corners.iter().flat_map(|(x, y)| [0.0, -panel.thickness].map(|w| panel.place.to_space(Point::new(*x, *y), w)));
    in_space.fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(least, most), at| (least.min(at), most.max(at)))
}

fn no_shared_wood(name: &str, assembly: &Assembly) {
    let blocks: Vec<_> = assembly.panels.iter().map(bounds).collect();
    let near = |at: DVec3, j: usize| at.cmpgt(blocks[j].0).all() && at.cmplt(blocks[j].1).all();
    for (i, panel) in assembly.panels.iter().enumerate() {
        for at in places_in(panel) {
            for (j, other) in assembly.panels.iter().enumerate() {
                assert!(
                    i == j || !near(at, j) || !other.contains(at),
                    "{name}, {} mm: {} and {} share the wood at {at:.2}",
                    panel.thickness,
                    panel.name,
                    other.name
                );
            }
        }
    }
}

/// Panels of one sub-assembly hang together by their contacts.
fn glued_together(name: &str, assembly: &Assembly) {
    let panels = &assembly.panels;
    let contacts = contacts(panels);
    for first in 0..panels.len() {
        let unit = &panels[first].sub_assembly;
        if panels.iter().position(|panel| panel.sub_assembly == *unit) != Some(first) {
            continue;
        }
        let mut reached = vec![first];
        let mut i = 0;
        while i < reached.len() {
            for contact in contacts.iter().filter(|contact| assembly.is_glued(contact)) {
                if let Some(next) = contact.other(reached[i]).filter(|next| !reached.contains(next)) {
                    reached.push(next);
                }
            }
            i += 1;
        }
        for (i, panel) in panels.iter().enumerate().filter(|(_, panel)| panel.sub_assembly == *unit) {
            assert!(reached.contains(&i), "{name}, {} mm: nothing holds the {} ({unit})", panel.thickness, panel.name);
        }
    }
}

#[test]
fn the_catalogue_builds_in_half_inch_and_three_quarter_inch_stock() {
    catalogue().par_iter().for_each(|(name, design)| {
        for thickness in [12.1, 0.75 * INCH] {
            let assembly = design.build(&board(thickness));
            no_shared_wood(name, &assembly);
            glued_together(name, &assembly);
        }
    });
}

/// Is there wood of a panel here, or no further away than the play of a joint?
fn is_filled(panel: &Panel, at: DVec3) -> bool {
    const PLAY: f64 = 0.35;
    panel.contains(at)
        || DVec3::AXES.into_iter().any(|axis| [PLAY, -PLAY].iter().any(|by| panel.contains(at + axis * *by)))
}

/// How much of a straight way lies in openings of panels (mm): in holes, and in recesses that no board of the same sub-assembly
/// fills. Walks along it, and knows nothing of how places are found.
fn in_openings(assembly: &Assembly, from: DVec3, direction: DVec3, length: f64) -> f64 {
    const STEP: f64 = 0.2;
    let count = |panel: &Panel| {
        let holes: Vec<Outline> = panel.holes.iter().map(nestwright::design::Hole::outline).collect();
        let same = || assembly.panels.iter().filter(|other| other.sub_assembly == panel.sub_assembly);
        let open = |i: &u32| {
            let at = from + direction * (f64::from(*i) * STEP);
            let (flat, height) = panel.place.to_flat(at);
            let in_recess = || panel.pockets.iter().any(|it| it.outline.contains(flat));
            height < 0.0
                && -height < panel.thickness
                && (holes.iter().any(|hole| hole.contains(flat))
                    || (in_recess() && panel.outline.contains(flat) && !same().any(|other| is_filled(other, at))))
        };
        (1..(length / STEP) as u32).filter(open).count()
    };
    assembly.panels.iter().map(count).sum::<usize>() as f64 * STEP
}

/// A fastener goes through wood and ends in wood, or beyond the last board. The glue line of a joint is no opening.
#[test]
fn no_fastener_passes_through_or_ends_in_an_opening() {
    let [all, moved, left_out] = [0; 3].map(AtomicUsize::new);
    catalogue().par_iter().for_each(|(name, design)| {
        for thickness in [12.1, 0.75 * INCH] {
            let design = Arc::clone(design);
            let (mut job, assemblies) = job_of(move |board: &Board| design.build(board), thickness);
            job.hardware.shelf = Profiles::built_in().all::<Fastener>().cloned().collect();
            let assembly = &assemblies[0];
            let contacts = contacts(&assembly.panels);
            let (openings, mut count) = (openings(assembly, &contacts), 0);
            let joints = joints(assembly, &contacts);
            for one in driven(&job.hardware, assembly, &contacts, &openings, &joints).into_iter().flatten() {
                for place in &one.places {
                    let open = in_openings(assembly, *place, -one.stands, one.fastener.length.value);
                    let [through, into] = [one.through, one.into].map(|i| &assembly.panels[i].name);
                    assert!(
                        open < 0.4,
                        "{name}, {thickness}: {through} into {into} at {place}: {open} mm of an opening"
                    );
                }
                count += one.count();
                moved.fetch_add(one.moved as usize, Ordering::Relaxed);
                left_out.fetch_add(one.left_out as usize, Ordering::Relaxed);
            }
            // What is bought is what is driven; a few in a corner that no hammer gets to are clamped, and left over.
            let steps = &nestwright::steps::steps(&job, &assemblies)[0].steps;
            let hammered = steps.iter().map(|step| step.fasteners).sum::<u32>();
            let clamped = steps.iter().any(|step| step.text.iter().any(|text| text.contains("Clamp it until")));
            assert!(hammered == count || (clamped && hammered < count && count - hammered <= 8), "{name}: {hammered}");
            let nails = |item: &str| item.starts_with("brad");
            let bought: f64 =
                supplies(&job, &assemblies).iter().filter(|it| nails(&it.item)).map(|it| it.boxes[0].each).sum();
            assert_eq!(bought, f64::from(count), "{name}");
            all.fetch_add(count as usize, Ordering::Relaxed);
        }
    });
    let [all, moved, left_out] = [all, moved, left_out].map(AtomicUsize::into_inner);
    assert!(all > 5000 && moved > 100 && left_out > 5, "of {all} fasteners {moved} moved and {left_out} were left out");
}

/// Any family of panels, and any group, from other wood than the rest: it is as thick as that wood, nothing shares any wood and
/// everything still hangs together; but for a front or back alone, which is as thick as its opposite.
#[test]
fn panels_of_other_wood_fit_where_the_usual_ones_do() {
    catalogue().par_iter().for_each(|(name, design)| {
        let plain = design.build(&board(12.1));
        let mut families: Vec<String> = plain.panels.iter().map(|panel| panel.family.clone()).collect();
        families.sort_unstable();
        families.dedup();
        let groups = ["walls", "cleats", "rims"].map(String::from);
        let groups = groups.into_iter().filter(|group| families.iter().any(|family| is_among(family, group)));
        for called in groups.chain(families.clone()) {
            for thickness in [9.0, 18.4] {
                let others = vec![OtherWood { panels: called.clone(), thickness }];
                let assembly = design.build(&Board { others, ..board(12.1) });
                let what = format!("{name}, {called} of {thickness}");
                no_shared_wood(&what, &assembly);
                glued_together(&what, &assembly);
                for panel in &assembly.panels {
                    let wanted = if is_among(&panel.family, &called) { thickness } else { 12.1 };
                    let paired = ["front", "back", "side"].contains(&called.as_str());
                    assert!(
                        paired || (panel.thickness - wanted).abs() < 1e-9,
                        "{what}: {} is {}",
                        panel.name,
                        panel.thickness
                    );
                }
            }
        }
    });
}

/// The check itself: a wall moved by a fifth of a millimetre shares wood with its neighbour.
#[test]
#[should_panic(expected = "share the wood")]
fn a_wall_that_is_a_little_too_far_in_is_noticed() {
    let mut assembly = FrameBox::new(frame("langstroth-deep"), 5).build(&board(12.1));
    assembly.panels[2].place = assembly.panels[2].place.moved(DVec3::X * 0.2);
    no_shared_wood("nuc", &assembly);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn the_catalogue_builds_in_any_stock_it_does_not_refuse(which in 0..catalogue().len(), thickness in 6.0..25.0f64) {
        let (name, design) = &catalogue()[which];
        let assembly = design.build(&board(thickness));
        if assembly.refusals.is_empty() {
            no_shared_wood(name, &assembly);
            glued_together(name, &assembly);
        }
    }
}

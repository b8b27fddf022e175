//! Steps of assembly, for every entry of the catalogue: every part once, nothing through wood that is there.

use crate::assemblies::{catalogue, places_in};
use crate::shared::{check, job_of, make};
use glam::DVec3;
use nestwright::design::kinds::CavityBox;
use nestwright::design::kinds::cavity_box::Entrance;
use nestwright::design::{Assembly, Design};
use nestwright::design::{Board, contacts, joints};
use nestwright::geometry::Point;
use nestwright::job::FLUSH;
use nestwright::joining::{driven, openings};
use nestwright::profile::{Fastener, Profiles};
use nestwright::steps::{BoxSteps, StepKind, steps};
use nestwright::units::{INCH, Units};
use std::sync::Arc;

/// A part is watched on its way from this far off, at places this far apart (mm).
const FROM: f64 = 260.0;
const EVERY: f64 = 8.5;

/// A box in 12.1 mm, with its steps.
fn planned(name: &str, design: impl Design + 'static) -> (String, Assembly, BoxSteps) {
    let (mut job, mut assemblies) = job_of(design, 12.1);
    job.hardware.shelf = Profiles::built_in().all::<Fastener>().cloned().collect();
    let steps = steps(&job, &assemblies).swap_remove(0);
    (name.into(), assemblies.swap_remove(0), steps)
}

fn every_box() -> Vec<(String, Assembly, BoxSteps)> {
    let entries = catalogue().iter().map(|(name, design)| {
        let design = Arc::clone(design);
        planned(name, move |board: &Board| design.build(board))
    });
    entries.collect()
}

#[test]
fn every_part_is_placed_once_and_onto_what_is_there() {
    for (name, assembly, steps) in every_box() {
        // Glued up, and then set in its place with the rest of its sub-assembly.
        let mut glued = vec![0; assembly.panels.len()];
        let mut set = vec![0; assembly.panels.len()];
        for step in &steps.steps {
            match step.kind {
                StepKind::Lay | StepKind::Glue => {
                    if step.kind == StepKind::Glue {
                        assert!(!step.glue.is_empty(), "{name}: {step:#?}");
                        let there = |panel: &usize| glued[*panel] == 1;
                        assert!(step.onto.iter().all(there), "{name}: {step:#?}");
                    }
                    step.adds.iter().for_each(|panel| glued[*panel] += 1);
                }
                StepKind::Place => step.adds.iter().for_each(|panel| set[*panel] += 1),
                StepKind::Fit | StepKind::Paint => assert!(step.adds.is_empty()),
            }
            assert!(step.text.iter().all(|sentence| sentence.ends_with('.')), "{name}: {:?}", step.text);
        }
        for (i, panel) in assembly.panels.iter().enumerate() {
            let alone = assembly.panels.iter().filter(|other| other.sub_assembly == panel.sub_assembly).count() == 1;
            assert_eq!(glued[i], usize::from(!alone || panel.sub_assembly.is_empty() && assembly.panels.len() > 1));
            assert_eq!(set[i], usize::from(!panel.sub_assembly.is_empty()), "{name}: {}", panel.name);
        }
        let numbers: Vec<usize> = steps.steps.iter().map(|step| step.number).collect();
        assert_eq!(numbers, (1..=steps.steps.len()).collect::<Vec<_>>());
        assert_eq!(steps.steps.last().map(|step| step.kind), Some(StepKind::Paint), "{name}");
    }
}

/// Does what is driven from there run within a board, along its faces?
fn in_a_board(assembly: &Assembly, there: &[usize], from: DVec3, stands: DVec3) -> bool {
    there.iter().map(|panel| &assembly.panels[*panel]).any(|panel| {
        let along = panel.place.normal().dot(stands).abs() < 1e-9;
        along && (18..22).all(|mm| panel.contains(from - stands * f64::from(mm)))
    })
}

/// By their places in the list, not by words: two hinges may bear one name.
#[test]
fn every_fitting_is_fixed_on_in_one_step_that_names_it() {
    let mut all = 0;
    for (name, assembly, steps) in every_box() {
        assert_eq!(steps.fittings.len(), assembly.fittings.len(), "{name}");
        for (i, fitting) in assembly.fittings.iter().enumerate() {
            let own: Vec<_> = steps.steps.iter().filter(|step| step.fittings.contains(&i)).collect();
            let [step] = own[..] else { panic!("{name}: {} is fixed on in {} steps", fitting.name, own.len()) };
            assert_eq!(step.kind, StepKind::Fit, "{name}: {}", fitting.name);
            let (one, many) = (&steps.fittings[i], |count| fitting.counted(count, Units::Inches));
            let named = |text: &String| text.contains(one) || (2..5).any(|count| text.contains(&many(count)));
            assert!(step.text.iter().any(named), "{name}: {one}: {:?}", step.text);
            for seat in &fitting.seats {
                let on = assembly.panels.iter().position(|panel| panel.name == seat.panel).expect("a panel");
                assert!(step.onto.contains(&on), "{name}: {} sits on the {}", fitting.name, seat.panel);
            }
            all += 1;
        }
        assert!(steps.steps.iter().all(|step| (step.kind == StepKind::Fit) != step.fittings.is_empty()), "{name}");
    }
    assert!(all > 20, "only {all} fittings");
}

/// A hand needs so much above the place that it hits (mm).
const HAMMER: f64 = 150.0;

/// Nobody nails upwards. Follows the work through its poses as the steps give them, and looks into the air above each nail.
#[test]
fn every_fastener_is_driven_down_into_a_free_face_as_the_work_then_lies() {
    let (mut driven, mut turned, mut in_line) = (0, 0, 0);
    for (name, assembly, steps) in every_box() {
        let mut there: Vec<usize> = Vec::new();
        let mut lies: Option<DVec3> = None;
        let mut of = String::new();
        let mut box_lies = None;
        for step in steps.steps.iter().filter(|step| !step.poses.is_empty()) {
            let poses: Vec<DVec3> = step.poses.iter().map(|pose| DVec3::from(*pose)).collect();
            if step.kind == StepKind::Lay {
                there.clear();
                (lies, of) = (Some(poses[0]), step.sub_assembly.clone());
            }
            if !matches!(step.kind, StepKind::Lay | StepKind::Glue) {
                lies = box_lies;
            }
            assert!(lies.is_none_or(|lies| lies == poses[0]), "{name}: {step:#?} begins otherwise than it lay");
            let says = |text: &&String| {
                ["Turn the ", "Stand the "].iter().any(|verb| text.starts_with(verb)) && !text.contains("on the bench")
                    || text.starts_with("Lay the ") && text.contains(" down, its ")
            };
            assert_eq!(step.text.iter().filter(says).count(), poses.len() - 1, "{name}: {step:#?}");
            turned += poses.len() - 1;
            assert!(poses.windows(2).all(|pair| pair[0] != pair[1]), "{name}: {:?}", step.poses);
            there.extend(&step.adds);
            let mut later = poses.iter();
            for drive in &step.drives {
                let (up, out) = (DVec3::from(drive.up), DVec3::from(drive.out));
                assert!(later.any(|pose| *pose == up) || poses.last() == Some(&up), "{name}: {step:#?}");
                assert!(up.dot(out) > 0.5, "{name}: driven at a slant or from below: {step:#?}");
                assert_eq!(drive.places.len(), drive.count as usize, "{name}: {step:#?}");
                for (place, stands) in drive.places.iter().zip(&drive.stands) {
                    in_line += usize::from(stands.dot(out) < 0.999);
                    assert!(
                        stands.dot(out) > 0.999 || in_a_board(&assembly, &there, *place, *stands),
                        "{name}: {place}, {stands}: {step:#?}"
                    );
                    let above = (0..75).map(|i| *place + out * (1.0 + f64::from(i) * HAMMER / 75.0));
                    for at in above {
                        let wood = there.iter().find(|panel| assembly.panels[**panel].contains(at));
                        let wood = wood.map(|panel| &assembly.panels[*panel].name);
                        assert!(wood.is_none(), "{name}: {wood:?} is in the hammer's way: {step:#?}");
                    }
                    let under = *place - out * 1.0;
                    let into = drive.through.iter().any(|panel| assembly.panels[*panel].contains(under));
                    assert!(into, "{name}: {place} is not on the face: {step:#?}");
                    driven += 1;
                }
            }
            assert_eq!(step.fasteners, step.drives.iter().map(|drive| drive.count).sum::<u32>(), "{name}: {step:#?}");
            lies = poses.last().copied();
            if of.is_empty() || !matches!(step.kind, StepKind::Lay | StepKind::Glue) {
                box_lies = lies;
            }
        }
        assert_eq!(lies, Some(DVec3::Z), "{name}: it is painted standing");
    }
    assert!(driven > 1000 && turned > 100 && in_line > 5, "{driven} driven, {turned} turned, {in_line} in line");
}

/// Knows nothing of how the order was found: looks into the wood, place by place, along each part's way.
#[test]
fn no_part_goes_through_wood_that_is_there() {
    for (name, assembly, steps) in every_box() {
        let (mut there, mut set): (Vec<usize>, Vec<usize>) = (Vec::new(), Vec::new());
        for step in steps.steps.iter().filter(|step| !step.adds.is_empty()) {
            // Sub-assemblies are glued up each by itself; they meet when they are set in their places.
            let standing: Vec<usize> = match step.kind {
                StepKind::Place => {
                    let body = |i: &usize| assembly.panels[*i].sub_assembly.is_empty() || set.contains(i);
                    (0..assembly.panels.len()).filter(body).collect()
                }
                _ => {
                    let own = |i: &usize| assembly.panels[*i].sub_assembly == step.sub_assembly;
                    there.iter().copied().filter(own).collect()
                }
            };
            if let Some(way) = step.direction {
                let way = DVec3::from(way);
                for part in &step.adds {
                    // Parts of one step come from either side.
                    let ways = if step.kind == StepKind::Glue { vec![way, -way] } else { vec![way] };
                    let free = ways.iter().any(|way| comes_free(&assembly, *part, &standing, *way, &step.adds));
                    assert!(free, "{name}: {} of step {}: {:?}", assembly.panels[*part].name, step.number, step.text);
                }
            }
            if step.kind == StepKind::Place {
                set.extend(&step.adds);
            }
            there.extend(step.adds.iter().filter(|panel| !there.contains(panel)).copied().collect::<Vec<_>>());
        }
    }
}

fn comes_free(assembly: &Assembly, part: usize, standing: &[usize], way: DVec3, with: &[usize]) -> bool {
    let others: Vec<_> = standing
        .iter()
        .filter(|other| !with.contains(other))
        .map(|i| (&assembly.panels[*i], assembly.panels[*i].bounds()))
        .collect();
    // Some of the places will do: they lie millimetres apart.
    let places: Vec<DVec3> = places_in(&assembly.panels[part]).into_iter().step_by(31).collect();
    let distances = (0..=(FROM / EVERY) as usize).map(|i| 0.4 + i as f64 * EVERY);
    distances.into_iter().all(|far| {
        places.iter().all(|place| {
            let at = *place - way * far;
            !others
                .iter()
                .any(|(other, (least, most))| at.cmpgt(*least).all() && at.cmplt(*most).all() && other.contains(at))
        })
    })
}

#[test]
fn what_is_told_of_a_nuc() {
    let made = make(
        r#"
        title = "nuc"
        stock = { material = "birch-plywood", size = [2440, 1220], thickness = 12.1 }
        router = { machine = "desktop-router", cutter = "endmill-6", drills = ["drill-20"] }
        [[box]]
        name = "nuc"
        kind = "frame-box"
        count = 1
        frame = "langstroth-deep"
        frames = 5
        soft-cover = "canvas"
        hole = [{ panel = "back", use = "vent", diameter = 20, across = "centre", down = 63.5 }]
        "#,
    );
    let text: Vec<String> = made.steps[0].steps.iter().map(|step| step.text.join(" ")).collect();
    let at = |words: &str| {
        text.iter().position(|step| step.contains(words)).unwrap_or_else(|| panic!("no `{words}` in {text:#?}"))
    };
    let mesh =
        at("Lay the back on the bench, inner face up, and staple number-eight hardware cloth (45.4 × 45.4 mm) on it.");
    // Both ends stand, the side is laid on them and nailed from above; then the work is turned over for the other.
    let ends = at("Stand the front and the back on the bench, left edges up");
    let left = &text[at("Glue the left side to the front and the back.")];
    assert!(mesh < ends && left.contains("on the front, its outer face flush with the left side's front edge"));
    assert!(left.contains("Hold a square") && left.contains("Drive 8 brads of 31.8 mm down through the left side."));
    // Half of 12.1 mm from the edge is the middle of the board behind it; a brad keeps 3/4 in from the end of its joint.
    let row =
        "Into the front and the back 4 each: 6.1 mm from the nearest edge, the outermost 19.1 mm from the lower and ";
    assert!(left.contains(row), "{left}");
    let right = &text[at("Turn the work over, its right side up. Glue the right side to the front")];
    assert!(right.contains("both diagonals"), "{right}");
    let cleat =
        &text[at("Lay the work down, its front up. Glue the front rest cleat to the left side, the right side")];
    // Two boards of 12.1 mm hold a brad of 3/4 in; the usual one would come out where hands go.
    assert!(cleat.contains("brads of 19.1 mm") && !cleat.contains("come out"), "{cleat}");
    at("Glue the back rest cleat on in the same way as the front rest cleat.");
    let cover = &text[at("Glue the front cover cleat and the back cover cleat to the cover.")];
    assert!(!cover.contains("scrap wood") && !cover.contains("clinch"), "{cover}");
    let (cloth, cover) = (at("Cut canvas to 461.6 × 190.5 mm"), at("Set the cover in its place from above"));
    assert!(cloth < cover, "{text:#?}");
    assert!(text.last().is_some_and(|step| step.contains("outside only") && step.contains("stays bare")));
}

/// A screw's place is told from the edges of its wall, and a strip's size is.
/// Whatever the box and its stock, from a quarter of an inch up, no point comes out of the wood unless the maker names the nail.
#[test]
fn no_point_comes_out_of_the_wood() {
    let hardware = {
        let design = Arc::clone(&catalogue()[0].1);
        let (mut job, _) = job_of(move |board: &Board| design.build(board), 12.1);
        job.hardware.shelf = Profiles::built_in().all::<Fastener>().cloned().collect();
        job.hardware
    };
    for thickness in [9.0, 11.5, 12.7, 15.2, 18.4, 19.05] {
        for (name, design) in catalogue() {
            let design = Arc::clone(design);
            let (_, assemblies) = job_of(move |board: &Board| design.build(board), thickness);
            let assembly = &assemblies[0];
            for joint in joints(assembly, &contacts(&assembly.panels)).iter().filter(|joint| joint.glued) {
                let wood = joint.outer_wood + joint.inner_wood;
                let Some(fastener) = hardware.fastener_for_joint(joint, thickness) else { continue };
                let out = fastener.length.value - wood;
                // Below two boards of 5/16 in there is no brad that is short enough.
                assert!(out <= FLUSH || wood < 5.0 / 8.0 * 25.4 - FLUSH, "{name} in {thickness}: {out} of {wood}");
            }
        }
    }
}

/// Nails of two joints that share a corner of the box pass each other in the wood.
#[test]
fn no_two_fasteners_meet() {
    for thickness in [12.1, 18.4] {
        for (name, design) in catalogue() {
            let design = Arc::clone(design);
            let (mut job, assemblies) = job_of(move |board: &Board| design.build(board), thickness);
            job.hardware.shelf = Profiles::built_in().all::<Fastener>().cloned().collect();
            let assembly = &assemblies[0];
            let contacts = contacts(&assembly.panels);
            let joints = joints(assembly, &contacts);
            let openings = openings(assembly, &contacts);
            let shanks: Vec<(usize, Vec<DVec3>)> = driven(&job.hardware, assembly, &contacts, &openings, &joints)
                .iter()
                .enumerate()
                .flat_map(|(joint, driven)| driven.iter().map(move |driven| (joint, driven)))
                .flat_map(|(joint, driven)| driven.places.iter().map(move |place| (joint, driven, *place)))
                .map(|(joint, driven, place)| {
                    let points = (0..=200)
                        .map(|i| place - driven.stands * (driven.fastener.length.value * f64::from(i) / 200.0));
                    (joint, points.collect())
                })
                .collect();
            assert!(!shanks.is_empty(), "{name}");
            for (i, (joint, shank)) in shanks.iter().enumerate() {
                for (_, other) in shanks[..i].iter().filter(|(of, _)| of != joint) {
                    if shank[0].distance(other[0]) > 80.0 {
                        continue;
                    }
                    let far = |a: &DVec3| other.iter().map(|b| a.distance(*b)).fold(f64::INFINITY, f64::min);
                    let least = shank.iter().map(far).fold(f64::INFINITY, f64::min);
                    assert!(least > 4.9, "{name} in {thickness}: {least} between two at {} and {}", shank[0], other[0]);
                }
            }
        }
    }
}

/// What is told of the rows adds up to what is driven.
#[test]
fn rows_of_fasteners_add_up() {
    let (mut told, mut whole) = (0, 0);
    for (name, _, steps) in every_box() {
        for step in &steps.steps {
            let text = step.text.join(" ");
            let rows: Vec<&str> =
                text.split(". ").filter(|line| line.contains(": ") && line.contains(" edge")).collect();
            let rows = rows.iter().filter(|line| line.starts_with("Into ") || line.starts_with("Through "));
            let mut sum = 0;
            for row in rows {
                let (lead, _) = row.split_once(": ").expect("a colon");
                let lead = lead.strip_suffix(" each").unwrap_or(lead);
                let (boards, count) = lead.rsplit_once(' ').expect("a count");
                let count: u32 = count.parse().unwrap_or_else(|_| panic!("{name}: {row}"));
                let many = row.split_once(": ").is_some_and(|(lead, _)| lead.ends_with(" each"));
                sum += if many { count * boards.replace(" and ", ", ").split(", ").count() as u32 } else { count };
            }
            if sum > 0 {
                told += 1;
                whole += u32::from(sum == step.fasteners);
                assert!(sum <= step.fasteners, "{name}, step {}: {sum} of {}: {text}", step.number, step.fasteners);
            }
        }
    }
    // But for rows askew to the edges, which the picture shows.
    assert!(told > 20 && whole * 10 >= told * 8, "{told} steps tell rows, {whole} of them all");
}

#[test]
fn what_is_fitted_on_is_told_with_its_place_or_its_size() {
    let steps_of = |access: &str| -> Vec<String> {
        let made = make(&format!(
            "title = \"t\"\nstock = {{ material = \"birch-plywood\", size = [2440, 1220], thickness = 15 }}\n\
             router = {{ machine = \"desktop-router\", cutter = \"endmill-6\" }}\n\
             [[box]]\nname = \"nest\"\nkind = \"cavity-box\"\ncount = 1\ninside = [127, 127, 203]\n\
             access = \"{access}\"\n"
        ));
        made.steps[0].steps.iter().map(|step| step.text.join(" ")).collect()
    };
    let front = steps_of("front");
    // The door's middle is half a thickness behind the sides' front edges: seen from outside, the right edge of the left
    // one and the left edge of the right one.
    let turns = front.iter().find(|step| step.contains("to turn the door on")).expect("a pivot");
    let pivots = "Drive 2 screws, 4 × 40 mm, to turn the door on: on the left side, 7.5 mm from its right edge and ";
    assert!(turns.contains(pivots) && turns.contains("Drill first"), "{turns}");
    assert!(turns.contains("; on the right side, 7.5 mm from its left edge and "), "{turns}");
    let keeps = front.iter().find(|step| step.contains("to keep the door shut")).expect("a catch");
    assert!(keeps.contains("7.5 mm from its right edge and 25 mm up, as seen from outside"), "{keeps}");
    // The side opens: under a gentle slope front and back carry the roof too, each along a line.
    let side = steps_of("side");
    let carried = side.iter().find(|step| step.contains("Glue the roof to the left side, the front and the back."));
    let carried = carried.expect("a roof on three walls");
    assert!(carried.contains("Along the front and the back the glue fills a wedge: drive in line"), "{carried}");
    // As wide as the box, 127 and twice 15.
    let roof = steps_of("roof");
    let strip = roof.iter().find(|step| step.contains("rubber strip")).expect("a hinge");
    let hinge =
        "Fit a rubber strip, 157 × 60 mm, to hinge the roof at the back and keep rain out of the joint: on the roof";
    assert!(strip.contains(hinge) && strip.ends_with("and the back."), "{strip}");
    let hook = roof.iter().find(|step| step.contains("hook and eye")).expect("a catch");
    assert!(hook.contains("Fit a hook and eye to keep the roof shut: on the left side, in the middle"), "{hook}");
}

/// What is bought by the inch is listed by the inch, and a brad whose packet is in inches says its millimetres too.
#[test]
fn hardware_is_listed_in_the_jobs_units() {
    let listed = |units: &str, box_: &str| -> Vec<String> {
        let made = make(&format!(
            "title = \"t\"\nunits = \"{units}\"\n\
             stock = {{ material = \"birch-plywood\", size = [\"2440 mm\", \"1220 mm\"], thickness = \"12 mm\" }}\n\
             router = {{ machine = \"desktop-router\", cutter = \"endmill-6\" }}\n\
             [[box]]\nname = \"b\"\nkind = \"cavity-box\"\ncount = 1\n{box_}\n"
        ));
        let told = made.steps.iter().flat_map(|box_| &box_.fittings).cloned();
        made.supplies.iter().map(|supply| supply.what.clone()).chain(told).collect()
    };
    let nest = "inside = [\"5 in\", \"5 in\", \"8 in\"]\naccess = \"front\"\nback-plate = true";
    for box_ in [nest, "occupant = \"bat\""] {
        let (mm, inches) = (listed("mm", box_), listed("in", box_));
        assert!(mm.iter().all(|what| !what.contains(" in") || what.ends_with(" mm)")), "{mm:?}");
        assert!(inches.iter().all(|what| !what.contains("mm")), "{inches:?}");
    }
    let has = |list: &[String], what: &str| assert!(list.iter().any(|it| it == what), "{what}: {list:?}");
    has(&listed("mm", nest), "18-gauge brad, 1 1/4 in (31.8 mm)");
    has(&listed("mm", nest), "coach screw, 6 × 60 mm");
    has(&listed("in", nest), "18-gauge brad, 1 1/4 in");
    has(&listed("in", nest), "lag screw, 1/4 × 2 1/2 in");
    has(&listed("in", nest), "wood screw, No. 8 × 1 1/2 in");
}

/// A nail goes in through a board's face, and no deeper into it than the board is thick, also where fingers touch each
/// other on larger areas edge to edge than edge to face.
#[test]
fn nails_go_in_through_faces() {
    use nestwright::design::{SurfaceKind, contacts, joints, middle};
    let mut fingers = 0;
    for (name, assembly, _) in every_box() {
        let contacts = contacts(&assembly.panels);
        for joint in joints(&assembly, &contacts).iter().filter(|joint| joint.glued) {
            let faces = |i: &usize| {
                let kind = contacts[*i].surface_of(joint.through);
                matches!(kind, Some(SurfaceKind::Face(_) | SurfaceKind::PocketFloor(_)))
            };
            let thick = assembly.panels[joint.through].thickness;
            assert!(joint.nailed.iter().all(faces), "{name}: {joint:#?}");
            assert!(joint.outer_wood < thick + 1e-6, "{name}: {joint:#?}");
            if joint.nailed.len() > 1 {
                fingers += 1;
                let up: Vec<f64> = joint.nailed.iter().map(|i| middle(&contacts[*i]).z).collect();
                assert!(up.windows(2).all(|pair| pair[0] < pair[1] - 1.0), "{name}: {up:?}");
            }
        }
    }
    assert!(fingers > 0, "some box has fingers");
    // Fingers narrower than the board is thick, and wider.
    for height in ["5 in", "6 5/8 in", "9 5/8 in", "10 in"] {
        let made = make(&format!(
            "title = \"t\"\nunits = \"in\"\n\
             stock = {{ material = \"birch-plywood\", size = [96, 48], thickness = 0.735 }}\n\
             router = {{ machine = \"desktop-router\", cutter = \"endmill-1-4\" }}\n\
             [[box]]\nname = \"b\"\nkind = \"open-box\"\ncount = 1\ninside = [12, 12, \"{height}\"]\n\
             corner = \"finger\"\nfloor = \"none\"\n"
        ));
        let holds = made.findings.iter().filter(|finding| finding.check.starts_with("holds in the edge"));
        let holds: Vec<_> = holds.collect();
        assert!(!holds.is_empty() && holds.iter().all(|finding| !finding.refused()), "{height}: {holds:#?}");
        let through: Vec<&String> =
            made.steps[0].steps.iter().flat_map(|step| &step.text).filter(|text| text.contains("brads")).collect();
        assert!(through.len() > 1, "{through:?}");
        let status = |finding: &&nestwright::finding::Finding| finding.status == nestwright::finding::Status::Ok;
        assert!(holds.iter().all(status), "{height}: {holds:#?}");
    }
}

/// The roof of a box is nailed into the front, which is 6 in wide: at 3/4 in from its ends and in the middle, where a nail would
/// end in a high entrance of 1 3/4 in. From 3/4 in beside the entrance to 3/4 in beside the outer nails
/// there is no place: 1 5/8 in from the middle is more than 2 1/4 less 3/4. Over an entrance of 3 1/4 in, in a
/// front of 8 in, two nails move aside: as their points end above its middle they need not go to 3/4 in beside its widest,
/// 2 3/8 in, and no further than 2 1/2 in, where the outer nails begin. The outer nails themselves may pass those that hold the
/// sides to the front, and stand up to 3/8 in further in.
#[test]
fn nails_over_an_entrance_move_aside_or_are_left_out() {
    let mut boxes = every_box();
    let (inside, hole) = ([6.0, 6.0, 8.0].map(|inches| inches * INCH), 1.75 * INCH);
    let high = Entrance { width: hole, height: hole, up: 7.0 * INCH };
    boxes.push(planned("high", CavityBox { entrance: Some(high), ..CavityBox::new(inside) }));
    let (inside, hole) = ([8.0, 8.0, 12.0].map(|inches| inches * INCH), 3.25 * INCH);
    let wide = Entrance { width: hole, height: hole, up: 10.0 * INCH };
    boxes.push(planned("wide", CavityBox { entrance: Some(wide), ..CavityBox::new(inside) }));
    let into_front = |name: &str| {
        let (_, assembly, steps) = boxes.iter().find(|(known, ..)| known == name).expect("a box");
        let panel = |name: &str| assembly.panels.iter().position(|panel| panel.name == name).expect("a panel");
        let [roof, front] = ["roof", "front"].map(panel);
        let front = &assembly.panels[front];
        let y = front.place.to_space(Point::ORIGIN, -front.thickness / 2.0).y;
        let drives = steps.steps.iter().flat_map(|step| &step.drives).filter(|drive| drive.through == [roof]);
        let places = drives.flat_map(|drive| drive.places.clone()).filter(|at| (at.y - y).abs() < 8.0);
        let middle = front.place.to_space(front.holes[0].centre, 0.0).x;
        let mut across: Vec<f64> = places.map(|at| (at.x - middle) / INCH).collect();
        across.sort_by(f64::total_cmp);
        (across, steps.steps.iter().flat_map(|step| step.text.clone()).collect::<Vec<String>>())
    };
    let (across, text) = into_front("high");
    let outer = |at: f64, end: f64| (end - 0.375..=end + 1e-6).contains(&at.abs());
    assert!(across.len() == 2 && across.iter().all(|at| outer(*at, 2.25)), "{across:?}");
    let wanted = "Between the roof and the front 1 brad is left out: it would end in the entrance hole in the front, and no \
                  place clear of that is far enough from the others.";
    assert!(text.iter().any(|it| it == wanted), "{text:#?}");
    let (across, text) = into_front("wide");
    let [a, b, c, d] = across[..] else { panic!("{across:?}") };
    assert!(outer(a, 3.25) && outer(d, 3.25) && (b + c).abs() < 0.04, "{across:?}");
    assert!((1.625..=2.5).contains(&c), "{across:?}");
    let wanted =
        "Move each that would end in the entrance hole in the front along the joint, until it is 3/4 in clear.";
    assert!(text.iter().any(|it| it == wanted), "{text:#?}");
}

/// Glue lines, fasteners and paint against sums done by hand, for a tray of 300 × 200 × 80 mm inside, in 12 mm stock: the
/// ends butt between the sides, the floor is nailed under all four.
#[test]
fn the_hardware_of_a_tray_counted_by_hand() {
    let made = make(
        r#"
        title = "tray"
        stock = { material = "birch-plywood", size = [2440, 1220], thickness = 12, price = 60 }
        router = { machine = "desktop-router", cutter = "endmill-6" }
        hardware = { fastener = "brad-1-1-4", coats = 1 }
        [[box]]
        name = "tray"
        kind = "open-box"
        count = 3
        inside = [300, 200, 80]
        [cost]
        currency = "EUR"
        rate = 36
        handwork = 30
        margin = 40
        item = [{ name = "brad-1-1-4", price = 9, per = 1000 }, { name = "waterproof glue", price = 12 }]
        "#,
    );
    let line = |item: &str| made.supplies.iter().find(|supply| supply.item == item).expect("on the list");
    // Corners of 80 mm: 3/4 in from each end leaves 41.9 mm, one spacing: 2 brads each, 8 in all. The floor on sides of
    // 224 mm: 185.9 mm, three spacings of 3 in at most: 4 brads each; on ends of 300 mm: 261.9 mm, four spacings: 5 each.
    assert_eq!(line("brad-1-1-4").boxes[0].each, f64::from(4 * 2 + 2 * 4 + 2 * 5));
    assert_eq!(line("brad-1-1-4").total, 26.0 * 3.0);
    // Four corners of 12 × 80, the floor under 2 × 224 × 12 and 2 × 300 × 12; 0.18 kg to the square metre.
    let glued = (4.0 * 12.0 * 80.0 + 2.0 * 224.0 * 12.0 + 2.0 * 300.0 * 12.0) * 1e-6;
    assert!((line("glue").boxes[0].each - glued * 0.18).abs() < 1e-4);
    // Outside: four sides of 92 mm with the floor's edges, the underside, the walls' upper edges; ten square metres to
    // the litre.
    let outside = 2.0 * (324.0 + 224.0) * 92.0 + 324.0 * 224.0 + 2.0 * (224.0 + 300.0) * 12.0;
    assert!((line("paint").boxes[0].each - outside * 1e-6 / 10.0).abs() < 1e-4);

    // Each line to the nearest cent.
    let cost = &made.cost.boxes[0];
    let of = |what: &str| cost.lines.iter().find(|line| line.what == what).expect("a line").amount;
    assert!((of("sheets") - 60.0 / 3.0).abs() < 5.1e-3, "one sheet for three trays");
    assert!((of("brad-1-1-4") - 26.0 * 0.009).abs() < 5.1e-3);
    assert!((of("glue") - line("glue").boxes[0].each * 12.0).abs() < 5.1e-3);
    assert!((of("work by hand") - 18.0).abs() < 1e-9);
    let minutes: f64 = made.programs.iter().map(|program| program.travel.minutes).sum();
    assert!((of("router time") - minutes / 60.0 * 36.0 / 3.0).abs() < 5.1e-3);
    let sum: f64 = cost.lines.iter().map(|line| line.amount).sum();
    assert!((cost.cost - sum).abs() < 1e-9 && (cost.price.expect("a price") - sum / 0.6).abs() < 5.1e-3);
    assert_eq!(made.cost.not_priced, ["paint"]);
    assert!((made.cost.total - 3.0 * cost.cost).abs() < 1e-9);
}

/// What has no price is in no sum, and is said.
#[test]
fn nothing_is_priced_that_the_spec_does_not_price() {
    let made = make(
        r#"
        title = "tray"
        stock = { material = "birch-plywood", size = [2440, 1220], thickness = 12 }
        router = { machine = "desktop-router", cutter = "endmill-6" }
        [[box]]
        name = "tray"
        kind = "open-box"
        count = 1
        inside = [300, 200, 80]
        "#,
    );
    assert_eq!(made.cost.total, 0.0);
    for what in ["sheets of birch-plywood 12 mm", "brad-1-1-4", "glue", "paint", "router time", "work by hand"] {
        assert!(made.cost.not_priced.iter().any(|known| known == what), "{what}: {:?}", made.cost.not_priced);
    }
}

/// A price for something that the job does not take is pointed at.
#[test]
fn a_price_under_a_name_that_nothing_has_is_a_caution() {
    let checked = check(
        r#"
        title = "tray"
        stock = { material = "birch-plywood", size = [2440, 1220], thickness = 12 }
        [[box]]
        name = "tray"
        kind = "open-box"
        count = 1
        inside = [300, 200, 80]
        [[cost.item]]
        name = "brads"
        price = 9
        "#,
    );
    let finding = checked.findings.iter().find(|finding| finding.check == "price is for something it takes");
    let finding = finding.expect("checked");
    assert!(finding.advice.contains("brad-1-1-4") && finding.spot.is_some(), "{finding:#?}");
}

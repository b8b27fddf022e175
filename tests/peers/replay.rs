//! What the proof says that a program's tools sweep over, against geo-booleanop: the program's text is run by the machine
//! that judges broken programs, which shares no code with the library's reader, and the sweeps are put together by another
//! polygon engine.

use crate::mutants::go::Go;
use crate::mutants::machine::{self, Bit, Settings};
use crate::shared;
use geo_booleanop::boolean::BooleanOp;
use geo_types_06::{LineString, MultiPolygon, Polygon};
use nestwright::proof::{Claim, Prover, Text};
use std::f64::consts::PI;

/// Chords of round edges are within this of them here (mm); within 0.002 mm in the proof.
const CHORD: f64 = 0.002;

/// A polygon from corners.
fn polygon(corners: Vec<[f64; 2]>) -> Polygon<f64> {
    Polygon::new(LineString::from(corners.into_iter().map(|p| (p[0], p[1])).collect::<Vec<_>>()), vec![])
}

/// Points along an arc from one angle to another.
fn arc(centre: [f64; 2], r: f64, from: f64, to: f64, into: &mut Vec<[f64; 2]>) {
    let steps = ((to - from).abs() / (2.0 * (1.0 - (CHORD / r).min(1.0)).acos())).ceil().max(1.0) as usize;
    for i in 0..=steps {
        let angle = from + (to - from) * i as f64 / steps as f64;
        into.push([centre[0] + r * angle.cos(), centre[1] + r * angle.sin()]);
    }
}

/// What a tool sweeps over between two shares of its way.
///
/// geo-booleanop stumbles over edges that lie on each other, so every sweep is a hair wider than its tool, each by another.
fn sweep(go: &Go, from: f64, to: f64, hair: &mut f64) -> Vec<Polygon<f64>> {
    *hair = (*hair + 0.618_034) % 1.0;
    let (a, b, r) = (go.at(from), go.at(to), go.radius + 1e-5 * *hair);
    let skew = *hair;
    let (a, b) = ([a[0], a[1]], [b[0], b[1]]);
    let disc = |at: [f64; 2]| {
        let mut ring = Vec::new();
        arc(at, r, skew, skew + 2.0 * PI, &mut ring);
        ring.pop();
        polygon(ring)
    };
    let Some((centre, turn)) = go.arc else {
        if (b[0] - a[0]).hypot(b[1] - a[1]) < 1e-9 {
            return vec![disc(a)];
        }
        let along = (b[1] - a[1]).atan2(b[0] - a[0]);
        let mut ring = Vec::new();
        arc(b, r, along - PI / 2.0, along + PI / 2.0, &mut ring);
        arc(a, r, along + PI / 2.0, along + 1.5 * PI, &mut ring);
        return vec![polygon(ring)];
    };
    // A piece of a ring, of no more than a third of a turn, and a disc at both of its ends.
    let turn = turn * (to - from);
    if turn.abs() > 2.1 {
        let middle = f64::midpoint(from, to);
        let mut both = sweep(go, from, middle, hair);
        both.extend(sweep(go, middle, to, hair));
        return both;
    }
    let round = (a[0] - centre[0]).hypot(a[1] - centre[1]);
    let start = (a[1] - centre[1]).atan2(a[0] - centre[0]);
    let mut ring = Vec::new();
    arc(centre, round + r, start, start + turn, &mut ring);
    if round > r + 1e-6 {
        arc(centre, round - r, start + turn, start, &mut ring);
    } else {
        ring.push(centre);
    }
    vec![disc(a), disc(b), polygon(ring)]
}

/// The shares of a move between which its tip is at or below a height.
fn below(go: &Go, z: f64) -> Option<(f64, f64)> {
    let (a, b) = (go.from[2], go.to[2]);
    match (a <= z, b <= z) {
        (true, true) => Some((0.0, 1.0)),
        (true, false) => Some((0.0, (z - a) / (b - a))),
        (false, true) => Some(((z - a) / (b - a), 1.0)),
        (false, false) => None,
    }
}

/// Area and length of the edge of all that is swept over.
fn measured(moves: &[Go], z: f64) -> (f64, f64) {
    let mut seen: Vec<([f64; 3], [f64; 3])> = Vec::new();
    let (mut all, mut hair) = (MultiPolygon(Vec::new()), 0.0);
    for go in moves.iter().filter(|go| go.known() && go.radius > 0.0) {
        let Some((from, to)) = below(go, z) else { continue };
        // The passes above went the same way.
        let flat = |t: f64| [go.at(t)[0], go.at(t)[1], go.arc.map_or(0.0, |arc| arc.1)];
        if seen.contains(&(flat(from), flat(to))) {
            continue;
        }
        seen.push((flat(from), flat(to)));
        for piece in sweep(go, from, to, &mut hair) {
            all = all.union(&piece);
        }
    }
    let lines = |ring: &LineString<f64>| ring.lines().map(|it| (it.start, it.end)).collect::<Vec<_>>();
    let area =
        |ring: &LineString<f64>| lines(ring).iter().map(|(a, b)| (a.x * b.y - b.x * a.y) / 2.0).sum::<f64>().abs();
    let length = |ring: &LineString<f64>| lines(ring).iter().map(|(a, b)| (b.x - a.x).hypot(b.y - a.y)).sum::<f64>();
    let mut sum = (0.0, 0.0);
    for polygon in &all.0 {
        sum.0 += area(polygon.exterior()) - polygon.interiors().iter().map(area).sum::<f64>();
        sum.1 += length(polygon.exterior()) + polygon.interiors().iter().map(length).sum::<f64>();
    }
    sum
}

#[test]
fn programs_sweep_over_the_areas_that_geo_booleanop_finds() {
    let spec = |router: &str, hole: &str| {
        format!(
            "title = \"board\"\nunits = \"mm\"\n\
             stock = {{ material = \"birch-plywood\", size = [600, 400], thickness = 12.1 }}\n\
             router = {{ machine = \"desktop-router\", cutter = \"endmill-6\"{router} }}\n\
             part = {{ name = \"board\", size = [200, 120], count = 2, hole = [{hole}] }}\n"
        )
    };
    let jobs = [
        spec("", "{ use = \"vent\", diameter = 9, across = 60, up = 60 }"),
        spec(
            ", drills = [\"drill-20\"], hold = \"onion-skin\"",
            "{ use = \"vent\", diameter = 20, across = 60, up = 60 }",
        ),
    ];
    for job in jobs {
        let made = shared::make(&job);
        let claim = Claim::of(&made.job, &made.parts, &made.layout, &made.routes, &made.programs);
        let (router, sheet) = (claim.router.as_ref().expect("a router"), &claim.sheets[0]);
        let prover = Prover::new(&claim).expect("a router");
        let texts: Vec<Text> = made
            .programs
            .iter()
            .map(|it| Text { file: &it.file, text: &it.text, tool: prover.first_tool(1, &it.file) })
            .collect();
        let proofs = prover.prove_with_areas(1, &texts).expect("readable");
        let bits: Vec<Bit> = router
            .tools
            .iter()
            .map(|it| Bit { number: it.number, radius: it.diameter / 2.0, point: it.point })
            .collect();
        let settings =
            Settings { bits: &bits, top: 0.0, zero: [0.0; 2], dwell_unit: 1.0, by_hand: false, changer: false };
        for (text, proof) in texts.iter().zip(&proofs) {
            let run = machine::run(text.text, text.tool, &settings);
            assert!(run.broken.is_empty(), "{:?}", run.broken);
            let areas = proof.areas.expect("asked for");
            for (ours, z) in [(areas.surface, -0.1), (areas.through, -sheet.thickness)] {
                let (theirs, edge) = measured(&run.moves, z);
                // Either has its chords inside the round edges; areas are told to a tenth of a square millimetre.
                let allowed = CHORD * edge + 0.1;
                assert!(
                    theirs > 100.0 && (ours - theirs).abs() < allowed,
                    "{}: {ours} for {theirs}, {allowed}",
                    text.file
                );
            }
        }
    }
}

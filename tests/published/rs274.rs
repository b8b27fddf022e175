//! The G-code reader against the rules of RS274/NGC: NIST IR 6556, "The NIST RS274/NGC Interpreter, Version 3" (Kramer,
//! Proctor, Messina, 2000). The rules are from memory unless a test says otherwise.

use nestwright::gcode::read::{Axis, Move, Setup, Step, Turns, read};
use std::f64::consts::{PI, TAU};

/// What most of these programs start with: the tool at X0 Y0 Z0.
const START: &str = "G21 G90 G17 G40 G49 G54 G94\nG0 Z0\nX0 Y0\n";

fn steps(text: &str) -> Vec<Step> {
    read(text, &Setup::default()).collect::<Result<_, _>>().unwrap_or_else(|refusal| panic!("{refusal}\n{text}"))
}

fn moves(body: &str) -> Vec<Move> {
    let text = format!("{START}{body}\nM30\n");
    let moves = steps(&text).into_iter().filter_map(|step| if let Step::Move(it) = step { Some(it) } else { None });
    moves.skip(2).collect()
}

/// Where the tool is after each move.
fn ends(body: &str) -> Vec<[f64; 3]> {
    moves(body).iter().map(|it| it.to.map(|axis| axis.known().expect("known"))).collect()
}

fn refused(text: &str) -> (usize, usize, String) {
    match read(text, &Setup::default()).find_map(Result::err) {
        Some(refusal) => (refusal.line, refusal.column, refusal.why),
        None => panic!("it was read:\n{text}"),
    }
}

/// Line (from the body's first) and column of the refusal.
fn refused_body(body: &str) -> (usize, usize) {
    let (line, column, _) = refused(&format!("{START}{body}\nM30\n"));
    (line - 3, column)
}

#[test]
fn two_words_of_one_modal_group_on_a_line_are_refused() {
    for line in ["G0 G1 X1", "G90 G91", "G20 G21", "G93 G94", "G98 G99", "G54 G55", "G43 G49 H1", "G4 G28 P1"] {
        assert_eq!(refused_body(line).0, 1, "{line}");
    }
    for line in ["M3 M5", "M0 M30", "M7 M9"] {
        assert_eq!(refused_body(line), (1, 4), "{line}");
    }
}

#[test]
fn a_letter_other_than_g_and_m_stands_once_on_a_line() {
    assert_eq!(refused_body("G1 X1 F100 X2"), (1, 12));
}

#[test]
fn order_on_the_line_does_not_matter() {
    assert_eq!(moves("F100\nX3 Y4 G1"), moves("F100\nG1 Y4 X3"));
    // The units count for the whole line, wherever they stand on it.
    assert_eq!(ends("X1 G20"), [[25.4, 0.0, 0.0]]);
}

#[test]
fn a_full_circle_an_arc_by_centre_and_one_by_radius() {
    let arc = |body: &str| moves(body)[0].arc.expect("an arc");
    let quarter = arc("G2 X10 Y-10 J-10 F100");
    assert!((quarter.sweep + PI / 2.0).abs() < 1e-12 && quarter.centre == [0.0, -10.0]);
    let circle = arc("G3 X0 I5 F100");
    assert!((circle.sweep - TAU).abs() < 1e-12 && circle.centre == [5.0, 0.0]);
    // R is positive for the way that is at most a half turn, negative for the other.
    let short = arc("G2 X10 Y-10 R10 F100");
    assert!((short.sweep + PI / 2.0).abs() < 1e-9 && short.centre[0].abs() < 1e-9);
    let long = arc("G2 X10 Y-10 R-10 F100");
    assert!((long.sweep + 1.5 * PI).abs() < 1e-9 && (long.centre[0] - 10.0).abs() < 1e-9);
    let left = arc("G3 X10 Y10 R10 F100");
    assert!((left.sweep - PI / 2.0).abs() < 1e-9 && (left.centre[1] - 10.0).abs() < 1e-9);
}

#[test]
fn a_helix_is_an_arc_with_a_height() {
    let helix = &moves("G3 X0 Z-2 I5 F100")[0];
    assert_eq!((helix.to[2], helix.arc.map(|arc| arc.sweep > 6.0)), (Axis::At(-2.0), Some(true)));
}

/// The standard: the distances of start and end from the centre may differ by 0.002 mm, or 0.0002 in under G20.
#[test]
fn an_arc_that_misses_its_end_is_refused() {
    assert_eq!(moves("G2 X10.0019 Y-10 J-10 F100").len(), 1);
    assert_eq!(refused_body("G2 X10.0021 Y-10 J-10 F100").0, 1);
    assert_eq!(moves("G20\nF10\nG2 X1.00019 Y-1 J-1").len(), 1);
    assert_eq!(refused_body("G20\nF10\nG2 X1.00021 Y-1 J-1").0, 3);
}

#[test]
fn arcs_that_the_standard_calls_errors() {
    // X and Y both left out; I and J both left out; R beside I; an end where it started, by R; a radius too short.
    for body in
        ["G2 I5 F9", "G2 X5 F9", "G2 X5 R5 I5 F9", "G2 X0 R5 F9", "G2 X5 R2 F9", "G2 X0 I0 J0 F9", "G2 X5 Y5 K3 F9"]
    {
        assert_eq!(refused_body(body).0, 1, "{body}");
    }
}

#[test]
fn centres_are_distances_from_the_start_unless_g90_1_says_otherwise() {
    let by_distance = moves("G0 X10\nG2 X20 Y-10 J-10 F100");
    let by_place = moves("G0 X10\nG90.1\nG2 X20 Y-10 I10 J-10 F100");
    assert_eq!(by_distance[1].arc, by_place[1].arc);
    assert_eq!(moves("G91 G0 X10\nG2 X10 Y-10 J-10 F100")[1].arc, by_distance[1].arc);
    assert_eq!(refused_body("G90.1\nG2 X20 Y-10 J-10 F100").0, 2);
}

#[test]
fn distances_add_up_under_g91() {
    assert_eq!(ends("G91 G0 X3\nX4 Y1\nG90 X4"), [[3.0, 0.0, 0.0], [7.0, 1.0, 0.0], [4.0, 1.0, 0.0]]);
}

#[test]
fn inches_from_the_middle_of_a_program_on() {
    assert_eq!(ends("G0 X10\nG20 X1\nG21 X5"), [[10.0, 0.0, 0.0], [25.4, 0.0, 0.0], [5.0, 0.0, 0.0]]);
    let feeds: Vec<Option<f64>> = moves("F100\nG1 X1\nG20\nF10\nX2\nG21\nX3").iter().map(|it| it.feed).collect();
    assert_eq!(
        feeds,
        [Some(100.0), Some(254.0), None],
        "nobody agrees on what becomes of a feed: it must be said anew"
    );
}

#[test]
fn inverse_time_wants_its_feed_on_every_line() {
    // Ten such moves would take a minute: the feed is ten times the length.
    assert_eq!(moves("G93\nG1 X30 Y40 F10")[0].feed, Some(500.0));
    assert_eq!(refused_body("G93\nG1 X30 F10\nX40").0, 3);
    assert_eq!(moves("G93\nG1 X30 F10\nG94\nX40")[1].feed, None);
}

/// G81 by the standard's three moves: over the hole and down to R at rapid, to Z at feed, out at rapid.
#[test]
fn drilling_cycles_are_the_moves_they_stand_for() {
    let way = |body: &str| -> Vec<(bool, f64)> {
        moves(body).iter().map(|it| (it.rapid, it.to[2].known().expect("known"))).collect()
    };
    let start = "F100\nG0 Z5\n";
    assert_eq!(
        way(&format!("{start}G99 G81 X3 Y4 Z-6 R1\nX9\nG80")),
        [(true, 5.0), (true, 5.0), (true, 1.0), (false, -6.0), (true, 1.0), (true, 1.0), (false, -6.0), (true, 1.0)]
    );
    // G98 goes back to the height before the first of the cycles.
    assert_eq!(way(&format!("{start}G98 G81 X3 Y4 Z-6 R1\nG80")).last(), Some(&(true, 5.0)));
    // Below R at the start: up to R first. It is higher than where the tool was, so G98 stays there too.
    assert_eq!(way("F100\nG98 G81 X3 Z-6 R1"), [(true, 1.0), (true, 1.0), (false, -6.0), (true, 1.0)]);
    let pecks = way(&format!("{start}G99 G83 X0 Z-6 R1 Q3"));
    let down: Vec<f64> = pecks.iter().filter(|(rapid, _)| !rapid).map(|(_, z)| *z).collect();
    assert_eq!(down, [-2.0, -5.0, -6.0]);
    assert_eq!(pecks.iter().filter(|(rapid, z)| *rapid && *z == 1.0).count(), 4, "to R at first and after every peck");
    let broken = way(&format!("{start}G99 G73 X0 Z-6 R1 Q3"));
    assert_eq!(broken.iter().filter(|(rapid, z)| *rapid && *z == 1.0).count(), 2, "G73 stays in the hole");
}

/// The two worked examples that NIST IR 6556 gives for G81, from X1 Y2 Z3 in inches (from memory).
#[test]
fn the_standard_s_two_worked_examples_of_g81() {
    let way = |line: &str| -> Vec<[f64; 3]> {
        let ends = ends(&format!("G20\nF100\nG0 X1 Y2 Z3\n{line}\nG80"));
        ends.into_iter().skip(1).map(|at| at.map(|mm| (mm / 25.4 * 1e6).round() / 1e6)).collect()
    };
    assert_eq!(
        way("G90 G81 G98 X4 Y5 Z1.5 R2.8"),
        [[4.0, 5.0, 3.0], [4.0, 5.0, 2.8], [4.0, 5.0, 1.5], [4.0, 5.0, 3.0]]
    );
    assert_eq!(
        way("G91 G81 G98 X4 Y5 Z-0.6 R1.8 L3"),
        [
            [1.0, 2.0, 4.8],
            [5.0, 7.0, 4.8],
            [5.0, 7.0, 4.2],
            [5.0, 7.0, 4.8],
            [9.0, 12.0, 4.8],
            [9.0, 12.0, 4.2],
            [9.0, 12.0, 4.8],
            [13.0, 17.0, 4.8],
            [13.0, 17.0, 4.2],
            [13.0, 17.0, 4.8],
        ]
    );
}

#[test]
fn cycles_that_the_standard_calls_errors() {
    let start = "F100\nG0 Z5\n";
    for body in [
        "G81 X3 Z-6",               // no R
        "G81 X3 R1",                // no Z
        "G81 X3 Z2 R1",             // R below Z
        "G83 X3 Z-6 R1",            // no Q
        "G83 X3 Z-6 R1 Q0",         // a peck of nothing
        "G82 X3 Z-6 R1",            // no P
        "G81 X3 Z-6 R1 L0",         // no times
        "G81 R1",                   // nowhere to go
        "G93\nG81 X3 Z-6 R1",       // inverse time
        "G83 X3 Z-6 R1 Q0.001",     // more pecks than anybody means
        "G81 X3 Z-6 R1\nG83 X4 Q1", // another cycle says its own R and Z
    ] {
        assert!(refused_body(&format!("{start}{body}")).0 > 2, "{body}");
    }
}

#[test]
fn axis_words_without_a_motion_are_refused() {
    assert_eq!(refused_body("G80\nX1"), (2, 1));
    assert_eq!(refused_body("G80 X1"), (1, 5));
    assert_eq!(refused("G21 G90\nX1\nM30").0, 2);
}

#[test]
fn words_that_mean_nothing_on_their_line_are_refused() {
    for (line, column) in
        [("G1 X1 F9 R3", 10), ("P3", 1), ("G0 X1 I3", 7), ("H2", 1), ("L2", 1), ("D1", 1), ("G4 P1 X3", 7)]
    {
        assert_eq!(refused_body(line), (1, column), "{line}");
    }
}

/// ISO 6983-1, "Program format and definitions of address words" (2009), from memory: a program starts and ends with %, and its
/// number, O and digits, stands in the first block after it.
#[test]
fn a_program_s_number_stands_once_and_first() {
    assert!(matches!(steps("%\nO0101\nG21 G90\nM30\n%").last(), Some(Step::End { line: 4 })));
    assert!(matches!(steps("%\nO0101 (sheet 1)\nG21 G90\nM30\n%").last(), Some(Step::End { line: 4 })));
    assert_eq!(refused("%\nG21\nO0101\nM30\n%").0, 3, "after something was done");
    assert_eq!(refused("%\nO0101\nO0102\nM30\n%").0, 3, "twice");
    assert_eq!(refused("%\nO01 G21\nM30\n%").0, 2, "beside other words");
}

#[test]
fn a_program_ends_with_m2_or_m30_or_between_percent_signs() {
    assert_eq!(refused("G21 G90\nG0 X1\n").0, 3);
    assert_eq!(refused("").0, 2);
    assert_eq!(refused("%\nG21 G90\n").0, 3);
    assert!(matches!(steps("%\nG21\n%\nthis is not read").last(), Some(Step::End { line: 3 })));
    assert!(matches!(steps("G21\nM2\nnor this").last(), Some(Step::End { line: 2 })));
    assert_eq!(refused("G21\n%\nM30").0, 2, "a percent sign that nothing opened");
}

#[test]
fn what_is_left_to_the_machine_is_told_or_refused() {
    assert_eq!(refused("G90\nG0 X1\nM30").0, 2, "no units");
    assert_eq!(refused("G21\nG0 X1\nM30").0, 2, "neither G90 nor G91");
    let assumed: Vec<&str> = steps("G21 G90\nG0 X1\nX2\nM30")
        .iter()
        .filter_map(|step| if let Step::Assumed { code, .. } = step { Some(*code) } else { None })
        .collect();
    assert_eq!(assumed, ["G17", "G40", "G49", "G54", "G94"]);
}

#[test]
fn a_cut_from_or_to_a_place_nobody_told_is_refused() {
    assert_eq!(refused("G21 G90\nG1 X1 F100\nM30").0, 3 - 1);
    assert_eq!(refused("G21 G90\nG0 Z5\nG1 Z1 F100\nM30").0, 3);
    assert_eq!(refused("G21 G91\nG0 X5\nM30").0, 2);
    assert_eq!(refused_body("G28\nG1 Z-3 F100").0, 2);
    assert_eq!(refused_body("G43 H1\nG1 Z-3 F100").0, 2, "a height means another place under another offset");
    assert_eq!(refused_body("G55\nG0 X3").0, 1, "an origin that is not in the program");
}

#[test]
fn machine_coordinates_and_reference_points_are_places_that_are_not_told() {
    let there = |body: &str| moves(body).last().expect("a move").to;
    assert_eq!(there("G53 G0 Z0"), [Axis::At(0.0), Axis::At(0.0), Axis::Away]);
    assert_eq!(there("G28"), [Axis::Away; 3]);
    assert_eq!(there("G91 G28 Z0"), [Axis::Unknown, Axis::Unknown, Axis::Away]);
    for body in ["G53 G1 Z0 F9", "G53 G0 Z-5", "G53 Z-5", "G53", "G53 G81 X1 Z1 R1"] {
        assert_eq!(refused_body(body).0, 1, "{body}");
    }
}

#[test]
fn other_work_systems_count_from_their_own_origin() {
    let mut setup = Setup::default();
    setup.origins[1] = Some([100.0, 50.0, -2.0]);
    let text = format!("{START}G55 G0 X1 Y2 Z3\nG91 X1\nG54 G90 X0\nM30");
    let ends: Vec<_> = read(&text, &setup)
        .filter_map(|step| {
            if let Ok(Step::Move(it)) = step { Some(it.to.map(|a| a.known().unwrap_or(f64::NAN))) } else { None }
        })
        .skip(2)
        .collect();
    assert_eq!(ends, [[101.0, 52.0, 1.0], [102.0, 52.0, 1.0], [0.0, 52.0, 1.0]]);
}

#[test]
fn spindle_tool_and_pauses_come_out_in_order() {
    let steps = steps("G21 G90\nT2 M6\nS3000 M3\nG4 P1.5\nM0\nS4000\nM5\nM30");
    let expected = [
        Step::Change { line: 2, tool: 2 },
        Step::Spindle { line: 3, turns: Turns::Clockwise, speed: Some(3000.0) },
        Step::Dwell { line: 4, seconds: 1.5 },
        Step::Pause { line: 5 },
        Step::Spindle { line: 6, turns: Turns::Clockwise, speed: Some(4000.0) },
        Step::Spindle { line: 7, turns: Turns::Not, speed: Some(4000.0) },
        Step::End { line: 8 },
    ];
    assert_eq!(steps, expected);
    assert_eq!(refused("M6\nM30").0, 1);
}

#[test]
fn codes_outside_the_common_core_are_refused_with_a_reason() {
    for (code, reason) in [
        ("G41", "width"),
        ("G64", "as far as it likes"),
        ("G61.1", "after every move"),
        ("G92", "zero"),
        ("G38.2", "touches"),
        ("G18", "plane"),
        ("M98", "not read"),
    ] {
        let (line, column, why) = refused(&format!("G21 G90\n  {code}\nM30"));
        assert_eq!((line, column), (2, 3));
        assert!(why.contains(reason), "{code}: {why}");
    }
}

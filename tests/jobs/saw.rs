//! Saw plans: cut again from what is written, by something that knows only that.

use crate::shared::{check, make};
use nestwright::Made;
use nestwright::geometry::Side;
use nestwright::layout::Axis;
use nestwright::saw::{Action, Becomes, Edge, Method, SawPlan, Step, replay};
use proptest::prelude::*;
use std::collections::HashMap;

type Board = (f64, f64, u32, &'static str);

fn spec(trim: f64, kerf: f64, machine: &str, parts: &[Board]) -> String {
    let mut spec = format!(
        "title = \"boards\"\nstock = {{ material = \"birch-plywood\", size = [2440, 1220], thickness = 12, trim = {trim:.1} }}\n\
         saw = {{ kerf = {kerf:.1}, machine = \"{machine}\" }}\n"
    );
    for (i, (length, width, count, grain)) in parts.iter().enumerate() {
        spec.push_str(&format!(
            "[[part]]\nname = \"board {i}\"\nsize = [{length:.1}, {width:.1}]\ncount = {count}\ngrain = \"{grain}\"\n"
        ));
    }
    spec
}

fn boards() -> impl Strategy<Value = Vec<Board>> {
    let grain = prop::sample::select(vec!["long", "cross", "any"]);
    prop::collection::vec((20.0..1190.0f64, 12.0..1190.0f64, 1u32..7, grain), 1..9)
}

fn job() -> impl Strategy<Value = Made> {
    let trim = prop::sample::select(vec![0.0, 2.0, 5.0, 12.0]);
    let kerf = prop::sample::select(vec![0.0, 1.8, 3.2]);
    let machine = prop::sample::select(vec!["table-saw", "large-table-saw", "circular-saw"]);
    (trim, kerf, machine, boards()).prop_map(|(trim, kerf, machine, boards)| make(&spec(trim, kerf, machine, &boards)))
}

/// A piece on the bench as `job.json` tells of it: x, y, length, width, and which edges are true (left, lower, right,
/// upper).
#[derive(Clone, Debug)]
struct Lying {
    at: [f64; 4],
    true_edges: [bool; 4],
}

/// Cuts a sheet by `job.json` alone; returns what lies on the bench at the end, by name.
fn cut_by_file(sheet: &serde_json::Value, number: usize, kerf: f64) -> HashMap<String, Lying> {
    let number_of = |value: &serde_json::Value| value.as_f64().expect("a number");
    let near = |a: f64, b: f64| assert!((a - b).abs() < 2e-3, "{a} for {b}");
    let whole = [0.0, 0.0, number_of(&sheet["length"]), number_of(&sheet["width"])];
    let mut bench =
        HashMap::from([(format!("sheet {number}"), Lying { at: whole, true_edges: [false, false, false, false] })]);
    for cut in sheet["cuts"].as_array().expect("cuts") {
        let name = cut["piece"].as_str().expect("a name").to_string();
        let mut piece = bench.remove(&name).unwrap_or_else(|| panic!("there is no {name}: {cut}"));
        let action = cut["action"].as_str().expect("an action");
        if action == "slope" {
            bench.insert(name, piece);
            continue;
        }
        let axis = usize::from(cut["axis"] == "y");
        let measure = number_of(&cut["measure"]);
        let from = match cut["from"].as_str() {
            Some("left") => 0,
            Some("lower") => 1,
            other => panic!("everything is measured from the left or the lower edge: {other:?}"),
        };
        assert_eq!(from, axis);
        if action != "cut" {
            piece.at[axis] += measure;
            piece.at[axis + 2] -= measure;
            piece.true_edges[axis] = true;
            // Where nothing is cut off the long edge, the maker takes the better one.
            piece.true_edges[1] = true;
            bench.insert(name, piece);
            continue;
        }
        assert!(piece.true_edges[from], "measured from an edge that is not true: {cut}");
        if let Some(square) = cut["square_to"].as_str() {
            let side = ["left", "lower", "right", "upper"].iter().position(|side| square.starts_with(side));
            let side = side.expect("a side");
            assert!(piece.true_edges[side] && side % 2 != axis, "squared to what is not true: {cut}");
        }
        let (mut off, mut left) = (piece.clone(), piece.clone());
        off.at[axis + 2] = measure;
        off.true_edges[axis + 2] = true;
        left.at[axis] += measure + kerf;
        left.at[axis + 2] -= measure + kerf;
        left.true_edges[axis] = true;
        for (said, made) in [(&cut["off"], off), (&cut["left"], left)] {
            if said.is_null() {
                assert!(made.at[axis + 2] < 0.1, "something is left without a name: {cut}");
                continue;
            }
            for (key, value) in ["x", "y", "length", "width"].iter().zip(made.at) {
                near(number_of(&said[*key]), value);
            }
            if said["is"] != "waste" {
                let twice = bench.insert(said["name"].as_str().expect("a name").to_string(), made);
                assert!(twice.is_none(), "two of one name: {cut}");
            }
        }
    }
    bench
}

/// What is in `job.json`, cut by it, gives each part as often as it is wanted, where the sheet says it lay.
fn file_gives_the_parts(made: &Made) {
    let files = nestwright::export::files(made).expect("files");
    let json: serde_json::Value = serde_json::from_slice(&files["job.json"]).expect("JSON");
    let saw = &json["saw"];
    let kerf = saw["kerf"].as_f64().expect("a kerf");
    let mut counts: HashMap<&str, u64> = HashMap::new();
    for (i, sheet) in saw["sheets"].as_array().expect("sheets").iter().enumerate() {
        let mut bench = cut_by_file(sheet, i + 1, kerf);
        for placement in sheet["placements"].as_array().expect("placements") {
            let part = json["parts"].as_array().expect("parts").iter().find(|part| part["name"] == placement["part"]);
            let part = part.expect("a part of that name");
            let [mut length, mut width] = ["length", "width"].map(|key| part[key].as_f64().expect("a size"));
            if placement["turned"] == true {
                std::mem::swap(&mut length, &mut width);
            }
            let wanted = [placement["x"].as_f64().expect("x"), placement["y"].as_f64().expect("y"), length, width];
            let there = bench.iter().find(|(_, lying)| lying.at.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 0.11));
            let name = there.unwrap_or_else(|| panic!("nothing lies at {placement}")).0.clone();
            bench.remove(&name);
            *counts.entry(part["name"].as_str().expect("a name")).or_default() += 1;
        }
        assert!(bench.keys().all(|name| name.starts_with("off-cut")), "{:?}", bench.keys());
    }
    for part in json["parts"].as_array().expect("parts") {
        assert_eq!(counts[part["name"].as_str().expect("a name")], part["count"].as_u64().expect("a count"));
    }
}

/// Stages of cuts by `job.json`: how often, from the sheet to a piece of a part, the saw turns; the first way counts too.
/// What trims the sheet does not.
fn stages_by_file(json: &serde_json::Value, trim: f64) -> u64 {
    let mut most = 0;
    for (i, sheet) in json["saw"]["sheets"].as_array().expect("sheets").iter().enumerate() {
        let mut last: HashMap<String, (u64, String)> =
            HashMap::from([(format!("sheet {}", i + 1), (0, String::new()))]);
        for cut in sheet["cuts"].as_array().expect("cuts").iter().filter(|cut| cut["action"] == "cut") {
            let text = |value: &serde_json::Value| value.as_str().expect("a text").to_string();
            let (mut stage, mut axis) = last.remove(&text(&cut["piece"])).expect("a piece");
            let to_the_edge = cut["left"].is_null() || cut["left"]["is"] == "waste";
            let far = match cut["axis"].as_str() {
                Some("x") => sheet["length"].as_f64().expect("a length") - cut["line"][0].as_f64().expect("a line"),
                _ => sheet["width"].as_f64().expect("a width") - cut["line"][1].as_f64().expect("a line"),
            };
            if !(to_the_edge && far <= trim + 0.1) && axis != text(&cut["axis"]) {
                (stage, axis) = (stage + 1, text(&cut["axis"]));
            }
            for piece in [&cut["off"], &cut["left"]].into_iter().filter(|piece| !piece.is_null()) {
                if piece["is"] != "waste" && !text(&piece["name"]).starts_with("off-cut") {
                    most = most.max(stage);
                }
                last.insert(text(&piece["name"]), (stage, axis.clone()));
            }
        }
    }
    most
}

/// The same boards cut in as many stages as it takes, and in no more than are asked for.
#[test]
fn a_plan_keeps_to_the_stages_asked_for() {
    let boards: Vec<Board> = (1..14u64)
        .map(|i| {
            let roll = (i * 2_654_435_761) >> 7;
            (180.0 + (roll % 700) as f64, 60.0 + (roll / 700 % 300) as f64, 1 + (roll % 3) as u32, "any")
        })
        .collect();
    for trim in [0.0, 6.0] {
        let free = spec(trim, 3.2, "table-saw", &boards);
        let mut sheets = Vec::new();
        for most in [None, Some(4), Some(3), Some(2)] {
            let asked =
                most.map_or_else(|| free.clone(), |most| free.replace("kerf =", &format!("stages = {most}, kerf =")));
            let made = make(&asked);
            file_gives_the_parts(&made);
            let files = nestwright::export::files(&made).expect("files");
            let json: serde_json::Value = serde_json::from_slice(&files["job.json"]).expect("JSON");
            let taken = stages_by_file(&json, trim);
            assert_eq!(json["saw"]["stages"].as_u64(), Some(taken), "told as they are, of {most:?}");
            match most {
                Some(most) => assert!(taken <= most, "{taken} stages, of {most}"),
                None => assert!(taken > 3, "{taken}: the limits below would limit nothing"),
            }
            sheets.push(made.saw.sheets.len());
        }
        assert!(sheets.is_sorted(), "fewer stages never save sheets: {sheets:?}");
    }
}

/// Without a limit a plan leaves as much in one piece as with any: off-cuts are told apart by twentieths of a square metre.
#[test]
fn no_limit_of_stages_leaves_a_larger_off_cut() {
    let spec = &nestwright::starters::find("nuc").expect("a starter").source().text;
    let largest = |spec: &str| {
        let plan = make(spec).saw;
        let left = plan.sheets.iter().flat_map(|sheet| &sheet.left_over).map(|piece| piece.rect.area());
        (plan.sheets.len(), left.fold(0.0, f64::max))
    };
    let with_saw = |stages: &str| format!("{spec}\n[saw]\nkerf = \"3 mm\"\n{stages}");
    let free = largest(&with_saw(""));
    for stages in 2..5 {
        let limited = largest(&with_saw(&format!("stages = {stages}")));
        assert!(free.0 < limited.0 || free.1 > limited.1 - 50_000.0, "{free:?}, in {stages} stages {limited:?}");
    }
}

/// The finished pieces when every cut is off by so much: name → size along x and y.
fn cut_with_errors(plan: &SawPlan, kerf: f64, off_by: &[f64]) -> HashMap<String, [f64; 2]> {
    let mut bench: HashMap<String, [f64; 4]> = plan
        .sheets
        .iter()
        .enumerate()
        .map(|(i, sheet)| (format!("sheet {}", i + 1), [0.0, 0.0, sheet.length, sheet.width]))
        .collect();
    for (step, off_by) in plan.steps.iter().zip(off_by) {
        let mut piece = bench.remove(&step.piece).expect("on the bench");
        let axis = usize::from(step.axis == Axis::Y);
        match step.action {
            Action::Slope(_) => {}
            Action::Cut => {
                let (mut off, mut left) = (piece, piece);
                off[axis + 2] = piece[axis] + step.measure + off_by;
                left[axis] = off[axis + 2] + kerf;
                for (said, made) in [(&step.off, off), (&step.left, left)] {
                    if let Some(said) = said {
                        bench.insert(said.name.clone(), made);
                    }
                }
                continue;
            }
            _ => piece[axis] += step.measure,
        }
        bench.insert(step.piece.clone(), piece);
    }
    plan.pieces
        .iter()
        .map(|piece| (piece.name.clone(), bench[&piece.name]))
        .map(|(name, at)| (name, [at[2] - at[0], at[3] - at[1]]))
        .collect()
}

/// Length and width of the finished pieces, by name.
fn as_parts(made: &Made, sizes: &HashMap<String, [f64; 2]>) -> HashMap<String, [f64; 2]> {
    let turned: HashMap<&str, bool> = made
        .saw
        .steps
        .iter()
        .flat_map(|step| [&step.off, &step.left].into_iter().flatten())
        .filter_map(|piece| match piece.becomes {
            Becomes::Part { turn, .. } => Some((piece.name.as_str(), turn.swaps())),
            _ => None,
        })
        .collect();
    let flipped = |name: &str, [x, y]: [f64; 2]| if turned.get(name) == Some(&true) { [y, x] } else { [x, y] };
    sizes.iter().map(|(name, size)| (name.clone(), flipped(name, *size))).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Whatever the job, the written steps give exactly its parts.
    #[test]
    fn any_plan_gives_exactly_the_parts(made in job()) {
        let saw = made.job.saw.as_ref().expect("given");
        prop_assert_eq!(replay(&made.saw, &made.parts, saw), Vec::<String>::new());
        if !saw.bench.has_table_saw() {
            prop_assert!(made.saw.steps.iter().all(|step| matches!(step.method, Method::Guide | Method::Hand)));
        }
    }

    /// No piece is ever farther off than the plan says, however the cuts fall.
    #[test]
    fn errors_stay_within_what_is_stated(made in job(), seed in prop::collection::vec(-1.0..1.0f64, 400)) {
        let saw = made.job.saw.as_ref().expect("given");
        let accuracy = |step: &Step| match step.method {
            Method::Guide => saw.bench.guide_accuracy.value,
            Method::Hand => saw.bench.hand_accuracy.value,
            _ => saw.bench.accuracy.value,
        };
        let off_by: Vec<f64> =
            made.saw.steps.iter().enumerate().map(|(i, step)| accuracy(step) * seed[i % 400].signum()).collect();
        let sizes = as_parts(&made, &cut_with_errors(&made.saw, saw.kerf, &off_by));
        for piece in &made.saw.pieces {
            let part = &made.parts[piece.part];
            let [length, width] = sizes[&piece.name];
            prop_assert!((length - part.length).abs() <= piece.length.error + 0.06, "{piece:?} {length}");
            prop_assert!((width - part.width).abs() <= piece.width.error + 0.06, "{piece:?} {width}");
        }
    }

    /// A dimension depends on as many cuts as the plan says: moving one of those cuts changes it, moving another does not.
    #[test]
    fn dimensions_depend_on_the_cuts_that_are_counted(boards in boards()) {
        let made = make(&spec(6.0, 3.0, "table-saw", &boards));
        let steps = &made.saw.steps;
        let size = |off_by: &[f64]| as_parts(&made, &cut_with_errors(&made.saw, 3.0, off_by));
        let straight = size(&vec![0.0; steps.len()]);
        let mut depends: HashMap<&str, [usize; 2]> = HashMap::new();
        for (i, _) in steps.iter().enumerate().filter(|(_, step)| step.action == Action::Cut) {
            let mut off_by = vec![0.0; steps.len()];
            off_by[i] = 0.25;
            let moved = size(&off_by);
            for piece in &made.saw.pieces {
                let counts = depends.entry(&piece.name).or_default();
                for side in 0..2 {
                    counts[side] += usize::from((moved[&piece.name][side] - straight[&piece.name][side]).abs() > 0.1);
                }
            }
        }
        for piece in &made.saw.pieces {
            prop_assert_eq!(depends[piece.name.as_str()], [piece.length.cuts, piece.width.cuts], "{:?}", piece);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// So does `job.json`, read by something that knows nothing of the program's own types.
    #[test]
    fn what_is_written_gives_exactly_the_parts(made in job()) {
        file_gives_the_parts(&made);
    }
}

const NUCS: &str = r#"
    title = "nucs"
    stock = { material = "birch-plywood", size = [2440, 1220], thickness = 12, trim = 4 }
    saw = { kerf = 3 }
    [[box]]
    name = "nuc"
    kind = "frame-box"
    count = 2
    frame = "langstroth-deep"
    frames = 5
    [[box]]
    name = "nest box"
    kind = "cavity-box"
    count = 3
    inside = [120, 140, 200]
"#;

/// Boxes with sloped sides too: their corners come off last, and what is left has the part's outline.
#[test]
fn slopes_are_cut_last_on_finished_rectangles() {
    let made = make(NUCS);
    file_gives_the_parts(&made);
    let slopes = made.saw.steps.iter().filter(|step| matches!(step.action, Action::Slope(_))).count();
    assert_eq!(slopes, 6);
    assert!(made.saw.steps.iter().rev().take(slopes).all(|step| matches!(step.action, Action::Slope(_))));
}

/// A plan with any one mistake in it is caught.
#[test]
fn a_wrong_step_is_found_by_the_replay() {
    let made = make(NUCS);
    let saw = made.job.saw.as_ref().expect("given");
    let wrong = |change: &dyn Fn(&mut SawPlan)| {
        let mut plan = made.saw.clone();
        change(&mut plan);
        replay(&plan, &made.parts, saw)
    };
    assert!(wrong(&|_| {}).is_empty());
    for i in 0..made.saw.steps.len() {
        assert!(
            !wrong(&|plan| {
                plan.steps.remove(i);
            })
            .is_empty(),
            "step {i} left out"
        );
        assert!(!wrong(&|plan| plan.steps[i].piece.push('x')).is_empty(), "step {i} on another piece");
        let straight = made.saw.steps[i].action == Action::Cut;
        if straight {
            assert!(!wrong(&|plan| plan.steps[i].measure += 1.0).is_empty(), "step {i} measured wrong");
            assert!(!wrong(&|plan| plan.steps[i].from = Side::Upper).is_empty(), "step {i} from a factory edge");
            assert!(!wrong(&|plan| plan.steps[i].from_edge = Edge::CutIn(999)).is_empty(), "step {i} from nowhere");
        }
        if let Action::Slope(slope) = made.saw.steps[i].action {
            let mut slope = slope;
            slope.marks[0].distance += 5.0;
            assert!(!wrong(&|plan| plan.steps[i].action = Action::Slope(slope)).is_empty(), "slope {i} marked wrong");
        }
        if i + 1 < made.saw.steps.len() && made.saw.steps[i + 1].piece == made.saw.steps[i].piece {
            assert!(!wrong(&|plan| plan.steps.swap(i, i + 1)).is_empty(), "steps {i} and the next swapped");
        }
    }
    let wider = nestwright::job::Saw { kerf: saw.kerf + 0.5, ..saw.clone() };
    assert!(!replay(&made.saw, &made.parts, &wider).is_empty(), "a wider blade");
}

/// Equal pieces of one setting go through one after another: no setting is made twice within what lies on the bench.
#[test]
fn a_setting_is_made_once() {
    let made = make(NUCS);
    let mut last = None;
    for step in made.saw.steps.iter().filter(|step| step.setting.is_some()) {
        assert!(step.setting == last || step.setting == Some(last.map_or(0, |last| last + 1)), "{step:?}");
        last = step.setting;
    }
    for (i, setting) in made.saw.settings.iter().enumerate() {
        let steps = || made.saw.steps.iter().filter(move |step| step.setting == Some(i));
        assert_eq!(steps().count(), setting.cuts);
        assert!(steps().all(|step| step.method == setting.method && (step.measure - setting.measure).abs() < 0.01));
    }
    let (_, settings) = made.saw.cuts_and_settings();
    let (_, plain) = nestwright::saw::plain_order(&made.job, &made.parts, &made.patterns);
    assert!(settings < plain, "{settings} for {plain}");
}

/// A sheet whose parts leave nothing to spare cannot be squared: the maker is told, and nothing is cut off.
#[test]
fn a_sheet_with_nothing_to_spare_is_looked_at_and_not_squared() {
    let made = make(&spec(0.0, 3.0, "table-saw", &[(2440.0, 300.0, 3, "long")]));
    assert_eq!(made.saw.steps[0].action, Action::Check);
    assert!(made.findings.iter().any(|finding| finding.check == "wood to square the sheet's end"));
    let with_trim = make(&spec(5.0, 3.0, "table-saw", &[(2400.0, 300.0, 3, "long")]));
    let actions: Vec<Action> = with_trim.saw.steps.iter().take(2).map(|step| step.action).collect();
    assert_eq!(actions, [Action::Straighten, Action::Square]);
}

/// Every starter and every sample can be cut by hand, on every bench that is built in, whatever the kerf.
#[test]
fn every_starter_and_sample_can_be_cut_by_hand() {
    let samples = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("out-samples");
    let mut specs: Vec<String> = std::fs::read_dir(samples)
        .expect("samples")
        .filter_map(|entry| std::fs::read_to_string(entry.ok()?.path().join("job.toml")).ok())
        .collect();
    specs.extend(nestwright::starters::ALL.iter().map(|starter| starter.text.to_string()));
    assert!(specs.len() > 8);
    for (spec, machine) in specs.iter().zip(["table-saw", "circular-saw", "large-table-saw"].iter().cycle()) {
        let kept: Vec<&str> = spec.split("\n[").filter(|table| !table.starts_with("saw]")).collect();
        let spec = format!("{}\n\n[saw]\nmachine = \"{machine}\"\nkerf = \"2.4 mm\"\n", kept.join("\n["));
        let job = check(&spec).job;
        let assemblies = nestwright::build::assemble(&job).expect("a design");
        let parts = nestwright::build::parts(&job, &assemblies);
        let patterns = nestwright::layout::cut_plan(&job, &parts, &crate::shared::search()).expect("it fits");
        // A plan is cut once over before it is returned; here the same is asked of it once more.
        let plan = nestwright::saw::plan(&job, &assemblies, &parts, &patterns).expect("a plan that gives the parts");
        let wrong = replay(&plan, &parts, job.saw.as_ref().expect("a saw"));
        assert!(wrong.is_empty() && !plan.steps.is_empty(), "{}: {wrong:?}", job.title);
    }
}

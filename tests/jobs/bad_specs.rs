//! Specs that cannot be read, or should not be: each mistake gets its message, at its place.

use crate::shared::problems;

/// A line with a mistake, and what the message about it must say.
#[test]
fn a_spec_with_many_mistakes_gets_as_many_useful_messages() {
    let mistakes = [
        ("unit = \"mm\"", "did you mean `units`?"),
        ("[stock]\nmaterial = \"birch-plywod\"", "did you mean \"birch-plywood\"?"),
        ("size = [2440]", "expected 2 lengths"),
        ("thickness = \"12,1 mm\"", "a decimal point, not a comma"),
        ("margin = -3", "a length from 0 mm"),
        ("[router]\nmachine = \"desktop-router\"\ncutter = \"drill-20\"", "expected an end mill"),
        ("drills = [\"drill-21\"]", "did you mean \"drill-20\"?"),
        ("[saw]\nkerf = nan", "expected a length"),
        ("[[box]]\nname = \"nuc\"\nkind = \"frame-box\"\ncount = 1000000", "a whole number from 1 to 10000"),
        ("frame = \"langstroth-medum\"", "did you mean \"langstroth-medium\"?"),
        ("frames = 5.5", "a whole number from 1 to 40"),
        ("corner = \"but\"", "did you mean \"butt\"?"),
        ("[[box.hole]]\npanel = \"front\"\nuse = \"entrence\"", "did you mean \"entrance\"?"),
        ("diameter = \"3/0 in\"", "lower number of the fraction"),
        ("across = \"middle\"", "centre"),
        ("up = \"two fingers\"", "a number such as"),
    ];
    let mut spec = String::from("title = \"mistakes\"\n");
    for (line, _) in mistakes {
        spec.push_str(line);
        spec.push('\n');
    }
    let found = problems(&spec);
    assert_eq!(found.len(), mistakes.len(), "{found:#?}");
    for ((line, expected), message) in mistakes.iter().zip(&found) {
        assert!(message.contains(expected), "{line}: {message}");
        assert!(message.starts_with("test.toml:"), "{message}");
    }
}

#[test]
fn messages_point_at_line_and_column() {
    let found = problems("title = \"x\"\nunits = \"mm\"\n\n[stock]\n  thicknes = 12\n");
    assert!(found.iter().any(|message| message.starts_with("test.toml:5:3: unknown key `thicknes`")), "{found:#?}");
}

#[test]
fn what_is_not_even_toml_says_where() {
    let found = problems("title = \"x\nunits = \"mm\"\n[stock\n");
    assert!(found.iter().any(|message| message.starts_with("test.toml:1:")), "{found:#?}");
    assert!(found.iter().any(|message| message.starts_with("test.toml:3:")), "{found:#?}");
}

/// A spec with one absurd value is refused, and quickly: the whole list takes less than one such spec is allowed.
#[test]
fn the_absurd_is_refused() {
    let with = |line: &str| {
        let mut spec = String::from("title = \"absurd\"\n");
        spec.push_str("[stock]\nmaterial = \"birch-plywood\"\n");
        spec.push_str(if line.starts_with("size") { "" } else { "size = [2440, 1220]\n" });
        spec.push_str(if line.starts_with("thickness") { "" } else { "thickness = 12.1\n" });
        let stock_line =
            ["size", "thickness", "margin", "trim", "on-hand", "price"].iter().any(|k| line.starts_with(k));
        if stock_line {
            spec.push_str(line);
            spec.push('\n');
        }
        if line.starts_with("kerf") {
            spec.push_str(&format!("[saw]\n{line}\n"));
        }
        spec.push_str("[[box]]\nname = \"b\"\nkind = \"open-box\"\n");
        spec.push_str(if line.starts_with("count") { line } else { "count = 1" });
        spec.push('\n');
        spec.push_str(if line.starts_with("inside") { line } else { "inside = [300, 200, 100]" });
        spec
    };
    for line in [
        "size = [1, 1]",
        "size = [1e9, 1220]",
        "size = [inf, 1220]",
        "thickness = nan",
        "thickness = 0",
        "thickness = -12",
        "thickness = 1e400",
        "margin = 700",
        "trim = -1",
        "kerf = -3",
        "kerf = 500",
        "on-hand = -1",
        "on-hand = 1e3",
        "price = -5",
        "count = 0",
        "count = -4",
        "count = 1000000",
        "count = 99999999999999999999",
        "inside = [0, 200, 100]",
        "inside = [300, 200, 1e12]",
        "inside = [300, 200]",
        "inside = \"big\"",
    ] {
        assert!(!problems(&with(line)).is_empty(), "{line}");
    }
    assert!(problems("").len() >= 3, "an empty spec lacks everything");
}

#[test]
fn a_spec_of_forty_megabytes_is_not_read() {
    let spec = "# padding\n".repeat(4_000_000);
    let found = problems(&spec);
    assert_eq!(found.len(), 1);
    assert!(found[0].contains("at most"), "{found:?}");
}

#[test]
fn two_boxes_of_one_name_are_told_apart() {
    let found = problems(
        r#"
        title = "twins"
        stock = { material = "birch-plywood", size = [2440, 1220], thickness = 12.1 }
        [[box]]
        name = "tray"
        kind = "open-box"
        count = 1
        inside = [300, 200, 100]
        [[box]]
        name = "tray"
        kind = "open-box"
        count = 1
        inside = [200, 200, 100]
        "#,
    );
    assert!(found[0].contains("used twice"), "{found:?}");
}

#[test]
fn a_hole_in_a_panel_that_is_not_there_names_those_that_are() {
    let found = problems(
        r#"
        title = "no such panel"
        stock = { material = "birch-plywood", size = [2440, 1220], thickness = 12.1 }
        [[box]]
        name = "tray"
        kind = "open-box"
        count = 1
        inside = [300, 200, 100]
        hole = [{ panel = "frnt", use = "vent", diameter = 20, across = "centre", up = 50 }]
        "#,
    );
    assert!(found[0].contains("no panel `frnt`") && found[0].contains("did you mean \"front\"?"), "{found:?}");
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(200))]
    /// Any text at all is read or refused, without panic.
    #[test]
    fn any_text_is_read_or_refused(text in "[a-z\\[\\]=\"\\n .0-9#{},-]{0,300}") {
        let source = nestwright::reading::Source::new("any.toml", text);
        let _ = nestwright::spec::read(
            &source,
            &nestwright::profile::Profiles::built_in(),
            &nestwright::design::Kinds::built_in(),
        );
    }
}

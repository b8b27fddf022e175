//! Every figure of a profile says where it is from, in a form that can be looked up.

use nestwright::profile::Profiles;
use nestwright::reading::PLACEHOLDER;

/// What a source is.
#[derive(Debug, PartialEq)]
enum Kind {
    /// A title, who published it, and the year.
    Published,
    /// A title, and the words `from memory`.
    FromMemory,
    CommonPractice,
    /// Nobody's: the maker's own is to take its place.
    Placeholder,
}

fn kind(source: &str) -> Option<Kind> {
    let titled = title_and_publisher(source);
    let memory = source.contains("from memory");
    match () {
        () if source.starts_with(PLACEHOLDER) => Some(Kind::Placeholder),
        () if titled && memory => Some(Kind::FromMemory),
        () if titled && year(source) => Some(Kind::Published),
        () if source.contains("common practice") => Some(Kind::CommonPractice),
        () => None,
    }
}

/// A title in quotes, and a name before or after it.
fn title_and_publisher(source: &str) -> bool {
    let Some((before, rest)) = source.split_once('"') else { return false };
    let Some((title, after)) = rest.split_once('"') else { return false };
    let named = |text: &str| text.split_whitespace().any(|word| word.starts_with(char::is_uppercase));
    title.len() > 3 && (named(before) || named(after))
}

fn year(source: &str) -> bool {
    let numbers = source.split(|c: char| !c.is_ascii_digit()).filter_map(|digits| digits.parse::<u32>().ok());
    numbers.into_iter().any(|number| (1850..=2100).contains(&number))
}

/// The figures of all built-in profiles: file, key, source.
fn figures() -> Vec<(String, String, String)> {
    let shelf = Profiles::built_in();
    let mut all = Vec::new();
    for (_, _, file) in shelf.files() {
        let table: toml::Table = file.source.text.parse().expect("it was read");
        for (key, figure) in table.iter().filter(|(key, _)| *key != "title") {
            let source = figure.get("source").and_then(toml::Value::as_str).expect("it was read");
            all.push((file.source.name.clone(), key.clone(), source.to_string()));
        }
    }
    all
}

#[test]
fn every_figure_has_a_source_of_a_known_kind() {
    let all = figures();
    assert!(all.len() > 400);
    let wrong: Vec<_> = all.iter().filter(|(.., source)| kind(source).is_none()).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// No initials: they are a person's.
#[test]
fn no_source_names_a_person() {
    let initial = |word: &str| word.len() == 2 && word.starts_with(char::is_uppercase) && word.ends_with('.');
    for (file, key, source) in figures() {
        assert!(!source.split([' ', '(']).any(initial), "{file}, {key}: {source}");
    }
}

#[test]
fn what_is_no_source_is_known_for_none() {
    for (source, expected) in [
        ("placeholder: your own machine, see its manual", Some(Kind::Placeholder)),
        ("your own machine: see its manual", None),
        ("common practice: about one diameter", Some(Kind::CommonPractice)),
        ("Forest Products Laboratory, \"Wood Handbook\", FPL-GTR-282 (2021), Table 4-3", Some(Kind::Published)),
        ("Forest Products Laboratory, \"Wood Handbook\" (2021), from memory", Some(Kind::FromMemory)),
        ("Forest Products Laboratory, \"Wood Handbook\", from memory", Some(Kind::FromMemory)),
        ("Forest Products Laboratory, \"Wood Handbook\", Table 4-3", None),
        ("\"wood handbook\" (2021)", None),
        ("Forest Products Laboratory (2021)", None),
        ("written down from memory", None),
        ("the packet", None),
    ] {
        assert_eq!(kind(source), expected, "{source}");
    }
}

/// A figure that is nobody's says so in one way, and is counted where a job tells which it relied on.
#[test]
fn placeholders_are_counted_by_their_one_phrase() {
    let shelf = Profiles::built_in();
    let marked = figures().iter().filter(|(.., source)| source.starts_with(PLACEHOLDER)).count();
    let counted: usize = shelf.files().map(|(.., file)| file.placeholders().len()).sum();
    assert!(marked > 100 && marked == counted, "{marked} {counted}");
    for (file, key, source) in figures() {
        let loose = ["your own", "placeholder"].iter().any(|word| source.contains(word));
        assert!(!loose || source.starts_with(PLACEHOLDER), "{file}, {key}: {source}");
    }
}

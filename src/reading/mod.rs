//! Reading TOML with positions: every mistake of a file at once, each pointing at its place.
//!
//! Specs, profiles and off-cut lists are all read through a [`Table`], so they get the same checks and the same words.

mod figure;
mod seen;
mod source;
mod syntax;
mod table;

pub use figure::Sourced;
pub use seen::{harmless, shows_as_itself};
pub use source::{Problem, Source};
pub use table::{Desk, Key, MOST_PROBLEMS, Spots, Table, key};

/// The known word nearest to `word`, when one is near enough to be what was meant.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // A long text is no misspelt word, and takes long to compare.
    if word.len() > 100 {
        return None;
    }
    known
        .into_iter()
        .map(|candidate| (candidate, strsim::damerau_levenshtein(word, candidate)))
        .filter(|(candidate, distance)| *distance <= 1 + candidate.len() / 4)
        .min_by_key(|(_, distance)| *distance)
        .map(|(candidate, _)| candidate)
}

/// `a, b or c`.
pub fn any_of<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    let words: Vec<&str> = words.into_iter().collect();
    match words.split_last() {
        None => "nothing".into(),
        Some((only, [])) => (*only).to_string(),
        Some((last, others)) => format!("{} or {last}", others.join(", ")),
    }
}

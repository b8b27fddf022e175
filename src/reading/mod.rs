//! Reading TOML with positions: every mistake of a file at once, each pointing at its place.
//!
//! Specs, profiles and off-cut lists are all read through a [`Table`], so they get the same checks and the same words.

mod desk;
mod figure;
mod key;
mod number;
mod seen;
mod source;
mod syntax;
mod table;

pub use desk::{Desk, MOST_PROBLEMS, Spots};
pub use figure::{PLACEHOLDER, Sourced};
pub use key::{Key, Takes, Unless, Word, key};
pub use seen::{harmless, shows_as_itself};
pub use source::{Beside, Problem, Source};
pub use table::Table;

/// The known word nearest to `word`, when one is near enough to be what was meant.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    likeliest(word, known, |_| false)
}

/// The same; of words equally near, one that is not yet `used`, then one as long as `word`: letters change places more
/// often than they are lost; then one that begins like it for longest.
///
/// A letter too many, too few, another one, or two that changed places count as one step.
pub(crate) fn likeliest<'a>(
    word: &str,
    known: impl IntoIterator<Item = &'a str>,
    used: impl Fn(&str) -> bool,
) -> Option<&'a str> {
    // A long text is no misspelt word, and takes long to compare.
    if word.len() > 100 {
        return None;
    }
    known
        .into_iter()
        .map(|candidate| (candidate, strsim::osa_distance(word, candidate)))
        .filter(|(candidate, distance)| *distance <= 1 + candidate.len() / 6)
        .min_by_key(|(candidate, distance)| {
            let alike = candidate.bytes().zip(word.bytes()).take_while(|(a, b)| a == b).count();
            (*distance, used(candidate), candidate.len().abs_diff(word.len()), usize::MAX - alike)
        })
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_that_changed_places_are_put_back() {
        assert_eq!(nearest("framse", ["frame", "frames"]), Some("frames"));
        assert_eq!(nearest("fraem", ["frames", "frame"]), Some("frame"));
        assert_eq!(nearest("conut", ["corner", "count"]), Some("count"));
        assert_eq!(nearest("colour", ["corner", "count"]), None);
    }

    #[test]
    fn a_word_that_is_there_already_is_hardly_meant() {
        let there = |word: &str| word == "frames";
        assert_eq!(likeliest("framess", ["frame", "frames"], there), Some("frames"), "one letter, not two");
        assert_eq!(likeliest("framse", ["frame", "frames"], there), Some("frame"));
    }
}

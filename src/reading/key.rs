//! The keys that a table may have.

/// A key that a table may have: how it is written, and what it means. The reference in the README is made from these.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Key {
    pub name: &'static str,
    /// What it takes: `a length`, `butt | rabbet`.
    pub takes: &'static str,
    /// What holds when it is left out; empty when it can't be.
    pub default: &'static str,
    /// Another key that may stand in its place, so that one of the two is needed: its name, and what it takes.
    pub instead: Option<(&'static str, &'static str)>,
    pub about: &'static str,
}

impl Key {
    /// The words it may be, where it is one of a few words.
    pub fn words(&self) -> Vec<&'static str> {
        let words: Vec<&str> = self.takes.split(" | ").collect();
        let plain = |word: &&str| word.chars().all(|c| c.is_ascii_lowercase() || c == '-');
        if words.len() > 1 && words.iter().all(plain) { words } else { Vec::new() }
    }

    /// How it is written, and what may stand in its place: `diameter = a length, or slot = [length, width]`.
    pub fn wanted(&self) -> String {
        let own = format!("{} = {}", self.name, self.takes);
        self.instead.map_or(own.clone(), |(name, takes)| format!("{own}, or {name} = {takes}"))
    }

    /// The same key, in whose place another may stand.
    pub const fn or(self, name: &'static str, takes: &'static str) -> Key {
        Key { instead: Some((name, takes)), ..self }
    }
}

/// Shorthand for a [`Key`] in a list.
pub const fn key(name: &'static str, takes: &'static str, default: &'static str, about: &'static str) -> Key {
    Key { name, takes, default, instead: None, about }
}

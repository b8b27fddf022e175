//! What is given bad inputs.

mod job;
mod length;
mod offcuts;
mod profile;
mod program;
mod spec;

use std::time::Duration;

/// What a target says where the program calls something a fault of its own: a program that its proof refuses.
pub const FAULT: &str = "unproved";

/// Something that takes an input from outside.
pub struct Target {
    pub name: &'static str,
    /// Inputs to begin with.
    pub corpus: fn() -> Vec<Vec<u8>>,
    /// Words of its language.
    pub words: &'static [&'static str],
    /// Takes the input; what it says tells inputs apart.
    pub run: fn(&[u8]) -> Vec<String>,
    /// No input may take longer.
    pub patience: Duration,
}

const ALL: [Target; 6] = [spec::TARGET, job::TARGET, length::TARGET, profile::TARGET, program::TARGET, offcuts::TARGET];

pub fn find(name: &str) -> Option<&'static Target> {
    static TARGETS: [Target; 6] = ALL;
    TARGETS.iter().find(|target| target.name == name)
}

pub fn names() -> String {
    ALL.map(|target| target.name).join(", ")
}

/// A message without what differs from one input to the next: numbers and what stands in quotes.
fn sign(message: &str) -> String {
    sign_of(message, 60)
}

/// The same, of so many letters.
pub fn sign_of(message: &str, letters: usize) -> String {
    let (mut sign, mut quoted) = (String::new(), false);
    for c in message.chars().take(letters) {
        if c == '`' {
            quoted = !quoted;
        }
        if !quoted && !c.is_ascii_digit() {
            sign.push(c);
        }
    }
    sign
}

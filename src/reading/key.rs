//! The keys that a table may have. A key is declared once: the reader goes by its declaration, and so do its errors, the
//! reference and the JSON Schema.

use crate::paper::Paper;
use crate::units::{INCH, Units, decimal};

/// A key that a table may have: how it is written, and what it means.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Key {
    pub name: &'static str,
    pub takes: Takes,
    /// What holds when it is left out.
    pub default: Unless,
    /// Other keys that may stand in its place, so that one of them all is needed: their names, and what they take.
    pub instead: &'static [(&'static str, &'static str)],
    pub about: &'static str,
}

/// What a key takes. Lengths are millimetres here; a maker writes them in any unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Takes {
    /// Text in quotes.
    Text,
    /// true or false.
    Flag,
    /// A length, from and to.
    Length(f64, f64),
    /// So many lengths in brackets as this has names, each from and to: `[length, width]`.
    Lengths(&'static str, f64, f64),
    /// A number, from and to.
    Number(f64, f64),
    /// So many numbers in brackets.
    Numbers(&'static str, f64, f64),
    /// A whole number, from and to.
    Whole(u32, u32),
    /// One of a few words.
    Words(&'static [&'static str]),
    /// Several of some words in brackets: what they are, as it is said to a maker, and the words.
    ListOf(&'static str, &'static [&'static str]),
    /// The name of a profile, or several in brackets.
    Profile,
    Profiles,
    /// A table with the keys of these lists, `[router]`; as it is said to a maker.
    Table(&'static str, &'static [&'static [Key]]),
    /// Several such tables, `[[part]]`.
    Tables(&'static str, &'static [&'static [Key]]),
    /// Something that has a reader of its own, as it is said to a maker.
    Said(&'static str),
}

/// What holds when a key is left out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Unless {
    /// It can't be.
    Needed,
    Mm(f64),
    Inch(f64),
    /// A plain number.
    Of(f64),
    Is(bool),
    Word(&'static str),
    /// Two values in brackets.
    Pair(&'static [Unless; 2]),
    /// The first, but where what is said behind it holds.
    Or(&'static Unless, &'static str),
    /// What follows from something else, as it is said to a maker.
    Rule(&'static str),
}

/// A type whose values a maker writes as words.
pub trait Word: Copy + 'static {
    const WORDS: &'static [(&'static str, Self)];
}

/// Gives the values of a type their words.
#[macro_export]
macro_rules! words {
    ($name:ident: $($variant:ident = $word:literal),* $(,)?) => {
        impl $crate::reading::Word for $name {
            const WORDS: &'static [(&'static str, $name)] = &[$(($word, $name::$variant)),*];
        }

        impl $name {
            /// The words that a maker writes for its values.
            pub const NAMES: &'static [&'static str] = &[$($word),*];
        }
    };
}

crate::words!(Units: Millimetres = "mm", Inches = "in");
crate::words!(Paper: A4 = "a4", A3 = "a3", Letter = "letter", Tabloid = "tabloid");

impl Key {
    /// The words it may be, where it is one of a few words.
    pub fn words(&self) -> &'static [&'static str] {
        if let Takes::Words(words) = self.takes { words } else { &[] }
    }

    /// How it is written, and what may stand in its place: `diameter = a length, or slot = [length, width]`.
    pub fn wanted(&self) -> String {
        let own = format!("{} = {}", self.name, self.takes.say());
        self.instead.iter().fold(own, |all, (name, takes)| format!("{all}, or {name} = {takes}"))
    }

    /// The same key, in whose place others may stand.
    pub const fn or(self, instead: &'static [(&'static str, &'static str)]) -> Key {
        Key { instead, ..self }
    }

    /// The length that it has when it is left out (mm).
    ///
    /// # Panics
    /// For a key that is declared without one.
    pub const fn mm(&self) -> f64 {
        self.default.mm()
    }

    /// The two lengths that it has when it is left out (mm).
    ///
    /// # Panics
    /// For a key that is declared without them.
    pub const fn pair(&self) -> [f64; 2] {
        match self.default {
            Unless::Pair([a, b]) => [a.mm(), b.mm()],
            _ => panic!("this key has no usual lengths"),
        }
    }

    /// The number that it has when it is left out.
    ///
    /// # Panics
    /// For a key that is declared without one.
    pub const fn number(&self) -> f64 {
        match self.default {
            Unless::Of(number) => number,
            Unless::Or(Unless::Of(number), _) => *number,
            _ => panic!("this key has no usual number"),
        }
    }

    /// The whole number that it has when it is left out.
    ///
    /// # Panics
    /// For a key that is declared without one.
    pub const fn count(&self) -> u32 {
        self.number() as u32
    }

    /// Whether it holds when it is left out.
    ///
    /// # Panics
    /// For a key that is declared without that.
    pub const fn flag(&self) -> bool {
        match self.default {
            Unless::Is(flag) => flag,
            _ => panic!("this key has no usual choice"),
        }
    }

    /// The value whose word it has when it is left out.
    ///
    /// # Panics
    /// For a key that is declared without one.
    pub fn word<T: Word>(&self) -> T {
        let usual = match self.default {
            Unless::Word(usual) => usual,
            Unless::Or(Unless::Word(usual), _) => *usual,
            _ => panic!("`{}` has no usual word", self.name),
        };
        T::WORDS
            .iter()
            .find(|(word, _)| *word == usual)
            .map(|(_, value)| *value)
            .expect("the word is one of its type's")
    }
}

impl Takes {
    /// For a maker: `a length`, `butt | rabbet`.
    pub fn say(self) -> String {
        match self {
            Takes::Text => "text".into(),
            Takes::Flag => "true | false".into(),
            Takes::Length(..) => "a length".into(),
            Takes::Number(..) => "a number".into(),
            Takes::Lengths(names, ..) | Takes::Numbers(names, ..) => names.into(),
            Takes::Whole(least, most) => format!("{least} to {most}"),
            Takes::Words(words) => words.join(" | "),
            Takes::ListOf(said, _) => said.into(),
            Takes::Profile => "a profile".into(),
            Takes::Profiles => "[profiles]".into(),
            Takes::Table(said, _) | Takes::Tables(said, _) | Takes::Said(said) => said.into(),
        }
    }

    /// Its limits, where they are not said with it: `2 to 50 mm`.
    pub fn limits(self) -> Option<String> {
        match self {
            Takes::Length(least, most) | Takes::Lengths(_, least, most) => {
                Some(format!("{} to {} mm", decimal(least, 3), decimal(most, 3)))
            }
            Takes::Number(least, most) | Takes::Numbers(_, least, most) => {
                Some(format!("{} to {}", decimal(least, 3), decimal(most, 3)))
            }
            _ => None,
        }
    }
}

impl Unless {
    const fn mm(&self) -> f64 {
        match self {
            Unless::Mm(mm) => *mm,
            Unless::Inch(inches) => *inches * INCH,
            Unless::Or(usual, _) => usual.mm(),
            _ => panic!("this key has no usual length"),
        }
    }

    /// For a maker; empty where the key is needed.
    pub fn say(self) -> String {
        match self {
            Unless::Needed => String::new(),
            Unless::Mm(0.0) | Unless::Inch(0.0) => "0".into(),
            Unless::Mm(mm) => Units::Millimetres.show(mm),
            Unless::Inch(inches) => Units::Inches.show(inches * INCH),
            Unless::Of(number) => decimal(number, 3),
            Unless::Is(flag) => flag.to_string(),
            Unless::Pair([a, b]) => format!("[{}, {}]", a.say(), b.say()),
            Unless::Or(usual, otherwise) => format!("{}{otherwise}", usual.say()),
            Unless::Word(text) | Unless::Rule(text) => text.into(),
        }
    }
}

/// Shorthand for a [`Key`] in a list.
pub const fn key(name: &'static str, takes: Takes, default: Unless, about: &'static str) -> Key {
    Key { name, takes, default, instead: &[], about }
}

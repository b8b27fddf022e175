//! One line of a program, taken apart into its words.

use super::Refusal;

/// A line is at most this long (characters), by the standard.
pub(super) const LONGEST_LINE: usize = 256;
/// No coordinate, feed or speed of a real machine is larger than this.
const LARGEST: f64 = 1e7;

/// A letter and its number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Word {
    /// In upper case.
    pub letter: u8,
    pub value: f64,
    /// Of the letter, in characters from 1.
    pub column: usize,
}

impl Word {
    /// The value as a whole number from 0, when it is one (to a ten-thousandth, as the standard takes it).
    pub fn whole(&self) -> Option<u32> {
        let near = self.value.round();
        ((self.value - near).abs() < 1e-4 && (0.0..=f64::from(u32::MAX)).contains(&near)).then_some(near as u32)
    }
}

/// What a line has on it.
#[derive(Debug, PartialEq)]
pub(super) enum Line {
    Words(Vec<Word>),
    /// A percent sign by itself, which marks a program's start and end.
    Percent,
    /// The number of a program, `O0101` on a line of its own.
    Number,
}

/// Reads the line of this number.
///
/// Blanks count for nothing, also inside a number. What is in round brackets, and what follows a semicolon, is a comment.
pub(super) fn read(text: &str, line: usize) -> Result<Line, Refusal> {
    if text.len() > LONGEST_LINE && text.chars().count() > LONGEST_LINE {
        return Err(Refusal::new(line, LONGEST_LINE + 1, "longer than a line may be, which is 256 characters"));
    }
    if text.trim() == "%" {
        return Ok(Line::Percent);
    }
    let number = text.split(['(', ';']).next().unwrap_or_default().trim().strip_prefix(['O', 'o']);
    if number.is_some_and(|digits| (1..=8).contains(&digits.len()) && digits.bytes().all(|it| it.is_ascii_digit())) {
        return Ok(Line::Number);
    }
    let mut cursor = Cursor { text: text.as_bytes(), at: 0, column: 1, line };
    let mut words = Vec::new();
    while let Some(byte) = cursor.peek() {
        let column = cursor.column;
        match byte {
            b' ' | b'\t' => cursor.step(),
            b'(' => cursor.comment()?,
            b';' => cursor.rest_of_line()?,
            b'a'..=b'z' | b'A'..=b'Z' => {
                let letter = known(byte, line, column)?;
                cursor.step();
                let word = Word { letter, value: cursor.number(letter)?, column };
                if word.letter == b'N' {
                    line_number(&word, words.is_empty(), line)?;
                } else {
                    words.push(word);
                }
            }
            _ => return Err(Refusal::new(line, column, misplaced(text, cursor.at))),
        }
    }
    Ok(Line::Words(words))
}

/// The letter in upper case, if it is one of the language's that a router with three axes has a use for.
fn known(letter: u8, line: usize, column: usize) -> Result<u8, Refusal> {
    let letter = letter.to_ascii_uppercase();
    let why = match letter {
        b'A' | b'B' | b'C' | b'U' | b'V' | b'W' => "is an axis that this machine does not have",
        b'E' | b'O' => "is not a letter of RS274/NGC",
        _ => return Ok(letter),
    };
    Err(Refusal::new(line, column, format!("{} {why}", char::from(letter))))
}

/// A line number stands first, and means nothing.
fn line_number(word: &Word, first: bool, line: usize) -> Result<(), Refusal> {
    if !first {
        return Err(Refusal::new(line, word.column, "a line number stands at the start of its line"));
    }
    if word.whole().is_none() {
        return Err(Refusal::new(line, word.column, "a line number is a whole number"));
    }
    Ok(())
}

/// Why something that is neither a word nor a comment cannot be read.
fn misplaced(text: &str, at: usize) -> String {
    let c = text[at..].chars().next().unwrap_or('\u{fffd}');
    match c {
        '/' => {
            "whether a line behind `/` is run is up to a switch on the machine: take the line out, or the `/`".into()
        }
        '#' | '[' | ']' => "parameters and expressions are not read here: put the number in".into(),
        ')' => "a bracket is closed that was not opened".into(),
        '%' => "a percent sign stands by itself on a line".into(),
        c if c.is_ascii_digit() || "+-.".contains(c) => "a number without a letter in front of it".into(),
        c if c.is_control() || c == '\u{fffd}' => "a character that is not text: is this a program?".into(),
        c => format!("`{c}` has no place in a program outside a comment"),
    }
}

struct Cursor<'a> {
    text: &'a [u8],
    at: usize,
    column: usize,
    line: usize,
}

impl Cursor<'_> {
    fn peek(&self) -> Option<u8> {
        self.text.get(self.at).copied()
    }

    /// On by one character.
    fn step(&mut self) {
        self.at += 1;
        while self.peek().is_some_and(|byte| byte & 0xC0 == 0x80) {
            self.at += 1;
        }
        self.column += 1;
    }

    fn fail<T>(&self, column: usize, why: impl Into<String>) -> Result<T, Refusal> {
        Err(Refusal::new(self.line, column, why))
    }

    fn comment(&mut self) -> Result<(), Refusal> {
        let opened = self.column;
        self.step();
        while let Some(byte) = self.peek() {
            match byte {
                b')' => {
                    self.step();
                    return Ok(());
                }
                b'(' => return self.fail(self.column, "a comment inside a comment"),
                _ => self.printable()?,
            }
        }
        self.fail(opened, "this comment is not closed on its line")
    }

    fn rest_of_line(&mut self) -> Result<(), Refusal> {
        while self.peek().is_some() {
            self.printable()?;
        }
        Ok(())
    }

    fn printable(&mut self) -> Result<(), Refusal> {
        if self.peek().is_some_and(|byte| byte < b' ' && byte != b'\t') {
            return self.fail(self.column, "a character that is not text: is this a program?");
        }
        self.step();
        Ok(())
    }

    /// The number of the word whose `letter` was just read: a sign, digits and a point, each of them optional, but at
    /// least one digit.
    fn number(&mut self, letter: u8) -> Result<f64, Refusal> {
        let column = self.column;
        let mut digits = [0u8; LONGEST_LINE];
        let mut length = 0;
        let (mut has_digit, mut has_point) = (false, false);
        while let Some(byte) = self.peek() {
            match byte {
                b' ' | b'\t' => {}
                b'+' | b'-' if length == 0 => {
                    digits[0] = byte;
                    length = 1;
                }
                b'.' if !has_point => {
                    has_point = true;
                    digits[length] = byte;
                    length += 1;
                }
                b'0'..=b'9' => {
                    has_digit = true;
                    digits[length] = byte;
                    length += 1;
                }
                _ => break,
            }
            self.step();
        }
        let letter = char::from(letter);
        if !has_digit {
            let why = match self.peek() {
                Some(b'#' | b'[') => "parameters and expressions are not read here: put the number in".into(),
                _ => format!("{letter} wants a number"),
            };
            return self.fail(column, why);
        }
        let value = std::str::from_utf8(&digits[..length]).ok().and_then(|text| text.parse::<f64>().ok());
        match value {
            Some(value) if value.abs() <= LARGEST => Ok(value),
            _ => self.fail(column, format!("the number of {letter} is larger than any machine takes")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<(char, f64)> {
        match read(text, 1) {
            Ok(Line::Words(words)) => words.iter().map(|word| (char::from(word.letter), word.value)).collect(),
            other => panic!("{text}: {other:?}"),
        }
    }

    fn refused_at(text: &str) -> usize {
        read(text, 1).expect_err(text).column
    }

    /// The two lines that NIST IR 6556 gives as the same (from memory).
    #[test]
    fn blanks_and_case_count_for_nothing() {
        assert_eq!(words("g0x +0. 12 34y 7"), words("g0 x+0.1234 y7"));
        assert_eq!(words("g0x +0. 12 34y 7"), [('G', 0.0), ('X', 0.1234), ('Y', 7.0)]);
    }

    #[test]
    fn line_numbers_and_comments_mean_nothing() {
        assert_eq!(words("N120 G1 (along the side) X.5 ; to the end"), [('G', 1.0), ('X', 0.5)]);
        assert_eq!(words("(all é of it)"), []);
        assert_eq!(words(""), []);
        assert_eq!(read("  % ", 1), Ok(Line::Percent));
    }

    #[test]
    fn numbers_as_the_standard_writes_them() {
        assert_eq!(words("X+0.1234Y-.5Z7.I001"), [('X', 0.1234), ('Y', -0.5), ('Z', 7.0), ('I', 1.0)]);
    }

    #[test]
    fn what_is_not_in_the_language_is_refused_where_it_stands() {
        assert_eq!(refused_at("G1 X1e3"), 6, "there is no exponent");
        assert_eq!(refused_at("G1 X"), 5);
        assert_eq!(refused_at("G1 X-"), 5);
        assert_eq!(refused_at("G1 X1.2.3"), 8);
        assert_eq!(refused_at("G1 X#3"), 5);
        assert_eq!(refused_at("/G1 X3"), 1);
        assert_eq!(refused_at("é"), 1);
        assert_eq!(refused_at("(é) é"), 5, "columns count characters");
        assert_eq!(refused_at("G1 (open"), 4);
        assert_eq!(refused_at("G1 (a (b) X3"), 7);
        assert_eq!(refused_at("G1 N3"), 4);
        assert_eq!(refused_at("G1 X99999999"), 5);
        assert_eq!(refused_at("G1\0"), 3);
        assert_eq!(refused_at("A90"), 1);
        assert_eq!(refused_at(&"1".repeat(300)), 257);
        assert_eq!(refused_at(&format!("X{}", "1".repeat(255))), 2);
    }
}

//! JSON for people and programs: indented, and numbers without the dust of reckoning in inches.

use crate::error::Error;
use serde::Serialize;
use serde_json::ser::{Formatter, PrettyFormatter, Serializer};
use std::io::{Result, Write};

/// Decimals that are kept: a millionth of a micrometre where a number is millimetres.
const KEPT: f64 = 1e9;

/// A value as indented JSON, its numbers to nine decimals.
///
/// # Errors
/// [`Error::Fault`] for a value that JSON cannot hold.
pub fn json<T: Serialize>(value: &T) -> std::result::Result<Vec<u8>, Error> {
    let mut bytes = Vec::new();
    let mut serializer = Serializer::with_formatter(&mut bytes, Even(PrettyFormatter::new()));
    value.serialize(&mut serializer).map_err(|why| Error::Fault(format!("JSON: {why}")))?;
    Ok(bytes)
}

/// Writes 9.525 where 9.524999999999999 came out of a sum.
struct Even(PrettyFormatter<'static>);

impl Formatter for Even {
    fn write_f64<W: ?Sized + Write>(&mut self, writer: &mut W, value: f64) -> Result<()> {
        self.0.write_f64(writer, (value * KEPT).round() / KEPT)
    }

    fn begin_array<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.0.begin_array(writer)
    }

    fn end_array<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.0.end_array(writer)
    }

    fn begin_array_value<W: ?Sized + Write>(&mut self, writer: &mut W, first: bool) -> Result<()> {
        self.0.begin_array_value(writer, first)
    }

    fn end_array_value<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.0.end_array_value(writer)
    }

    fn begin_object<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.0.begin_object(writer)
    }

    fn end_object<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.0.end_object(writer)
    }

    fn begin_object_key<W: ?Sized + Write>(&mut self, writer: &mut W, first: bool) -> Result<()> {
        self.0.begin_object_key(writer, first)
    }

    fn begin_object_value<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.0.begin_object_value(writer)
    }

    fn end_object_value<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.0.end_object_value(writer)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_of_inches_are_written_without_dust() {
        let value = [0.375 * 25.4, 0.47 * 25.4, 1.0 / 3.0, -0.0, 2500.0];
        let text = String::from_utf8(json(&value).expect("JSON")).expect("text");
        assert_eq!(text, "[\n  9.525,\n  11.938,\n  0.333333333,\n  -0.0,\n  2500.0\n]");
    }
}

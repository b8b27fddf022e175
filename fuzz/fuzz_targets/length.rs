//! Lengths as people write them.

use super::{Target, sign};
use nestwright::units::{Units, parse_length};
use std::time::Duration;

pub const TARGET: Target = Target {
    name: "length",
    corpus: || {
        [
            "12.1 mm",
            "12.1",
            ".5",
            "19 1/8 in",
            "19-1/8\"",
            "19⅛″",
            "3/4",
            "2.44 m",
            "8 ft 4 in",
            "4' 1/2\"",
            "-3 mm",
            "",
            "1 000,5",
        ]
        .map(|text| text.as_bytes().to_vec())
        .into()
    },
    words: &[
        "mm",
        "cm",
        "m",
        "in",
        "inch",
        "ft",
        "\"",
        "'",
        "″",
        "′",
        "”",
        "/",
        "⁄",
        "-",
        "−",
        ".",
        ",",
        " ",
        "\u{a0}",
        "½",
        "⅞",
        "0",
        "9",
        "1e9",
        "NaN",
        "inf",
        "99999999999999999999999999",
        "\0",
        "é",
        "🐝",
    ],
    run,
    patience: Duration::from_millis(200),
};

fn run(input: &[u8]) -> Vec<String> {
    let text = String::from_utf8_lossy(input);
    [Units::Millimetres, Units::Inches]
        .into_iter()
        .map(|units| match parse_length(&text, units) {
            Ok(mm) => {
                assert!(mm.is_finite());
                if mm.abs() < 1e6 {
                    for shown in [Units::Millimetres, Units::Inches] {
                        let back = parse_length(&shown.show(mm), units).expect("what is shown can be read");
                        assert!((back - mm).abs() <= 0.4, "{mm} {back}");
                    }
                }
                format!(
                    "{} in {} words",
                    if mm < 0.0 { "less" } else { "more" },
                    text.split_whitespace().count().min(6)
                )
            }
            Err(why) => {
                assert!(why.at <= text.len() && text.is_char_boundary(why.at), "{text:?} {why:?}");
                sign(&why.to_string())
            }
        })
        .collect()
}

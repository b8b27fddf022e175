//! The table of findings, 80 columns wide: by box, by theme, with what was measured and what is allowed.

use nestwright::Checked;
use nestwright::finding::{Finding, Limits, Status, accepted};
use nestwright::units::Units;
use nestwright::words::tied;
use std::borrow::Cow;
use std::io::{self, Write};
use textwrap::{Options, WordSeparator, WordSplitter, WrapAlgorithm};

/// Nothing printed is wider.
pub const WIDTH: usize = 80;
const INDENT: usize = 12;
const CHECK: usize = 34;

/// A line of the table, which may stand for several findings that read alike.
struct Row<'a> {
    finding: &'a Finding,
    check: String,
    count: usize,
}

/// The table, and below it the sources that it refers to by number.
pub fn table(out: &mut impl Write, checked: &Checked) -> io::Result<()> {
    let mut sources: Vec<&str> = Vec::new();
    let mut boxes: Vec<Option<&str>> = Vec::new();
    for finding in &checked.findings {
        if !boxes.contains(&finding.box_name.as_deref()) {
            boxes.push(finding.box_name.as_deref());
        }
    }
    for name in boxes {
        let of_box: Vec<&Finding> =
            checked.findings.iter().filter(|finding| finding.box_name.as_deref() == name).collect();
        let head = heading(checked, name);
        writeln!(out, "\n{head:<width$} {:<10} allowed", "measured", width = INDENT + CHECK)?;
        let mut themes: Vec<_> = of_box.iter().map(|finding| finding.theme).collect();
        themes.sort_unstable();
        themes.dedup();
        for theme in themes {
            writeln!(out, "  {}", theme.title())?;
            for row in rows(of_box.iter().copied().filter(|finding| finding.theme == theme), name) {
                line(out, &row, checked.job.units, &mut sources)?;
            }
        }
    }
    if !sources.is_empty() {
        writeln!(out, "\nSources of the limits")?;
        for (i, source) in sources.iter().enumerate() {
            wrapped(out, &format!("{:>4}  ", format!("[{}]", i + 1)), source)?;
        }
    }
    let count = |status| checked.findings.iter().filter(|finding| finding.status == status).count();
    let cautions = count(Status::Caution);
    writeln!(
        out,
        "\n{} checks: {} ok, {cautions} caution{}, {} refused",
        checked.findings.len(),
        count(Status::Ok),
        if cautions == 1 { "" } else { "s" },
        count(Status::Refused)
    )?;
    accepted(&checked.findings).map_or(Ok(()), |words| writeln!(out, "{words}"))
}

fn heading(checked: &Checked, name: Option<&str>) -> String {
    let Some(name) = name else { return "the job".into() };
    match checked.assemblies.iter().find(|assembly| assembly.name == name) {
        Some(assembly) if assembly.count > 1 => format!("{name} (× {})", assembly.count),
        _ => name.into(),
    }
}

/// Findings that read alike become one row.
fn rows<'a>(findings: impl Iterator<Item = &'a Finding>, box_name: Option<&str>) -> Vec<Row<'a>> {
    let mut rows: Vec<Row<'a>> = Vec::new();
    for finding in findings {
        // The box's name stands over its table.
        let subject = box_name.and_then(|name| finding.subject.strip_prefix(name)).unwrap_or(&finding.subject);
        let subject = subject.trim_start_matches(", ");
        let check = if subject.is_empty() { finding.check.clone() } else { format!("{subject}: {}", finding.check) };
        let alike = |row: &&mut Row| {
            let other = row.finding;
            row.check == check
                && other.status == finding.status
                && other.measured == finding.measured
                && other.allowed == finding.allowed
                && other.advice == finding.advice
        };
        match rows.iter_mut().find(alike) {
            Some(row) => row.count += 1,
            None => rows.push(Row { finding, check, count: 1 }),
        }
    }
    rows
}

fn line<'a>(out: &mut impl Write, row: &Row<'a>, units: Units, sources: &mut Vec<&'a str>) -> io::Result<()> {
    let finding = row.finding;
    let mark = match finding.status {
        Status::Ok => "ok",
        Status::Accepted => "known",
        Status::Caution => "caution",
        Status::Refused => "REFUSED",
    };
    let (measured, allowed) = match finding.figures(units) {
        Some((measured, allowed)) if finding.allowed != Some(Limits::default()) => (measured, allowed),
        _ => (finding.measured.map_or(String::new(), |measure| measure.show(units)), String::new()),
    };
    let source = if finding.source.is_empty() {
        String::new()
    } else {
        let known = sources.iter().position(|known| *known == finding.source);
        let number = known.unwrap_or_else(|| {
            sources.push(&finding.source);
            sources.len() - 1
        });
        format!("[{}]", number + 1)
    };
    let times = if row.count > 1 { format!(" (× {})", row.count) } else { String::new() };
    let mut check = folded(&format!("{}{times}", row.check), within(CHECK)).into_iter();
    let first = check.next().unwrap_or_default();
    let text = format!("    {mark:<7} {first:<CHECK$} {measured:<10} {allowed:<18} {source}");
    writeln!(out, "{}", text.trim_end())?;
    for more in check {
        writeln!(out, "{:INDENT$}{more}", "")?;
    }
    // A refusal's advice is shown once more below, at its place in the spec.
    if matches!(finding.status, Status::Ok | Status::Caution) && !finding.advice.is_empty() {
        wrapped(out, &" ".repeat(INDENT), &finding.advice)?;
    }
    Ok(())
}

/// Text under a hanging indent, within the width.
pub fn wrapped(out: &mut impl Write, lead: &str, text: &str) -> io::Result<()> {
    let hang = " ".repeat(textwrap::core::display_width(lead));
    let lines = within(WIDTH).initial_indent(lead).subsequent_indent(&hang);
    folded(text, lines).iter().try_for_each(|line| writeln!(out, "{line}"))
}

/// A text in lines, broken between words, but not within a figure.
fn folded(text: &str, lines: Options) -> Vec<String> {
    let plain = |line: Cow<str>| line.replace('\u{a0}', " ");
    textwrap::wrap(&tied(text), lines).into_iter().map(plain).collect()
}

/// Lines of at most this many columns; a word that is longer stays whole.
fn within<'a>(columns: usize) -> Options<'a> {
    Options::new(columns)
        .wrap_algorithm(WrapAlgorithm::FirstFit)
        .word_separator(WordSeparator::AsciiSpace)
        .word_splitter(WordSplitter::NoHyphenation)
        .break_words(false)
}

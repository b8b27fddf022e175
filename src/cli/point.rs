//! Pointing at a place in a text on the terminal: what is wrong there, and what would be right.

use super::findings::WIDTH;
use miette::{Diagnostic, GraphicalReportHandler, LabeledSpan, NamedSource, SourceCode};
use nestwright::finding::Finding;
use nestwright::reading::{Problem, Source, harmless};
use nestwright::{Checked, build};
use std::fmt;
use std::io::{self, Write};
use std::ops::Range;
use std::sync::Arc;

/// Something to point at in a text.
#[derive(Debug)]
struct Pointed {
    message: String,
    help: String,
    label: LabeledSpan,
    source: NamedSource<String>,
}

impl fmt::Display for Pointed {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Pointed {}

impl Diagnostic for Pointed {
    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        (!self.help.is_empty()).then(|| Box::new(&self.help) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(&self.source)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        Some(Box::new(std::iter::once(self.label.clone())))
    }
}

fn show(err: &mut impl Write, pointed: &Pointed) {
    let mut text = String::new();
    let handler = GraphicalReportHandler::new().with_width(width());
    if handler.render_report(&mut text, pointed).is_err() {
        text = pointed.to_string();
    }
    let _ = writeln!(err, "{}", text.trim_end());
}

/// Columns of the terminal; in a pipe, those of the tables.
fn width() -> usize {
    let terminal = terminal_size::terminal_size_of(io::stderr()).map(|(width, _)| usize::from(width.0));
    terminal.unwrap_or(WIDTH).clamp(40, 120)
}

/// No more of a line is shown than this (bytes): a longer one is no line that somebody typed.
const LONGEST_LINE: usize = 240;

/// The source as it may be shown, every line of it of a bearable length and without what would not show as itself; and
/// where in it the place is. `None` where the place is beyond what is shown of its line.
fn shown(source: &Source, at: usize) -> Option<(String, usize)> {
    let text = harmless(&source.text);
    let (mut shown, mut start, mut place) = (String::with_capacity(text.len()), 0, None);
    for line in text.split_inclusive('\n') {
        let all = line.trim_end_matches('\n');
        let mut end = all.len().min(LONGEST_LINE);
        while !all.is_char_boundary(end) {
            end -= 1;
        }
        if (start..=start + end).contains(&at) && place.is_none() {
            place = Some(shown.len() + at - start);
        }
        shown.push_str(&all[..end]);
        if all.len() > end {
            shown.push_str("...");
        }
        if line.ends_with('\n') {
            shown.push('\n');
        }
        start += line.len();
    }
    // What stands at the very end can be pointed at only if its line has an end.
    if !shown.ends_with('\n') {
        shown.push('\n');
    }
    Some((shown, place?))
}

/// Points at the first line of a place in the source: a table's heading stands for the whole table.
fn point_at(err: &mut impl Write, source: &Source, span: &Range<usize>, words: [String; 3]) {
    let [message, label, help] = words;
    let Some((text, at)) = shown(source, span.start) else {
        let (line, column) = source.line_column(span.start);
        let help = if help.is_empty() { help } else { format!(" ({help})") };
        let _ = writeln!(err, "nestwright: {}:{line}:{column}: {message}: {label}{help}", source.name);
        return;
    };
    let rest = &text[at..];
    let most = rest.find('\n').unwrap_or(rest.len());
    let label = LabeledSpan::new(Some(label), at, span.len().min(most));
    show(err, &Pointed { message, help, label, source: NamedSource::new(harmless(&source.name), text) });
}

/// A problem of a text, at its place.
pub fn problem(err: &mut impl Write, problem: &Problem) {
    if problem.source.text.is_empty() {
        let _ = writeln!(err, "nestwright: {problem}");
        return;
    }
    let Problem { source, span, message, expected, help, .. } = problem.clone();
    point_at(err, &source, &span, [message, expected, help]);
}

/// A refusal that has no place.
pub fn refusal(err: &mut impl Write, finding: &Finding) {
    let _ = writeln!(err, "refused: {}: {}\n  {}", finding.subject, finding.check, finding.advice);
}

/// Where the spec asks for things, for a finding that does not say which of them it is about.
pub struct Asked {
    source: Arc<Source>,
    /// By the name of what is asked for.
    spots: Vec<(String, Range<usize>)>,
}

impl Asked {
    pub fn of(checked: &Checked) -> Asked {
        let job = &checked.job;
        let parts = build::parts(job, &checked.assemblies);
        let boxes = job.boxes.iter().map(|order| (order.name.clone(), order.spot.clone()));
        let loose = job.loose.iter().map(|part| (part.name.clone(), part.spot.clone()));
        // Assemblies are in order those of the boxes, then the loose parts.
        let asked: Vec<_> = boxes.chain(loose).collect();
        let cut = parts.iter().filter_map(|part| Some((part.name.clone(), asked.get(part.assembly)?.1.clone())));
        let stock = job.stock.iter().map(|stock| (stock.name.clone(), stock.spot.clone()));
        let router = job.router.iter().flat_map(|router| {
            [&router.machine.name, &router.cutter.name].map(|name| (name.clone(), router.spot.clone()))
        });
        let spots = cut.chain(asked.iter().cloned()).chain(stock).chain(router).collect();
        Asked { source: Arc::clone(&job.source), spots }
    }

    /// Where what the finding is about is asked for: as it says itself, or by the longest name its subject begins with.
    fn spot(&self, finding: &Finding) -> Option<Range<usize>> {
        let begins = |name: &str| {
            finding.box_name.as_deref() == Some(name)
                || finding.subject.strip_prefix(name).is_some_and(|rest| !rest.starts_with(char::is_alphanumeric))
        };
        let named = self.spots.iter().filter(|(name, _)| begins(name)).max_by_key(|(name, _)| name.len());
        finding.spot.clone().or_else(|| named.map(|(_, spot)| spot.clone()))
    }

    /// Says why each refused finding was refused, pointing into the spec where it can.
    pub fn refusals(&self, err: &mut impl Write, findings: &[Finding]) {
        for finding in findings.iter().filter(|finding| finding.refused()) {
            let Some(spot) = self.spot(finding) else {
                refusal(err, finding);
                continue;
            };
            let message = format!("refused: {}: {}", finding.subject, finding.check);
            point_at(err, &self.source, &spot, [message, "asked for here".into(), finding.advice.clone()]);
        }
    }
}

//! The order of cuts: the guide first, then the table saw, everything of one setting at once.

use super::bench::Bench;
use super::block::{Making, count_sizes};
use super::board::{Choice, SoFar};
use super::step::{Method, Setting};
use crate::layout::Pattern;
use std::collections::BTreeMap;

/// How the next setting is chosen among those that leave the fewest behind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Prefer {
    /// The widest.
    Wide,
    /// The narrowest.
    Narrow,
    /// The one with the most cuts at hand.
    Many,
    /// The one that opens the most.
    Opening,
}

impl Prefer {
    pub const ALL: [Prefer; 4] = [Prefer::Many, Prefer::Wide, Prefer::Opening, Prefer::Narrow];
}

/// A setting of fence or stop, to a hundredth of a millimetre.
type Key = (Method, i64);

fn key(choice: &Choice) -> Key {
    (choice.method, hundredths(choice.measure))
}

fn hundredths(mm: f64) -> i64 {
    (mm * 100.0).round() as i64
}

/// Cuts up these sheets, each with its number, at shared settings.
pub(super) fn cut<'a>(
    making: Making<'a>,
    sheets: &[(usize, &Pattern)],
    so_far: SoFar,
    prefer: Prefer,
) -> (Bench<'a>, Vec<Setting>) {
    let mut bench = Bench::new(making, so_far);
    let mut settings: Vec<Setting> = Vec::new();
    for (number, pattern) in sheets {
        bench.lay(*number, pattern);
    }
    while let Some(next) = next(&bench, prefer) {
        run(&mut bench, next, &mut settings);
    }
    (bench, settings)
}

/// Makes every cut there is at one setting, also those that its own cuts bring up.
fn run(bench: &mut Bench, next: Key, settings: &mut Vec<Setting>) {
    let setting = next.0.is_set().then_some(settings.len());
    while let Some((open, choice)) = first_with(bench, next) {
        bench.cut(open, choice);
        let Some(number) = setting else { continue };
        if number == settings.len() {
            let (method, measure) = (choice.method, choice.measure);
            settings.push(Setting { method, measure, angle: 0.0, pieces: Vec::new(), cuts: 0 });
        }
        let Some(step) = bench.steps.last_mut() else { continue };
        step.setting = setting.map(|number| bench.so_far.settings + number);
        settings[number].cuts += 1;
        if !settings[number].pieces.contains(&step.piece) {
            settings[number].pieces.push(step.piece.clone());
        }
    }
}

/// The first open board that has a cut of this setting.
fn first_with(bench: &Bench, wanted: Key) -> Option<(usize, Choice)> {
    bench.open.iter().enumerate().find_map(|(i, open)| {
        let choice = open.choices.iter().find(|choice| key(choice) == wanted)?;
        Some((i, *choice))
    })
}

/// The next setting: first everything that is guided, hand cuts last of all, between them the setting that has the fewest
/// cuts still locked up in other pieces.
fn next(bench: &Bench, prefer: Prefer) -> Option<Key> {
    let guided = bench.open.iter().filter_map(|open| {
        Some((open.board.depth, open.choices.iter().find(|choice| choice.method == Method::Guide)?))
    });
    if let Some((_, guided)) = guided.min_by_key(|(depth, _)| *depth) {
        return Some(key(guided));
    }
    let mut at_hand: BTreeMap<Key, (usize, usize)> = BTreeMap::new();
    let mut locked: BTreeMap<i64, usize> = BTreeMap::new();
    for open in &bench.open {
        for choice in &open.choices {
            let (cuts, opened) = at_hand.entry(key(choice)).or_default();
            for slice in open.slices.iter().filter(|slice| hundredths(slice.size) == hundredths(choice.measure)) {
                *cuts += 1;
                count_sizes(&slice.block, &mut |_| *opened += 1);
            }
        }
        for slice in &open.slices {
            count_sizes(&slice.block, &mut |size| *locked.entry(hundredths(size)).or_default() += 1);
        }
    }
    at_hand
        .into_iter()
        .min_by_key(|((method, measure), (cuts, opened))| {
            let behind = locked.get(measure).copied().unwrap_or(0);
            let (cuts, opened) = (-(*cuts as i64), -(*opened as i64));
            let rank = match prefer {
                Prefer::Wide => (-measure, cuts),
                Prefer::Narrow => (*measure, cuts),
                Prefer::Many => (cuts, opened),
                Prefer::Opening => (opened, cuts),
            };
            (*method == Method::Hand, behind, rank)
        })
        .map(|(key, _)| key)
}

/// Cuts and settings of a plain recursive order: each strip as the pattern has it, and all within it before the next.
pub(super) fn plain(making: Making, patterns: &[Pattern]) -> (usize, usize) {
    let mut bench = Bench::new(making, SoFar::default());
    let (mut settings, mut fence, mut stop) = (0, None, None);
    for (i, pattern) in patterns.iter().enumerate() {
        bench.lay(i, pattern);
        // The latest board lies first: it is cut up before the one it came from.
        while let Some(open) = bench.open.first() {
            let measure = open.slices[0].size;
            bench.cut(0, Choice { method: Method::Hand, slice: 0, measure });
            let Some(step) = bench.steps.last() else { continue };
            let last = match step.method {
                Method::Fence => &mut fence,
                Method::GaugeStop | Method::GaugeFree => &mut stop,
                Method::Guide | Method::Hand => continue,
            };
            // A fence that stays where it was is no new setting.
            let now = Some((step.method, hundredths(step.measure)));
            if *last != now {
                *last = now;
                settings += 1;
            }
        }
    }
    (bench.steps.len(), settings)
}

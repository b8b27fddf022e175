//! The saw card: every set-up in its order on half a page, to be pinned up at the saw.

use crate::draw::dimension::LETTERS;
use crate::draw::{Anchor, Pen, Picture, shortened, text_width};
use crate::geometry::Point;
use crate::job::Job;
use crate::saw::{Method, Run, SawPlan, runs, say};
use crate::words::counted;

const MARGIN: f64 = 12.0;
const ROW: f64 = 5.0;
/// Measures are read from a step away.
const LARGE: f64 = 3.0;
/// What to read before the saw runs, in letters no smaller than the rest.
const CARE: [&str; 2] = [
    "The saw's manual, local rules and qualified practice come before this card. Guards and riving knife stay on.",
    "Eye and ear protection. Set the fence or the stop while the blade stands.",
];

/// Half a page, the upper, of the job's paper upright; more than that only where the set-ups have no room in it. `None` for a
/// job without a saw plan.
///
/// ```
/// # use nestwright::{design::Kinds, draw::saw_card, profile::Profiles, starters, watch::Search};
/// # let spec = starters::find("bait-hive").expect("a starter").source();
/// # let checked = nestwright::check(&spec, &Profiles::built_in(), &Kinds::built_in(), &Search::default())?;
/// let made = nestwright::make(checked, &Search::default())?;
/// let card = saw_card(&made.job, &made.saw);
/// assert_eq!(card.is_some(), !made.saw.steps.is_empty());
/// # Ok::<(), nestwright::error::Error>(())
/// ```
pub fn saw_card(job: &Job, plan: &SawPlan) -> Option<Picture> {
    if plan.steps.is_empty() {
        return None;
    }
    let runs = runs(plan);
    let (width, height) = job.paper.sides();
    let mut card = Picture::new(width, height);
    let title = format!("{}: saw card", job.title);
    let wide = width - 2.0 * MARGIN;
    card.text(Point::new(MARGIN, MARGIN + 5.0), LARGE, Anchor::Start, false, &shortened(&title, LARGE, wide - 60.0));
    let counts = format!("{}, {}", counted(plan.steps.len(), "cut"), counted(plan.settings.len(), "setting"));
    card.text(Point::new(width - MARGIN, MARGIN + 5.0), LETTERS, Anchor::End, false, &counts);
    for (i, words) in CARE.iter().enumerate() {
        let at = Point::new(MARGIN, MARGIN + 11.0 + 4.0 * i as f64);
        card.text(at, LETTERS, Anchor::Start, false, &shortened(words, LETTERS, wide));
    }
    let (top, half) = (MARGIN + 20.0, height / 2.0 - 5.0);
    let rows = ((half - top) / ROW) as usize - 1;
    // Two columns fill half a page; what is more than that takes the lower half too.
    let each = rows.max(runs.len().div_ceil(2));
    for (column, some) in runs.chunks(each).enumerate() {
        let left = MARGIN + column as f64 * (wide / 2.0 + 2.0);
        heads(&mut card, left, top, wide / 2.0 - 2.0);
        for (i, run) in some.iter().enumerate() {
            row(&mut card, job, plan, run, Point::new(left, top + ROW * (i as f64 + 1.0)), wide / 2.0 - 2.0);
        }
    }
    if each == rows {
        card.line(Point::new(0.0, height / 2.0), Point::new(width, height / 2.0), Pen::Phantom);
        let words = "Cut off here and pin up at the saw.";
        card.text(Point::new(MARGIN, height / 2.0 + 5.0), LETTERS, Anchor::Start, false, words);
    }
    Some(card.titled(title))
}

/// Where the columns of a row begin or end, from its left end.
const SET: f64 = 5.5;
const MEASURE: f64 = 46.0;
const CUTS: f64 = 58.0;

fn heads(card: &mut Picture, left: f64, top: f64, wide: f64) {
    let heads = [("set up", SET, Anchor::Start), ("cuts", CUTS, Anchor::End), ("steps", wide, Anchor::End)];
    for (head, at, side) in heads {
        card.text(Point::new(left + at, top + LETTERS), LETTERS, side, false, head);
    }
    let y = top + ROW - 0.6;
    card.line(Point::new(left, y), Point::new(left + wide, y), Pen::Thin);
}

fn row(card: &mut Picture, job: &Job, plan: &SawPlan, run: &Run, at: Point, wide: f64) {
    let base = at.y + LARGE;
    card.rect(at.x, base - 3.0, 3.0, 3.0, Pen::Thin);
    let (what, measure) = match run.setting {
        Some(number) => {
            let setting = &plan.settings[number];
            let kind = match setting.method {
                Method::Fence => "fence",
                Method::GaugeFree => "block",
                _ => "stop",
            };
            if setting.angle > 0.0 {
                (format!("{}  {}", number + 1, say::setting(job.units, setting)), String::new())
            } else {
                (format!("{}  {kind}", number + 1), job.units.show(setting.measure))
            }
        }
        None if run.method == Method::Hand => ("by hand, to marks".into(), String::new()),
        None => ("guide, to marks".into(), String::new()),
    };
    card.text(Point::new(at.x + SET, base), LETTERS, Anchor::Start, false, &what);
    let letters = if text_width(&measure, LARGE) > MEASURE - 22.0 { LETTERS } else { LARGE };
    card.text(Point::new(at.x + MEASURE, base), letters, Anchor::End, false, &measure);
    card.text(Point::new(at.x + CUTS, base), LETTERS, Anchor::End, false, &format!("{}×", run.steps.len()));
    card.text(Point::new(at.x + wide, base), LETTERS, Anchor::End, false, &run.numbers());
}

//! Jobs of very many pieces: sheets found for a small part of the job are cut again and again.

use super::{Cut, Filled, Found, Problem, Settings, search};
use crate::layout::least_cost;

/// Pieces of the part of a job that sheets are searched for, to be repeated; and pieces that are searched for as they are.
const PART: u64 = 240;
const REST: u64 = 700;

/// Like [`search`](super::search), for jobs with many pieces of each kind: the time grows with the kinds, hardly with the
/// pieces.
///
/// Sheets are searched for a part of the job that has its pieces in the same ratio. All but the emptiest of them are cut
/// as often as there are pieces for; then the same for what is left, until so few pieces are left that they can be searched
/// for as they are.
pub fn search_many(problem: &Problem, settings: &Settings) -> Found {
    let mut rest = problem.clone();
    let mut all = Found::default();
    let of_part = Settings { looks: settings.looks / 4, watch: settings.watch.apart(), ..settings.clone() };
    while pieces(&rest) > REST {
        let part = part(&rest);
        let mut found = search(&part, &of_part, least_cost(&part));
        if found.sheets.len() > 1 {
            let fill = |sheet: &Filled| used(&sheet.cut, problem) as f64 / problem.bins[sheet.bin].cost as f64;
            let emptiest = (0..found.sheets.len())
                .min_by(|a, b| fill(&found.sheets[*a]).total_cmp(&fill(&found.sheets[*b])).then(a.cmp(b)));
            emptiest.map(|at| found.sheets.remove(at));
        }
        let times = times(&rest, &found.sheets);
        if times == 0 {
            break;
        }
        take(&mut rest, &found.sheets, times);
        for _ in 0..times {
            all.sheets.extend(found.sheets.iter().cloned());
        }
    }
    let last = search(&rest, &Settings { watch: settings.watch.apart(), ..settings.clone() }, least_cost(&rest));
    all.sheets.extend(last.sheets);
    all.left_out = last.left_out;
    all.cost = all.sheets.iter().map(|sheet| problem.bins[sheet.bin].cost).sum();
    all
}

fn pieces(problem: &Problem) -> u64 {
    problem.kinds.iter().map(|kind| u64::from(kind.count)).sum()
}

/// Pieces in the same ratio, but few of them.
fn part(problem: &Problem) -> Problem {
    let all = pieces(problem).max(1);
    let mut part = problem.clone();
    for kind in &mut part.kinds {
        kind.count = (u64::from(kind.count) * PART / all) as u32;
    }
    part
}

/// How often the sheets can be cut before pieces or sheets run out.
fn times(rest: &Problem, sheets: &[Filled]) -> u32 {
    let (kinds, bins) = counts(rest, sheets);
    let of_kinds = rest.kinds.iter().zip(kinds).filter(|(_, used)| *used > 0).map(|(kind, used)| kind.count / used);
    let of_bins = rest.bins.iter().zip(bins).filter(|(_, used)| *used > 0);
    let of_bins = of_bins.filter_map(|(bin, used)| Some(bin.supply? / used));
    of_kinds.chain(of_bins).min().unwrap_or(0)
}

fn take(rest: &mut Problem, sheets: &[Filled], times: u32) {
    let (kinds, bins) = counts(rest, sheets);
    for (kind, used) in rest.kinds.iter_mut().zip(kinds) {
        kind.count -= used * times;
    }
    for (bin, used) in rest.bins.iter_mut().zip(bins) {
        bin.supply = bin.supply.map(|supply| supply - used * times);
    }
}

/// Pieces of each kind on the sheets, and sheets of each size.
fn counts(problem: &Problem, sheets: &[Filled]) -> (Vec<u32>, Vec<u32>) {
    let (mut kinds, mut bins) = (vec![0; problem.kinds.len()], vec![0; problem.bins.len()]);
    for sheet in sheets {
        bins[sheet.bin] += 1;
        each_part(&sheet.cut, &mut |kind| kinds[kind] += 1);
    }
    (kinds, bins)
}

/// Area of the pieces.
fn used(cut: &Cut, problem: &Problem) -> i64 {
    let mut area = 0;
    each_part(cut, &mut |kind| {
        area += i64::from(problem.kinds[kind].length) * i64::from(problem.kinds[kind].width);
    });
    area
}

fn each_part(cut: &Cut, tell: &mut impl FnMut(usize)) {
    match cut {
        Cut::Part { kind, .. } => tell(*kind),
        Cut::Left => {}
        Cut::Split(_, strips) => strips.iter().for_each(|(_, cut)| each_part(cut, tell)),
    }
}

//! Sheets with places where nothing is cut: each is taken as the rectangles that are left around those places.
//!
//! A sheet is parted by straight lines across it, along the sides of the places, until no piece has such a place in it. Which lines
//! come first makes the pieces wide or long: the best few of the ways are laid out, and the cheapest is taken.

use super::mix::costs;
use super::{On, Sheet};
use crate::geometry::Rect;
use crate::job::{Job, Stock};

/// A stock with places kept out, as stocks of what is left around them.
pub(super) struct Around {
    /// The job with the pieces as stocks of their own, behind those that it has.
    pub job: Job,
    /// The stocks that are laid out on, by index into that job's.
    pub group: Vec<usize>,
    /// Of each piece: its stock in the job as it was, and where it lies on that.
    pieces: Vec<(usize, Rect)>,
    /// Stocks of the job as it was.
    known: usize,
}

/// Ways that are laid out.
const WAYS: usize = 3;

/// The ways to take the sheets of a group around what is kept out; none where nothing is.
pub(super) fn around(job: &Job, on: On) -> Vec<Around> {
    let kept = |i: &&usize| !job.stock[**i].keep_out.is_empty();
    if on.group.iter().find(kept).is_none() {
        return Vec::new();
    }
    // With room for hold-down screws along the edges first: of two that cost the same the first is taken.
    let roomy = |stock: &Stock| stock.roomy.unwrap_or(stock.margin);
    let has_roomy = on.group.iter().any(|i| job.stock[*i].roomy.is_some());
    let first = (0..WAYS).filter(|_| has_roomy).filter_map(|way| around_by(job, on, way, roomy));
    first.chain((0..WAYS).filter_map(|way| around_by(job, on, way, |stock| stock.margin))).collect()
}

/// The sheets that cost the least of those that the ways give, with as few as may be of those round which something is kept out.
/// `area` is that of all pieces (mm²).
///
/// # Errors
/// The parts for which the sheets on hand are too few, by the way that leaves the fewest.
pub(super) fn cheapest(
    job: &Job,
    on: On,
    ways: &[Around],
    area: f64,
    lay: impl Fn(&Job, On) -> Result<Vec<Sheet>, Vec<usize>>,
) -> Result<Vec<Sheet>, Vec<usize>> {
    /// Sheets of which so few more are tried one by one; then as many as it takes.
    const MORE: u32 = 4;
    let costs = costs(job, on.group);
    let cost = |sheets: &[Sheet]| -> u64 {
        let of = |sheet: &Sheet| on.group.iter().position(|i| *i == sheet.stock).map_or(0, |i| costs[i]);
        sheets.iter().map(of).sum()
    };
    let mut left: Option<Vec<usize>> = None;
    // A piece costs its share of a sheet: without a limit one of them would be taken twice where its neighbour lies idle.
    let least = if on.group.len() == 1 { ways.iter().map(|way| way.least(area)).min().unwrap_or(1) } else { 1 };
    for most in (least..=least + MORE).map(Some).chain([None]) {
        let mut best: Option<Vec<Sheet>> = None;
        for way in ways {
            match lay(&way.of_sheets(most), On { group: &way.group, ..on }) {
                Ok(sheets) => {
                    let whole = way.whole(sheets);
                    if best.as_ref().is_none_or(|known| cost(&whole) < cost(known)) {
                        best = Some(whole);
                    }
                    if on.group.len() == 1 {
                        break;
                    }
                }
                Err(fewer) if left.as_ref().is_none_or(|known| fewer.len() < known.len()) => left = Some(fewer),
                Err(_) => {}
            }
        }
        if let Some(best) = best {
            return Ok(best);
        }
    }
    Err(left.unwrap_or_default())
}

/// The group by one of the ways, best first; `None` where there is no such way to any of its sheets.
fn around_by(job: &Job, On { group, gap, .. }: On, way: usize, edge: impl Fn(&Stock) -> f64) -> Option<Around> {
    let mut all = Around { job: job.clone(), group: Vec::new(), pieces: Vec::new(), known: job.stock.len() };
    let mut another = way == 0;
    for &stock in group {
        let about = &job.stock[stock];
        if about.keep_out.is_empty() {
            all.group.push(stock);
            all.job.stock[stock].margin = edge(about);
            continue;
        }
        let ways = partings(about, edge(about), gap);
        another |= way < ways.len();
        let Some(rects) = ways.get(way.min(ways.len().saturating_sub(1))) else { continue };
        let rects = apart(rects, gap);
        let whole: f64 = rects.iter().map(|rect| rect.area()).sum();
        for rect in &rects {
            all.group.push(all.job.stock.len());
            all.pieces.push((stock, *rect));
            all.job.stock.push(piece(about, *rect, rect.area() / whole));
        }
    }
    another.then_some(all)
}

/// A piece of a sheet as a stock: it costs its share, and its edges are those that may be cut up to.
fn piece(stock: &Stock, rect: Rect, share: f64) -> Stock {
    Stock {
        length: rect.width(),
        width: rect.height(),
        price: stock.price.map(|price| price * share),
        margin: 0.0,
        trim: 0.0,
        roomy: None,
        glued: None,
        keep_out: Vec::new(),
        ..stock.clone()
    }
}

impl Around {
    /// Fewer sheets have less than this area (mm²) in all their pieces.
    fn least(&self, area: f64) -> u32 {
        let clear: f64 = self.pieces.iter().map(|(_, rect)| rect.area()).sum();
        ((area / clear).ceil() as u32).max(1)
    }

    /// The job with no more than so many sheets of what is parted.
    fn of_sheets(&self, most: Option<u32>) -> Job {
        let mut job = self.job.clone();
        if let Some(most) = most {
            for stock in &mut job.stock[self.known..] {
                stock.on_hand = Some(stock.on_hand.map_or(most, |there| there.min(most)));
            }
        }
        job
    }

    /// The sheets of the job as it was: the first sheets of each of a stock's pieces make its first sheet, and so on.
    pub fn whole(&self, sheets: Vec<Sheet>) -> Vec<Sheet> {
        let mut whole: Vec<Sheet> = Vec::new();
        // Of each piece how many sheets there were; of each stock where its sheets are.
        let mut seen = vec![0_usize; self.pieces.len()];
        let mut of_stock: Vec<Vec<usize>> = vec![Vec::new(); self.known];
        for sheet in sheets {
            let Some(which) = sheet.stock.checked_sub(self.known) else {
                whole.push(sheet);
                continue;
            };
            let (stock, rect) = self.pieces[which];
            let about = &self.job.stock[stock];
            let nth = seen[which];
            seen[which] += 1;
            if nth == of_stock[stock].len() {
                of_stock[stock].push(whole.len());
                let (length, width, thickness) = (about.length, about.width, about.thickness);
                whole.push(Sheet { stock, length, width, thickness, placements: Vec::new() });
            }
            let moved = sheet.placements.into_iter().map(|mut it| {
                (it.x, it.y) = (it.x + rect.x0, it.y + rect.y0);
                it
            });
            whole[of_stock[stock][nth]].placements.extend(moved);
        }
        whole
    }
}

/// The job with each sheet in which something is kept out cut down to its largest clear piece: a saw takes that.
pub(super) fn clear_pieces(job: &Job, kerf: f64) -> Job {
    let mut clear = job.clone();
    for stock in &mut clear.stock {
        if let Some(piece) = clear_piece(stock, kerf) {
            (stock.length, stock.width) = (piece.width(), piece.height());
            stock.keep_out.clear();
        }
    }
    clear
}

/// The largest piece of a sheet that has nothing kept out in it; `None` where all of the sheet is clear.
pub fn clear_piece(stock: &Stock, kerf: f64) -> Option<Rect> {
    if stock.keep_out.is_empty() {
        return None;
    }
    let pieces = partings(stock, 0.0, kerf).into_iter().flatten();
    // With every place kept out, nothing is left.
    Some(pieces.max_by(|a, b| a.area().total_cmp(&b.area())).unwrap_or(Rect::ZERO))
}

/// The ways to part a sheet inside its edges around what is kept out of it, with a gap beside each line; that with the largest
/// pieces first.
fn partings(stock: &Stock, edge: f64, gap: f64) -> Vec<Vec<Rect>> {
    /// Ways that are looked at, over all.
    const LOOKS: usize = 256;
    /// Smaller pieces (mm) hold no part.
    const LEAST: f64 = 20.0;
    let whole = Rect::new(0.0, 0.0, stock.length, stock.width).inset(-edge);
    let kept: Vec<Rect> = stock.keep_out.iter().map(|it| it.rect.inflate(gap, gap)).collect();
    // Each way as pieces that are free, and pieces that are still to be parted.
    let mut open: Vec<(Vec<Rect>, Vec<Rect>)> = vec![(Vec::new(), vec![whole])];
    let mut done: Vec<Vec<Rect>> = Vec::new();
    let mut looks = 0;
    while let Some((free, mut left)) = open.pop() {
        looks += 1;
        let Some(rect) = left.pop() else {
            done.push(free);
            continue;
        };
        if rect.width() < LEAST || rect.height() < LEAST {
            open.push((free, left));
            continue;
        }
        let Some(place) = kept.iter().map(|it| it.intersect(rect)).find(|it| it.width() > 0.0 && it.height() > 0.0)
        else {
            open.push(([free, vec![rect]].concat(), left));
            continue;
        };
        for mut pieces in parted(rect, place) {
            pieces.extend(&left);
            open.push((free.clone(), pieces));
            // Beyond these only the first of the lines is taken.
            if looks + open.len() > LOOKS {
                break;
            }
        }
    }
    let mut ways = done;
    let worth = |pieces: &Vec<Rect>| pieces.iter().map(|it| it.area() * it.area().sqrt()).sum::<f64>();
    ways.sort_by(|a, b| worth(b).total_cmp(&worth(a)));
    ways.dedup();
    ways
}

/// A rectangle parted by lines along the sides of a place in it: all across first, or all up first.
fn parted(rect: Rect, place: Rect) -> [Vec<Rect>; 2] {
    let strip = |x0: f64, y0: f64, x1: f64, y1: f64| Rect::new(x0, y0, x1, y1);
    let upright = vec![
        strip(rect.x0, rect.y0, place.x0, rect.y1),
        strip(place.x1, rect.y0, rect.x1, rect.y1),
        strip(place.x0, rect.y0, place.x1, place.y0),
        strip(place.x0, place.y1, place.x1, rect.y1),
    ];
    let level = vec![
        strip(rect.x0, rect.y0, rect.x1, place.y0),
        strip(rect.x0, place.y1, rect.x1, rect.y1),
        strip(rect.x0, place.y0, place.x0, place.y1),
        strip(place.x1, place.y0, rect.x1, place.y1),
    ];
    [upright, level]
}

/// Pieces that touch, if only with their corners, each less half a gap on the side where another is.
fn apart(pieces: &[Rect], gap: f64) -> Vec<Rect> {
    const NEAR: f64 = 1e-9;
    let touching = |a: &Rect, b: &Rect| {
        let (over_x, over_y) = (a.x1.min(b.x1) - a.x0.max(b.x0), a.y1.min(b.y1) - a.y0.max(b.y0));
        over_x > -NEAR && over_y > -NEAR
    };
    let half = gap / 2.0;
    let narrowed = |piece: &Rect| {
        let mut own = *piece;
        for other in pieces.iter().filter(|other| *other != piece && touching(piece, other)) {
            if (other.x0 - piece.x1).abs() < NEAR {
                own.x1 = piece.x1 - half;
            } else if (other.x1 - piece.x0).abs() < NEAR {
                own.x0 = piece.x0 + half;
            } else if (other.y0 - piece.y1).abs() < NEAR {
                own.y1 = piece.y1 - half;
            } else if (other.y1 - piece.y0).abs() < NEAR {
                own.y0 = piece.y0 + half;
            }
        }
        own
    };
    pieces.iter().map(narrowed).filter(|it| it.width() > 0.0 && it.height() > 0.0).collect()
}

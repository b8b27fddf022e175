//! The file a maker writes.
//!
//! [`read`] takes its text to a [`Job`], with every value concrete and in millimetres, or to the list of everything that
//! is wrong with it. The keys and their meaning are in [`schema`]; those of a kind of box stand with the kind.

mod boards;
mod cost;
mod cutting;
mod grain;
mod holes;
mod json_schema;
mod made_of;
mod off_cuts;
mod outline;
mod pockets;
pub mod reference;
pub mod schema;
mod stock;

pub use json_schema::json_schema;

use crate::design::{Design, Grain, Kind, Kinds};
use crate::finding::JobCheck;
use crate::job::{BoxOrder, Job, LoosePart, PanelStock, Router, Saw, Stock, Variant};
use crate::paper::Paper;
use crate::profile::{Machine, Profiles, SawBench, SheetZero, Tool, ToolKind};
use crate::reading::{Desk, Key, Problem, Source, Sourced, Table, Unless, any_of, nearest};
use crate::units::Units;
use made_of::{panel_stock, thin_panels, which_stock};
use schema::{BOX, MOST_PIECES, PART, ROUTER, SAW, TOP};
use std::collections::HashMap;
use std::sync::Arc;

/// No spec is longer than this (bytes).
pub const LONGEST_SPEC: u64 = 512 * 1024;

/// Reads a spec.
///
/// ```
/// use nestwright::{design::Kinds, profile::Profiles, reading::Source, spec};
///
/// let source = Source::new("boxes.toml", "title = 'Trays'\nunits = 'cm'\n");
/// let problems = spec::read(&source, &Profiles::built_in(), &Kinds::built_in()).unwrap_err();
/// assert!(problems.iter().any(|problem| problem.to_string().starts_with("boxes.toml:2:9")));
/// ```
///
/// # Errors
/// Everything that is wrong with it, by place.
pub fn read(source: &Arc<Source>, profiles: &Profiles, kinds: &Kinds) -> Result<Job, Vec<Problem>> {
    if source.text.len() as u64 > LONGEST_SPEC {
        return Err(vec![Problem::new(
            &Source::new(&source.name, ""),
            0..0,
            format!("the spec is {} KB long", source.text.len() / 1024),
            format!("expected at most {} KB", LONGEST_SPEC / 1024),
            "",
        )]);
    }
    Desk::read(source, Units::Millimetres, |top| read_job(top, source, profiles, kinds))
}

/// The cautions that the maker knows and accepts.
fn accepts(top: &Table) -> Vec<JobCheck> {
    let mut accepts = Vec::new();
    for id in top.texts(schema::ACCEPT.name).unwrap_or_default() {
        let name = id.get_ref().as_str();
        match JobCheck::ALL.iter().find(|check| check.may_be_a_caution() && check.name() == name) {
            Some(check) => accepts.push(*check),
            None => {
                let never = JobCheck::ALL.iter().any(|check| check.name() == name);
                let message = if never {
                    format!("`{name}` never gives a caution: there is nothing to accept")
                } else {
                    format!("no check is called `{name}`")
                };
                let help = nearest(name, JobCheck::CAUTION_NAMES.iter().copied())
                    .map_or(String::new(), |near| format!("did you mean `{near}`?"));
                top.desk.problem(id.span(), message, "expected the id of a caution, as `check --json` prints it", help);
            }
        }
    }
    accepts
}

/// What off-cuts are promised to: a job by its title and its spec's file.
pub fn job_name(title: &str, source: &Source) -> String {
    let file = source.name.rsplit(['/', '\\']).next().unwrap_or_default();
    format!("{} ({file})", title.trim())
}

/// The files that a spec names, for whoever reads it from a disk.
pub fn files_named(text: &str) -> Vec<String> {
    let mut names = off_cuts::lists_named(text);
    names.extend(outline::named(text));
    names
}

/// Those of them that are lists of off-cuts.
pub fn lists_named(text: &str) -> Vec<String> {
    off_cuts::lists_named(text)
}

fn read_job(top: &Table, source: &Arc<Source>, profiles: &Profiles, kinds: &Kinds) -> Option<Job> {
    top.only(&[TOP]);
    let units = top.chosen(&schema::UNITS);
    top.desk.set_units(units);
    let paper = top.choice(&schema::PAPER).unwrap_or(Paper::usual(units));
    let title = top.needed(&schema::TITLE, top.name("title"));
    let said = |key: &Key| top.name(key.name).map(toml::Spanned::into_inner);
    let (owner, drawn_by) = (said(&schema::OWNER), said(&schema::DRAWN_BY));
    let sheets = top.tables("stock", schema::MOST_STOCKS);
    let of_job = job_name(title.as_ref().map_or("", |title| title.get_ref()), source);
    let (from_lists, bought): (Vec<&Table>, Vec<&Table>) =
        sheets.iter().partition(|table| table.has(schema::FROM.name));
    // Off-cuts come first: they are used before whole sheets.
    let mut stock = off_cuts::read(&from_lists, &bought, profiles, &of_job);
    stock.extend(bought.iter().map(|table| stock::read(table, profiles)));
    names_of_its_own(&sheets, "stock");
    if sheets.is_empty() {
        top.none_of(&schema::STOCK_LIST);
    }
    let thickest = stock.iter().flatten().map(|stock| stock.thickness).fold(0.0, f64::max);
    let mut router = top.table("router").map(|table| read_router(&table, profiles, thickest));
    if let Some(router) = router.iter_mut().flatten().next() {
        stock::clear_of_what_stands(router, &stock);
        stock::margins(router, &sheets, &mut stock);
    }
    let saw = top.table("saw").map(|table| read_saw(&table, profiles));
    let tables = top.tables("box", schema::MOST_ORDERS);
    let mut boxes: Vec<Option<BoxOrder>> =
        tables.iter().map(|table| read_box(table, profiles, kinds, &stock)).collect();
    stand(&tables, &mut boxes);
    let loose: Vec<Option<LoosePart>> =
        top.tables("part", schema::MOST_LOOSE).iter().map(|table| read_part(table, &stock)).collect();
    if boxes.is_empty() && loose.is_empty() && (!top.has("part") || top.has("box")) {
        top.none_of(&schema::BOX_LIST);
    }
    let (hardware, costing) = (cost::hardware(top, profiles), cost::costing(top));
    let accepts = accepts(top);
    let job = Job {
        source: Arc::clone(source),
        title: title?.into_inner(),
        owner,
        drawn_by,
        units,
        paper,
        stock: stock.into_iter().collect::<Option<_>>()?,
        router: router.map_or(Some(None), |router| router.map(Some))?,
        saw: saw.map_or(Some(None), |saw| saw.map(Some))?,
        boxes: boxes.into_iter().collect::<Option<_>>()?,
        loose: loose.into_iter().collect::<Option<_>>()?,
        hardware,
        costing,
        accepts,
    };
    for endless in endless_stock(&job) {
        top.desk.problem(endless.span, endless.message, endless.expected, endless.help);
    }
    check_names(top, &job);
    check_amount(top, &job);
    Some(job)
}

/// `thickest` is the thickness of the thickest stock.
fn read_router(table: &Table, profiles: &Profiles, thickest: f64) -> Option<Router> {
    table.only(&[ROUTER, cutting::KEYS]);
    let machine = table.needed(&schema::MACHINE, table.profile::<Machine>("machine", profiles));
    let cutter = table.needed(&schema::CUTTER, table.profile::<Tool>("cutter", profiles));
    let drills = table.profiles::<Tool>("drills", profiles).unwrap_or_default();
    let clearance = table.mm(&schema::CLEARANCE);
    let wrong_kind = |key: &str, tool: &Tool, wanted: &str| {
        table.desk.problem(
            table.spot(key).unwrap_or(table.span.clone()),
            format!("`{}` is not {wanted}", tool.name),
            format!("expected {wanted}"),
            "",
        );
    };
    let cutting = cutting::read(table);
    let cutter = cutter?;
    if cutter.kind != ToolKind::EndMill {
        wrong_kind("cutter", &cutter, "an end mill");
        return None;
    }
    if let Some(mill) = drills.iter().find(|tool| tool.kind != ToolKind::Drill) {
        wrong_kind("drills", mill, "a drill");
        return None;
    }
    if let Some((_, twice)) =
        drills.iter().enumerate().find(|(i, tool)| drills[..*i].iter().any(|one| one.name == tool.name))
    {
        let spot = table.spot("drills").unwrap_or(table.span.clone());
        table.desk.problem(spot, format!("`{}` is listed twice", twice.name), "expected each drill once", "");
        return None;
    }
    let cutter = as_measured(table, cutter)?;
    let machine = machine?;
    let machine = match table.choice::<SheetZero>(&schema::SHEET_ZERO) {
        Some(value) => Arc::new(Machine {
            sheet_zero: Sourced { value, source: "the spec: `sheet-zero`".into() },
            ..Machine::clone(&machine)
        }),
        None => machine,
    };
    if cutting.flip.is_some() && machine.sheet_zero.value != SheetZero::LowerLeft {
        let spot = table.spot("sheet-zero").or(table.spot("flip")).unwrap_or(table.span.clone());
        let message = "a sheet that is turned over lies at its lower-left corner";
        table.desk.problem(spot, message, "expected sheet-zero = \"lower-left\" beside `flip`", "");
    }
    let spots = table.spots(&[cutting::KEYS, &[schema::DRILLS]].concat());
    let mut router = Router { machine, cutter, drills, clearance, cutting, spot: table.span.clone(), spots };
    if !table.has("pin") {
        router.cutting.pin = router.usual_pin(table.desk.units(), thickest);
    }
    Some(router)
}

/// The cutter with the diameter that calipers show; complains of one that is another tool's.
fn as_measured(table: &Table, cutter: Arc<Tool>) -> Option<Arc<Tool>> {
    /// Grinding takes no more off a cutter (share of its diameter): common practice.
    const OFF: f64 = 0.1;
    let key = &schema::CUTTER_DIAMETER;
    if !table.has(key.name) {
        return Some(cutter);
    }
    let measured = table.length(key)?;
    let (least, most) = (cutter.diameter.value * (1.0 - OFF), cutter.diameter.value * (1.0 + OFF));
    if !(least..=most).contains(&measured) {
        let units = table.desk.units();
        table.desk.problem(
            table.spot(key.name).unwrap_or(table.span.clone()),
            format!("{} is no longer the cutter `{}`", units.measured(measured), cutter.name),
            format!("expected a length from {} to {}", units.measured(least), units.measured(most)),
            "for another cutter give another profile",
        );
        return None;
    }
    let diameter = Sourced { value: measured, source: "measured with calipers: `cutter-diameter`".into() };
    Some(Arc::new(Tool { diameter, ..Tool::clone(&cutter) }))
}

fn read_saw(table: &Table, profiles: &Profiles) -> Option<Saw> {
    table.only(&[SAW]);
    let kerf = table.needed(&schema::KERF, table.length(&schema::KERF));
    let bench = if table.has("machine") {
        table.profile::<SawBench>("machine", profiles)
    } else {
        profiles.find(schema::DEFAULT_SAW).ok()
    };
    let together = table.count(&schema::SAW_TOGETHER);
    let stages = table.whole(&schema::SAW_STAGES);
    Some(Saw { kerf: kerf?, bench: bench?, together, stages })
}

fn read_box(table: &Table, profiles: &Profiles, kinds: &Kinds, stock: &[Option<Stock>]) -> Option<BoxOrder> {
    let name = table.needed(&schema::BOX_NAME, table.name("name"));
    let count = table.needed(&schema::BOX_COUNT, read_count(table));
    let Some(kind_name) = table.needed(&schema::KIND, table.text("kind")) else {
        table.only(&[BOX, &kinds.iter().flat_map(|kind| kind.keys).copied().collect::<Vec<_>>()]);
        return None;
    };
    let Some(kind) = kinds.find(kind_name.get_ref()) else {
        let names = || kinds.iter().map(|kind| kind.name);
        table.desk.problem(
            kind_name.span(),
            format!("there is no kind of box `{}`", kind_name.get_ref()),
            format!("expected {}", any_of(names())),
            nearest(kind_name.get_ref(), names()).map(|near| format!("did you mean \"{near}\"?")).unwrap_or_default(),
        );
        return None;
    };
    table.only(&[BOX, kind.keys]);
    let design: Option<Arc<dyn Design>> = (kind.read)(table, profiles);
    let variants = variants(table, profiles, kind);
    let holes: Vec<_> = table.tables("hole", schema::MOST_HOLES).iter().map(|hole| holes::read(hole, None)).collect();
    let pockets: Vec<_> =
        table.tables("pocket", schema::MOST_HOLES).iter().map(|pocket| pockets::read(pocket, None)).collect();
    let added = table.tables("board", schema::MOST_BOARDS);
    names_of_its_own(&added, "board");
    let play = boards::play(table, kind);
    let added: Vec<_> = added.iter().map(|board| boards::read(board, play, stock)).collect();
    let panel_stock = panel_stock(table, stock);
    let made_of = which_stock(table, stock);
    let (boards, of_boards): (Vec<_>, Vec<_>) = added.into_iter().collect::<Option<Vec<_>>>()?.into_iter().unzip();
    let panel_stock = panel_stock.zip(made_of).zip(design.as_ref()).map(|((named, own), design)| {
        let mut all: Vec<PanelStock> = of_boards.into_iter().flatten().chain(named).collect();
        all.extend(thin_panels(design.as_ref(), &all, own, stock, table));
        all
    });
    Some(BoxOrder {
        name: name?.into_inner(),
        count: count?.0,
        per_set: count?.1,
        stock: made_of?,
        panel_stock: panel_stock?,
        design: design?,
        variants,
        stands_on: None,
        grain: grain::read(table),
        boards,
        holes: holes.into_iter().collect::<Option<_>>()?,
        pockets: pockets.into_iter().collect::<Option<_>>()?,
        spot: table.span.clone(),
    })
}

/// How many, and where it is as many as the sheets give, how many of them belong to a set: then the count is that of one
/// set.
fn read_count(table: &Table) -> Option<(u32, Option<u32>)> {
    let per_set = table.whole(&schema::PER_SET);
    let (key, most) = (schema::BOX_COUNT.name, schema::MOST_BOXES);
    match table.word(key).as_deref() {
        Some("max") => {
            let per_set = if table.has(schema::PER_SET.name) { per_set? } else { 1 };
            Some((per_set, Some(per_set)))
        }
        Some(_) => {
            table.wrong(key, table.spot(key)?, format!("a whole number from 1 to {most}, or \"max\""));
            None
        }
        None => {
            let count = table.whole_within(key, 1..=most);
            if let Some(spot) = table.spot(schema::PER_SET.name) {
                let expected = "expected count = \"max\", or no `per-set`";
                let help = "sets are built as often as the sheets give; what has a count is built so many times";
                table.desk.problem(spot, "`per-set` goes with a count of \"max\"", expected, help);
            }
            Some((count?, None))
        }
    }
}

/// The box with each of its choices of words made otherwise, one at a time.
fn variants(table: &Table, profiles: &Profiles, kind: &Kind) -> Vec<Variant> {
    let mut variants = Vec::new();
    for key in kind.keys {
        let written = table.word(key.name);
        let usual = if let Unless::Word(usual) = key.default { usual } else { "" };
        let now = written.as_deref().unwrap_or(usual);
        for word in key.words().iter().copied().filter(|word| *word != now) {
            if let Some(design) = table.as_if(key.name, word, |table| (kind.read)(table, profiles)) {
                variants.push(Variant { choice: format!("{} = \"{word}\"", key.name), design });
            }
        }
    }
    variants
}

/// Which box each is to stand on, by name; never on itself, nor in a ring.
fn stand(tables: &[Table], boxes: &mut [Option<BoxOrder>]) {
    let names: Vec<Option<String>> = boxes.iter().map(|order| order.as_ref().map(|order| order.name.clone())).collect();
    for (i, table) in tables.iter().enumerate() {
        let Some(name) = table.text(schema::STANDS_ON.name) else { continue };
        let under = names.iter().position(|known| known.as_ref() == Some(name.get_ref()));
        let others = || names.iter().enumerate().filter(|(j, _)| *j != i).filter_map(|(_, name)| name.as_deref());
        let wrong = |message: String| {
            let near = nearest(name.get_ref(), others()).map(|near| format!("did you mean \"{near}\"?"));
            let expected = match others().next() {
                Some(_) => format!("expected {}", any_of(others())),
                None => "expected no `stands-on`: there is no other box".into(),
            };
            table.desk.problem(name.span(), message, expected, near.unwrap_or_default());
        };
        match under {
            None if names.iter().any(Option::is_none) => {}
            None => wrong(format!("there is no box `{}`", name.get_ref())),
            Some(under) => {
                let mut below = Some(under);
                while let Some(next) = below.filter(|next| *next != i) {
                    below = boxes[next].as_ref().and_then(|order| order.stands_on);
                }
                if below == Some(i) {
                    wrong("a box cannot stand on itself".into());
                } else if let Some(order) = &mut boxes[i] {
                    order.stands_on = Some(under);
                }
            }
        }
    }
}

fn read_part(table: &Table, stock: &[Option<Stock>]) -> Option<LoosePart> {
    table.only(&[PART]);
    let name = table.needed(&schema::PART_NAME, table.name("name"));
    let shape = if table.has(schema::OUTLINE.name) { Some(outline::read(table)) } else { None };
    if let (Some(_), Some(spot)) = (&shape, table.spot(schema::PART_SIZE.name)) {
        let expected = "expected one of `size` and `outline`";
        table.desk.problem(spot, "a part's outline has a size of its own", expected, "");
    }
    let size = match &shape {
        Some(shape) => shape.as_ref().map(|shape| {
            let bounds = shape.outline.bounds();
            [bounds.width(), bounds.height()]
        }),
        None => table.needed(&schema::PART_SIZE, table.lengths::<2>(&schema::PART_SIZE)),
    };
    let count = if table.has("count") || table.has(schema::PER_SET.name) { read_count(table) } else { Some((1, None)) };
    let name = name?.into_inner();
    let holes: Vec<_> =
        table.tables("hole", schema::MOST_HOLES).iter().map(|hole| holes::read(hole, Some(&name))).collect();
    let pockets: Vec<_> =
        table.tables("pocket", schema::MOST_HOLES).iter().map(|pocket| pockets::read(pocket, Some(&name))).collect();
    let [length, width] = size?;
    let made_of = which_stock(table, stock);
    // Left to us, a piece of solid wood has its grain along its longer side.
    let solid = made_of.and_then(|i| stock[i].as_ref()).is_some_and(|stock| stock.material.wood.is_some());
    let usual = match (solid, length >= width) {
        (false, _) => schema::PART_GRAIN.word(),
        (true, true) => Grain::Long,
        (true, false) => Grain::Cross,
    };
    let grain = table.choice(&schema::PART_GRAIN).unwrap_or(usual);
    Some(LoosePart {
        count: count?.0,
        per_set: count?.1,
        length,
        width,
        shape: shape.flatten().map(|shape| (shape.outline, shape.openings)),
        grain,
        stock: made_of?,
        holes: holes.into_iter().collect::<Option<_>>()?,
        pockets: pockets.into_iter().collect::<Option<_>>()?,
        name,
        spot: table.span.clone(),
    })
}

/// What is named must not be called as another of its sort is.
fn names_of_its_own(tables: &[Table], sort: &str) {
    let mut seen: Vec<String> = Vec::new();
    for table in tables {
        let (Some(name), Some(spot)) = (table.word("name"), table.spot("name")) else { continue };
        let name = name.trim().to_string();
        if seen.contains(&name) {
            let message = format!("the name `{name}` is used twice");
            table.desk.problem(spot, message, format!("expected a name of its own for each {sort}"), "");
        }
        seen.push(name);
    }
}

/// Names on parts and drawings must tell boxes apart.
fn check_names(top: &Table, job: &Job) {
    let mut seen: HashMap<&str, ()> = HashMap::new();
    let boxes = job.boxes.iter().map(|order| (&order.name, &order.spot));
    for (name, spot) in boxes.chain(job.loose.iter().map(|part| (&part.name, &part.spot))) {
        if seen.insert(name, ()).is_some() {
            let message = format!("the name `{name}` is used twice");
            top.desk.problem(spot.clone(), message, "expected a name of its own for each box and part", "");
        }
    }
}

/// A job of more pieces than anyone cuts is a slip of the keyboard.
/// A set takes as many sheets as there are: every stock that it may be cut from must say how many that is.
pub(crate) fn endless_stock(job: &Job) -> Vec<Problem> {
    let boxes = job.boxes.iter().filter(|order| order.per_set.is_some()).flat_map(|order| job.stocks_of(order));
    let loose = job.loose.iter().filter(|part| part.per_set.is_some()).map(|part| part.stock);
    let of_sets: Vec<usize> = boxes.chain(loose).collect();
    let groups = job.stock_groups();
    let needed = groups.iter().filter(|group| group.iter().any(|stock| of_sets.contains(stock))).flatten();
    let endless = needed.map(|stock| &job.stock[*stock]).filter(|stock| stock.on_hand.is_none());
    let problem = |stock: &Stock| {
        Problem::new(
            &job.source,
            stock.spot.clone(),
            format!("`{}` does not say how many sheets there are", stock.name),
            "expected on-hand = a whole number",
            "as many boxes as the sheets give are asked for",
        )
    };
    endless.map(problem).collect()
}

fn check_amount(top: &Table, job: &Job) {
    let boxes: u64 = job.boxes.iter().map(|order| u64::from(order.count)).sum();
    let pieces: u64 = job.loose.iter().map(|part| u64::from(part.count)).sum();
    if boxes * 10 + pieces > MOST_PIECES {
        let first = job.boxes.first().map(|order| &order.spot).or(job.loose.first().map(|part| &part.spot)).cloned();
        top.desk.problem(
            first.unwrap_or(0..0),
            format!("{boxes} boxes and {pieces} loose parts are too many for one job"),
            format!("expected at most {MOST_PIECES} pieces in all, a box counted as ten"),
            "make several jobs of it: so many pieces are cut over many days",
        );
    }
}

//! An independent look at what was made: panels, parts, sheets, programs, steps and hardware are one thing, told many ways.

use nestwright::design::Part;
use nestwright::draw::{part_drawing, sheet_picture};
use nestwright::export::Files;
use nestwright::finding::{Finding, Measure, Status};
use nestwright::gcode::read::{Setup, Step, read};
use nestwright::layout::{self, Sheet};
use nestwright::profile::ZZero;
use nestwright::route::SheetFace;
use nestwright::units::Units;
use nestwright::{Made, steps::StepKind};

/// Everything that does not agree, the first of it.
///
/// # Errors
/// What is wrong, in a sentence.
pub fn look(made: &Made) -> Result<(), String> {
    wood(made)?;
    sheets(made)?;
    for i in 0..made.layout.sheets.len() {
        programs(made, i)?;
    }
    steps(made)?;
    let counts = made.supplies.iter().all(|supply| supply.total > 0.0 && supply.total.is_finite());
    ensure(counts, || "a supply of nothing".into())?;
    ensure(made.cost.total.is_finite() && made.cost.total >= 0.0, || format!("it costs {}", made.cost.total))?;
    sums(made)?;
    figures(&made.findings, made.job.units)?;
    let with_limits = |finding: &&Finding| finding.allowed.is_some_and(|it| it != Default::default());
    for finding in made.findings.iter().filter(with_limits) {
        ensure(!finding.source.is_empty(), || format!("no source: {finding:?}"))?;
    }
    ensure(!made.findings.iter().any(|finding| finding.refused()), || "made, and yet refused".into())
}

/// Every sum of the cost list is that of the lines above it, in whole cents as they are printed.
///
/// # Errors
/// Which one is not.
pub fn sums(made: &Made) -> Result<(), String> {
    let cents = |sum: f64| -> i128 { format!("{sum:.2}").replace('.', "").parse().unwrap_or(i128::MIN) };
    let mut whole = 0;
    for entry in &made.cost.boxes {
        let lines: i128 = entry.lines.iter().map(|line| cents(line.amount)).sum();
        ensure(lines == cents(entry.cost), || format!("the lines of {entry:?} are {lines} cents"))?;
        whole += i128::from(entry.count) * lines;
    }
    ensure(whole == cents(made.cost.total), || format!("{} for boxes of {whole} cents", made.cost.total))
}

/// What a finding shows as it is and as it may be: neither a figure that is refused beside the same one allowed, nor one that
/// is allowed outside its limits; in either unit. And what its advice says of either is said in the same figure.
///
/// # Errors
/// Which finding does otherwise.
pub fn figures(findings: &[Finding], own: Units) -> Result<(), String> {
    for finding in findings {
        for units in [Units::Millimetres, Units::Inches] {
            let Some((is, may_be)) = finding.figures(units) else { continue };
            let Some((value, limits)) = finding.measured.zip(finding.allowed) else { continue };
            let bounds = bounds(&may_be);
            let told = || format!("{}: {is}, {may_be}; {}", finding.check, finding.advice);
            if limits.hold(value.value()) {
                let (is, ends) = (number(&is), bounds.iter().map(|bound| number(bound)).collect::<Vec<_>>());
                let least = limits.least.map_or(f64::NEG_INFINITY, |_| ends[0]);
                let most = limits.most.map_or(f64::INFINITY, |_| ends[ends.len() - 1]);
                ensure(least <= is && is <= most, || format!("allowed, and shown outside: {}", told()))?;
            } else {
                let alike = bounds.iter().any(|bound| number(bound) == number(&is));
                ensure(!alike, || format!("refused, and shown as allowed: {}", told()))?;
            }
            if units == own && finding.status != Status::Ok {
                in_one_figure(finding, &is, &may_be, own).map_err(|why| format!("{why}: {}", told()))?;
            }
        }
    }
    Ok(())
}

/// The ends of `6 to 9.5 mm` or of `at least 12 mm`, each with the unit.
fn bounds(may_be: &str) -> Vec<String> {
    let plain = may_be.trim_start_matches("at least ").trim_start_matches("at most ");
    plain.split(" to ").map(String::from).collect()
}

/// The number that a figure starts with; of `1 3/4 in`, 1.75.
fn number(figure: &str) -> f64 {
    let digits = figure.trim_end_matches(|c: char| !c.is_ascii_digit());
    let digits = if figure.ends_with('²') { digits.trim_end_matches(" cm") } else { digits };
    let term = |term: &str| match term.split_once('/') {
        Some((over, under)) => Some(over.parse::<f64>().ok()? / under.parse::<f64>().ok()?),
        None => term.parse().ok(),
    };
    let terms: Option<Vec<f64>> = digits.split(' ').map(term).collect();
    terms.map_or(f64::NAN, |terms| terms.iter().sum())
}

/// A figure of the advice that is what was measured, within what rounding may take off it, is the one that is shown.
fn in_one_figure(finding: &Finding, is: &str, may_be: &str, units: Units) -> Result<(), String> {
    let (mm, half) = match (finding.measured, units) {
        (Some(Measure::Length(mm)), Units::Millimetres) => (mm, 0.05),
        (Some(Measure::Length(mm)), Units::Inches) => (mm, units.in_mm() / 64.0),
        (Some(Measure::Thickness(mm)), Units::Millimetres) => (mm, 0.005),
        (Some(Measure::Thickness(mm)), Units::Inches) => (mm, units.in_mm() / 2000.0),
        _ => return Ok(()),
    };
    let sign = format!(" {units}");
    for (end, _) in finding.advice.match_indices(&sign) {
        if finding.advice[end + sign.len()..].starts_with(char::is_alphanumeric) {
            continue;
        }
        let before = &finding.advice[..end];
        let start = before.rfind(|c: char| !c.is_ascii_digit() && !" ./".contains(c)).map_or(0, |at| at + 1);
        let figure = format!("{}{sign}", before[start..].trim_start());
        let value = number(&figure) * units.in_mm();
        // What it may be, rounded to its own side, is another matter.
        let a_bound = bounds(may_be).iter().any(|bound| {
            let bound = number(bound) * units.in_mm();
            (value - bound).abs() < (value - mm).abs()
        });
        let other = (value - mm).abs() < half && figure != is && !a_bound;
        ensure(!other || finding.advice.contains(is), || format!("{figure} for {is}"))?;
    }
    Ok(())
}

/// The size of every part as its drawing has it is that of the cut list, of the sheets' pictures and of the saw's.
///
/// # Errors
/// Which part has another, and where.
pub fn papers(made: &Made, files: &Files) -> Result<(), String> {
    let units = made.job.units;
    let text = |name: &str| files.get(name).map(|file| String::from_utf8_lossy(file).into_owned()).unwrap_or_default();
    let rows = text("parts.csv");
    let sides = |part: &Part| [units.number(part.length), units.number(part.width)];
    for (i, part) in made.parts.iter().enumerate() {
        let (sides, thickness) = (sides(part), units.measured(part.thickness));
        let row = rows.lines().nth(i + 1).unwrap_or_default();
        let told = format!(",{},{},{},{thickness},", part.count, sides[0], sides[1]);
        ensure(row.contains(&told), || format!("{}: {told} is not in {row}", part.name))?;
        let drawing = part_drawing(made, i);
        let texts: Vec<&str> = drawing.texts().map(|text| text.text.as_str()).collect();
        if texts.iter().any(|text| text.starts_with("Not every feature")) {
            continue;
        }
        let all = sides.iter().all(|side| texts.contains(&side.as_str()));
        ensure(all, || format!("{}: {sides:?} is not on its drawing: {texts:?}", part.name))?;
        let thick = thickness.rsplit_once(' ').map_or("", |(number, _)| number);
        ensure(texts.contains(&thick), || format!("{}: {thick} is not on its drawing: {texts:?}", part.name))?;
    }
    let known: Vec<String> = made.parts.iter().map(|part| sides(part).join(" × ")).collect();
    for i in 0..made.layout.sheets.len() {
        for text in sheet_picture(made, i)
            .texts()
            .filter(|text| text.text.contains(" × ") && text.text.starts_with(|c: char| c.is_ascii_digit()))
        {
            let size = text.text.trim_end_matches(&format!(" {units}")).to_string();
            let off_cut = || {
                made.off_cuts.iter().any(|it| {
                    let rect = it.rect();
                    size == format!("{} × {}", units.number(rect.width()), units.number(rect.height()))
                })
            };
            let sheet = &made.layout.sheets[i];
            let whole = format!("{} × {} × ", units.number(sheet.length), units.number(sheet.width));
            let right = known.contains(&size) || size.starts_with(&whole) || off_cut();
            ensure(right, || format!("sheet {}: nothing is {}", i + 1, text.text))?;
        }
    }
    Ok(())
}

fn ensure(holds: bool, why: impl FnOnce() -> String) -> Result<(), String> {
    if holds { Ok(()) } else { Err(why()) }
}

/// Every panel is a part, and loses no wood on the way.
fn wood(made: &Made) -> Result<(), String> {
    let panels: u32 = made.assemblies.iter().map(|assembly| assembly.count * assembly.panels.len() as u32).sum();
    let pieces: u32 = made.parts.iter().map(|part| part.count).sum();
    ensure(pieces == panels, || format!("{panels} panels, {pieces} parts"))?;
    let of_panels = made.assemblies.iter().map(|assembly| {
        f64::from(assembly.count) * assembly.panels.iter().map(|p| p.outline.area() * p.thickness).sum::<f64>()
    });
    let wood: f64 = of_panels.sum();
    let cut: f64 = made.parts.iter().map(|part| f64::from(part.count) * part.outline.area() * part.thickness).sum();
    ensure((wood - cut).abs() < 1e-6 * wood, || format!("{wood} mm³ in panels, {cut} in parts"))
}

/// Every part lies on a sheet as often as it is needed, by either plan, and no plan takes more sheets than there are.
fn sheets(made: &Made) -> Result<(), String> {
    if let Some(router) = &made.job.router {
        let wrong = layout::verify(&made.job, &made.parts, &made.layout, router.gap());
        ensure(wrong.is_empty(), || format!("{wrong:?}"))?;
        on_hand(made, made.layout.sheets.iter().map(|sheet| sheet.stock))?;
    }
    if made.job.saw.is_some() {
        ensure(!made.patterns.is_empty(), || "nothing is sawn".into())?;
        on_hand(made, made.patterns.iter().map(|pattern| pattern.stock))?;
    }
    Ok(())
}

fn on_hand(made: &Made, used: impl Iterator<Item = usize>) -> Result<(), String> {
    let mut taken = vec![0; made.job.stock.len()];
    used.for_each(|stock| taken[stock] += 1);
    for (stock, taken) in made.job.stock.iter().zip(taken) {
        let there = stock.on_hand.unwrap_or(u32::MAX);
        ensure(taken <= there, || format!("{taken} sheets of {}, of {there}", stock.name))?;
    }
    Ok(())
}

/// A sheet's programs cut through it inside its edges and within the machine's reach, and make every hole where it belongs.
fn programs(made: &Made, i: usize) -> Result<(), String> {
    let (sheet, Some(router)) = (&made.layout.sheets[i], &made.job.router) else { return Ok(()) };
    let machine = &router.machine;
    let top = if machine.z_zero.value == ZZero::SheetTop { 0.0 } else { sheet.thickness };
    // A program is no finer than the digits that its machine reads.
    let unit = machine.units.in_mm();
    let fine = 0.02 + 0.5 * unit * 0.1f64.powi(machine.decimals.value as i32);
    let mut deep: Vec<[f64; 2]> = Vec::new();
    for program in made.programs.iter().filter(|program| program.sheet == i) {
        let first = program.face == Some(SheetFace::First);
        // A pin's hole goes deeper.
        let below =
            if first { machine.pin_depth.as_ref().map_or(0.0, |it| it.value) } else { machine.spoilboard.value };
        // Where the tool last cut, and how deep.
        let mut cut = [f64::NAN; 3];
        let mut setup = Setup { dwell_unit: if machine.dwell_in_ms.value { 0.001 } else { 1.0 }, ..Setup::default() };
        let [x0, y0] = machine.sheet_zero.value.on(sheet.length, sheet.width);
        setup.origins[0] = Some([x0, y0, 0.0]);
        // The tool that is in: by the program's name, or as it is fetched or asked for.
        let mut tool = program.tools.first().map(|(_, tool)| tool.clone());
        let mut lines = program.text.lines().enumerate().peekable();
        for step in read(&program.text, &setup) {
            let step = step.map_err(|why| format!("{}: {why}", program.file))?;
            let Step::Move(step) = step else { continue };
            while let Some((_, line)) = lines.next_if(|(i, _)| *i < step.line) {
                let said = line.strip_prefix("(tool ").and_then(|rest| rest.split_once(':')?.0.parse::<u32>().ok());
                if let Some(number) = said {
                    tool = program.tools.iter().find(|(known, _)| *known == number).map(|(_, tool)| tool.clone());
                }
            }
            let point = tool.as_ref().map_or(0.0, |tool| tool.point.value);
            let at = |what: &str| format!("{}:{}: {what} {:?}", program.file, step.line, step.to);
            ensure(step.feed.unwrap_or(0.0) <= machine.feed.value * 1.01 + 0.5, || at("faster than the machine"))?;
            let [Some(x), Some(y), Some(z)] = step.to.map(|axis| axis.known()) else { continue };
            // Of a drill with a point the height of its edges.
            let z = z - top + point;
            if z >= 0.0 {
                continue;
            }
            // A drill goes back down in its own hole, to above where it was.
            let back_down = [x, y] == [cut[0], cut[1]] && z > cut[2];
            ensure(!step.rapid || z > -sheet.thickness || back_down, || at("a rapid move below the sheet"))?;
            if !step.rapid {
                cut = [x, y, z];
            }
            ensure(z > -sheet.thickness - below - fine, || at("below the sheet"))?;
            let aside = router.gap() + 1.0;
            let near = (-aside..sheet.length + aside).contains(&x) && (-aside..sheet.width + aside).contains(&y);
            ensure(near, || at("off the sheet"))?;
            if z <= -sheet.thickness + fine - 0.02 && !first {
                deep.push([x, y]);
            }
        }
    }
    ensure(!deep.is_empty(), || format!("sheet {} is not cut through", i + 1))?;
    holes(&made.parts, sheet, &deep)
}

fn holes(parts: &[Part], sheet: &Sheet, deep: &[[f64; 2]]) -> Result<(), String> {
    for placement in &sheet.placements {
        let part = &parts[placement.part];
        for hole in &part.holes {
            let at = placement.affine(part) * hole.centre;
            let reach = hole.length.max(hole.width) / 2.0 + 0.02;
            let near = deep.iter().any(|[x, y]| (x - at.x).hypot(y - at.y) <= reach);
            ensure(near, || format!("no cut for the {} hole of {}", hole.use_, part.name))?;
        }
        for hole in part.screw_holes.iter().filter(|hole| hole.by_router && hole.depth.is_none()) {
            let at = placement.affine(part) * hole.centre;
            let near = deep.iter().any(|[x, y]| (x - at.x).hypot(y - at.y) <= hole.diameter / 2.0 + 0.02);
            ensure(near, || format!("no cut for a screw's {} hole in {}", hole.bored.name(), part.name))?;
        }
    }
    Ok(())
}

/// Every panel is set in its place by one step.
fn steps(made: &Made) -> Result<(), String> {
    for steps in &made.steps {
        let mut set = vec![0; steps.panels.len()];
        for step in steps.steps.iter().filter(|step| step.kind != StepKind::Place) {
            step.adds.iter().for_each(|panel| set[*panel] += 1);
        }
        let assembly = made.assemblies.iter().find(|assembly| assembly.name == steps.box_name);
        let own = |i: usize| assembly.map_or("", |it| &it.panels[i].sub_assembly);
        let alone = |i: usize| (0..set.len()).filter(|j| own(*j) == own(i)).count() == 1 && !own(i).is_empty();
        let right = (0..set.len()).all(|i| set[i] == 1 || (alone(i) && set[i] == 0));
        ensure(right, || format!("{set:?} of {:?}", steps.panels))?;
    }
    Ok(())
}

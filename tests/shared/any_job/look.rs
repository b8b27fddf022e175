//! An independent look at what was made: panels, parts, sheets, programs, steps and hardware are one thing, told many ways.

use nestwright::design::Part;
use nestwright::gcode::read::{Setup, Step, read};
use nestwright::layout::{self, Sheet};
use nestwright::profile::ZZero;
use nestwright::route::SheetFace;
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
    let with_limits =
        |finding: &&nestwright::finding::Finding| finding.allowed.is_some_and(|it| it != Default::default());
    for finding in made.findings.iter().filter(with_limits) {
        ensure(!finding.source.is_empty(), || format!("no source: {finding:?}"))?;
    }
    ensure(!made.findings.iter().any(|finding| finding.refused()), || "made, and yet refused".into())
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
        let setup = Setup { dwell_unit: if machine.dwell_in_ms.value { 0.001 } else { 1.0 }, ..Setup::default() };
        for step in read(&program.text, &setup) {
            let step = step.map_err(|why| format!("{}: {why}", program.file))?;
            let Step::Move(step) = step else { continue };
            let at = |what: &str| format!("{}:{}: {what} {:?}", program.file, step.line, step.to);
            ensure(step.feed.unwrap_or(0.0) <= machine.feed.value * 1.01 + 0.5, || at("faster than the machine"))?;
            let [Some(x), Some(y), Some(z)] = step.to.map(|axis| axis.known()) else { continue };
            let z = z - top;
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

//! `prove`: a program from anywhere, held against a job.

use super::findings::{WIDTH, wrapped};
use super::{Failure, REFUSED, UNREADABLE, input, shown, unprinted};
use nestwright::disk;
use nestwright::draw;
use nestwright::error::{Error, Unproved};
use nestwright::finding::Measured;
use nestwright::finding::Status;
use nestwright::proof::{Claim, NoProof, Proof, Prover, Text};
use nestwright::reading::{any_of, harmless};
use nestwright::units::Units;
use nestwright::words::counted;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Programs are no longer than this (bytes).
const LONGEST: u64 = 256 << 20;

/// What is to be proved.
pub(super) struct Asked<'a> {
    /// Programs, one after the other on one sheet.
    pub files: &'a [PathBuf],
    /// The folder of the job.
    pub job: &'a Path,
    pub sheet: Option<usize>,
    /// A folder for a picture of each.
    pub picture: Option<&'a Path>,
    pub json: bool,
}

/// Proves the files; those that failed are named on the error channel.
pub(super) fn prove(asked: &Asked, quiet: bool) -> Result<ExitCode, Failure> {
    let claim = claim(asked.job)?;
    let (claim, proofs, pictures) = proofs(claim, asked)?;
    for (picture, svg) in &pictures {
        disk::write_proof(picture, svg).map_err(|why| Failure::Job(why, REFUSED))?;
    }
    let print = || -> io::Result<()> {
        let mut out = io::stdout().lock();
        if asked.json {
            out.write_all(&super::json_of(&proofs)?)?;
        } else if !quiet {
            for (i, proof) in proofs.iter().enumerate() {
                table(&mut out, proof, claim.units)?;
                match pictures.get(i) {
                    Some((picture, _)) => writeln!(out, "\n  picture: {}\n", shown(picture))?,
                    None => writeln!(out)?,
                }
            }
        }
        out.flush()
    };
    let unprinted = print().map_or_else(|why| unprinted(&why), |()| 0);
    for proof in proofs.iter().filter(|proof| !proof.proved()) {
        let faults = counted(proof.faults().count(), "measure");
        let file = harmless(&proof.file);
        let see = if pictures.is_empty() { ". --picture DIR draws where" } else { "" };
        writeln!(io::stderr(), "nestwright: {file} failed: {faults} beyond the limits. Do not run it{see}")?;
    }
    let proved = proofs.iter().all(|proof| proof.proved());
    Ok(ExitCode::from(if proved { unprinted } else { REFUSED }))
}

/// A picture's path and text.
type Picture = (PathBuf, String);

/// The proof of each file that was asked for, its picture where one is wanted, and the claim of the face that they cut.
fn proofs(claim: Claim, asked: &Asked) -> Result<(Claim, Vec<Proof>, Vec<Picture>), Failure> {
    let Asked { files, job, picture, .. } = *asked;
    let texts: Vec<(String, String)> =
        files.iter().map(|path| Ok((name(path), text(path)?))).collect::<Result<_, Failure>>()?;
    let names = || texts.iter().map(|(file, _)| file.as_str());
    let sheet = match asked.sheet {
        Some(sheet) => sheet,
        None => sheet_of(&claim, names()).map_err(|why| unreadable(job, why))?,
    };
    if let Some(file) = names().find(|file| !claim.tells_its_face(sheet, file)) {
        let of_sheet = claim.programs.iter().filter(|program| program.sheet == sheet);
        let known = any_of(of_sheet.map(|program| program.file.as_str()));
        let why = format!(
            "the sheet is turned over, and only a name that the job knows tells which face is up: call it {known}"
        );
        return Err(unreadable(Path::new(file), why));
    }
    // Of a sheet that is turned over, each face has a claim of its own.
    let first = names().any(|file| claim.is_of_first_face(file));
    let claim = if first { claim.first_face() } else { claim.second_face() };
    let (proofs, pictures) = {
        let prover = Prover::new(&claim).map_err(|why| no_proof(job, &why))?;
        let run = with_others(&claim, sheet, job, texts)?;
        let texts: Vec<Text> =
            run.iter().map(|(file, text)| Text { file, text, tool: prover.first_tool(sheet, file) }).collect();
        let mut proofs = prover.prove_with_areas(sheet, &texts).map_err(|why| no_proof(job, &why))?;
        proofs.retain(|proof| files.iter().any(|path| name(path) == proof.file));
        let mut pictures = Vec::new();
        if let Some(folder) = picture {
            let shown = prover.shown(sheet, &texts).map_err(|why| no_proof(job, &why))?;
            for proof in &proofs {
                let path = folder.join(Path::new(&proof.file).with_extension("proof.svg"));
                pictures.push((path, draw::svg(&draw::proof_picture(&shown, proof, claim.units))));
            }
        }
        (proofs, pictures)
    };
    Ok((claim, proofs, pictures))
}

fn name(path: &Path) -> String {
    path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned())
}

fn unreadable(path: &Path, why: impl Into<String>) -> Failure {
    Failure::Job(Error::File { path: path.into(), why: why.into() }, UNREADABLE)
}

fn no_proof(job: &Path, why: &NoProof) -> Failure {
    match why {
        NoProof::Unreadable(it) => {
            unreadable(Path::new(&format!("{}:{}:{}", it.file, it.refusal.line, it.refusal.column)), &it.refusal.why)
        }
        NoProof::NothingToProve(why) => unreadable(job, why),
        NoProof::WhichTool { file, line, expected } => unreadable(
            Path::new(&format!("{file}:{line}")),
            format!(
                "cuts, and nothing says with which tool: the program fetches none, and its name is not of the job. {expected}"
            ),
        ),
    }
}

/// What the folder's `job.json` says of parts, machine and tools.
fn claim(job: &Path) -> Result<Claim, Failure> {
    let path = job.join("job.json");
    let json = text(&path)?;
    Claim::read(&json).map_err(|why| unreadable(&path, format!("is not a job to prove against: {why}")))
}

/// A file's text; bytes that are none are left to the reader, which says where they are.
fn text(path: &Path) -> Result<String, Failure> {
    let bytes = input(nestwright::disk::read_bytes(path, LONGEST))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// The sheet that programs of these names are for.
fn sheet_of<'a>(claim: &Claim, files: impl Iterator<Item = &'a str>) -> Result<usize, String> {
    let known = files.filter_map(|file| claim.programs.iter().find(|program| program.file == file));
    let known: Vec<_> = known.collect();
    if let Some(other) = known.iter().find(|program| program.sheet != known[0].sheet) {
        let [(a, i), (b, j)] = [known[0], other].map(|program| (&program.file, program.sheet));
        return Err(format!("has {a} for sheet {i} and {b} for sheet {j}: prove the programs of one sheet at a time"));
    }
    if let Some(program) = known.first() {
        return Ok(program.sheet);
    }
    match claim.sheets.len() {
        0 => Err("has no sheets that are cut by CNC".into()),
        1 => Ok(1),
        many => Err(format!("has {many} sheets and no program of this name: say which sheet with --sheet N")),
    }
}

/// Where the job has several programs for the sheet, one for each tool, those that are not asked for take part as they
/// lie in its folder: holes that one drills are air to the next. Those that are asked for are run in the order of asking.
fn with_others(
    claim: &Claim,
    sheet: usize,
    job: &Path,
    asked: Vec<(String, String)>,
) -> Result<Vec<(String, String)>, Failure> {
    let of_sheet = || claim.programs.iter().filter(|program| program.sheet == sheet);
    if !asked.iter().all(|(file, _)| of_sheet().any(|program| program.file == *file)) {
        return Ok(asked);
    }
    let mut in_order = asked.iter();
    of_sheet()
        .filter_map(|program| match asked.iter().any(|(file, _)| *file == program.file) {
            true => in_order.next().cloned().map(Ok),
            false => {
                let path = job.join(&program.file);
                path.exists().then(|| Ok((program.file.clone(), text(&path)?)))
            }
        })
        .collect()
}

const CHECK: usize = 33;
const MEASURED: usize = 14;

/// Every measure with its limit, then each fault with its place and what to do.
fn table(out: &mut impl Write, proof: &Proof, units: Units) -> io::Result<()> {
    let head = format!("{}, sheet {}", proof.file, proof.sheet);
    writeln!(out, "{head:<width$} {:<MEASURED$} allowed", "worst", width = 10 + CHECK)?;
    for measured in &proof.measures {
        let finding = &measured.finding;
        let mark = match finding.status {
            Status::Ok => "ok",
            Status::Accepted => "known",
            Status::Caution => "caution",
            Status::Refused => "FAULT",
        };
        let (worst, allowed) = match (finding.measured, &finding.allowed) {
            (Some(measure), Some(limits)) => (measure.show(units), limits.show(measure, units)),
            _ => (String::new(), String::new()),
        };
        writeln!(out, "  {mark:<7} {:<CHECK$} {worst:<MEASURED$} {allowed}", finding.check)?;
    }
    let faults = proof.faults().enumerate().map(|(i, fault)| (format!("{:>3}  ", i + 1), fault));
    let cautions = proof.measures.iter().filter(|it| it.finding.status == Status::Caution);
    let cautions = cautions.map(|caution| ("  !  ".to_string(), caution));
    for (lead, told) in faults.chain(cautions) {
        writeln!(out)?;
        explained(out, &lead, told, units)?;
    }
    writeln!(out)?;
    if proof.proved() {
        writeln!(out, "PROVED: {} measures, all within their limits.", proof.measures.len())?;
        return wrapped(
            out,
            "",
            "A proof knows the program, not your machine: run it once in the air, and stay at the stop.",
        );
    }
    let count = proof.faults().count();
    writeln!(out, "FAILED: {count} of {} measures are beyond their limits. Do not run it.", proof.measures.len())?;
    wrapped(out, "", "X, Y and Z are the sheet's: zero at its lower-left corner, on its upper face.")
}

/// What is wrong, where, and what to do about it.
fn explained(out: &mut impl Write, lead: &str, told: &Measured, units: Units) -> io::Result<()> {
    debug_assert!(lead.len() < WIDTH);
    wrapped(out, lead, &format!("{}: {}", told.finding.check, told.told(units)))?;
    wrapped(out, &" ".repeat(lead.len()), &told.finding.advice)
}

/// The faults of programs that `make` would have written.
pub(super) fn faults(out: &mut impl Write, programs: &[Unproved]) -> io::Result<()> {
    let units = Units::Millimetres;
    for Unproved { file, faults } in programs {
        writeln!(out, "{file}:")?;
        for (i, fault) in faults.iter().enumerate() {
            explained(out, &format!("{:>3}  ", i + 1), fault, units)?;
        }
    }
    Ok(())
}

//! What is written on the drawings can be read, and is what was measured.

use crate::shared::{make, measured_nucs, samples};
use nestwright::Made;
use nestwright::draw::{Picture, saw_card, saw_pictures, saw_step_pages, sheet_picture};
use nestwright::saw::Becomes;
use std::sync::OnceLock;

/// The smallest height of letters in ISO 3098 (mm).
const SMALLEST: f64 = 1.8;

/// The smallest on a saw's papers, read at arm's length (mm): the next size of ISO 3098.
const LEAST: f64 = 2.5;

/// Height of the frame's margin and the title block under it (mm).
const TITLE_BLOCK: f64 = 38.5;

/// The samples and the starters, made once for all tests here.
fn jobs() -> &'static [(String, Made)] {
    static JOBS: OnceLock<Vec<(String, Made)>> = OnceLock::new();
    JOBS.get_or_init(|| {
        let starters = nestwright::starters::ALL.iter().map(|starter| (starter.name.to_string(), make(starter.text)));
        samples().into_iter().map(|(name, spec)| (name, make(&spec))).chain(starters).collect()
    })
}

/// How often one of these stands over the title block, in letters that can be read.
fn readable(picture: &Picture, wanted: impl Fn(&str) -> bool) -> usize {
    let drawn = picture.texts().filter(|text| text.at.y < picture.height - TITLE_BLOCK);
    drawn.filter(|text| text.height >= SMALLEST - 1e-9 && wanted(&text.text)).count()
}

/// Every piece of a saw plan bears its name, or has it beside it, in letters that can be read: it is pencilled on the
/// piece as the steps say.
#[test]
fn every_piece_of_a_saw_plan_has_a_name_that_can_be_read() {
    let all: usize = jobs().iter().map(|(name, made)| named_pieces(name, made)).sum();
    assert!(all > 50, "only {all} pieces");
}

/// And so whatever pattern the sheet is cut to: with other kerfs the nucs' cleats and gauges lie elsewhere.
#[test]
fn names_can_be_read_in_every_pattern() {
    let nucs = measured_nucs();
    for kerf in [1.6, 2.0, 2.4, 2.8, 3.2] {
        assert!(nucs.contains("kerf = 3"));
        let made = make(&nucs.replace("kerf = 3", &format!("kerf = {kerf}")));
        assert!(named_pieces(&format!("nucs with a kerf of {kerf} mm"), &made) >= 40);
    }
}

/// Looks for the name of every piece of a job's saw plans; returns how many there are.
fn named_pieces(name: &str, made: &Made) -> usize {
    let mut all = 0;
    for index in 0..made.saw.sheets.len() {
        let pictures = saw_pictures(&made.job, &made.parts, &made.saw, index);
        let steps = made.saw.steps.iter().filter(|step| step.sheet == index);
        let mut pieces: Vec<&str> = steps
            .flat_map(|step| [&step.off, &step.left])
            .flatten()
            .filter(|piece| matches!(piece.becomes, Becomes::Part { .. }))
            .map(|piece| piece.name.as_str())
            .collect();
        pieces.sort_unstable();
        pieces.dedup();
        assert!(pieces.len() >= made.saw.sheets[index].placements.len(), "{name}: {pieces:?}");
        for piece in pieces {
            let with_words = format!("{piece} ");
            let bears = |text: &str| text == piece || text.starts_with(&with_words);
            let found: Vec<usize> = pictures.iter().map(|picture| readable(picture, bears)).collect();
            // Once on the whole sheet or in a detail of it, and in no picture twice.
            let once = found.iter().all(|count| *count < 2) && found.contains(&1);
            assert!(once, "{name}, sheet {}: {piece}: {found:?}", index + 1);
            all += 1;
        }
    }
    all
}

/// Every piece of a nested sheet bears its number of the cut list.
#[test]
fn every_piece_of_a_nested_sheet_has_a_number_that_can_be_read() {
    let mut all = 0;
    for (name, made) in jobs() {
        for (index, sheet) in made.layout.sheets.iter().enumerate() {
            let picture = sheet_picture(made, index);
            let sizes = [sheet.length, sheet.width].map(|size| made.job.units.number(size));
            for part in 0..made.parts.len() {
                let number = (part + 1).to_string();
                // A name on several lines has the number on its first.
                let first = made.parts[part].name.split(' ').next().unwrap_or_default();
                let begins = |text: &str| {
                    (text == number && !sizes.contains(&number)) || text.starts_with(&format!("{number} {first}"))
                };
                let placed = sheet.placements.iter().filter(|placement| placement.part == part).count();
                // Small ones in a row have one flag, which tells how many they are.
                let count = |text: &str| text.strip_suffix(" in a row")?.rsplit(", ").next()?.parse::<usize>().ok();
                let flags = picture.texts().map(|text| text.text.as_str()).filter(|text| begins(text));
                let in_rows: usize = flags.filter_map(count).map(|count| count - 1).sum();
                assert_eq!(readable(&picture, begins) + in_rows, placed, "{name}, sheet {}: {number}", index + 1);
                all += placed;
            }
        }
    }
    assert!(all > 100, "only {all} pieces");
}

/// The section's figures are those of the checks, that of the frames' row among them: a box may space its frames wider
/// than their end bars are.
#[test]
fn frames_are_as_far_apart_on_the_section_as_in_the_findings() {
    let mut wider = 0;
    for (name, made) in jobs() {
        for assembly in &made.assemblies {
            let Some(frames) = assembly.frames.as_ref().filter(|frames| frames.count > 1) else { continue };
            let of_box = |check: &str| {
                let found = made.findings.iter().find(|f| f.check == check && f.subject == assembly.name);
                found.and_then(|finding| finding.measured).unwrap_or_else(|| panic!("{name}: {check}"))
            };
            let shown = of_box("frames, centre to centre").show(made.job.units);
            // What is more than a line's worth stands on the next.
            let said = format!("{} frames, {shown}", frames.count);
            let pages = nestwright::draw::book(made);
            let sections = pages.iter().filter(|page| page.picture.texts().any(|text| text.text == "Section"));
            let mut texts = sections.flat_map(|page| page.picture.texts());
            assert!(texts.any(|text| text.text.starts_with(&said)), "{name}: no `{said}`");
            wider += usize::from(frames.spacing > frames.frame.spacing.value + 0.1);
        }
    }
    assert!(wider > 0, "no sample spaces its frames wider than they are");
}

/// The card to be pinned up at the saw: every setting in its order, with its measure.
#[test]
fn the_saw_card_has_every_setting_in_its_order() {
    let mut all = 0;
    for (name, made) in jobs() {
        let Some(card) = saw_card(&made.job, &made.saw) else {
            assert!(made.saw.steps.is_empty(), "{name}");
            continue;
        };
        let texts: Vec<&str> = card.texts().map(|text| text.text.as_str()).collect();
        let mut from = 0;
        for (i, setting) in made.saw.settings.iter().enumerate() {
            let begins = format!("{}  ", i + 1);
            let row = texts[from..].iter().position(|text| text.starts_with(&begins));
            let row = from + row.unwrap_or_else(|| panic!("{name}: no setting {} after {}", i + 1, texts[from]));
            // A gauge that is turned has an angle in place of a measure.
            if setting.angle == 0.0 {
                assert_eq!(texts[row + 1], made.job.units.show(setting.measure), "{name}: setting {}", i + 1);
            }
            assert!(
                texts[row + 1..row + 3].contains(&format!("{}×", setting.cuts).as_str()),
                "{name}: {:?}",
                &texts[row..row + 4]
            );
            (from, all) = (row + 1, all + 1);
        }
        assert!(card.texts().all(|text| text.height >= LEAST), "{name}");
    }
    assert!(all > 30, "only {all} settings");
}

/// Nothing on a saw's papers is written smaller than ISO 3098's 2.5 mm, and every step has one row, under its setting.
#[test]
fn the_table_of_cuts_has_every_step_once() {
    for (name, made) in jobs() {
        let pages = saw_step_pages(&made.job, &made.parts, &made.saw);
        let texts = || pages.iter().flat_map(Picture::texts);
        assert!(texts().all(|text| text.height >= LEAST), "{name}");
        // Numbers stand left of the words.
        let numbers = texts().filter(|text| text.at.x < 30.0).filter_map(|text| text.text.parse::<usize>().ok());
        assert_eq!(numbers.collect::<Vec<_>>(), (1..=made.saw.length()).collect::<Vec<_>>(), "{name}");
        let headings = texts().filter(|text| text.text.starts_with("Setting ")).count();
        assert_eq!(headings, made.saw.settings.len(), "{name}");
        for index in 0..made.saw.sheets.len() {
            for picture in saw_pictures(&made.job, &made.parts, &made.saw, index) {
                let mut drawn = picture.texts().filter(|text| text.at.y < picture.height - TITLE_BLOCK);
                assert!(drawn.all(|text| text.height >= LEAST), "{name}");
            }
        }
    }
}

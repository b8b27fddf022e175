//! `assembly.txt`: how each box goes together, in words.

use crate::made::Made;
use crate::steps::{BoxSteps, Step};
use crate::words::unbroken;
use std::fmt::Write;

/// Columns of the page.
const WIDTH: usize = 80;

/// Which side is which.
const SIDES: &str = "Left, right, front and back are those of the box as it stands in use, seen from its front, however the \
                     work lies.";

/// The steps of every box, with what it takes beside wood.
pub(super) fn assembly_text(made: &Made) -> String {
    let mut text = format!("{}: putting it together\n\n", made.job.title);
    // What holds of every box is said once.
    let always = made.steps.first().map_or(&[][..], |first| &first.cautions[..]);
    let always: Vec<&String> =
        always.iter().filter(|caution| made.steps.iter().all(|steps| steps.cautions.contains(caution))).collect();
    for caution in &always {
        folded(&mut text, "  ! ", caution);
    }
    folded(&mut text, "    ", SIDES);
    for glued in made.glue_ups() {
        folded(&mut text, "\n  - ", &glued);
    }
    for steps in &made.steps {
        let times = if steps.count > 1 { format!(" (× {})", steps.count) } else { String::new() };
        let _ = write!(text, "\n\n{}{times}\n\n", steps.box_name);
        hardware(&mut text, made, &steps.box_name);
        for caution in steps.cautions.iter().filter(|caution| !always.contains(caution)) {
            folded(&mut text, "  ! ", caution);
        }
        for (i, step) in steps.steps.iter().enumerate() {
            if i == 0 || step.sub_assembly != steps.steps[i - 1].sub_assembly {
                heading(&mut text, steps, step);
            }
            folded(&mut text, &format!("{:>3}. ", step.number), &step.text.join(" "));
        }
    }
    text
}

fn hardware(text: &mut String, made: &Made, box_name: &str) {
    for supply in &made.supplies {
        if let Some(each) = supply.boxes.iter().find(|each| each.box_name == box_name) {
            let _ = writeln!(text, "{:>10}  {}", supply.show(each.each, made.job.units), supply.what);
        }
    }
    text.push('\n');
}

fn heading(text: &mut String, steps: &BoxSteps, step: &Step) {
    let name = if step.sub_assembly.is_empty() { &steps.box_name } else { &step.sub_assembly };
    let _ = write!(text, "\nThe {name}\n");
}

/// Adds a paragraph under a hanging indent.
pub(super) fn folded(text: &mut String, lead: &str, paragraph: &str) {
    let hang = lead.chars().count();
    let mut at = WIDTH;
    for (i, word) in unbroken(paragraph).iter().enumerate() {
        let long = word.chars().count();
        if at + 1 + long > WIDTH {
            if i > 0 {
                text.push('\n');
            }
            text.push_str(&if i == 0 { lead.to_string() } else { " ".repeat(hang) });
            at = hang;
        } else {
            text.push(' ');
            at += 1;
        }
        text.push_str(word);
        at += long;
    }
    text.push('\n');
}

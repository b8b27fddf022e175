//! While layouts are searched: a line that says how far, and Ctrl-C that ends the search but not the job.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use nestwright::watch::{Progress, Watch};
use nestwright::words::counted;
use std::io::{self, Write};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::thread;
use std::time::Duration;

/// From one look at the search to the next. What takes less time is not shown.
const EVERY: Duration = Duration::from_millis(200);

/// How the line looks, and the signs of its bar for what is done and what is not.
const LINE: &str = "[{bar:20}] {msg}";
const SIGNS: &str = "#.";

/// The bar's place is counted in thousandths of the search.
const WHOLE: f64 = 1000.0;

/// What a shell expects of a program that Ctrl-C ended.
const INTERRUPTED: i32 = 130;

/// Does the work while these searches are watched: the line is shown on a terminal unless it is to be quiet. The first
/// Ctrl-C ends the searches, the second ends the program.
pub fn watched<T>(watches: &[Watch], quiet: bool, work: impl FnOnce() -> T) -> T {
    let line = Line::on(if quiet { ProgressDrawTarget::hidden() } else { ProgressDrawTarget::stderr() });
    let (all, shown) = (watches.to_vec(), line.clone());
    let handled = ctrlc::set_handler(move || {
        if all.iter().any(Watch::stopped) {
            std::process::exit(INTERRUPTED);
        }
        all.iter().for_each(Watch::stop);
        shown.show(None);
        shown.0.suspend(|| {
            let _ = writeln!(
                io::stderr(),
                "nestwright: stopping the search; the best sheets found so far are taken. Ctrl-C again ends at once"
            );
        });
    });
    if let Err(why) = handled {
        // Then Ctrl-C ends the program, as it would any other.
        let _ = writeln!(io::stderr(), "nestwright: Ctrl-C will not keep what is found so far: {why}");
    }
    if line.0.is_hidden() {
        return work();
    }
    thread::scope(|scope| {
        let (end, ended) = mpsc::channel::<()>();
        scope.spawn(move || {
            while ended.recv_timeout(EVERY) == Err(RecvTimeoutError::Timeout) {
                line.show(watches.iter().filter(|watch| !watch.stopped()).find_map(Watch::progress));
            }
            line.show(None);
        });
        let done = work();
        drop(end);
        done
    })
}

/// `[#########...........] 5 sheets, no fewer than 4, 71 % filled`, while a search runs.
#[derive(Clone)]
struct Line(ProgressBar);

impl Line {
    fn on(target: ProgressDrawTarget) -> Line {
        let style = ProgressStyle::with_template(LINE).expect("the template is a constant, and tested");
        let bar = ProgressBar::with_draw_target(Some(WHOLE as u64), target).with_style(style.progress_chars(SIGNS));
        bar.finish_and_clear();
        Line(bar)
    }

    /// Shows how far a search is; takes the line away where none runs.
    fn show(&self, progress: Option<Progress>) {
        let Line(bar) = self;
        let Some(progress) = progress else {
            if !bar.is_finished() {
                bar.finish_and_clear();
            }
            return;
        };
        bar.set_message(said(&progress));
        if bar.is_finished() {
            bar.reset();
        }
        bar.set_position((progress.done * WHOLE) as u64);
    }
}

/// Sheets, their bound, and how full they are.
fn said(Progress { sheets, at_least, filled, .. }: &Progress) -> String {
    let counted = |sheets: u64| counted(sheets as usize, "sheet");
    match *sheets {
        0 => format!("no fewer than {}", counted(*at_least)),
        so_many => format!("{}, no fewer than {at_least}, {:.0} % filled", counted(so_many), 100.0 * filled),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use indicatif::InMemoryTerm;

    /// On a terminal of 80 columns, and on one where it takes three rows; none of it is left behind.
    #[test]
    fn the_line_says_sheets_bound_and_fill() {
        let on = |columns| {
            let terminal = InMemoryTerm::new(4, columns);
            let line = Line::on(ProgressDrawTarget::term_like_with_hz(Box::new(terminal.clone()), u8::MAX));
            (terminal, line)
        };
        let (terminal, line) = on(80);
        assert_eq!(terminal.contents(), "");
        let progress = Progress { sheets: 5, at_least: 4, filled: 0.714, done: 0.46 };
        line.show(Some(progress));
        assert_eq!(terminal.contents(), "[#########...........] 5 sheets, no fewer than 4, 71 % filled");
        line.show(None);
        assert_eq!(terminal.contents(), "");
        line.show(Some(Progress { sheets: 0, at_least: 1, ..progress }));
        assert_eq!(terminal.contents(), "[#########...........] no fewer than 1 sheet");
        let (terminal, line) = on(30);
        line.show(Some(progress));
        assert_eq!(terminal.contents(), "[#########...........] 5 sheet\ns, no fewer than 4, 71 % fille\nd");
        line.show(None);
        assert_eq!(terminal.contents(), "");
    }
}

//! While layouts are searched: a line that says how far, and Ctrl-C that ends the search but not the job.

use nestwright::watch::{Progress, Watch};
use std::io::{self, IsTerminal, Write};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::thread;
use std::time::Duration;

/// From one look at the search to the next. What takes less time is not shown.
const EVERY: Duration = Duration::from_millis(200);

/// Width of the bar in characters.
const BAR: usize = 20;

/// What a shell expects of a program that Ctrl-C ended.
const INTERRUPTED: i32 = 130;

/// Does the work while these searches are watched: the line is shown on a terminal unless it is to be quiet. The first
/// Ctrl-C ends the searches, the second ends the program.
pub fn watched<T>(watches: &[Watch], quiet: bool, work: impl FnOnce() -> T) -> T {
    let shown = !quiet && io::stderr().is_terminal();
    let all = watches.to_vec();
    let handled = ctrlc::set_handler(move || {
        if all.iter().any(Watch::stopped) {
            std::process::exit(INTERRUPTED);
        }
        all.iter().for_each(Watch::stop);
        let start = if shown { "\r\x1b[K" } else { "" };
        let _ = writeln!(
            io::stderr(),
            "{start}nestwright: stopping the search; the best sheets found so far are taken. Ctrl-C again ends at once"
        );
    });
    if let Err(why) = handled {
        // Then Ctrl-C ends the program, as it would any other.
        let _ = writeln!(io::stderr(), "nestwright: Ctrl-C will not keep what is found so far: {why}");
    }
    if !shown {
        return work();
    }
    thread::scope(|scope| {
        let (end, ended) = mpsc::channel::<()>();
        scope.spawn(move || {
            let mut drawn = false;
            while ended.recv_timeout(EVERY) == Err(RecvTimeoutError::Timeout) {
                let now = watches.iter().filter(|watch| !watch.stopped()).find_map(Watch::progress);
                match now {
                    Some(progress) => {
                        let _ = write!(io::stderr(), "\r\x1b[K{}", line(&progress));
                        let _ = io::stderr().flush();
                    }
                    None if drawn => clear(),
                    None => {}
                }
                drawn = now.is_some();
            }
            if drawn {
                clear();
            }
        });
        let done = work();
        drop(end);
        done
    })
}

fn clear() {
    let _ = write!(io::stderr(), "\r\x1b[K");
    let _ = io::stderr().flush();
}

/// `[#########...........] 5 sheets, no fewer than 4, 71 % filled`
fn line(progress: &Progress) -> String {
    let full = (progress.done * BAR as f64) as usize;
    let bar: String = (0..BAR).map(|at| if at < full { '#' } else { '.' }).collect();
    let sheets = |n: u64| if n == 1 { "1 sheet".into() } else { format!("{n} sheets") };
    match progress.sheets {
        0 => format!("[{bar}] no fewer than {}", sheets(progress.at_least)),
        so_many => format!(
            "[{bar}] {}, no fewer than {}, {:.0} % filled",
            sheets(so_many),
            progress.at_least,
            100.0 * progress.filled
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_says_sheets_bound_and_fill() {
        let progress = Progress { sheets: 5, at_least: 4, filled: 0.714, done: 0.46 };
        assert_eq!(line(&progress), "[#########...........] 5 sheets, no fewer than 4, 71 % filled");
        let none = Progress { sheets: 0, at_least: 1, ..progress };
        assert_eq!(line(&none), "[#########...........] no fewer than 1 sheet");
    }
}

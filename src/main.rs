//! The command line: arguments in, one call per command, exit code out.

mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}

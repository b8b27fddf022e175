//! What may be typed.

use clap::{Parser, Subcommand};
use clap_complete::Shell;
use std::path::PathBuf;

/// From a short spec of a box to parts that fit, nested sheets, toolpaths and dimensioned drawings.
///
/// Write a spec (`nestwright start` gives you one), check it, make it:
///
///     nestwright start nuc > nucs.toml
///     nestwright check nucs.toml
///     nestwright make nucs.toml -o nucs
///
/// Exit codes: 0 done; 1 the job was understood and refused; 2 the input could not be read; 3 a fault of nestwright's own.
/// With any but 0, what is wrong stands on the error channel.
///
/// Cutting hurts: the machine's manual, its guards, local rules and qualified practice come before anything printed here.
#[derive(Parser, Debug)]
#[command(version, verbatim_doc_comment, arg_required_else_help = true)]
pub struct Args {
    #[command(subcommand)]
    pub command: Command,

    /// A folder of your own profiles, laid out like the built-in ones (frames/NAME.toml, tools/NAME.toml, ...). They
    /// add to the built-in ones and override those of the same name. Without this, `nestwright/profiles` in your
    /// system's folder for settings is used, if it exists
    #[arg(long, value_name = "DIR", global = true)]
    pub profiles: Option<PathBuf>,

    /// Print nothing but what went wrong, and what `--json` asks for
    #[arg(short, long, global = true)]
    pub quiet: bool,
}

#[derive(clap::Args, Clone, Copy, Debug)]
pub struct Effort {
    /// How long to search for fewer sheets, and for the most boxes where a count is "max"; twice as much takes twice as
    /// long. The same effort gives the same sheets. Ctrl-C ends the search early and goes on with the best that was found
    #[arg(long, value_name = "N", default_value_t = nestwright::watch::EFFORT, value_parser = clap::value_parser!(u32).range(0..=100_000))]
    pub effort: u32,
}

#[derive(Subcommand, Debug)]
pub enum Command {
    /// Make everything for a job: drawings, cut list, nested sheets, programs
    ///
    /// The folder is written all at once or not at all. A folder that is there already is replaced only when every file
    /// in it was written by nestwright and not changed since. Off-cuts of earlier jobs that the job uses are marked in their
    /// list as promised to it. Several specs are made at once, each into its own folder.
    Make {
        /// The job's spec, a TOML file; or several
        #[arg(required = true, value_name = "SPEC")]
        specs: Vec<PathBuf>,
        /// Where to write; with several specs, a folder for their folders [default: the spec's name without its ending,
        /// beside it]
        #[arg(short = 'o', long = "out", value_name = "DIR")]
        out: Option<PathBuf>,
        #[command(flatten)]
        search: Effort,
    },
    /// Check the design and the place of every hole; writes nothing
    ///
    /// Each check is shown with what was measured on the assembled panels, what is allowed, and by which source.
    Check {
        /// The job's spec, a TOML file
        spec: PathBuf,
        /// Print the findings as JSON
        #[arg(long)]
        json: bool,
        #[command(flatten)]
        search: Effort,
    },
    /// How many boxes the sheets on hand give, and why not one more
    ///
    /// Boxes with count = "max" are built as often as they go; where no count is "max", all boxes are, in the ratio of
    /// their counts. Each [[stock]] says how many sheets there are. The answer says whether one more is proved to be
    /// impossible or was only not found, and which small change of a dimension would let it in.
    Yield {
        /// The job's spec, a TOML file
        spec: PathBuf,
        /// Print the answer as JSON
        #[arg(long)]
        json: bool,
        #[command(flatten)]
        search: Effort,
    },
    /// Replay a program and hold it against the job it claims to cut
    ///
    /// Any program for one of the job's sheets: as it was made, changed by hand, or made by something else. It is read as
    /// the machine would read it; what it cuts is held against the parts, the machine and the tools. Exit code 1: it failed.
    Prove {
        /// The program; or all programs of a sheet, in the order in which they are run
        #[arg(required = true, value_name = "FILE")]
        files: Vec<PathBuf>,
        /// The folder that `make` wrote for the job
        #[arg(long, value_name = "DIR")]
        job: PathBuf,
        /// Which of the job's sheets it is for, from 1 [default: by the program's name]
        #[arg(long, value_name = "N")]
        sheet: Option<usize>,
        /// Draw what each program removes, what it leaves, and every fault ringed, as NAME.proof.svg in this folder
        #[arg(long, value_name = "DIR")]
        picture: Option<PathBuf>,
        /// Print the verdict as JSON
        #[arg(long)]
        json: bool,
    },
    /// Print a commented starter spec; without a name, list them
    Start {
        /// Which one
        name: Option<String>,
    },
    /// List the profiles: frames, occupants, materials, tools, machines, saws; with a name, print one with its sources
    Profiles {
        /// Which one
        name: Option<String>,
    },
    /// Every key of specs and profiles: what it takes, what holds without it, what it means
    Keys {
        /// Only tables whose heading holds this: `router`, `hole`, `frame-box`, `machine`
        table: Option<String>,
        /// As Markdown
        #[arg(long)]
        markdown: bool,
    },
    /// Print a JSON Schema: of specs, for editors, or of `job.json`
    Schema {
        /// Of what
        #[arg(default_value = "job")]
        of: SchemaOf,
    },
    /// Print completions for a shell, to put where that shell looks for them
    Completions {
        /// Which shell
        shell: Shell,
    },
    /// Print the manual as a page for `man`: nestwright manual > nestwright.1
    Manual {
        /// The page of one command: nestwright manual make > nestwright-make.1
        command: Option<String>,
    },
}

/// What there is a schema of.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
pub enum SchemaOf {
    Job,
    Spec,
}

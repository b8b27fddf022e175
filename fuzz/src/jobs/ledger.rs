//! What came of the jobs so far, on the disk.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::path::PathBuf;
use std::{fs, io};

/// Counts by name, and the blocks of numbers that they are of.
pub struct Ledger {
    path: PathBuf,
    blocks: BTreeSet<u64>,
    counts: BTreeMap<String, u64>,
}

/// What must not be.
const WRONG: [&str; 6] = ["fault", "disagrees", "silent", "slow", "other bytes", "refused only by make"];

impl Ledger {
    /// The ledger of this name, or an empty one.
    ///
    /// # Errors
    /// A line that is none of a ledger's.
    pub fn open(name: &str) -> Result<Ledger, String> {
        let path = PathBuf::from("found").join(format!("{name}.ledger"));
        let mut ledger = Ledger { path, blocks: BTreeSet::new(), counts: BTreeMap::new() };
        let text = match fs::read_to_string(&ledger.path) {
            Ok(text) => text,
            Err(why) if why.kind() == io::ErrorKind::NotFound => return Ok(ledger),
            Err(why) => return Err(format!("{}: {why}", ledger.path.display())),
        };
        for (i, line) in text.lines().enumerate() {
            let entered = line.split_once(' ').and_then(|(number, what)| Some((number.parse().ok()?, what)));
            match entered {
                Some((block, "block")) => drop(ledger.blocks.insert(block)),
                Some((count, what)) => drop(ledger.counts.insert(what.into(), count)),
                None => {
                    return Err(format!("{}:{}: expected a number and what it counts", ledger.path.display(), i + 1));
                }
            }
        }
        Ok(ledger)
    }

    pub fn has(&self, block: u64) -> bool {
        self.blocks.contains(&block)
    }

    /// Enters a block, on the disk too.
    pub fn add(&mut self, block: u64, counts: &BTreeMap<String, u64>) {
        self.blocks.insert(block);
        for (what, count) in counts {
            *self.counts.entry(what.clone()).or_default() += count;
        }
        let mut text = String::new();
        for block in &self.blocks {
            let _ = writeln!(text, "{block} block");
        }
        for (what, count) in &self.counts {
            let _ = writeln!(text, "{count} {what}");
        }
        // Whoever stops the run meanwhile finds the whole of one or the other.
        let beside = self.path.with_extension("new");
        let folder = self.path.parent().map_or(Ok(()), fs::create_dir_all);
        folder.and_then(|()| fs::write(&beside, text)).and_then(|()| fs::rename(&beside, &self.path)).expect("written");
    }

    fn of(&self, what: &str) -> u64 {
        self.counts.get(what).copied().unwrap_or(0)
    }

    pub fn sound(&self) -> bool {
        WRONG.iter().all(|what| self.of(what) == 0)
    }

    pub fn in_short(&self) -> String {
        let wrong: Vec<String> = WRONG.iter().map(|what| format!("{} {what}", self.of(what))).collect();
        format!(
            "{} drawn, {} unreadable, {} refused, {} too few sheets, {} made ({} twice), {}",
            self.of("drawn"),
            self.of("unreadable"),
            self.of("refused"),
            self.of("too few sheets"),
            self.of("made"),
            self.of("made twice"),
            wrong.join(", ")
        )
    }

    /// Everything: causes by how often they came, then how often each key was drawn and how often made.
    pub fn report(&self) -> String {
        let mut text = String::new();
        for what in WRONG.iter().chain(&["unreadable", "refused"]) {
            let start = format!("{what}: ");
            let group = self.counts.iter().filter_map(|(name, count)| Some((*count, name.strip_prefix(&start)?)));
            let mut group: Vec<(u64, &str)> = group.collect();
            group.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(b.1)));
            if !group.is_empty() {
                let _ = writeln!(text, "{what} ({}):", self.of(what));
                for (count, name) in group {
                    let _ = writeln!(text, "  {count:6}  {name}");
                }
            }
        }
        if self.counts.keys().any(|name| name.starts_with("key ")) {
            let _ = writeln!(text, "keys, in how many jobs drawn and made:");
        }
        for (name, drawn) in self.counts.iter().filter_map(|(name, count)| Some((name.strip_prefix("key ")?, count))) {
            let _ = writeln!(text, "  {drawn:6} {:6}  {name}", self.of(&format!("made {name}")));
        }
        let _ = writeln!(text, "{}", self.in_short());
        let (drawn, busy) = (self.of("drawn").max(1), self.of("milliseconds"));
        let _ = write!(text, "{} ms of processor time a job", busy / drawn);
        text
    }
}

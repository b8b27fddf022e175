//! Lists of off-cuts: read, given to a job as its stock, and promised to it.

use super::{FAULT, Target, sign};
use nestwright::design::Kinds;
use nestwright::error::Error;
use nestwright::offcuts;
use nestwright::profile::Profiles;
use nestwright::reading::{Beside, Source};
use nestwright::watch::Search;
use std::collections::BTreeSet;
use std::time::Duration;

const LIST: &str = "job = \"Trays\"\ncut = \"saw\"\n\n[[off-cut]]\nid = \"trays-saw-1\"\nplan = \"saw\"\nsheet = 1\n\
                    at = [403, 0]\nmaterial = \"birch-plywood\"\nthickness = 9\nsize = [597, 500]\n\n[[off-cut]]\n\
                    id = \"trays-saw-2\" # by the door\nplan = \"saw\"\nsheet = 2\nmaterial = \"birch-plywood\"\nthickness = 9\n\
                    size = [400, 300]\npromised-to = \"Lids (lids.toml)\"\n";
const INLINE: &str = "job = \"a\"\noff-cut = [{ id = \"p\", plan = \"router\", sheet = 1, material = \"birch-plywood\", \
                      thickness = \"3/4 in\", size = [400, 300] }]\n";
const SPEC: &str = "title = \"Lids\"\nstock = { from = \"list.toml\" }\nsaw = { kerf = 3 }\n\
                    part = { name = \"lid\", size = [300, 200] }\n";

pub const TARGET: Target = Target {
    name: "offcuts",
    corpus: || vec![LIST.as_bytes().to_vec(), INLINE.as_bytes().to_vec()],
    words: &[
        "\n",
        "[[off-cut]]\n",
        "off-cut = [",
        "{ id = \"p\" }",
        "promised-to = \"Lids (lids.toml)\"\n",
        "promised-to = \"x\"",
        "promised-to = \"\"",
        "cut = \"router\"\n",
        "plan = \"saw\"\n",
        "id = \"trays-saw-1\"\n",
        "size = [1e300, 1]",
        "thickness = nan",
        "\"\u{1b}[31m\"",
        "# comment\n",
        ",",
        "]",
        "}",
    ],
    patience: Duration::from_secs(5),
    run: |input| {
        let Ok(text) = std::str::from_utf8(input) else { return vec![] };
        let list = Source::new("list.toml", text);
        let beside = Beside { name: "list.toml".into(), read: Ok(list.clone()) };
        let spec = Source::with_beside("lids.toml", SPEC, vec![beside]);
        let mut signs = match nestwright::check(&spec, &Profiles::built_in(), &Kinds::built_in(), &Search::default())
            .and_then(|checked| nestwright::make(checked, &Search::default()))
        {
            Ok(_) => vec!["made".into()],
            Err(Error::Fault(_) | Error::Unproved(_)) => vec![FAULT.into()],
            Err(Error::Unreadable(problems)) => problems.iter().map(|problem| sign(&problem.message)).collect(),
            Err(other) => vec![sign(&other.to_string())],
        };
        if let Ok(list) = offcuts::read(&list) {
            let ids: BTreeSet<&str> = list.off_cuts.iter().map(|(off_cut, _)| off_cut.id.as_str()).collect();
            // What is marked reads as what was asked for, or nothing is marked.
            if let Some(marked) = offcuts::promised(text, "Lids (lids.toml)", &ids) {
                let again = offcuts::read(&Source::new("list.toml", marked.as_str())).expect("a marked list is a list");
                assert!(
                    again
                        .off_cuts
                        .iter()
                        .all(|(off_cut, _)| off_cut.promised_to.as_deref() == Some("Lids (lids.toml)"))
                );
                assert!(offcuts::promised(&marked, "Lids (lids.toml)", &BTreeSet::new()).is_some(), "freed again");
                signs.push("promised".into());
            } else {
                signs.push("not promised".into());
            }
        }
        signs
    },
};

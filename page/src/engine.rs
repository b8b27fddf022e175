//! One job on the page's bench, from its text to its files.

use crate::{form, text};
use js_sys::{Map as JsMap, Uint8Array};
use nestwright::design::Kinds;
use nestwright::draw;
use nestwright::error::Error;
use nestwright::export::{self, Laid, Seen, View};
use nestwright::profile::{self, Profiles};
use nestwright::reading::{Beside, Problem, Source};
use nestwright::starters;
use nestwright::watch::Search;
use nestwright::{Checked, Made};
use serde_json::{Value, json};
use std::sync::Arc;
use wasm_bindgen::prelude::wasm_bindgen;

/// The job that is being worked on, and the shelf of profiles that it may name.
#[wasm_bindgen]
pub struct Engine {
    profiles: Profiles,
    /// Lists of off-cuts by file name.
    lists: Vec<(String, String)>,
    checked: Option<Checked>,
    made: Option<Made>,
}

impl Default for Engine {
    fn default() -> Engine {
        Engine::new()
    }
}

#[wasm_bindgen]
impl Engine {
    #[wasm_bindgen(constructor)]
    pub fn new() -> Engine {
        Engine { profiles: Profiles::built_in(), lists: Vec::new(), checked: None, made: None }
    }

    /// Every key that a form may show.
    pub fn keys(&self) -> String {
        form::keys().to_string()
    }

    /// The policy that the job page keeps by.
    pub fn page_policy(&self) -> String {
        export::page_policy()
    }

    /// The specs to start from.
    pub fn starters(&self) -> String {
        let all = starters::ALL.iter();
        let all = all.map(|starter| json!({ "name": starter.name, "about": starter.about, "text": starter.text }));
        Value::Array(all.collect()).to_string()
    }

    /// Every profile that a spec may name: its folder, name, title and text.
    pub fn profiles(&self) -> String {
        let all = self.profiles.files().map(|(folder, name, file)| {
            json!({ "folder": folder, "name": name, "title": file.title, "text": file.source.text, "own": !file.built_in })
        });
        Value::Array(all.collect()).to_string()
    }

    /// The maker's own profiles, `[[folder, name, text], ...]`, and off-cut lists, `[[name, text], ...]`; what is wrong with them.
    pub fn shelve(&mut self, own: &str, lists: &str) -> String {
        let (mut profiles, mut wrong) = (Profiles::built_in(), Vec::new());
        let own: Vec<(String, String, String)> = serde_json::from_str(own).unwrap_or_default();
        for (folder, name, text) in own {
            if let Err(error) = profiles.add_text(&folder, &name, &text) {
                wrong.push(json!({ "folder": folder, "name": name, "told": told(&error) }));
            }
        }
        self.profiles = profiles;
        self.lists = serde_json::from_str(lists).unwrap_or_default();
        Value::Array(wrong).to_string()
    }

    /// What a file is that somebody hands to the page: a `spec`, a list of `off-cuts`, or a profile, then its folder.
    pub fn kind_of(&self, text: &str) -> String {
        let fields = text::fields(text).ok();
        let is_list = fields.as_ref().is_some_and(|fields| !fields["keys"]["off-cut"].is_null());
        let fits = |folder: &&str| Profiles::built_in().add_text(folder, "handed", text).is_ok();
        let kind = match profile::kinds().map(|(folder, ..)| folder).find(fits) {
            _ if is_list => "off-cuts",
            Some(folder) => folder,
            None => "spec",
        };
        json!({ "kind": kind }).to_string()
    }

    /// A text as tables and values, or why it is none.
    pub fn fields(&self, text: &str) -> String {
        match text::fields(text) {
            Ok(fields) => json!({ "fields": fields }),
            Err(why) => json!({ "broken": why }),
        }
        .to_string()
    }

    /// A text changed in several places, one after the other: `[[path, change], ...]`.
    pub fn change(&self, text: &str, changes: &str) -> String {
        let changes: Vec<(Vec<text::Step>, text::Change)> = match serde_json::from_str(changes) {
            Ok(changes) => changes,
            Err(why) => return json!({ "broken": why.to_string() }).to_string(),
        };
        let changed =
            changes.iter().try_fold(text.to_string(), |text, (path, change)| text::changed(&text, path, change));
        match changed {
            Ok(text) => json!({ "text": text }),
            Err(why) => json!({ "broken": why }),
        }
        .to_string()
    }

    /// A spec with the stock, machines and prices of another; what those leave out, it keeps.
    pub fn carry(&self, text: &str, from: &str) -> String {
        match text::carried(text, from) {
            Ok(text) => json!({ "text": text }),
            Err(why) => json!({ "broken": why }),
        }
        .to_string()
    }

    /// Reads a spec and measures its boxes.
    pub fn look(&mut self, name: &str, text: &str) -> String {
        (self.checked, self.made) = (None, None);
        let outcome = nestwright::measure(&self.source(name, text), &self.profiles, &Kinds::built_in());
        let told = match &outcome {
            Ok(checked) => json!({ "seen": Seen::of(checked.designed()) }),
            Err(error) => told(error),
        };
        self.checked = outcome.ok();
        told.to_string()
    }

    /// The section of a box with frames, as SVG; empty for any other.
    pub fn section(&self, index: usize) -> String {
        let drawn =
            |checked: &Checked| draw::section_view(checked.designed(), index).map(|picture| draw::svg(&picture));
        let svg = self.checked.as_ref().filter(|it| index < it.assemblies.len()).and_then(drawn).unwrap_or_default();
        json!({ "svg": svg }).to_string()
    }

    /// Finds out in which thicknesses the boxes work of the job that was looked at.
    pub fn range(&mut self) -> String {
        let Some(checked) = self.checked.take() else { return json!({}).to_string() };
        let checked = nestwright::range(checked);
        let seen = json!({ "seen": Seen::of(checked.designed()) }).to_string();
        self.checked = Some(checked);
        seen
    }

    /// The first layout that comes, for a picture: nothing is routed or proved yet, and nothing is told of what does not go.
    pub fn first(&self) -> String {
        let Some(checked) = self.checked.as_ref().filter(|it| !it.refused()) else { return json!({}).to_string() };
        let parts = nestwright::build::parts(&checked.job, &checked.assemblies);
        match nestwright::layout::nest(&checked.job, &parts, &Search::of(0)) {
            Ok(layout) => json!({ "first": Laid::of(&checked.job, &parts, &layout) }),
            Err(_) => json!({}),
        }
        .to_string()
    }

    /// Tries the parts of the job that was looked at.
    pub fn try_out(&mut self, effort: u32) -> String {
        let Some(checked) = self.checked.take() else { return json!({}).to_string() };
        match nestwright::try_out(checked, &Search::of(effort)) {
            Ok(checked) => {
                let seen = json!({ "seen": Seen::of(checked.designed()) }).to_string();
                self.checked = Some(checked);
                seen
            }
            Err(error) => told(&error).to_string(),
        }
    }

    /// Lays out, routes and proves the job that was tried.
    pub fn lay(&mut self, effort: u32) -> String {
        let Some(checked) = self.checked.clone() else { return json!({}).to_string() };
        match nestwright::make(checked, &Search::of(effort)) {
            Ok(made) => {
                let plan = plan(&made).to_string();
                self.made = Some(made);
                plan
            }
            Err(error) => told(&error).to_string(),
        }
    }

    /// The files of the job that was laid out, by name; or an error's words.
    pub fn files(&self) -> Result<JsMap, String> {
        let made = self.made.as_ref().ok_or("nothing is laid out yet")?;
        let files = export::files(made).map_err(|error| error.to_string())?;
        let map = JsMap::new();
        for (name, bytes) in &files {
            map.set(&name.as_str().into(), &Uint8Array::from(bytes.as_slice()).into());
        }
        Ok(map)
    }
}

impl Engine {
    fn source(&self, name: &str, text: &str) -> Arc<Source> {
        let beside = nestwright::spec::files_named(text).into_iter().map(|name| {
            let list = self.lists.iter().find(|(known, _)| *known == name);
            let read = match list {
                Some((_, text)) => Ok(Source::new(&name, text)),
                None => Err("it is not on this page: drop the list onto it, or paste it under Shop".into()),
            };
            Beside { name, read }
        });
        Source::with_beside(name, text, beside.collect())
    }
}

/// What is shown of a job that is laid out: sheets, saw plan, times, costs.
fn plan(made: &Made) -> Value {
    let saw = (0..made.saw.sheets.len()).flat_map(|i| {
        let pictures = draw::saw_pictures(&made.job, &made.parts, &made.saw, i);
        pictures.into_iter().map(|picture| draw::svg(&picture)).collect::<Vec<_>>()
    });
    json!({
        "seen": Seen::of(made.designed()),
        "plan": View::of(made),
        "saw": saw.collect::<Vec<_>>(),
        "fewest": made.fewest,
    })
}

/// An error as the page shows it.
fn told(error: &Error) -> Value {
    match error {
        Error::Unreadable(problems) => json!({ "problems": problems.iter().map(problem).collect::<Vec<_>>() }),
        Error::Refused(refusal) => json!({ "refused": &**refusal, "said": error.to_string() }),
        _ => json!({ "fault": error.to_string() }),
    }
}

fn problem(problem: &Problem) -> Value {
    let (line, column) = problem.source.line_column(problem.span.start);
    json!({
        "file": problem.source.name,
        "line": line,
        "column": column,
        "span": [problem.span.start, problem.span.end],
        "message": problem.message,
        "expected": problem.expected,
        "help": problem.help,
        "offending": problem.offending(),
        "lacks": problem.lacks.map(|key| json!({ "name": key.name, "says": key.takes.say(), "instead": form::instead(&key) })),
    })
}

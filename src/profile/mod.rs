//! What the world is like: frames, occupants, materials, tools and machines, each figure with its source.
//!
//! A profile is one TOML file. Those in the project's `profiles/` folder are built in; a folder of the maker's own, laid
//! out alike, adds to them and overrides them by file name.

mod fastener;
mod frame;
mod machine;
mod material;
mod occupant;
mod saw_bench;
mod tool;

pub use fastener::{Fastener, FastenerKind};
pub use frame::{BeeSpace, Frame, StandardBox};
pub use machine::{Arcs, Machine, PathControl, ProgramMarks, SHEET_ZERO, SheetZero, ToolChange, ZZero};
pub use material::{Material, Wood};
pub use occupant::{Occupant, Roost};
pub use saw_bench::SawBench;
pub use tool::{Flute, Tool, ToolKind};

use crate::error::Error;
use crate::reading::{Desk, Key, PLACEHOLDER, Problem, Source, Table, Takes, Unless, any_of, key, nearest};
use crate::units::Units;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

pub(crate) static BUILT_IN: include_dir::Dir = include_dir::include_dir!("$CARGO_MANIFEST_DIR/profiles");

/// No profile is longer than this (bytes).
#[cfg(feature = "cli")]
pub(crate) const LONGEST_FILE: u64 = 256 * 1024;

/// What is said of a name that [`is_plain`] refuses.
pub(crate) const NOT_PLAIN: &str =
    "its name goes into names of other files: expected letters, digits, hyphens and points";

/// The first key of every profile.
const TITLE: Key = key("title", Takes::Text, Unless::Needed, "what it is, in words");

/// A kind of profile: its folder, and how one is read.
pub trait Profile: Sized {
    /// Folder under `profiles/`, and what the kind is called: `frames`.
    const FOLDER: &'static str;
    /// One of these: `frame`.
    const ONE: &'static str;
    /// The keys of its file, beside `title`.
    const KEYS: &'static [Key];

    /// Reads the figures; `name` is the file's name without `.toml`.
    fn read(name: &str, title: String, table: &Table) -> Option<Self>;

    /// Its place on the shelf.
    fn kept(profiles: &Profiles) -> &BTreeMap<String, Arc<Self>>;
    #[doc(hidden)]
    fn keep(profiles: &mut Profiles) -> &mut BTreeMap<String, Arc<Self>>;
}

/// All profiles that a job may name.
#[derive(Clone, Debug, Default)]
pub struct Profiles {
    frames: BTreeMap<String, Arc<Frame>>,
    occupants: BTreeMap<String, Arc<Occupant>>,
    materials: BTreeMap<String, Arc<Material>>,
    tools: BTreeMap<String, Arc<Tool>>,
    machines: BTreeMap<String, Arc<Machine>>,
    saws: BTreeMap<String, Arc<SawBench>>,
    fasteners: BTreeMap<String, Arc<Fastener>>,
    files: BTreeMap<(&'static str, String), ProfileFile>,
}

/// A profile as its file has it.
#[derive(Clone, Debug)]
pub struct ProfileFile {
    pub title: String,
    pub source: Arc<Source>,
    pub built_in: bool,
}

impl ProfileFile {
    /// The keys of its figures that are nobody's, as their sources say.
    pub fn placeholders(&self) -> Vec<String> {
        let Ok(figures) = self.source.text.parse::<toml::Table>() else { return Vec::new() };
        let source = |figure: &toml::Value| figure.get("source").and_then(toml::Value::as_str).map(str::to_string);
        let nobodys = |figure: &toml::Value| source(figure).is_some_and(|source| source.starts_with(PLACEHOLDER));
        figures.iter().filter(|(_, figure)| nobodys(figure)).map(|(key, _)| key.clone()).collect()
    }
}

impl Profiles {
    /// The profiles built into the program.
    ///
    /// # Panics
    /// Never, unless the program was built with a broken profile, which its own tests refuse.
    pub fn built_in() -> Profiles {
        let mut profiles = Profiles::default();
        let mut problems = Vec::new();
        for folder in BUILT_IN.dirs() {
            let folder_name = folder.path().to_string_lossy();
            for file in folder.files() {
                let name = file.path().file_stem().unwrap_or_default().to_string_lossy();
                let source = Source::new(
                    format!("profiles/{}", file.path().display()),
                    file.contents_utf8().unwrap_or("not text"),
                );
                profiles.add(&folder_name, &name, source, true, &mut problems);
            }
        }
        assert!(problems.is_empty(), "built-in profiles: {}", Error::Unreadable(problems));
        profiles
    }

    /// Adds the text of one profile, or puts it in the place of the one of its name: what a file `FOLDER/NAME.toml` of
    /// a folder of profiles would be.
    ///
    /// ```
    /// use nestwright::profile::{Fastener, Profiles};
    ///
    /// let mut profiles = Profiles::built_in();
    /// let text = "title = 'Nail, 45 mm'\n\
    ///     kind = { value = 'brad', source = 'the packet' }\n\
    ///     length = { value = 45, source = 'the packet' }\n\
    ///     spacing = { value = 60, source = 'common practice' }\n\
    ///     from-end = { value = 20, source = 'common practice' }\n";
    /// profiles.add_text("fasteners", "nail-45", text)?;
    /// assert!(profiles.find::<Fastener>("nail-45").is_ok());
    /// # Ok::<(), nestwright::error::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Unreadable`] with everything that is wrong with the text; [`Error::File`] where there is no such folder of
    /// profiles, or none may be called so.
    pub fn add_text(&mut self, folder: &str, name: &str, text: &str) -> Result<(), Error> {
        let file = format!("{folder}/{name}.toml");
        let wrong = |why: String| Error::File { path: Path::new(&file).into(), why };
        if !KINDS.iter().any(|kind| kind.folder == folder) {
            let folders = any_of(KINDS.iter().map(|kind| kind.folder));
            return Err(wrong(format!("there is no kind of profile `{folder}`: expected {folders}")));
        }
        if !is_plain(name) {
            return Err(wrong(NOT_PLAIN.into()));
        }
        let mut problems = Vec::new();
        self.add(folder, name, Source::new(file.clone(), text), false, &mut problems);
        if problems.is_empty() { Ok(()) } else { Err(Error::Unreadable(problems)) }
    }

    pub(crate) fn add(
        &mut self,
        folder: &str,
        name: &str,
        source: Arc<Source>,
        built_in: bool,
        problems: &mut Vec<Problem>,
    ) {
        let Some(kind) = KINDS.iter().find(|kind| kind.folder == folder) else { return };
        match (kind.read)(self, name, &source) {
            Ok(title) => {
                self.files.insert((kind.folder, name.to_string()), ProfileFile { title, source, built_in });
            }
            Err(found) => problems.extend(found),
        }
    }

    /// The profile of this name.
    ///
    /// # Errors
    /// When there is none: what is known, or the nearest name.
    pub fn find<T: Profile>(&self, name: &str) -> Result<Arc<T>, String> {
        let shelf = T::kept(self);
        shelf.get(name).cloned().ok_or_else(|| match nearest(name, shelf.keys().map(String::as_str)) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => format!("known {}: {}", T::FOLDER, shelf.keys().map(String::as_str).collect::<Vec<_>>().join(", ")),
        })
    }

    /// Every profile of one kind, by name.
    pub fn all<T: Profile + 'static>(&self) -> impl Iterator<Item = &Arc<T>> {
        T::kept(self).values()
    }

    /// Every file, by kind and name.
    pub fn files(&self) -> impl Iterator<Item = (&'static str, &str, &ProfileFile)> {
        self.files.iter().map(|((folder, name), file)| (*folder, name.as_str(), file))
    }
}

impl Table<'_> {
    /// The profile that a key names; complains when there is none of that name.
    pub fn profile<T: Profile>(&self, key: &str, profiles: &Profiles) -> Option<Arc<T>> {
        let name = self.text(key)?;
        self.found(&name, profiles)
    }

    /// The profiles that a key lists.
    pub fn profiles<T: Profile>(&self, key: &str, profiles: &Profiles) -> Option<Vec<Arc<T>>> {
        self.texts(key)?.iter().map(|name| self.found(name, profiles)).collect()
    }

    fn found<T: Profile>(&self, name: &toml::Spanned<String>, profiles: &Profiles) -> Option<Arc<T>> {
        match profiles.find::<T>(name.get_ref()) {
            Ok(profile) => Some(profile),
            Err(help) => {
                let message = format!("there is no {} `{}`", T::ONE, name.get_ref());
                self.desk.problem(
                    name.span(),
                    message,
                    format!("expected the name of a profile under {}", T::FOLDER),
                    help,
                );
                None
            }
        }
    }
}

/// Reads the file of this name onto its shelf; returns its title.
type Read = fn(&mut Profiles, &str, &Arc<Source>) -> Result<String, Vec<Problem>>;

/// One row per kind of profile.
pub(crate) struct KindOfProfile {
    pub folder: &'static str,
    pub one: &'static str,
    pub keys: &'static [Key],
    read: Read,
}

impl KindOfProfile {
    const fn of<T: Profile>() -> KindOfProfile {
        KindOfProfile { folder: T::FOLDER, one: T::ONE, keys: T::KEYS, read: put::<T> }
    }
}

/// The kinds of profile: folder, what one is called, and the keys of its file; each a figure with its source, but for `title`.
pub fn kinds() -> impl Iterator<Item = (&'static str, &'static str, Vec<Key>)> {
    KINDS.iter().map(|kind| (kind.folder, kind.one, [&[TITLE], kind.keys].concat()))
}

pub(crate) const KINDS: [KindOfProfile; 7] = [
    KindOfProfile::of::<Frame>(),
    KindOfProfile::of::<Occupant>(),
    KindOfProfile::of::<Material>(),
    KindOfProfile::of::<Tool>(),
    KindOfProfile::of::<Machine>(),
    KindOfProfile::of::<SawBench>(),
    KindOfProfile::of::<Fastener>(),
];

/// Reads one file onto its shelf; returns its title.
fn put<T: Profile>(profiles: &mut Profiles, name: &str, source: &Arc<Source>) -> Result<String, Vec<Problem>> {
    let (title, profile) = Desk::read(source, Units::Millimetres, |table| {
        table.only(&[&[TITLE], T::KEYS]);
        let title = table.needed(&TITLE, table.name("title"));
        let profile = T::read(name, title.as_ref().map(|t| t.get_ref().clone()).unwrap_or_default(), table);
        Some((title?.into_inner(), profile?))
    })?;
    T::keep(profiles).insert(name.to_string(), Arc::new(profile));
    Ok(title)
}

/// May a profile be called this? Its name becomes part of those of programs.
pub(crate) fn is_plain(name: &str) -> bool {
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
    name.len() <= 60 && name.chars().all(plain) && name.starts_with(|c: char| c.is_ascii_alphanumeric())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_built_in_profile_reads() {
        assert!(Profiles::built_in().files().count() >= 13);
    }

    #[test]
    fn a_misspelt_name_is_told_the_nearest() {
        let why = Profiles::built_in().find::<Frame>("langstroth-medum").expect_err("no such frame");
        assert_eq!(why, "did you mean \"langstroth-medium\"?");
    }
}

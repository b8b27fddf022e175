//! A maker's own folder of profiles.

use super::{plainly, read_text};
use crate::error::Error;
use crate::profile::{KINDS, LONGEST_FILE, NOT_PLAIN, Profiles, is_plain};
use crate::reading::Source;
use std::path::Path;

impl Profiles {
    /// Adds every profile of a maker's own folder: `DIR/frames/*.toml` and so on.
    ///
    /// # Errors
    /// All problems of all files; or the folder or a file could not be read.
    pub fn add_folder(&mut self, dir: &Path) -> Result<(), Error> {
        let mut problems = Vec::new();
        let unreadable = |path: &Path, why: String| Error::File { path: path.into(), why };
        for kind in KINDS {
            let folder = dir.join(kind.folder);
            if !folder.is_dir() {
                continue;
            }
            let entries = std::fs::read_dir(&folder).map_err(|why| unreadable(&folder, plainly(&why)))?;
            let mut files: Vec<_> = entries.filter_map(|entry| entry.ok().map(|entry| entry.path())).collect();
            files.sort();
            for file in files.iter().filter(|file| file.extension().is_some_and(|ending| ending == "toml")) {
                let name = file.file_stem().unwrap_or_default().to_string_lossy();
                if !is_plain(&name) {
                    return Err(unreadable(file, NOT_PLAIN.into()));
                }
                let text = read_text(file, LONGEST_FILE)?;
                let source = Source::new(file.display().to_string(), text);
                self.add(kind.folder, &name, source, false, &mut problems);
            }
        }
        if problems.is_empty() { Ok(()) } else { Err(Error::Unreadable(problems)) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::{BUILT_IN, Frame};

    #[test]
    fn an_own_folder_overrides_and_adds() {
        let dir = tempfile::tempdir().expect("a temporary folder");
        let frames = dir.path().join("frames");
        std::fs::create_dir(&frames).expect("made");
        let deep = BUILT_IN.get_file("frames/langstroth-deep.toml").and_then(|f| f.contents_utf8()).expect("built in");
        std::fs::write(frames.join("langstroth-deep.toml"), deep.replace("19 in", "18 in")).expect("written");
        std::fs::write(frames.join("half.toml"), deep).expect("written");
        let mut profiles = Profiles::built_in();
        profiles.add_folder(dir.path()).expect("readable");
        let length = |name: &str| profiles.find::<Frame>(name).expect("known").top_bar_length.value;
        assert!((length("langstroth-deep") - 457.2).abs() < 1e-9);
        assert!((length("half") - 482.6).abs() < 1e-9);
    }
}

//! The seal of a picture of a proof, which a maker asks for after the folder was written: a checksum by which it is known
//! again as nestwright wrote it.

use crate::disk::{plainly, read_bytes};
use crate::error::Error;
use crate::export::checksum;
use std::fs;
use std::path::Path;

/// How the names of such pictures end.
const ENDING: &str = ".proof.svg";
/// No picture is longer (bytes).
const LONGEST: u64 = 1 << 30;
/// The seal is the last line: a comment with a checksum of the picture's name and all that stands before.
const SEAL: (&str, &str) = ("<!-- nestwright prove ", " -->\n");

/// Writes the picture of a proof under its sealed name, in place of an earlier one.
///
/// # Errors
/// [`Error::File`] when something else has that name, or it cannot be written.
pub fn write_proof(path: &Path, svg: &str) -> Result<(), Error> {
    let fail = |why: String| Error::File { path: path.into(), why };
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let there = fs::symlink_metadata(path).is_ok();
    if there && !read_bytes(path, LONGEST).is_ok_and(|bytes| is_sealed(&name, &bytes)) {
        return Err(fail("is no picture of a proof, or was changed: move it away, and prove again".into()));
    }
    fs::write(path, sealed(&name, svg)).map_err(|why| fail(format!("could not be written: {}", plainly(&why))))
}

/// The picture with its seal.
pub(super) fn sealed(name: &str, svg: &str) -> String {
    format!("{svg}{}{:08x}{}", SEAL.0, sum(name, svg.as_bytes()), SEAL.1)
}

/// Is this a picture of a proof under its own name, as it was written?
pub(super) fn is_sealed(name: &str, bytes: &[u8]) -> bool {
    let file = name.rsplit('/').next().unwrap_or(name);
    let seal = SEAL.0.len() + 8 + SEAL.1.len();
    let Some(at) = bytes.len().checked_sub(seal) else { return false };
    let (svg, last) = bytes.split_at(at);
    file.ends_with(ENDING) && last == format!("{}{:08x}{}", SEAL.0, sum(file, svg), SEAL.1).as_bytes()
}

fn sum(name: &str, svg: &[u8]) -> u32 {
    checksum(&[name.as_bytes(), svg].concat())
}

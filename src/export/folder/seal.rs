//! Seals: what has no checksum in `job.json` bears one itself, by which it is known again as nestwright wrote it. That is
//! `job.json`, and pictures of proofs, which a maker asks for after the folder was written.

use super::checksum;
use crate::error::{Error, plainly};
use crate::profile::read_bytes;
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

/// Stands in `job.json` for its seal while that is worked out.
pub(in crate::export) const UNSEALED: &str = "00000000";

/// Where the seal stands in a text of `job.json`: at its top, as it is printed. No text within a value looks like it, as
/// quotes are escaped there.
fn place_of_seal(json: &[u8]) -> Option<std::ops::Range<usize>> {
    const KEY: &[u8] = b"\n  \"seal\": \"";
    let start = json.windows(KEY.len()).rposition(|at| at == KEY)? + KEY.len();
    let end = start + UNSEALED.len();
    (end <= json.len()).then_some(start..end)
}

/// `job.json` with its seal in the place of [`UNSEALED`].
pub(in crate::export) fn seal_json(mut json: Vec<u8>) -> Vec<u8> {
    if let Some(place) = place_of_seal(&json) {
        let sum = format!("{:08x}", checksum(&json));
        json[place].copy_from_slice(sum.as_bytes());
    }
    json
}

/// Is this a `job.json` as it was written?
pub(super) fn is_sealed_json(json: &[u8]) -> bool {
    let Some(place) = place_of_seal(json) else { return false };
    let mut plain = json.to_vec();
    plain[place.clone()].copy_from_slice(UNSEALED.as_bytes());
    json[place] == *format!("{:08x}", checksum(&plain)).as_bytes()
}

fn sum(name: &str, svg: &[u8]) -> u32 {
    checksum(&[name.as_bytes(), svg].concat())
}

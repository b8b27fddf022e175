//! The seal of `job.json`, which no other file has a checksum of: one of its own, by which it is known again as nestwright
//! wrote it.

/// A checksum by which a file is known again (CRC-32).
pub(crate) fn checksum(bytes: &[u8]) -> u32 {
    crc32fast::hash(bytes)
}

/// Stands in `job.json` for its seal while that is worked out.
pub(crate) const UNSEALED: &str = "00000000";

/// Where the seal stands in a text of `job.json`: at its top, as it is printed. No text within a value looks like it, as
/// quotes are escaped there.
fn place_of_seal(json: &[u8]) -> Option<std::ops::Range<usize>> {
    const KEY: &[u8] = b"\n  \"seal\": \"";
    let start = json.windows(KEY.len()).rposition(|at| at == KEY)? + KEY.len();
    let end = start + UNSEALED.len();
    (end <= json.len()).then_some(start..end)
}

/// `job.json` with its seal in the place of [`UNSEALED`].
pub(crate) fn seal_json(mut json: Vec<u8>) -> Vec<u8> {
    if let Some(place) = place_of_seal(&json) {
        let sum = format!("{:08x}", checksum(&json));
        json[place].copy_from_slice(sum.as_bytes());
    }
    json
}

/// Is this a `job.json` as it was written?
#[cfg(feature = "cli")]
pub(crate) fn is_sealed_json(json: &[u8]) -> bool {
    let Some(place) = place_of_seal(json) else { return false };
    let mut plain = json.to_vec();
    plain[place.clone()].copy_from_slice(UNSEALED.as_bytes());
    json[place] == *format!("{:08x}", checksum(&plain)).as_bytes()
}

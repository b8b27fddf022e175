//! What the program reads from the disk and writes to it; the rest of the library knows texts and bytes.

pub mod folder;
mod offcuts;
mod profiles;

pub use folder::{write_folder, write_proof};
pub use offcuts::{kept, promise, take_back};

use crate::error::Error;
use crate::reading::Source;
use std::io;
use std::path::Path;

/// What the system says of a file, in words that tell what to do.
pub(crate) fn plainly(why: &io::Error) -> String {
    use io::ErrorKind as Kind;
    let words = match why.kind() {
        Kind::NotFound => "there is nothing of this name",
        Kind::PermissionDenied => "permission denied: whoever owns it must allow it first",
        Kind::AlreadyExists => "something of this name is there already",
        Kind::NotADirectory => "a part of this path is a file, and a folder was expected",
        Kind::IsADirectory => "is a folder; a file was expected",
        Kind::StorageFull | Kind::QuotaExceeded => "the disk is full",
        Kind::FileTooLarge => "a file may not grow as large as this here",
        Kind::ReadOnlyFilesystem => "this disk can only be read",
        Kind::InvalidFilename => "this name is too long, or no name for a file here",
        Kind::DirectoryNotEmpty => "something was put there meanwhile",
        Kind::CrossesDevices | Kind::ResourceBusy => "this folder is a disk of its own: give a folder in it",
        _ => return why.to_string(),
    };
    words.into()
}

/// A text file of at most `longest` bytes.
///
/// # Errors
/// [`Error::File`] when it cannot be read, is longer, or is not UTF-8.
pub fn read_text(path: &Path, longest: u64) -> Result<String, Error> {
    let fail = |why: String| Error::File { path: path.into(), why };
    let bytes = read_bytes(path, longest)?;
    String::from_utf8(bytes).map_err(|why| fail(not_utf8(why.as_bytes(), why.utf8_error().valid_up_to())))
}

/// Reads a file of bounded length (bytes).
///
/// A pipe that the shell hands over is read as well; one that has a name is not, as it may never end.
///
/// # Errors
/// [`Error::File`] when it cannot be read, is longer, or is a pipe that has a name.
pub fn read_bytes(path: &Path, longest: u64) -> Result<Vec<u8>, Error> {
    let fail = |why: String| Error::File { path: path.into(), why };
    let about = std::fs::metadata(path).map_err(|why| fail(plainly(&why)))?;
    if about.is_dir() {
        return Err(fail("is a folder; a file was expected".into()));
    }
    if is_named_pipe(path, &about) {
        return Err(fail("is a pipe, which may never end; a file was expected".into()));
    }
    let too_long = || {
        let (long, unit) = if longest < 1 << 20 { (longest >> 10, "KB") } else { (longest >> 20, "MB") };
        fail(format!("is too long: at most {long} {unit} are read"))
    };
    if about.len() > longest {
        return Err(too_long());
    }
    // A pipe or a device has no length: read no more than is allowed.
    let file = std::fs::File::open(path).map_err(|why| fail(plainly(&why)))?;
    let mut bytes = Vec::new();
    std::io::Read::read_to_end(&mut std::io::Read::take(file, longest + 1), &mut bytes)
        .map_err(|why| fail(plainly(&why)))?;
    if bytes.len() as u64 > longest {
        return Err(too_long());
    }
    Ok(bytes)
}

/// Opening a pipe in a folder waits for somebody to write into it. What the shell hands over, it writes into itself.
#[cfg(unix)]
fn is_named_pipe(path: &Path, about: &std::fs::Metadata) -> bool {
    use std::os::unix::fs::FileTypeExt;
    let handed_over = |real: std::path::PathBuf| real.starts_with("/dev") || real.starts_with("/proc");
    // What a link in /proc leads to has no path of its own, and cannot be resolved.
    about.file_type().is_fifo() && path.canonicalize().is_ok_and(|real| !handed_over(real))
}

#[cfg(not(unix))]
fn is_named_pipe(_: &Path, _: &std::fs::Metadata) -> bool {
    false
}

/// What to say of bytes that are text only up to `valid`.
fn not_utf8(bytes: &[u8], valid: usize) -> String {
    let expected = "expected a text file, saved as UTF-8";
    let wide = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
    if wide {
        return format!("1:1: this is a text in UTF-16: {expected} (a text editor can save it so)");
    }
    let before = String::from_utf8_lossy(&bytes[..valid]);
    let (line, column) = Source::new("", before).line_column(valid);
    format!("{line}:{column}: this is no letter in UTF-8: {expected}")
}

//! What can go wrong, and how it is said.

use crate::finding::{Finding, Measured};
use crate::reading::{Problem, harmless};
use std::fmt;
use std::ops::Deref;
use std::path::PathBuf;

/// Why a stage did not return its value.
#[derive(Debug)]
pub enum Error {
    /// The input could not be read; every problem of the file, in order of place.
    Unreadable(Vec<Problem>),
    /// The job was understood and must not be built like this; the findings say why.
    Refused(Refusal),
    /// A file or folder could not be read or written.
    File { path: PathBuf, why: String },
    /// Programs that would not cut what they should: the fault is ours, and nothing was written.
    Unproved(Vec<Unproved>),
    /// Something that should be impossible: the fault is ours, and nothing was written.
    Fault(String),
}

/// A program that would not cut what it should.
#[derive(Clone, Debug, PartialEq)]
pub struct Unproved {
    pub file: String,
    /// The measures beyond their limits.
    pub faults: Vec<Measured>,
}

/// All the findings so far, at least one of them [refused](Finding::refused).
#[derive(Clone, Debug, PartialEq)]
pub struct Refusal(Vec<Finding>);

impl Deref for Refusal {
    type Target = [Finding];

    fn deref(&self) -> &[Finding] {
        &self.0
    }
}

impl Refusal {
    pub fn into_findings(self) -> Vec<Finding> {
        self.0
    }
}

impl Error {
    /// A refusal for what is refused among these; where nothing is, whoever calls this is at fault.
    pub fn refused(findings: Vec<Finding>) -> Error {
        if findings.iter().any(Finding::refused) {
            return Error::Refused(Refusal(findings));
        }
        Error::Fault("a stage refused the job, and no finding says why".into())
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self {
            Error::Unreadable(problems) => {
                for (i, problem) in problems.iter().enumerate() {
                    write!(f, "{}{problem}", if i > 0 { "\n" } else { "" })?;
                }
                Ok(())
            }
            Error::Refused(refusal) => {
                let refused = refusal.0.iter().filter(|finding| finding.refused());
                for (i, finding) in refused.enumerate() {
                    let break_line = if i > 0 { "\n" } else { "" };
                    write!(f, "{break_line}{}: {}: {}", finding.subject, finding.check, finding.advice)?;
                }
                Ok(())
            }
            Error::Unproved(programs) => {
                f.write_str("a fault in nestwright, not in your job: a program would not cut what it should")?;
                for Unproved { file, faults } in programs {
                    for fault in faults {
                        let line = fault.line.map_or(String::new(), |line| format!(":{line}"));
                        let finding = &fault.finding;
                        write!(f, "\n{file}{line}: {}: {}", finding.check, finding.subject)?;
                    }
                }
                Ok(())
            }
            Error::File { path, why } => {
                // A place in the file joins its name, as it does for a problem of a text.
                let gap = if why.starts_with(|c: char| c.is_ascii_digit()) { "" } else { " " };
                write!(f, "{}:{gap}{why}", harmless(&path.display().to_string()))
            }
            Error::Fault(what) => write!(f, "a fault in nestwright, not in your job: {what}"),
        }
    }
}

impl std::error::Error for Error {}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Status;

    /// Nobody can refuse a job without a finding that says why.
    #[test]
    fn a_refusal_without_a_reason_is_a_fault() {
        let finding = |status| Finding::plain(crate::finding::JobCheck::PartsApart, "box", status);
        let fine = Error::refused(vec![finding(Status::Ok), finding(Status::Caution)]);
        assert!(matches!(fine, Error::Fault(_)), "{fine}");
        let Error::Refused(refusal) = Error::refused(vec![finding(Status::Ok), finding(Status::Refused)]) else {
            panic!("not refused")
        };
        assert_eq!(refusal.len(), 2);
    }
}

//! How a question ends, and the failures that lead there. The numbers are the exit codes of the command line, and part
//! of its contract; the API says the same with its status.

use std::io::ErrorKind;
use std::path::Path;
use std::process::ExitCode;

use ouncewise_store::StoreError;

/// How a command ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// Done; and where a question was asked, the answer is yes.
    Done = 0,
    /// Done, and the answer is no: faults were found, the ledger does not verify.
    No = 1,
    /// The command was not understood.
    Usage = 2,
    /// The data given cannot be used.
    Data = 65,
    /// The store cannot be reached.
    Unavailable = 69,
    /// A defect of this program.
    Bug = 70,
    /// Reading or writing failed.
    Io = 74,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit as u8)
    }
}

/// Why a command could not do what was asked: what, and how to mend it.
#[derive(Debug)]
pub struct Failure {
    /// The exit code.
    pub exit: Exit,
    /// What happened, and to what.
    pub message: String,
    /// How to mend it.
    pub hint: Option<String>,
    /// Whether what was asked about is not there.
    pub missing: bool,
}

impl From<StoreError> for Failure {
    fn from(error: StoreError) -> Self {
        let exit = match error.kind().exit_code() {
            2 => Exit::Usage,
            65 => Exit::Data,
            69 => Exit::Unavailable,
            _ => Exit::Io,
        };
        Self::new(exit, error.to_string())
    }
}

impl Failure {
    /// A failure with its exit code.
    pub fn new(exit: Exit, message: impl Into<String>) -> Self {
        Self { exit, message: message.into(), hint: None, missing: false }
    }

    /// The command was not understood.
    pub fn usage(message: impl Into<String>) -> Self {
        Self::new(Exit::Usage, message)
    }

    /// What was asked about is not there.
    pub fn missing(message: impl Into<String>) -> Self {
        Self { missing: true, ..Self::new(Exit::Usage, message) }
    }

    /// The data given cannot be used.
    pub fn data(message: impl Into<String>) -> Self {
        Self::new(Exit::Data, message)
    }

    /// Reading or writing `path` failed.
    pub fn io(path: &Path, error: &std::io::Error) -> Self {
        let path = path.display();
        let (what, hint) = match error.kind() {
            ErrorKind::NotFound => ("is not there", "look at the name, and in which folder it is"),
            ErrorKind::PermissionDenied => (
                "may not be read or written by this user",
                "ask for the right, or name another place",
            ),
            ErrorKind::ReadOnlyFilesystem => {
                ("is on a disk that cannot be written to", "name a place on another disk")
            }
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded => {
                ("has no room left on its disk", "free some space, and do it again")
            }
            ErrorKind::NotADirectory => (
                "cannot be: a part of that path is a file, not a folder",
                "name a place below a folder",
            ),
            ErrorKind::IsADirectory => ("is a folder", "name a file"),
            ErrorKind::AlreadyExists => {
                ("is there already", "name a new one: nothing is ever written over")
            }
            _ => {
                return Self::new(Exit::Io, format!("{path}: {error}")).hint(
                    "look whether the disk is well and the file is not held by another program",
                );
            }
        };
        Self::new(Exit::Io, format!("{path} {what}")).hint(hint)
    }

    /// Adds how to mend it.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }
}

//! What can go wrong with a store, said so that it can be mended.

use std::path::{Path, PathBuf};

use crate::receipt::Refusal;

/// What sort of trouble it is, for exit codes and HTTP statuses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// What was asked for cannot be asked of this store.
    Usage,
    /// What is stored, or was given to be stored, is not as it should be.
    Data,
    /// Somebody else has it, or it cannot be reached: the same request may succeed later.
    Unavailable,
    /// The disk or the folder does not do what it must.
    Io,
}

impl Kind {
    /// Exit code of a command that ends with it: 2 usage, 65 data, 69 unavailable, 74 I/O.
    #[must_use]
    pub fn exit_code(self) -> u8 {
        match self {
            Kind::Usage => 2,
            Kind::Data => 65,
            Kind::Unavailable => 69,
            Kind::Io => 74,
        }
    }
}

/// What went wrong, where, and how to mend it.
#[derive(Debug, Clone, thiserror::Error)]
pub enum StoreError {
    /// Asked of a database that cannot do it.
    #[error("{0}")]
    Usage(String),

    /// The disk is full. What was saved before is safe.
    #[error(
        "the disk that holds {place} is full; nothing of this act was saved, everything saved before is safe. Free some space and do it again"
    )]
    Full {
        /// File or address.
        place: String,
    },

    /// The folder or file cannot be written.
    #[error(
        "{place} cannot be written ({what}); nothing was lost. Give this user the right to write there, or name another folder with --data"
    )]
    ReadOnly {
        /// File or address.
        place: String,
        /// What the system said.
        what: String,
    },

    /// A file could not be read or written.
    #[error("{place}: {what}")]
    Io {
        /// File or folder.
        place: String,
        /// What the system said.
        what: String,
    },

    /// The database is held by another process, or cannot be reached.
    #[error("{place}: {what}. Nothing of this act was saved; try again")]
    Unavailable {
        /// File or address.
        place: String,
        /// Who holds it, or what the system said.
        what: String,
    },

    /// The file is not a store, is from another version, or is damaged.
    #[error("{place}: {what}")]
    Damaged {
        /// File or address.
        place: String,
        /// What does not fit, and what to do.
        what: String,
    },

    /// Drafts that are no records; none of the act was saved.
    #[error("{}", list(.0))]
    Drafts(Vec<Refusal>),

    /// A database answered in a way that this program does not expect.
    #[error("{place}: the database refused: {what}")]
    Database {
        /// File or address.
        place: String,
        /// What it said.
        what: String,
    },
}

/// The index of the log cannot grow: "may indicate that the underlying filesystem volume is out of space"
/// (sqlite.org/rescode.html).
const IOERR_SHMSIZE: i32 = 4874;

fn list(refusals: &[Refusal]) -> String {
    let lines: Vec<String> = refusals.iter().map(ToString::to_string).collect();
    lines.join("\n")
}

impl StoreError {
    /// What sort of trouble it is.
    #[must_use]
    pub fn kind(&self) -> Kind {
        match self {
            StoreError::Usage(_) => Kind::Usage,
            StoreError::Full { .. } | StoreError::ReadOnly { .. } | StoreError::Io { .. } => {
                Kind::Io
            }
            StoreError::Unavailable { .. } => Kind::Unavailable,
            StoreError::Damaged { .. } | StoreError::Drafts(_) | StoreError::Database { .. } => {
                Kind::Data
            }
        }
    }

    pub(crate) fn io(path: &Path, error: &std::io::Error) -> StoreError {
        use std::io::ErrorKind as E;
        let place = path.display().to_string();
        match error.kind() {
            E::StorageFull | E::QuotaExceeded | E::FileTooLarge => StoreError::Full { place },
            E::PermissionDenied | E::ReadOnlyFilesystem => {
                StoreError::ReadOnly { place, what: error.to_string() }
            }
            _ => StoreError::Io { place, what: error.to_string() },
        }
    }

    /// Reads an sqlx error; `place` is the file or the address without its password.
    pub(crate) fn sql(place: &str, error: &sqlx::Error) -> StoreError {
        let place = place.to_owned();
        let what = error.to_string();
        let Some(db) = error.as_database_error() else {
            return match error {
                sqlx::Error::Io(e) => StoreError::io(&PathBuf::from(place), e),
                sqlx::Error::PoolTimedOut => StoreError::Unavailable {
                    place,
                    what: "no connection was to be had in time".to_owned(),
                },
                sqlx::Error::PoolClosed | sqlx::Error::Tls(_) => {
                    StoreError::Unavailable { place, what }
                }
                _ => StoreError::Database { place, what },
            };
        };
        let what = db.message().to_owned();
        let code = db.code().unwrap_or_default();
        if db.try_downcast_ref::<sqlx::sqlite::SqliteError>().is_some() {
            // Extended result codes; the low byte is the primary one.
            let extended = code.parse::<i32>().unwrap_or(1);
            if extended == IOERR_SHMSIZE {
                return StoreError::Full { place };
            }
            return match extended & 0xff {
                5 | 6 => StoreError::Unavailable {
                    place,
                    what: "another process is writing to it".to_owned(),
                },
                3 | 8 | 14 | 23 => StoreError::ReadOnly { place, what },
                13 => StoreError::Full { place },
                10 => StoreError::Io {
                    place,
                    what: format!(
                        "{what}; nothing of this act was saved. Look after the disk, then do it again"
                    ),
                },
                11 | 26 => StoreError::Damaged {
                    place,
                    what: format!("{what}. Keep this file aside and restore the last backup"),
                },
                _ => StoreError::Database { place, what },
            };
        }
        // PostgreSQL, appendix A of its manual.
        match &*code {
            "53100" => StoreError::Full { place },
            "25006" | "42501" => StoreError::ReadOnly { place, what },
            "40001" | "40P01" | "53300" => StoreError::Unavailable { place, what },
            c if c.starts_with("08") || c.starts_with("57P") => {
                StoreError::Unavailable { place, what }
            }
            _ => StoreError::Database { place, what },
        }
    }
}

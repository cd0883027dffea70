//! Sheets between being chosen and being kept: each in a temporary file, with its reading beside it.

use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use axum::extract::Multipart;
use axum::extract::multipart::MultipartError;
use axum::http::StatusCode;
use ouncewise_estate::sheets::Mapping;
use ouncewise_estate::sheets::mapping::Column;
use ouncewise_report::RowsReport;
use sha2::{Digest, Sha256};
use tempfile::NamedTempFile;
use tokio::io::AsyncWriteExt;
use uuid::Uuid;

use super::words::hex;

/// The largest file that is taken.
pub const LARGEST: usize = 32 << 20;

/// How much beyond that is still listened to: a browser shows the answer only once all was sent.
const PATIENCE: usize = 8 * LARGEST;

/// How many sheets are held at once; the oldest goes.
pub const HELD: usize = 8;

/// How many readings are held: a sheet that has gone is read as it was, once it is chosen again.
const READINGS: usize = 2 * HELD;

/// The longest name of a file, in letters.
const NAME: usize = 120;

/// One sheet on its way in.
#[derive(Clone)]
pub struct Sheet {
    /// The file.
    pub file: Arc<Received>,
    /// Which sheet of a workbook is read, and all that it has.
    pub which: Option<String>,
    pub sheets: Vec<String>,
    /// How it is read.
    pub reading: Reading,
    /// What became of it, once it was kept.
    pub kept: Option<Arc<Kept>>,
    /// Why keeping it stopped, if it did.
    pub stopped: Option<String>,
}

/// How a sheet is read.
#[derive(Clone)]
pub struct Reading {
    /// Columns, questions, answers.
    pub mapping: Mapping,
    /// The columns as the sheet itself suggests them.
    pub proposed: Arc<Vec<Column>>,
    /// Some cells of each column, by its letter.
    pub cells: Arc<BTreeMap<String, Vec<String>>>,
    /// Questions that somebody left open: what needs them waits.
    pub left_open: BTreeSet<String>,
    /// Whether a sheet with the same headings was read so before.
    pub known: bool,
}

impl Reading {
    /// What the page shows as chosen: the likeliest answer wherever none was given, but for what was left open.
    pub fn decided(&self) -> Mapping {
        let mut mapping = self.mapping.clone();
        mapping.accept_defaults();
        for question in &mut mapping.questions {
            if self.left_open.contains(&question.id) {
                question.answer = None;
            }
        }
        mapping
    }
}

/// What became of a sheet that was kept.
pub struct Kept {
    pub report: RowsReport,
    /// The load by which it can be taken back; nothing where it added nothing.
    pub load: Option<Uuid>,
    /// Sites that it has records of: key, name, how many.
    pub sites: Vec<(String, String, u64)>,
    /// How much was set up for it.
    pub set_up: usize,
    /// Why its reading is not remembered, where it is not.
    pub not_remembered: Option<String>,
}

/// A sheet that one request works on.
pub type Held = Arc<tokio::sync::Mutex<Sheet>>;

/// The sheets that are on their way in.
#[derive(Default)]
pub struct Uploads(Mutex<Table>);

#[derive(Default)]
struct Table {
    held: VecDeque<(Uuid, Held)>,
    readings: VecDeque<(Uuid, Mapping)>,
}

impl Uploads {
    fn table(&self) -> MutexGuard<'_, Table> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Takes a sheet in, and gives its id.
    pub fn put(&self, sheet: Sheet) -> Uuid {
        let id = Uuid::now_v7();
        let mut table = self.table();
        if table.held.len() >= HELD {
            table.held.pop_front();
        }
        table.held.push_back((id, Arc::new(tokio::sync::Mutex::new(sheet))));
        id
    }

    /// One sheet, if it is still held.
    pub fn get(&self, id: Uuid) -> Option<Held> {
        self.table().held.iter().find(|(known, _)| *known == id).map(|(_, held)| held.clone())
    }

    /// The sheet that a load came from, if it is still held and nobody works on it.
    pub fn of_load(&self, load: Uuid) -> Option<Uuid> {
        let is = |held: &Held| {
            held.try_lock()
                .is_ok_and(|sheet| sheet.kept.as_ref().is_some_and(|kept| kept.load == Some(load)))
        };
        self.table().held.iter().find(|(_, held)| is(held)).map(|(id, _)| *id)
    }

    /// Remembers a reading that somebody made, for when its sheet has gone.
    pub fn note(&self, id: Uuid, mapping: &Mapping) {
        let mut table = self.table();
        table.readings.retain(|(known, _)| *known != id);
        if table.readings.len() >= READINGS {
            table.readings.pop_front();
        }
        table.readings.push_back((id, mapping.clone()));
    }

    /// Whether the reading of this sheet is remembered.
    pub fn has_reading(&self, id: Uuid) -> bool {
        self.table().readings.iter().any(|(known, _)| *known == id)
    }

    /// The readings that are remembered, the latest first.
    pub fn readings(&self) -> Vec<Mapping> {
        self.table().readings.iter().rev().map(|(_, mapping)| mapping.clone()).collect()
    }
}

/// A file as it was sent.
pub struct Received {
    /// What it is called.
    pub name: String,
    /// Where it lies; it goes with the last of its holders.
    pub file: NamedTempFile,
    /// Hash of its bytes, in hexadecimal.
    pub hash: String,
}

/// Why a file was not received.
pub enum NotReceived {
    /// None was chosen.
    None,
    /// It has no bytes.
    Empty,
    /// It is too large.
    TooLarge,
    /// The form broke off, or the disk is full.
    Broken(StatusCode, String),
}

impl From<MultipartError> for NotReceived {
    fn from(error: MultipartError) -> Self {
        match error.status() {
            StatusCode::PAYLOAD_TOO_LARGE => Self::TooLarge,
            status => {
                Self::Broken(status, "the form broke off before all of it was sent".to_owned())
            }
        }
    }
}

impl From<std::io::Error> for NotReceived {
    fn from(error: std::io::Error) -> Self {
        let what = format!("the sheet cannot be put aside on this disk: {error}");
        Self::Broken(StatusCode::INTERNAL_SERVER_ERROR, what)
    }
}

/// Receives the file of a form into a temporary file.
pub async fn receive(mut form: Multipart) -> Result<Received, NotReceived> {
    while let Some(mut field) = form.next_field().await? {
        if field.name() != Some("sheet") {
            continue;
        }
        // Some browsers send the whole path.
        let name = field.file_name().unwrap_or_default();
        let name = name.rsplit(['/', '\\']).next().unwrap_or_default();
        let name: String = name.chars().filter(|c| !c.is_control()).take(NAME).collect();
        let file = NamedTempFile::new()?;
        let mut to = tokio::fs::File::from_std(file.reopen()?);
        let (mut hash, mut size) = (Sha256::new(), 0);
        while let Some(chunk) = field.chunk().await? {
            size += chunk.len();
            if size > PATIENCE {
                return Err(NotReceived::TooLarge);
            }
            if size <= LARGEST {
                hash.update(&chunk);
                to.write_all(&chunk).await?;
            }
        }
        to.flush().await?;
        return match size {
            0 if name.is_empty() => Err(NotReceived::None),
            0 => Err(NotReceived::Empty),
            size if size > LARGEST => Err(NotReceived::TooLarge),
            _ => {
                let name = if name.trim().is_empty() { "sheet".to_owned() } else { name };
                Ok(Received { name, file, hash: hex(&hash.finalize()) })
            }
        };
    }
    Err(NotReceived::None)
}

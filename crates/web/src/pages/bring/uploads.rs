//! Sheets between being chosen and being kept.

use std::collections::VecDeque;
use std::io::Write;
use std::sync::{Arc, Mutex, PoisonError};

use axum::extract::Multipart;
use axum::http::StatusCode;
use ouncewise_estate::sheets::{Mapping, TableRow};
use ouncewise_report::RowsReport;
use tempfile::NamedTempFile;
use uuid::Uuid;

/// The largest file that is taken.
pub const LARGEST: usize = 32 << 20;

/// How many sheets are held at once; the oldest goes.
const HELD: usize = 8;

/// One sheet on its way in.
#[derive(Clone)]
pub struct Sheet {
    /// Name of the file.
    pub name: String,
    /// The file itself; it goes with the last of its holders.
    pub file: Arc<NamedTempFile>,
    /// Which sheet of a workbook is read, and the others.
    pub which: Option<String>,
    pub others: Vec<String>,
    /// Its first rows.
    pub seen: Arc<Vec<TableRow>>,
    /// How it is read.
    pub mapping: Mapping,
    /// Whether a sheet with the same headings was read so before.
    pub known: bool,
    /// What became of it, once it was kept.
    pub kept: Option<RowsReport>,
}

/// The sheets that are on their way in.
#[derive(Default)]
pub struct Uploads(Mutex<VecDeque<(Uuid, Sheet)>>);

impl Uploads {
    /// Takes a sheet in, and gives its id.
    pub fn put(&self, sheet: Sheet) -> Uuid {
        let id = Uuid::now_v7();
        let mut held = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if held.len() >= HELD {
            held.pop_front();
        }
        held.push_back((id, sheet));
        id
    }

    /// One sheet, if it is still held.
    pub fn get(&self, id: Uuid) -> Option<Sheet> {
        let held = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        held.iter().find(|(known, _)| *known == id).map(|(_, sheet)| sheet.clone())
    }

    /// Puts a sheet in place of what it was.
    pub fn set(&self, id: Uuid, sheet: Sheet) {
        let mut held = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, known)) = held.iter_mut().find(|(known, _)| *known == id) {
            *known = sheet;
        }
    }
}

/// Receives the file of a form into a temporary file. Nothing, where none was chosen.
pub async fn receive(
    mut form: Multipart,
) -> Result<Option<(String, Arc<NamedTempFile>)>, (StatusCode, String)> {
    let broken = |e: axum::extract::multipart::MultipartError| (e.status(), e.body_text());
    let disk = |e: std::io::Error| {
        (
            StatusCode::INTERNAL_SERVER_ERROR,
            format!("the sheet cannot be put aside ({e}); free some space, and do it again"),
        )
    };
    while let Some(mut field) = form.next_field().await.map_err(broken)? {
        if field.name() != Some("sheet") {
            continue;
        }
        let name = field.file_name().unwrap_or_default();
        let name = name.rsplit(['/', '\\']).next().unwrap_or_default().to_owned();
        let mut file = NamedTempFile::new().map_err(disk)?;
        let mut size = 0;
        while let Some(chunk) = field.chunk().await.map_err(broken)? {
            size += chunk.len();
            if size > LARGEST {
                return Err((StatusCode::PAYLOAD_TOO_LARGE, String::new()));
            }
            file.write_all(&chunk).map_err(disk)?;
        }
        file.flush().map_err(disk)?;
        if name.is_empty() && size == 0 {
            return Ok(None);
        }
        return Ok(Some((name, Arc::new(file))));
    }
    Ok(None)
}

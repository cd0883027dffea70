//! A sheet as it is sent: the file alone, or a form with the file, the reading of it and answers.

use std::collections::BTreeMap;

use axum::body::Bytes;
use axum::extract::multipart::{Multipart, MultipartError};
use axum::extract::{DefaultBodyLimit, FromRequest, Request};
use axum::http::StatusCode;
use ouncewise_estate::sheets::Mapping;
use schemars::JsonSchema;
use serde::Deserialize;
use serde_json::{Value, json};

use super::call::{Sent, Takes, bytes, media_type, too_large};
use super::openapi::{self, Schemas};
use super::problem::{Code, ErrorAt, Problem};
use super::schemas::MappingHere;
use super::{fits, json};

/// The longest sheet, in bytes.
pub const MOST_BYTES: usize = 64 << 20;

const FORM: &str = "multipart/form-data";

/// Answers to questions of the mapping, by their ids.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct Answers(BTreeMap<String, String>);

/// A sheet, and how it is to be read.
#[derive(Debug)]
pub struct Upload {
    /// The file.
    pub file: Bytes,
    /// What the file is called, where it was told.
    pub name: Option<String>,
    /// How it is read; else it is proposed.
    pub mapping: Option<Mapping>,
    /// Answers to its questions.
    pub answers: BTreeMap<String, String>,
}

impl Sent for Upload {
    const TYPES: &'static [&'static str] = &[
        FORM,
        "text/csv",
        "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        "application/octet-stream",
    ];

    fn schemas(make: &mut Schemas) -> Vec<Value> {
        let form = json!({
            "type": "object",
            "properties": {
                "file": { "type": "string", "format": "binary", "description": "The sheet: CSV or XLSX." },
                "mapping": make.taken::<MappingHere>(),
                "answers": make.taken::<Answers>(),
            },
            "required": ["file"],
            "additionalProperties": false,
        });
        let file = json!({ "type": "string", "format": "binary" });
        vec![form, file.clone(), file.clone(), file]
    }

    async fn read(request: Request, takes: &Takes) -> Result<Self, Problem> {
        if media_type(request.headers(), Self::TYPES)? != FORM {
            let file = bytes(request, takes.most).await?;
            return Ok(Self { file, name: None, mapping: None, answers: BTreeMap::new() });
        }
        let schema = takes.bodies.first().unwrap_or(&Value::Null);
        form(request, schema, takes.most).await
    }
}

async fn form(mut request: Request, schema: &Value, most: usize) -> Result<Upload, Problem> {
    DefaultBodyLimit::max(most).apply(&mut request);
    let mut parts = Multipart::from_request(request, &()).await.map_err(|_| {
        Problem::new(
            Code::MediaType,
            "the header Content-Type names no boundary of the form's parts",
        )
        .hint("let your HTTP library make the form")
    })?;
    let broken = |error: MultipartError| match error.status() {
        StatusCode::PAYLOAD_TOO_LARGE => too_large(most),
        _ => Problem::new(
            Code::Usage,
            "the form cannot be read: its parts are broken off or malformed",
        )
        .hint("let your HTTP library make the form"),
    };
    let mut upload =
        Upload { file: Bytes::new(), name: None, mapping: None, answers: BTreeMap::new() };
    let mut seen: Vec<String> = Vec::new();
    while let Some(part) = parts.next_field().await.map_err(broken)? {
        let name: String = part.name().unwrap_or_default().chars().take(80).collect();
        let pointer = format!("/{}", name.replace('~', "~0").replace('/', "~1"));
        let wrong = |code, what: &str| Problem::data(vec![ErrorAt::new(&pointer, code, what)]);
        if seen.contains(&name) {
            return Err(wrong(Code::Value, "this part is there twice"));
        }
        let filename = part.file_name().map(ToOwned::to_owned);
        let bytes = part.bytes().await.map_err(broken)?;
        match name.as_str() {
            "file" => {
                upload.name = filename.filter(|name| !name.trim().is_empty());
                upload.file = bytes;
            }
            "mapping" => {
                let MappingHere(mapping) = value(&bytes, schema, "mapping")?;
                // By way of its text, which is where a mapping is checked.
                let checked = Mapping::from_toml(&mapping.to_toml());
                upload.mapping = Some(checked.map_err(|all| Problem::refused(&all))?);
            }
            "answers" => upload.answers = value::<Answers>(&bytes, schema, "answers")?.0,
            _ => return Err(wrong(Code::UnknownField, "the form has no part of this name")),
        }
        seen.push(name);
    }
    if !seen.iter().any(|name| name == "file") {
        let missing = ErrorAt::new("", Code::Missing, "the part `file` is missing");
        return Err(Problem::data(vec![missing]));
    }
    Ok(upload)
}

/// A part of the form that is JSON.
fn value<T: serde::de::DeserializeOwned>(
    bytes: &[u8],
    form: &Value,
    part: &str,
) -> Result<T, Problem> {
    let value = json::parse(bytes)?;
    let mut faults = fits::faults(openapi::document(), &form["properties"][part], &value);
    if !faults.is_empty() {
        for fault in &mut faults {
            fault.pointer.insert_str(0, &format!("/{part}"));
        }
        return Err(Problem::data(faults));
    }
    serde_json::from_value(value).map_err(|e| {
        Problem::data(vec![ErrorAt::new(format!("/{part}"), Code::Value, e.to_string())])
    })
}

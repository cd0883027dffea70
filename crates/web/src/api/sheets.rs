//! A stranger's sheet: how it would be read, and reading it.

use std::collections::BTreeMap;
use std::io::Cursor;
use std::sync::Arc;

use axum::body::Bytes;
use jiff::Timestamp;
use ouncewise_estate::sheets::mapping::{self, LOOKED_AT};
use ouncewise_estate::sheets::{About, Mapping, Refusal, Table, TableRow};
use ouncewise_estate::{Estate, plan};
use ouncewise_report::{Assumed, RowsReport, SheetReport};
use ouncewise_store::LoadOptions;
use schemars::JsonSchema;
use serde::Deserialize;
use sha2::{Digest, Sha256};

use super::call::{Call, Nothing, Reply};
use super::problem::{Code, ErrorAt, Problem};
use super::upload::Upload;

#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LookAsked {
    /// Name of the file, where it is sent alone.
    #[schemars(length(min = 1, max = 200))]
    name: Option<String>,
    /// Name of the workbook's sheet; its first one that is not empty, unless said otherwise.
    #[schemars(length(min = 1, max = 200))]
    sheet: Option<String>,
    /// Whether to take the likeliest answer to every question that is still open.
    #[serde(default)]
    defaults: bool,
}

#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LoadAsked {
    /// Name of the file, where it is sent alone.
    #[schemars(length(min = 1, max = 200))]
    name: Option<String>,
    /// Name of the workbook's sheet; its first one that is not empty, unless said otherwise.
    #[schemars(length(min = 1, max = 200))]
    sheet: Option<String>,
    /// Whether to take the likeliest answer to every question that is still open.
    #[serde(default)]
    defaults: bool,
    /// Whether one refused row refuses all.
    #[serde(default)]
    all_or_nothing: bool,
}

/// A sheet with all that is needed to read it.
struct Given {
    file: Bytes,
    name: String,
    sheet: Option<String>,
    defaults: bool,
    mapping: Option<Mapping>,
    answers: BTreeMap<String, String>,
    mappings: Option<std::path::PathBuf>,
    estate: Arc<Estate>,
    now: Timestamp,
}

/// How it is read, and the estate as it is then.
struct Looked {
    report: SheetReport,
    wanted: Estate,
}

impl Given {
    fn table(&self) -> Result<Table<Cursor<Bytes>>, Problem> {
        Table::open_sheet(Cursor::new(self.file.clone()), self.sheet.as_deref())
            .map_err(|refusal| Problem::refused(&[refusal]))
    }

    /// Reads it without keeping anything.
    fn look(mut self) -> Result<(Self, Looked), Problem> {
        let mut table = self.table()?;
        let other_sheets = table
            .sheets()
            .iter()
            .filter(|name| table.sheet() != Some(name.as_str()))
            .cloned()
            .collect();
        let seen = table.take_rows(LOOKED_AT).map_err(|refusal| Problem::refused(&[refusal]))?;
        let (mapping, assumed) = self.read_as(&seen, table.sheet())?;
        let all = |refusals: Vec<Refusal>| Problem::refused(&refusals);
        let wanted = mapping::estate_from(&mapping, &seen, &self.estate).map_err(all)?;
        let sets_up: Vec<String> =
            plan::changes(&self.estate, &wanted).changes.iter().map(ToString::to_string).collect();
        let applied = mapping::apply(&mapping, self.table()?, &wanted, self.now).map_err(all)?;
        let rows = ouncewise_report::try_out(applied, &wanted);
        let open = mapping.open().map(|question| question.id.clone()).collect();
        let (assumed, unused_answers) = if sets_up.is_empty() {
            // Nothing is set up: nothing was assumed for it, and an answer for it changes nothing.
            let sets_up = |id: &&String| mapping.question(id).is_some_and(|q| q.sets_up);
            (Vec::new(), self.answers.keys().filter(sets_up).cloned().collect())
        } else {
            (assumed, Vec::new())
        };
        let report =
            SheetReport { mapping, sets_up, other_sheets, open, assumed, unused_answers, rows };
        Ok((self, Looked { report, wanted }))
    }

    /// The mapping that was sent, or that is remembered, or that the sheet itself suggests; with the answers that were sent, and
    /// what is taken for granted where there are none.
    fn read_as(
        &mut self,
        seen: &[TableRow],
        sheet: Option<&str>,
    ) -> Result<(Mapping, Vec<Assumed>), Problem> {
        let about = About { file: &self.name, sheet };
        let remembered =
            || self.mappings.as_deref().and_then(|dir| ouncewise_report::remembered(dir, seen));
        let mut mapping = match self.mapping.take().or_else(remembered) {
            Some(mapping) => mapping,
            None => mapping::propose(seen, about, &self.estate, self.now)
                .map_err(|refusal| Problem::refused(&[refusal]))?,
        };
        let mut wrong = Vec::new();
        for (id, answer) in &self.answers {
            if let Err(refusal) = mapping.set(id, answer) {
                let pointer = format!("/answers/{}", id.replace('~', "~0").replace('/', "~1"));
                wrong.push(ErrorAt {
                    pointer,
                    code: refusal.code.as_str().to_owned(),
                    detail: refusal.to_string(),
                });
            }
        }
        if !wrong.is_empty() {
            return Err(Problem::data(wrong));
        }
        let assumed = Assumed::of(&mapping, self.defaults);
        if self.defaults {
            mapping.accept_defaults();
        }
        Ok((mapping, assumed))
    }
}

async fn given<Q>(call: Call<Nothing, Q, Upload>, asked: LookAsked) -> Result<Given, Problem> {
    let Upload { file, name, mapping, answers } = call.body;
    let estate = call.app.store().estate().await?;
    Ok(Given {
        file,
        name: asked.name.or(name).unwrap_or_else(|| "sheet.csv".to_owned()),
        sheet: asked.sheet,
        defaults: asked.defaults,
        mapping,
        answers,
        mappings: call.app.mappings().map(ToOwned::to_owned),
        estate,
        now: call.app.now(),
    })
}

/// Looks at a sheet where it holds nobody up: a large one takes a while.
async fn looked_at(given: Given) -> Result<(Given, Looked), Problem> {
    let looked = tokio::task::spawn_blocking(move || given.look()).await;
    looked.map_err(|_| Problem::of_code(Code::Bug))?
}

pub async fn look(call: Call<Nothing, LookAsked, Upload>) -> Result<Reply<SheetReport>, Problem> {
    let asked = call.asked.clone();
    let (_, looked) = looked_at(given(call, asked).await?).await?;
    Ok(looked.report.into())
}

pub async fn load(call: Call<Nothing, LoadAsked, Upload>) -> Result<Reply<SheetReport>, Problem> {
    let app = call.app.clone();
    let LoadAsked { name, sheet, defaults, all_or_nothing } = call.asked.clone();
    let given = given(call, LookAsked { name, sheet, defaults }).await?;
    let (given, Looked { mut report, wanted }) = looked_at(given).await?;
    if all_or_nothing && report.rows.refused > 0 {
        return Err(refused_rows(&report.rows));
    }
    let described = ouncewise_report::described(&given.estate, &wanted, &app.now_at());
    let applied = mapping::apply(&report.mapping, given.table()?, &wanted, given.now)
        .map_err(|all| Problem::refused(&all))?;
    let hash = Sha256::digest(&given.file).iter().map(|byte| format!("{byte:02x}")).collect();
    let options = LoadOptions { name: given.name.clone(), hash, all_or_nothing };
    let loaded =
        ouncewise_report::load(app.store(), described, applied, &wanted, options, |_| {}).await?;
    report.rows = loaded.map_err(|rows| refused_rows(&rows))?;
    if let Some(dir) = &given.mappings {
        // The rows are in; a reading that cannot be remembered is proposed again next time.
        let _ = ouncewise_report::remember(dir, &given.name, &report.mapping);
    }
    Ok(report.into())
}

/// The rows that keep all others from being loaded.
fn refused_rows(rows: &RowsReport) -> Problem {
    let errors = rows
        .refusals
        .iter()
        .map(|refusal| ErrorAt {
            pointer: String::new(),
            code: refusal.code.clone(),
            detail: refusal.to_string(),
        })
        .collect();
    let detail =
        format!("{} refused, so nothing was loaded", ouncewise_report::many(rows.refused, "row"));
    Problem { errors, ..Problem::new(Code::Refused, detail) }
        .hint("mend them, or leave out all_or_nothing to load the good rows")
}

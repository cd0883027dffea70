//! `ouncewise schema`: the JSON Schema of a report, or of an estate file.

use ouncewise_estate::files::schema as files;
use ouncewise_report::{Exit, Failure, SchemasReport, schemas};

use crate::args::Schema;
use crate::output::Output;

/// Runs it.
pub fn run(args: &Schema, output: &Output) -> Result<Exit, Failure> {
    let schemas = schemas();
    let Some(name) = &args.name else {
        let report = SchemasReport {
            reports: schemas.iter().map(|(name, _)| (*name).to_owned()).collect(),
            files: files::NAMES.iter().map(|name| (*name).to_owned()).collect(),
        };
        output.result(&report, || {
            format!("{}\n{}\n", report.reports.join("\n"), report.files.join("\n"))
        });
        return Ok(Exit::Done);
    };
    let report = schemas.into_iter().find(|(known, _)| known == name);
    let Some(schema) = report.map(|(_, schema)| schema.to_value()).or_else(|| files::schema(name))
    else {
        return Err(Failure::usage(format!("there is no schema `{name}`"))
            .hint("`ouncewise schema` lists their names"));
    };
    let text = serde_json::to_string_pretty(&schema).expect("a schema is plain data");
    output.write(&(text + "\n"));
    Ok(Exit::Done)
}

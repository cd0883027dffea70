//! `ouncewise schema`: the JSON Schema of a report, or of an estate file.

use ouncewise_advice::fault::schema as causes;
use ouncewise_estate::files::schema as files;
use ouncewise_hygiene::profile::schema as profiles;
use ouncewise_procedure::schema as procedures;
use ouncewise_report::{Exit, Failure, SchemasReport, schemas};

use crate::args::Schema;
use crate::output::Output;

/// The file of a jurisdiction's rules.
const PROFILE: &str = "profile.toml";

/// The file of a list of causes.
const FAULT: &str = "fault.toml";

/// The file of a procedure, and that of a family as its procedures see it.
const PROCEDURE: &str = "procedure.toml";
const PROCEDURE_FAMILY: &str = "procedure-family.toml";

/// Runs it.
pub fn run(args: &Schema, output: &Output) -> Result<Exit, Failure> {
    let schemas = schemas();
    let Some(name) = &args.name else {
        let report = SchemasReport {
            reports: schemas.iter().map(|(name, _)| (*name).to_owned()).collect(),
            files: files::NAMES
                .into_iter()
                .chain([PROFILE, FAULT, PROCEDURE, PROCEDURE_FAMILY])
                .map(str::to_owned)
                .collect(),
        };
        output.result(&report, || {
            format!("{}\n{}\n", report.reports.join("\n"), report.files.join("\n"))
        });
        return Ok(Exit::Done);
    };
    let report = schemas.into_iter().find(|(known, _)| known == name);
    let report = report.map(|(_, schema)| schema.to_value());
    let file = || match name.as_str() {
        PROFILE => Some(profiles::schema()),
        FAULT => Some(causes::schema()),
        PROCEDURE => Some(procedures::procedure()),
        PROCEDURE_FAMILY => Some(procedures::family()),
        _ => files::schema(name),
    };
    let Some(schema) = report.or_else(file) else {
        return Err(Failure::usage(format!("there is no schema `{name}`"))
            .hint("`ouncewise schema` lists their names"));
    };
    let text = serde_json::to_string_pretty(&schema).expect("a schema is plain data");
    output.write(&(text + "\n"));
    Ok(Exit::Done)
}

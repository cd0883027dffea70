//! `ouncewise schema`: the JSON Schema of a report.

use crate::args::Schema;
use crate::exit::{Exit, Failure};
use crate::output::Output;
use crate::report::schemas;

/// Runs it.
pub fn run(args: &Schema, output: &Output) -> Result<Exit, Failure> {
    let schemas = schemas();
    let Some(name) = &args.name else {
        let names: Vec<&str> = schemas.iter().map(|(name, _)| *name).collect();
        output.result(&names, || names.join("\n") + "\n");
        return Ok(Exit::Done);
    };
    let Some((_, schema)) = schemas.iter().find(|(known, _)| known == name) else {
        return Err(Failure::usage(format!("there is no schema `{name}`"))
            .hint("`ouncewise schema` lists them"));
    };
    let text = serde_json::to_string_pretty(schema).expect("a schema is plain data");
    output.write(&(text + "\n"));
    Ok(Exit::Done)
}

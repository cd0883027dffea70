//! `ouncewise publish`: a record says that rounds follow a procedure's text from now on, or no more.

use std::path::Path;

use ouncewise_report::{
    Exit, Failure, Library, PublishReport, ToPublish, many, procedure_text, withdraw,
};
use ouncewise_store::Store;

use super::procedures::family_named;
use super::{ask, opened};
use crate::args::Publish;
use crate::output::Output;

/// A text, and what it is published as.
struct Named {
    family: String,
    name: String,
    text: String,
    model: Option<String>,
}

/// Runs it. The answer is no if the text was refused, or if somebody said no.
pub fn run(args: &Publish, output: &Output) -> Result<Exit, Failure> {
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let done = publish(&store, args, output).await;
        store.close().await?;
        done
    })
}

async fn publish(store: &Store, args: &Publish, output: &Output) -> Result<Exit, Failure> {
    let (library, estate) = (Library::of(store).await?, store.estate().await?);
    let named = named(args, &library)?;
    let (family, name) = (named.family.as_str(), named.name.as_str());
    let model = named.model.as_deref();
    let asked = ToPublish { family, name, text: &named.text, model };
    let would = if args.withdraw {
        withdraw(store, (&library, &estate), (family, name), true, &opened::now()).await?
    } else {
        asked.would(&library, &estate)?
    };
    let to_do = would.outcome.starts_with("would-be");
    if args.dry_run || !to_do {
        output.result(&would, || words(&would));
        return Ok(if would.outcome == "refused" { Exit::No } else { Exit::Done });
    }
    if let Some(check) = &would.check {
        output.say(&check.says);
    }
    if let Some(warning) = would.warns() {
        output.say(&warning);
    }
    let question = if args.withdraw {
        format!("Withdraw version {} of {family}/{name}?", would.short())
    } else {
        format!("Publish this as {family}/{name}, version {}?", would.short())
    };
    if !ask::go_on(&question, args.yes)? {
        return Ok(Exit::No);
    }
    let report = if args.withdraw {
        withdraw(store, (&library, &estate), (family, name), false, &opened::now()).await?
    } else {
        asked.publish(store, (&library, &estate), None, &opened::now()).await?
    };
    output.result(&report, || words(&report));
    Ok(Exit::Done)
}

/// What was named: a file with its family's model beside it, or a procedure that the group has.
fn named(args: &Publish, library: &Library) -> Result<Named, Failure> {
    let path = Path::new(&args.path);
    let own_name = |own: &str| args.name.clone().unwrap_or_else(|| own.to_owned());
    if !path.exists() {
        let (family, own) = args.path.split_once('/').unwrap_or(("", &args.path));
        let text = procedure_text(library, (family, own), None)?;
        return Ok(Named {
            family: family.to_owned(),
            name: own_name(own),
            text: text.text.clone(),
            // The one that its family has now.
            model: None,
        });
    }
    let read = |path: &Path| std::fs::read_to_string(path).map_err(|e| Failure::io(path, &e));
    let text = read(path)?;
    let beside = path.with_file_name("family.toml");
    let model = if beside.exists() { Some(read(&beside)?) } else { None };
    let Some(family) = family_named(&text) else {
        return Err(Failure::data(format!("{} names no family", path.display()))
            .hint("write the key of the family of its machines: family = \"screw-trim\""));
    };
    let stem = path.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into());
    Ok(Named { family: family.to_owned(), name: own_name(&stem), text, model })
}

fn words(report: &PublishReport) -> String {
    let mut text = String::new();
    for fault in &report.faults {
        let hint = fault.hint.as_ref().map_or_else(String::new, |hint| format!("; {hint}"));
        text.push_str(&format!(
            "{} {}, line {}: {}{hint}\n",
            fault.code, fault.file, fault.line, fault.message
        ));
    }
    if let Some(check) = &report.check {
        text.push_str(&format!("{}\n", check.says));
    }
    if let Some(warning) = report.warns() {
        text.push_str(&format!("{warning}\n"));
    }
    if report.outcome == "refused" {
        text.push_str(&format!("{} to mend first. ", many(report.faults.len(), "fault")));
    }
    text.push_str(&format!("{}\n", report.says()));
    text
}

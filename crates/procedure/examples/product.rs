//! Answers `checks/procedure`: for each line of JSON with a family, a procedure, terms and a number of lines, what is broken in
//! their full product, and what the check of one line and two says.

#![expect(clippy::print_stdout, reason = "an example talks")]

use std::collections::BTreeMap;
use std::io::BufRead;

use ouncewise_hygiene::profile::AfterRule;
use ouncewise_procedure::procedure::UNDER;
use ouncewise_procedure::{Terms, check, product, read};
use serde_json::{Value, json};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    for line in std::io::stdin().lock().lines() {
        let asked: Value = serde_json::from_str(&line?)?;
        println!("{}", answer(&asked).unwrap_or_else(|wrong| json!({ "wrong": wrong })));
    }
    Ok(())
}

fn answer(asked: &Value) -> Result<Value, String> {
    let text = |name: &str| asked[name].as_str().ok_or(format!("no `{name}`"));
    let (family, faults) = read::family("family.toml", text("family")?);
    if !faults.is_empty() {
        return Err(format!("{faults:?}"));
    }
    let family = family.ok_or("no family")?;
    let (procedure, faults) = read::procedure("procedure.toml", text("procedure")?, &family);
    if !faults.is_empty() {
        return Err(format!("{faults:?}"));
    }
    let procedure = procedure.ok_or("no procedure")?;
    let after = UNDER.iter().find(|(word, _)| *word == asked["after"]).map(|(_, rule)| *rule);
    let terms = Terms {
        after: after.unwrap_or(AfterRule::Drain),
        rinse_between: asked["rinse_between"] == true,
        outlet: asked["outlet"] == true,
        ..Terms::default()
    };
    let mut products = BTreeMap::new();
    for lines in 1..=3 {
        let found = product(&family, &procedure, &terms, lines).ok_or("too many states")?;
        products.insert(lines.to_string(), found);
    }
    let report = check(&family, &procedure, &terms);
    let told: Vec<Value> = report
        .findings
        .iter()
        .filter(|finding| finding.story.is_some())
        .map(|finding| json!([finding.rule, finding.number]))
        .collect();
    Ok(json!({ "products": products, "verdict": report.verdict, "told": told }))
}

//! Records that are worth a question: never an accusation, and only at sites whose owner agreed.

use ouncewise_estimate::doubt::{Asked, NEEDED, Sign, doubt, months};
use ouncewise_ledger::PersonId;
use ouncewise_store::Store;
use schemars::JsonSchema;
use serde::Serialize;

use crate::failure::Failure;
use crate::rounds::effective;

/// What is asked about records made at the machine or copied from paper. All of it may be honest. What was brought in from a
/// file is not looked at: a spreadsheet rounds and fills down, and that looks the same.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DoubtsReport {
    /// Sites whose owner agreed that their records are looked at.
    pub sites: usize,
    /// Sites whose owner did not, or was not asked: nothing was looked at there.
    pub not_agreed: usize,
    /// Months of a person at a site that had enough readings to be looked at.
    pub months: usize,
    /// How many signs a question needs.
    pub needed: usize,
    /// The questions.
    pub questions: Vec<DoubtReport>,
}

/// A question about the records of a person at a site in a month.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DoubtReport {
    /// Key of the site.
    pub site: String,
    /// The month: `2026-03`.
    pub month: String,
    /// Who made the records: an id.
    pub by: String,
    /// Their name, where it is known and was not erased.
    pub name: Option<String>,
    /// How many readings it rests on.
    pub readings: usize,
    /// What was seen, each in words. Each alone is common in honest work.
    pub signs: Vec<String>,
    /// The share of honest months of the same make whose readings look as unusual.
    pub chance: f64,
    /// What is asked.
    pub ask: String,
}

/// Looks at the records of all sites whose owner agreed, or of one of them, and from a month on.
///
/// # Errors
/// If there is no such site, or the store cannot be read.
pub async fn doubts(
    store: &Store,
    site: Option<&str>,
    since: Option<&str>,
) -> Result<DoubtsReport, Failure> {
    let estate = store.estate().await?;
    if let Some(site) = site
        && !estate.sites.contains_key(site)
    {
        return Err(Failure::missing(format!("there is no site `{site}`"))
            .hint("a site is named by its key; `sites.csv` and the page of sites list them"));
    }
    let people = store.people().await?;
    let name = |id: PersonId| people.iter().find(|p| p.id == id).and_then(|p| p.name.clone());
    let mut report =
        DoubtsReport { sites: 0, not_agreed: 0, months: 0, needed: NEEDED, questions: Vec::new() };
    for (key, place) in &estate.sites {
        if site.is_some_and(|site| site != key.as_str()) {
            continue;
        }
        if !estate.asks_about_doubtful(place) {
            report.not_agreed += 1;
            continue;
        }
        report.sites += 1;
        let mut machines = Vec::new();
        for machine in place.machines.keys() {
            machines.push((machine.as_str(), store.machine(key, machine).await?));
        }
        let records = machines.iter().map(|(machine, events)| (*machine, effective(events)));
        for (Asked { by, month }, records) in months(&estate, key, records) {
            if since.is_some_and(|since| month.as_str() < since) {
                continue;
            }
            let seed = by.0.as_u128() as u64;
            let Some(told) = doubt(&records, seed) else { continue };
            report.months += 1;
            if told.asks() {
                report.questions.push(DoubtReport {
                    site: key.to_string(),
                    name: name(by),
                    by: by.0.to_string(),
                    readings: told.readings,
                    signs: told.signs.iter().map(|sign| Sign::words(*sign).to_owned()).collect(),
                    chance: told.chance,
                    ask: ask(&month),
                    month,
                });
            }
        }
    }
    Ok(report)
}

fn ask(month: &str) -> String {
    format!(
        "These readings of {month} are unusually alike or unusually quick. Can the lines be caught \
         once more, best with another measure? Is there a reason that the records do not say?"
    )
}

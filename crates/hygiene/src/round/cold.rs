//! Questions about the product that was read warm, or that stood open too long. Only lines whose product is described as drawn
//! cold are asked about: a syrup that keeps at room temperature is no matter of these limits.

use jiff::civil::Date;
use ouncewise_ledger::{Body, Record};
use ouncewise_measure::Quantity;

use super::Known;
use crate::profile::{Basis, HoldingJudged};

/// What is asked, each with the lines that it is about.
pub(super) fn questions(
    records: &[(&Record, &Body)],
    known: &Known<'_>,
) -> Vec<(String, Vec<String>)> {
    let Some(profile) = known.profile else { return Vec::new() };
    let holding = &profile.holding;
    let mut all = Vec::new();
    for (record, body) in records {
        let Body::ProductChecked { temperature, opened, .. } = body else { continue };
        let cold: Vec<String> = known
            .drawn_at
            .iter()
            .filter(|(line, _)| record.subject.line.as_deref().is_none_or(|own| own == *line))
            .filter(|(_, at)| matches!(holding.cold(**at), HoldingJudged::Holds(_)))
            .map(|(line, _)| line.clone())
            .collect();
        if cold.is_empty() {
            continue;
        }
        let read = temperature.as_deref().and_then(|read| read.parse::<Quantity>().ok());
        if let (Some(read), Some(limit)) = (read, &holding.cold)
            && let HoldingJudged::Broken(basis) = holding.cold(read)
        {
            let out = holding.time.as_ref().map_or_else(String::new, |time| {
                format!(
                    " After {} hours out of the cold it is thrown away ({}).",
                    time.value,
                    said(&time.basis)
                )
            });
            let ask = format!(
                "the product was read at {read}, and food that must be kept cold is held at {} or under ({}): how long was it warm?{out}",
                limit.limit,
                said(basis)
            );
            all.push((ask, cold.clone()));
        }
        if let (Some(opened), Some(last), Some(limit)) =
            (opened, holding.last_day_after_opening(), &holding.date)
            && let (Ok(from), Some(Ok(to))) =
                (opened.parse::<Date>(), record.at.get(..10).map(str::parse::<Date>))
            && (to - from).get_days() > i32::try_from(last).unwrap_or(i32::MAX)
        {
            let ask = format!(
                "the container was opened on {opened}, and what must be kept cold is used within {} days, that day being the first ({}): was it still in use?",
                limit.value,
                said(&limit.basis)
            );
            all.push((ask, cold));
        }
    }
    all
}

fn said(basis: &Basis) -> String {
    format!("{}; {}", basis.clause, basis.status.words())
}

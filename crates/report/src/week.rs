//! This week: the lines that need a decision, worst first.

use ouncewise_estate::Group;
use ouncewise_estimate::Told;
use ouncewise_measure::print::Units;
use ouncewise_store::{Store, Week};

use crate::failure::Failure;
use crate::lines::{CannotDecide, Counts, LineStanding, WeekReport};
use crate::site::site_called;

/// The week of the group, or of one site, by its key or its name: at most `top` lines; in the units
/// that were asked for, or the group's own. Gives the group with it, for words: in the units that are read.
///
/// # Errors
///
/// If there is no such site, or the store cannot be read.
pub async fn week(
    store: &Store,
    site: Option<&str>,
    top: u32,
    asked: Option<Units>,
) -> Result<(WeekReport, Week, Group), Failure> {
    let mut estate = store.estate_at(site.unwrap_or_default()).await?;
    let called = match site {
        Some(site) if !estate.sites.contains_key(site) => {
            let key = site_called(&*store.estate().await?, site)?;
            estate = store.estate_at(&key).await?;
            Some(key)
        }
        _ => None,
    };
    let site = called.as_deref().or(site);
    let week = store.week(top, site).await?;
    let mut group = estate.group.clone();
    group.units = asked.unwrap_or(group.units);
    let report = week_of(&group, site, &week);
    Ok((report, week, group))
}

/// The report of a week that was read, in the group's units.
#[must_use]
pub fn week_of(group: &Group, site: Option<&str>, week: &Week) -> WeekReport {
    let count = |verdict: Told| {
        week.verdicts.iter().find(|(word, _)| word == verdict.key()).map_or(0, |(_, n)| *n)
    };
    let (on_target, off_target, undecided) =
        (count(Told::OnTarget), count(Told::OffTarget), count(Told::Undecided));
    WeekReport {
        group: group.name.clone(),
        site: site.map(ToOwned::to_owned),
        counts: Counts {
            on_target,
            off_target,
            undecided,
            without_verdict: week.lines - on_target - off_target - undecided,
        },
        lines: week.rows.iter().map(|row| LineStanding::new(&row.standing, group.units)).collect(),
        cannot_decide: week
            .cannot_decide
            .iter()
            .map(|c| CannotDecide {
                site: c.site.clone(),
                measure: c.measure.clone(),
                lines: c.lines,
                advice: c.advice.words(group.units),
            })
            .collect(),
        behind: week.behind,
    }
}

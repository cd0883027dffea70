//! How long wear parts last, pooled by family and part, and when to replace them at the least cost.

use std::collections::BTreeMap;

use jiff::Timestamp;
use ouncewise_estate::Estate;
use ouncewise_estimate::lives::{Ended, PartLife, Until, lives};
use ouncewise_estimate::wear::{Life, Weibull, replacement_age, survival};
use ouncewise_store::Store;
use schemars::JsonSchema;
use serde::Serialize;

use crate::failure::Failure;
use crate::plural::many;
use crate::rounds::effective;

/// Intervals hold with this confidence.
const CONFIDENCE: f64 = 0.9;

/// What is asked about parts.
#[derive(Debug, Clone, Default)]
pub struct PartsAsked {
    /// Key of a family: only its parts.
    pub family: Option<String>,
    /// Key of a part: only that one.
    pub part: Option<String>,
    /// What a planned replacement costs, and one after a failure, in one unit.
    pub costs: Option<(f64, f64)>,
}

/// How long parts last. Ages are in days in use: no record counts draws.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PartsReport {
    /// Until when parts in use have lasted, UTC.
    pub until: String,
    /// Each part of each family of which anything is on record.
    pub parts: Vec<PartReport>,
}

/// One part of one family.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PartReport {
    /// Key of the family.
    pub family: String,
    /// Key of the part.
    pub part: String,
    /// What the part is called.
    pub name: String,
    /// How long the family says that it lasts, days.
    pub stated_days: Option<f64>,
    /// Lives whose beginning is on record.
    pub lives: usize,
    /// Of these: how many failed.
    pub failed: usize,
    /// How many were found worn, and still worked.
    pub worn: usize,
    /// How many were replaced while they were good.
    pub planned: usize,
    /// How many were replaced, and nobody said why.
    pub not_said: usize,
    /// How many are in use, or went away with their machine.
    pub in_use: usize,
    /// Lives until failure: what was replaced before only shows that it lasted until then.
    pub until_failed: LivesReport,
    /// Lives until failure, or until somebody saw that the part was worn.
    pub until_worn_or_failed: LivesReport,
    /// The age at which a planned replacement costs least, where costs were stated and it is worth planning.
    pub replace: Option<ReplaceReport>,
    /// What to mind: what is missing, and what that means. Plain sentences.
    pub mind: Vec<String>,
}

/// What lives say.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LivesReport {
    /// How many came to their end.
    pub ended: usize,
    /// The age that half of them survive, days; absent if more than half do so far.
    pub half_days: Option<f64>,
    /// The share that survives each age at which one ended (Kaplan and Meier).
    pub surviving: Vec<SurvivingReport>,
    /// Weibull's distribution, where two ages at least are known.
    pub weibull: Option<WeibullReport>,
    /// Why there is none.
    pub no_weibull: Option<String>,
}

/// The share that survives an age.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SurvivingReport {
    /// The age, days.
    pub days: f64,
    /// How many were watched at that age.
    pub at_risk: u32,
    /// How many of them ended.
    pub ended: u32,
    /// The share that survives it.
    pub share: f64,
    /// Its standard error (Greenwood).
    pub standard_error: f64,
}

/// A fitted distribution. Intervals of 90 % by profile likelihood; an end that is not to be found is absent.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WeibullReport {
    /// Above 1 parts wear; at 1 they fail by chance alone, whatever their age.
    pub shape: Between,
    /// The age that 36.8 % survive, days.
    pub scale_days: Between,
    /// The age by which one in ten has ended, days.
    pub tenth_days: Between,
    /// The mean life, days.
    pub mean_days: f64,
}

/// A value and its interval of 90 %.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Between {
    /// The likeliest.
    pub value: f64,
    /// From.
    pub from: Option<f64>,
    /// To.
    pub to: Option<f64>,
}

/// The replacement age of least cost. Costs are in the unit in which they were stated.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ReplaceReport {
    /// Replace what has not failed at this age, days.
    pub days: f64,
    /// What that costs a day, for each part.
    pub cost_per_day: f64,
    /// What it costs a day to wait until each part fails.
    pub run_to_failure_per_day: f64,
}

/// The lives of one family's part, and how many of unknown beginning came out.
#[derive(Debug, Default)]
struct Pool {
    lives: Vec<PartLife>,
    begun_before: usize,
}

/// How long wear parts last, over all machines, until now.
///
/// # Errors
/// If there is no such family or part, costs cannot be used, or the store cannot be read.
pub async fn parts(
    store: &Store,
    asked: &PartsAsked,
    now: Timestamp,
) -> Result<PartsReport, Failure> {
    let estate = store.estate().await?;
    known(&estate, asked)?;
    let mut pools: BTreeMap<(String, String), Pool> = BTreeMap::new();
    for (site, place) in &estate.sites {
        for (machine, stands) in &place.machines {
            if asked.family.as_ref().is_some_and(|family| family != stands.family.as_str()) {
                continue;
            }
            let events = store.machine(site, machine).await?;
            let mine = || effective(&events).filter(|(record, _)| record.subject.machine.is_some());
            // What is not in use any more lasted until its last record.
            let last = mine().filter_map(|(record, _)| record.instant().ok()).max();
            let until = if stands.retired() { last.unwrap_or(now).min(now) } else { now };
            let of_machine = lives(mine(), until);
            let pool = |part: String| (stands.family.to_string(), part);
            for life in of_machine.lives {
                pools.entry(pool(life.part.clone())).or_default().lives.push(life);
            }
            for (part, count) in of_machine.begun_before {
                pools.entry(pool(part)).or_default().begun_before += count;
            }
        }
    }
    pools.retain(|(_, part), _| asked.part.as_ref().is_none_or(|wanted| wanted == part));
    let parts = pools
        .into_iter()
        .map(|((family, part), pool)| one(&estate, family, part, &pool, asked.costs))
        .collect();
    Ok(PartsReport { until: now.to_string(), parts })
}

fn known(estate: &Estate, asked: &PartsAsked) -> Result<(), Failure> {
    if let Some(family) = &asked.family
        && !estate.families.contains_key(family.as_str())
    {
        let names: Vec<&str> = estate.families.keys().map(ouncewise_estate::Key::as_str).collect();
        return Err(Failure::missing(format!("there is no family `{family}`"))
            .hint(format!("families are {}", names.join(", "))));
    }
    if let Some((planned, failed)) = asked.costs
        && !(planned > 0.0 && failed > 0.0 && planned.is_finite() && failed.is_finite())
    {
        return Err(Failure::usage("a cost is not above 0")
            .hint("state what each replacement costs, both in the same unit: 6 and 60"));
    }
    Ok(())
}

fn one(
    estate: &Estate,
    family: String,
    part: String,
    pool: &Pool,
    costs: Option<(f64, f64)>,
) -> PartReport {
    let described = estate.families.get(family.as_str()).and_then(|f| f.parts.get(part.as_str()));
    let count = |ended: &[Ended]| pool.lives.iter().filter(|l| ended.contains(&l.ended)).count();
    let (until_failed, fit) = said(&pool.lives, Until::Failed);
    let (until_worn_or_failed, _) = said(&pool.lives, Until::WornOrFailed);
    let not_said = count(&[Ended::NotSaid]);
    let mut mind = Vec::new();
    if pool.begun_before > 0 {
        mind.push(format!(
            "{} came out that went in before the first replacement on record: its age is not known",
            many(pool.begun_before, "part")
        ));
    }
    if not_said > 0 {
        mind.push(format!(
            "of {} nobody said why it came out: it counts as good until then; say failed, worn or planned",
            many(not_said, "part")
        ));
    }
    let replace = costs.zip(fit.as_ref()).and_then(|((planned, failed), fit)| {
        replacement_age(fit.shape, fit.scale, planned, failed)
    });
    match (costs, &fit, &replace) {
        (None, Some(_), _) => mind.push(
            "the age of least cost needs what a planned replacement and one after a failure cost"
                .to_owned(),
        ),
        (Some(_), Some(_), None) => mind.push(
            "no age is worth planning for: at these costs it is as well to wait until a part fails"
                .to_owned(),
        ),
        (Some(_), None, _) => {
            mind.push("the age of least cost needs failures at two ages".to_owned());
        }
        _ => {}
    }
    if fit.is_some() && until_failed.ended < 5 {
        mind.push("fewer than five failed: the intervals say more than the values".to_owned());
    }
    PartReport {
        name: described.map_or_else(|| part.clone(), |part| part.name.clone()),
        stated_days: described.and_then(|part| part.life).map(ouncewise_estate::Life::days),
        lives: pool.lives.len(),
        failed: count(&[Ended::Failed]),
        worn: count(&[Ended::Worn]),
        planned: count(&[Ended::Planned]),
        not_said,
        in_use: count(&[Ended::InUse, Ended::Gone]),
        until_failed,
        until_worn_or_failed,
        replace: replace.map(|replace| ReplaceReport {
            days: replace.age,
            cost_per_day: replace.cost,
            run_to_failure_per_day: replace.run_to_failure,
        }),
        mind,
        family,
        part,
    }
}

fn said(pool: &[PartLife], until: Until) -> (LivesReport, Option<Weibull>) {
    let lives: Vec<Life> = pool.iter().map(|life| life.life(until)).collect();
    let steps = survival(&lives).unwrap_or_default();
    let fit = Weibull::fit(&lives);
    let between = |value: f64, (from, to): (f64, f64)| Between {
        value,
        from: (from > 0.0).then_some(from),
        to: to.is_finite().then_some(to),
    };
    let report = LivesReport {
        ended: lives.iter().filter(|life| life.failed).count(),
        half_days: steps.iter().find(|step| step.surviving <= 0.5).map(|step| step.age),
        surviving: steps
            .iter()
            .map(|step| SurvivingReport {
                days: step.age,
                at_risk: step.at_risk,
                ended: step.failed,
                share: step.surviving,
                standard_error: step.surviving_sd,
            })
            .collect(),
        weibull: fit.as_ref().ok().map(|fit| {
            let age =
                |share: f64| between(fit.age_of(share), fit.age_profile(&lives, share, CONFIDENCE));
            WeibullReport {
                shape: between(fit.shape, fit.shape_profile(&lives, CONFIDENCE)),
                scale_days: age(1.0 - 1.0 / std::f64::consts::E),
                tenth_days: age(0.1),
                mean_days: fit.mean(),
            }
        }),
        no_weibull: fit.as_ref().err().map(ToString::to_string),
    };
    (report, fit.ok())
}

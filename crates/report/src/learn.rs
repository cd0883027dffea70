//! How families behave, learnt from the group's own records, and adopted by a record of its ledger.

use ouncewise_estate::{Estate, Key};
use ouncewise_estimate::fit::{FEWEST, Fitted, MOST, fit};
use ouncewise_estimate::history;
use ouncewise_estimate::joint::Behaviour;
use ouncewise_estimate::past::Past;
use ouncewise_ledger::{Body, Draft, Entered, Record, Scope, Subject};
use ouncewise_store::Store;
use schemars::JsonSchema;
use serde::Serialize;

use crate::failure::Failure;
use crate::rounds::effective;

/// `learn`: how families behave by the group's own records.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LearnReport {
    /// Family by family, in the order of their keys.
    pub families: Vec<LearntFamily>,
    /// Whether what was learnt was adopted by records of the group's ledger.
    pub adopted: bool,
}

/// What the records tell of one family.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LearntFamily {
    /// Its key.
    pub family: String,
    /// Machines with readings.
    pub machines: usize,
    /// How many machines a fit needs.
    pub needed: usize,
    /// Readings that were used.
    pub readings: usize,
    /// What holds now: `stated priors`, or the record that adopted fitted values.
    pub in_force: String,
    /// By how much the fitted values explain the records better than those in force, as a difference of log-likelihoods; absent
    /// where nothing was fitted.
    pub gain: Option<f64>,
    /// The values in force and the fitted ones.
    pub values: Vec<LearntValue>,
}

/// One number of a family's behaviour.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LearntValue {
    /// Its name in records.
    pub name: String,
    /// What it means.
    pub meaning: String,
    /// In force.
    pub now: String,
    /// Fitted.
    pub fitted: Option<String>,
}

/// What each value means, for people; all but chances and counts are fractions of the flow.
const MEANINGS: [(&str, &str); 16] = [
    ("walk", "how far a line wanders in a week"),
    ("drift", "how much it changes in a week, on average"),
    ("machine-walk", "how far all lines of a machine wander together in a week"),
    ("day", "how much one day differs from the next, for all its lines"),
    ("person", "how far people read apart"),
    ("shock-chance", "chance of something sudden, per line and week"),
    ("shock", "how large that is"),
    ("shared-chance", "chance that all lines move at once, per week"),
    ("shared-shock", "how large that is"),
    ("new-part", "where a new part begins, over the target"),
    ("new-part-spread", "how far new parts lie apart"),
    ("response", "what a stated adjustment really does, as a share of what was meant"),
    ("response-spread", "how far that differs"),
    ("adjusting", "what any adjustment adds by itself"),
    ("cleaning", "what a clean adds"),
    ("teaching", "what teaching a draw adds"),
];

/// Fits every family of the group (or the one of this key) that has enough machines. `told` hears of each machine of a family that
/// was read, and, with `false`, when its fit begins.
///
/// # Errors
///
/// If there is no such family, or the store cannot be read.
pub async fn learn(
    store: &Store,
    only: Option<&str>,
    threads: usize,
    mut told: impl FnMut(&str, bool),
) -> Result<Vec<(LearntFamily, Option<Fitted>)>, Failure> {
    let estate = store.estate().await?;
    if let Some(only) = only
        && !estate.families.contains_key(only)
    {
        let near = ouncewise_estate::fault::nearest(only, estate.families.keys().map(|key| &**key));
        let failure = Failure::missing(format!("there is no family `{only}`"));
        return Err(match near {
            Some(near) => failure.hint(format!("did you mean `{near}`?")),
            None => failure.hint("`ouncewise learn` without a name lists all families"),
        });
    }
    let behaviours = store.behaviours().await?;
    let mut learnt = Vec::new();
    for family in estate.families.keys().filter(|key| only.is_none_or(|only| &***key == only)) {
        let pasts = pasts(store, &estate, family, || told(family, true)).await?;
        let (now, in_force) = behaviours.of(family);
        told(family, false);
        let fitted = fit(&pasts, &Behaviour::default(), threads);
        let new = fitted.as_ref().map(|fitted| fitted.behaviour.to_values());
        let values = now.to_values();
        let values = MEANINGS.iter().map(|(name, meaning)| LearntValue {
            name: (*name).to_owned(),
            meaning: (*meaning).to_owned(),
            now: values.get(*name).cloned().unwrap_or_default(),
            fitted: new.as_ref().and_then(|new| new.get(*name).cloned()),
        });
        learnt.push((
            LearntFamily {
                family: family.to_string(),
                machines: pasts.len(),
                needed: FEWEST,
                readings: pasts.iter().map(Past::readings).sum(),
                in_force,
                gain: fitted
                    .as_ref()
                    .map(|fitted| fitted.log_likelihood.0 - likelihood(&pasts, &now)),
                values: values.collect(),
            },
            fitted,
        ));
    }
    Ok(learnt)
}

/// The pasts of a family's machines that have any reading; of very many, evenly spaced ones, as many as a fit looks at.
pub(crate) async fn pasts(
    store: &Store,
    estate: &Estate,
    family: &Key,
    mut told: impl FnMut(),
) -> Result<Vec<Past>, Failure> {
    let machines: Vec<(&str, &str)> = estate
        .sites
        .iter()
        .flat_map(|(site, s)| {
            let of = s.machines.iter().filter(|(_, machine)| machine.family == *family);
            of.map(|(machine, _)| (&**site, &**machine))
        })
        .collect();
    let mut pasts = Vec::new();
    for (site, machine) in machines.iter().step_by(machines.len().div_ceil(MOST).max(1)) {
        told();
        let events = store.machine(site, machine).await?;
        let history = history::read(estate, site, machine, effective(&events));
        pasts.extend(history.map(|history| history.past).filter(|past| past.readings() > 0));
    }
    Ok(pasts)
}

fn likelihood(pasts: &[Past], behaviour: &Behaviour) -> f64 {
    let mut sum = 0.0;
    for past in pasts {
        past.run(behaviour, |_, _, _, scored| sum += scored.log_likelihood());
    }
    sum
}

/// The records that adopt what was learnt, in the group's ledger.
#[must_use]
pub fn adopting(learnt: &[(LearntFamily, Option<Fitted>)], at: &str) -> Vec<Draft> {
    let fitted = learnt.iter().filter_map(|(family, fitted)| Some((family, fitted.as_ref()?)));
    fitted
        .enumerate()
        .map(|(sequence, (family, fitted))| {
            Draft::from(Record {
                v: 1,
                id: uuid::Uuid::now_v7(),
                scope: Scope::group(),
                subject: Subject::default(),
                at: at.to_owned(),
                device: "desk".to_owned(),
                sequence: sequence as u64,
                by: None,
                entered: Entered::AtDesk,
                note: None,
                body: Body::ParametersPublished {
                    family: family.family.clone(),
                    values: fitted.behaviour.to_values(),
                },
            })
        })
        .collect()
}

//! From a store and answers to the report.

use ouncewise_advice::fault::{Built, Catalogue, Chosen, Next, Question, Seen, for_line, next};
use ouncewise_estate::{Address, Family};
use ouncewise_hygiene::label::{Hazard, cautions};
use ouncewise_measure::print::Units;
use ouncewise_store::Store;

use super::words::{before_you_call, changes};
use super::{
    ActInOrder, Answer, AnswerGiven, Answered, CatalogueNamed, FaultFinding, KnownSign,
    LikelyCause, OpenSign, Opening, PartNamed, records,
};
use crate::failure::Failure;
use crate::lines::LineStanding;

/// How many causes are told.
const TOLD: usize = 5;

/// A list of causes with its id, where it is not the line's own.
#[derive(Debug, Clone, PartialEq)]
pub struct Causes {
    /// Its id.
    pub id: String,
    /// What it holds.
    pub catalogue: Catalogue,
}

/// What may be wrong with a line, after its records and what a person answered; by these causes, or by the line's own; in the units that were asked for, or the group's own. Of several answers to one sign the last counts.
///
/// # Errors
/// If there is no such line or sign, or the store cannot be read.
pub async fn fault(
    store: &Store,
    address: &Address,
    answers: &[Answered],
    causes: Option<Causes>,
    asked: Option<Units>,
) -> Result<FaultFinding, Failure> {
    let (estate, history, story) = crate::line(store, address).await?;
    let units = asked.unwrap_or(estate.group.units);
    let known = estate.family_of(&address.site, &address.machine);
    let (Some(standing), Some(family), Some(machine)) =
        (&history.standing, known, estate.machine(&address.site, &address.machine))
    else {
        return Err(Failure::missing(format!("the family of `{address}` is not described"))
            .hint("describe it under “Set up”, or in `families`"));
    };
    let (Causes { id, catalogue }, chosen) = match causes {
        Some(causes) => (causes, None),
        None => {
            let (id, catalogue, chosen) = for_line(&Built {
                named: family.faults,
                family: &machine.family,
                metering: family.metering,
                adjuster: &family.adjuster,
            });
            (Causes { id: id.to_owned(), catalogue }, Some(chosen))
        }
    };
    let given = given(&catalogue, answers)?;
    let events = store.machine(&address.site, &address.machine).await?;
    let (behaviour, _) = store.behaviours().await?.of(&machine.family);
    let from_records = records::answers(&estate, &behaviour, address, &events, &story);
    let (mut known, mut left_out) = (Vec::new(), Vec::new());
    let mut seen = catalogue.nothing_seen();
    for told in from_records {
        let Some(place) = catalogue.sign(&told.sign) else { continue };
        let told = KnownSign { ask: catalogue.signs[place].ask.clone(), ..told };
        if given.iter().any(|(sign, _)| *sign == place) {
            left_out.push(told);
            continue;
        }
        seen[place] = if told.answer == "yes" { Seen::Yes } else { Seen::No };
        known.push(told);
    }
    for (place, answer) in &given {
        seen[*place] = match answer {
            Answer::Yes => Seen::Yes,
            Answer::No => Seen::No,
            Answer::Unknown => Seen::Unknown,
        };
    }
    let found = next(&catalogue, &seen).map_err(|error| Failure::data(error.to_string()))?;
    let acts = acts(&catalogue, &found);
    let open: Vec<OpenSign> = found
        .questions
        .iter()
        .filter(|question| !given.iter().any(|(sign, _)| *sign == question.sign))
        .map(|question| open(&catalogue, &found, question))
        .collect();
    let LineStanding { site, machine: machine_name, line, act, reason, .. } =
        LineStanding::new(standing, units);
    let mut report = FaultFinding {
        address: address.to_string(),
        site,
        machine: machine_name,
        line,
        act,
        reason,
        catalogue: named(&id, &catalogue, chosen, &machine.family),
        cautions: standing_cautions(),
        known,
        left_out,
        answers: given
            .iter()
            .map(|(place, answer)| AnswerGiven {
                sign: catalogue.signs[*place].key.clone(),
                ask: catalogue.signs[*place].ask.clone(),
                answer: answer.key().to_owned(),
            })
            .collect(),
        causes: likeliest(&catalogue, &found, family),
        next: open.first().filter(|first| first.saves_minutes > 0.0).cloned(),
        open,
        acts,
        minutes: found.plan.cost,
        before_you_call: Vec::new(),
    };
    report.before_you_call =
        before_you_call(&report, address, machine, family, standing, &story, units);
    Ok(report)
}

/// The answers by the places of their signs, in the order in which they were first given.
fn given(catalogue: &Catalogue, answers: &[Answered]) -> Result<Vec<(usize, Answer)>, Failure> {
    let mut given: Vec<(usize, Answer)> = Vec::new();
    for Answered { sign, answer } in answers {
        let Some(place) = catalogue.sign(sign) else {
            let keys = || catalogue.signs.iter().map(|sign| sign.key.as_str());
            let short: String = sign.chars().take(80).collect();
            let failure = Failure::missing(format!("there is no sign `{short}` for this line"));
            return Err(match ouncewise_estate::fault::nearest(&short, keys()) {
                Some(near) => failure.hint(format!("did you mean `{near}`?")),
                None => {
                    failure.hint(format!("its signs are {}", keys().collect::<Vec<_>>().join(", ")))
                }
            });
        };
        match given.iter_mut().find(|(known, _)| *known == place) {
            Some(known) => known.1 = *answer,
            None => given.push((place, *answer)),
        }
    }
    Ok(given)
}

fn named(id: &str, catalogue: &Catalogue, chosen: Option<Chosen>, family: &str) -> CatalogueNamed {
    CatalogueNamed {
        id: id.to_owned(),
        name: catalogue.name.clone(),
        basis: catalogue.basis.clone(),
        why: match chosen {
            None => "you named these causes yourself".to_owned(),
            Some(Chosen::Named) => format!("the family {family} names these causes"),
            Some(Chosen::Family) => format!("these causes are written for the family {family}"),
            Some(Chosen::Alike) => format!(
                "the family {family} has no causes of its own; these are for machines that meter and are set alike, and may not fit"
            ),
        },
    }
}

/// What holds whatever is found: the hazards of looking for a fault, and the standing line.
fn standing_cautions() -> Vec<String> {
    let hazards = [Hazard::Electricity, Hazard::MovingParts, Hazard::Pressure];
    let mut all: Vec<String> = cautions(&hazards)
        .map(|caution| {
            format!("{}: {} {}", caution.printed_word(None), caution.what, caution.avoid)
        })
        .collect();
    all.push(
        "Follow the product label, the machine’s manual and the local code; where they differ, the stricter applies, and this is none of them."
            .to_owned(),
    );
    all.push(
        "Whoever thinks that the line is unsafe stops it. Nothing here overrules that.".to_owned(),
    );
    all
}

fn likeliest(catalogue: &Catalogue, found: &Next, family: &Family) -> Vec<LikelyCause> {
    let told = |(place, probability): &(usize, f64)| {
        let cause = &catalogue.causes[*place];
        let part = |key: &String| {
            let (own, part) = family.parts.get_key_value(key.as_str())?;
            Some(PartNamed {
                part: own.to_string(),
                name: part.name.clone(),
                number: part.number.clone(),
            })
        };
        LikelyCause {
            cause: cause.key.clone(),
            name: cause.name.clone(),
            probability: *probability,
            parts: cause.parts.iter().filter_map(part).collect(),
        }
    };
    found.causes.iter().take(TOLD).map(told).collect()
}

fn acts(catalogue: &Catalogue, found: &Next) -> Vec<ActInOrder> {
    let mut opened = vec![false; catalogue.access.len()];
    let mut mended = vec![false; catalogue.causes.len()];
    let told = |place: &usize| {
        let act = &catalogue.acts[*place];
        let opens = act.access.filter(|access| !std::mem::replace(&mut opened[*access], true));
        let mut probability = 0.0;
        for cause in &act.mends {
            if !std::mem::replace(&mut mended[*cause], true) {
                probability += found.alone[*cause];
            }
        }
        ActInOrder {
            act: act.key.clone(),
            does: act.does.clone(),
            minutes: act.minutes,
            opens: opens.map(|access| Opening {
                name: catalogue.access[access].name.clone(),
                minutes: catalogue.access[access].minutes,
            }),
            technician: act.technician,
            mends: act.mends.iter().map(|cause| catalogue.causes[*cause].name.clone()).collect(),
            probability,
        }
    };
    found.plan.order.iter().map(told).collect()
}

fn open(catalogue: &Catalogue, found: &Next, question: &Question) -> OpenSign {
    let sign = &catalogue.signs[question.sign];
    let key = |act: Option<usize>| act.map(|place| catalogue.acts[place].key.clone());
    OpenSign {
        sign: sign.key.clone(),
        ask: sign.ask.clone(),
        minutes: sign.minutes,
        probability_yes: question.yes,
        saves_minutes: question.saves,
        first_if_yes: key(question.first_if_yes),
        first_if_no: key(question.first_if_no),
        changes: changes(catalogue, found.plan.order.first().copied(), question),
    }
}

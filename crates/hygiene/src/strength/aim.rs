//! What to aim at: inside the label's range and the code's, so that the user's own errors stay inside too.

use super::MgPerLitre;
use super::doubt::{Doubt, StatedErrors};
use super::judge::{Conditions, known_ph};
use crate::label::{Label, LabelStrength};
use crate::profile::{ColumnFor, Limit, Profile, at_least};

/// The strengths that label and code both allow at the solution's temperature and pH; empty where `from` is over `to`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// The stricter least.
    pub from: MgPerLitre,
    /// The stricter most.
    pub to: MgPerLitre,
}

/// The window; nothing where the label gives no strength, or no row of the code holds at this temperature and pH. A
/// temperature or pH that is not known excludes no row.
#[must_use]
pub fn window(profile: &Profile, label: &Label, conditions: &Conditions) -> Option<Window> {
    if !label.faults().is_empty() {
        return None;
    }
    let (mut from, mut to) = label.strength?.ends();
    let sanitiser = label.chemistry.sanitiser();
    let open: Vec<&Limit> =
        profile.limits_for(sanitiser).filter(|row| possible(row, label, conditions)).collect();
    let least = open
        .iter()
        .map(|row| row.least(conditions.applied).unwrap_or_default())
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    if least > from {
        from = least;
    }
    let ends = open.iter().map(|row| row.to.map_or(f64::INFINITY, |to| to.0));
    let whole = profile.ceilings.iter().filter(|ceiling| ceiling.sanitiser == sanitiser);
    let ceilings = whole.filter_map(|ceiling| match &ceiling.component {
        None => Some(ceiling.to.0),
        Some(name) => {
            let own = label
                .components
                .iter()
                .find(|component| component.name.eq_ignore_ascii_case(name))?;
            (own.share > 0.0).then_some(ceiling.to.0 / own.share)
        }
    });
    let most = ends.fold(0.0, f64::max).min(ceilings.fold(f64::INFINITY, f64::min));
    if most < to.0 {
        to = MgPerLitre(most);
    }
    Some(Window { from, to })
}

/// Whether a row is not known to be out of reach by temperature or pH.
fn possible(row: &Limit, label: &Label, conditions: &Conditions) -> bool {
    match row.column(known_ph(conditions, label)) {
        ColumnFor::NoneAsked => true,
        // Whatever the pH is, a solution colder than each of its columns is under none of them.
        ColumnFor::PhUnknown => conditions
            .temperature
            .is_none_or(|read| row.columns.iter().any(|column| column.least.reached_by(read))),
        ColumnFor::This(column) => {
            conditions.temperature.is_none_or(|read| column.least.reached_by(read))
        }
        ColumnFor::NoColumn => false,
    }
}

/// What to aim at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AimAt {
    /// The label's one dilution.
    LabelsOwn(MgPerLitre),
    /// The middle of what is allowed, as no errors were stated.
    Middle(MgPerLitre),
    /// The least that holds with the chance asked for, by the user's own errors.
    Holds(MgPerLitre),
    /// No aim inside the range holds with that chance: this one, with the water measured better. Never more.
    MeasureBetter(MgPerLitre),
    /// No strength satisfies label and code here.
    Nothing,
}

/// An aim within its window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aim {
    /// What to aim at.
    pub at: AimAt,
    /// What label and code allow, if anything.
    pub window: Option<Window>,
    /// Whether nothing is left only because the water is too cold.
    pub warmth: bool,
}

impl Aim {
    /// The strength, if there is one.
    #[must_use]
    pub fn strength(&self) -> Option<MgPerLitre> {
        match self.at {
            AimAt::LabelsOwn(at)
            | AimAt::Middle(at)
            | AimAt::Holds(at)
            | AimAt::MeasureBetter(at) => Some(at),
            AimAt::Nothing => None,
        }
    }

    /// In words for the lead.
    #[must_use]
    pub fn words(&self) -> String {
        let within = self.window.map_or_else(String::new, |window| {
            format!(" ({} to {} is allowed)", window.from, window.to)
        });
        match self.at {
            AimAt::LabelsOwn(at) => format!("mix the label's own dilution, {at}, and neither more nor less"),
            AimAt::Middle(at) => format!("aim at {at}, the middle of what label and code allow{within}"),
            AimAt::Holds(at) => format!("aim at {at}: the least that your own stated errors keep in range{within}"),
            AimAt::MeasureBetter(at) => {
                format!("aim at {at} and measure the water better: by your own stated errors no aim stays in range{within}")
            }
            AimAt::Nothing if self.warmth => {
                "no strength satisfies label and code at this temperature and pH: warm the water, or use another product".into()
            }
            AimAt::Nothing => {
                "no strength satisfies label and code here, in cold water or in warm: use a product whose label and your code both allow".into()
            }
        }
    }
}

/// What to aim at, so that a mix is at or over the least with at least this chance, and at or under the most with the same.
///
/// With ±5 % two sigma, ±5 % limits and ±10 % two sigma, 97.5 % at or over 100 mg/L needs 112.9. To first order it would be
/// 114 (HY-60, CALC); the water stands under the line, so less is enough.
#[must_use]
pub fn aim(
    profile: &Profile,
    label: &Label,
    conditions: &Conditions,
    errors: Option<&StatedErrors>,
    chance: f64,
) -> Aim {
    let aim = at_this_warmth(profile, label, conditions, errors, chance);
    if aim.at != AimAt::Nothing {
        return aim;
    }
    // As warm as the label takes it.
    let warm = Conditions { temperature: label.temperature_to, ..*conditions };
    let warmth = at_this_warmth(profile, label, &warm, errors, chance).at != AimAt::Nothing;
    Aim { warmth, ..aim }
}

fn at_this_warmth(
    profile: &Profile,
    label: &Label,
    conditions: &Conditions,
    errors: Option<&StatedErrors>,
    chance: f64,
) -> Aim {
    let window = window(profile, label, conditions);
    let (Some(own), Some(Window { from, to })) = (label.strength, window) else {
        return Aim { at: AimAt::Nothing, window, warmth: false };
    };
    let one = Doubt::new(MgPerLitre(1.0), &errors.copied().unwrap_or_default())
        .filter(|_| errors.is_none_or(|errors| errors.faults().is_empty()));
    let at = match own {
        _ if from > to => AimAt::Nothing,
        LabelStrength::One { .. } => {
            let at = own.middle();
            let keeps = one.is_none_or(|one| {
                let doubt = one.moved_to(at);
                1.0 - doubt.chance_below(from) >= chance && doubt.chance_below(to) >= chance
            });
            match (at_least(at.0, from.0) && at_least(to.0, at.0), keeps) {
                (false, _) => AimAt::Nothing,
                (true, true) => AimAt::LabelsOwn(at),
                (true, false) => AimAt::MeasureBetter(at),
            }
        }
        LabelStrength::Range { .. } => {
            let middle = MgPerLitre(0.5 * (from.0 + to.0));
            match one {
                None => AimAt::Middle(middle),
                Some(one) => {
                    let least = from.0 / one.quantile(1.0 - chance).0;
                    let most = to.0 / one.quantile(chance).0;
                    if least <= most {
                        AimAt::Holds(MgPerLitre(least))
                    } else {
                        AimAt::MeasureBetter(middle)
                    }
                }
            }
        }
    };
    Aim { at, window, warmth: false }
}

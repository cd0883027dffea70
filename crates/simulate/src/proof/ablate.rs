//! What each term of the estimate is worth: our practice with one taken out, beside ours whole.

use super::nature::Nature;
use super::ours::{Estimated, Learnt, Settings};
use super::table::{Entry, Plan, Row, Spread, compare};

/// What can be taken out of the estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Term {
    /// What a machine's lines share: its slow walk and the effect of the day.
    Machine,
    /// The persistent error of a measure.
    Measure,
    /// The persistent error of a person.
    Person,
    /// A shock of one line.
    Shock,
    /// A shock that all lines of a machine share.
    SharedShock,
}

impl Term {
    /// All of them.
    pub const ALL: [Self; 5] =
        [Self::Machine, Self::Measure, Self::Person, Self::Shock, Self::SharedShock];

    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Machine => "machine and day",
            Self::Measure => "measure",
            Self::Person => "person",
            Self::Shock => "shock",
            Self::SharedShock => "shared shock",
        }
    }
}

impl Settings {
    /// The stated ones with a term taken out.
    #[must_use]
    pub fn without(term: Term) -> Self {
        let mut settings = Self::default();
        let behaviour = &mut settings.behaviour;
        match term {
            Term::Machine => (behaviour.machine_walk, behaviour.day) = (0.0, 0.0),
            Term::Measure => settings.measures_are_true = true,
            Term::Person => behaviour.person = 0.0,
            Term::Shock => behaviour.shock_chance = 0.0,
            Term::SharedShock => behaviour.shared_chance = 0.0,
        }
        settings
    }
}

/// Our practice with a term taken out, or whole.
#[derive(Debug, Clone, PartialEq)]
pub struct Ablated {
    /// What was taken out; nothing of the whole.
    pub without: Option<Term>,
    /// What came of it.
    pub row: Row,
    /// By how much more line-weeks served outside tolerance than with the whole, as a share, seed by seed.
    pub more_off: Spread,
    /// How many minutes more of the crew, a machine and week, seed by seed.
    pub more_minutes: Spread,
}

/// Tries our practice whole and without each term, in one world. Each was fitted anew, without its term, to the records of the
/// estate of seed `learnt_from`. `step` is called after each estate, those learnt from too: six for each seed, and six.
#[must_use]
pub fn ablate(
    nature: &Nature,
    learnt_from: u64,
    plan: &Plan,
    step: &(dyn Fn() + Sync),
) -> Vec<Ablated> {
    let tried: Vec<Option<Term>> = std::iter::once(None).chain(Term::ALL.map(Some)).collect();
    let size = (plan.sites, plan.lines);
    let entries: Vec<Entry> = tried
        .iter()
        .map(|term| {
            let stated = term.map_or_else(Settings::default, Settings::without);
            let learnt = Learnt::about(stated, nature, learnt_from, size, plan.weeks, plan.threads);
            step();
            Entry::new(term.map_or("whole", Term::words), move |facts| {
                Box::new(Estimated::new(facts, learnt.settings(facts)))
            })
        })
        .collect();
    let rows =
        compare(std::slice::from_ref(nature), &entries.iter().collect::<Vec<_>>(), plan, step).rows;
    let whole = rows[0].tallies.clone();
    let ablated = |(without, row): (Option<Term>, Row)| {
        let pairs = || row.tallies.iter().zip(&whole);
        let off: Vec<f64> =
            pairs().map(|(own, whole)| own.off_share() - whole.off_share()).collect();
        let minutes: Vec<f64> =
            pairs().map(|(own, whole)| own.weekly_minutes() - whole.weekly_minutes()).collect();
        Ablated { without, more_off: Spread::of(&off), more_minutes: Spread::of(&minutes), row }
    };
    tried.into_iter().zip(rows).map(ablated).collect()
}

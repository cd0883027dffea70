//! A procedure put together for one food code: passages in their places, targets found, parts as sets.

use ouncewise_hygiene::profile::AfterRule;

use super::state::Mask;
use crate::family::Family;
use crate::phrase::{Long, Phrase, Supply};
use crate::procedure::{Kind, Over, Procedure, Step, Target};
use crate::terms::Terms;
use crate::time::Seconds;
use crate::verb::{Subject, Verb};

/// Where a step leads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Goto {
    /// To a step of the same stage.
    Step(u8),
    /// To a later stage.
    Stage(u8),
    /// To the end of the procedure.
    End,
}

/// A phrase, as the model takes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Act {
    pub(crate) verb: Verb,
    pub(crate) supply: Supply,
    pub(crate) long: Long,
    /// Parts of the line.
    pub(crate) parts: Mask,
    /// Parts that all lines share.
    pub(crate) shared: Mask,
    /// `wash brush`, `ask spare`, `test outlet`.
    pub(crate) special: bool,
    /// `all`: of the parts, those that it can be done with.
    pub(crate) all: bool,
}

/// A look or an ask before a step, answered truly.
#[derive(Debug, Clone)]
pub(crate) enum Guard {
    /// Whether what these acts make true is there to be seen.
    Look(Vec<Act>),
    /// Whether a step was done that somebody came to.
    Ask,
}

/// How often a step may lead back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Limit {
    /// Which of the four counters of its stage.
    pub(crate) slot: u8,
    pub(crate) at_most: u8,
    pub(crate) or_else: Goto,
}

/// A step in its place.
#[derive(Debug, Clone)]
pub(crate) struct Placed<'a> {
    pub(crate) step: &'a Step,
    pub(crate) acts: Vec<Act>,
    /// Each answer with where it leads; nowhere, where that is missing.
    pub(crate) answers: Vec<(&'a str, Option<Goto>)>,
    pub(crate) next: Goto,
    pub(crate) limit: Option<Limit>,
    /// Whoever comes here notes that the step was left out: only where a proposal is tried.
    pub(crate) left_out: bool,
    /// What is looked at, or asked about, before it: only where a proposal is tried.
    pub(crate) guard: Option<Guard>,
    /// A way back without an end.
    pub(crate) endless: bool,
    /// More ways back in its stage than there are counters.
    pub(crate) too_many: bool,
}

/// A stage in its place.
#[derive(Debug, Clone)]
pub(crate) struct Staged<'a> {
    pub(crate) over: Over,
    pub(crate) sent: bool,
    pub(crate) steps: Vec<Placed<'a>>,
    /// Its steps leave alone what lines share: in which order lines do them makes no difference.
    pub(crate) local: bool,
}

/// A procedure put together.
#[derive(Debug, Clone)]
pub(crate) struct Program<'a> {
    pub(crate) family: &'a Family,
    pub(crate) procedure: &'a Procedure,
    pub(crate) kind: Kind,
    pub(crate) after: AfterRule,
    pub(crate) rinse_between: bool,
    pub(crate) outlet: bool,
    pub(crate) contact: Seconds,
    pub(crate) flush: Seconds,
    pub(crate) stages: Vec<Staged<'a>>,
    /// Where the order makes no difference, one line after the other: far fewer states.
    pub(crate) in_turn: bool,
    /// The first stage from which on nothing that is owed of a part is done any more.
    pub(crate) done_by: u8,
    pub(crate) masks: Masks,
    pub(crate) brush_shared: bool,
    pub(crate) basin_shared: bool,
}

/// The parts of a family as sets.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Masks {
    pub(crate) own: Mask,
    pub(crate) shared: Mask,
    pub(crate) wetted: Mask,
    pub(crate) must: Mask,
    pub(crate) never: Mask,
    pub(crate) renews: Mask,
}

/// A step within a program: its stage, and its place there.
pub(crate) type Spot = (u8, u8);

const COUNTERS: u8 = 4;

impl<'a> Program<'a> {
    /// Puts a procedure together.
    pub(crate) fn new(family: &'a Family, procedure: &'a Procedure, terms: &Terms) -> Self {
        let mask = |holds: &dyn Fn(&crate::family::Part) -> bool| {
            let parts = family.parts.iter().enumerate();
            parts.filter(|(_, part)| holds(part)).fold(0, |mask, (bit, _)| mask | 1 << bit)
        };
        use crate::family::Lubricant;
        let masks = Masks {
            own: mask(&|part| !part.shared),
            shared: mask(&|part| part.shared),
            wetted: mask(&|part| part.wetted),
            must: mask(&|part| part.lubricant == Lubricant::Must),
            never: mask(&|part| part.lubricant == Lubricant::Never),
            renews: mask(&|part| procedure.renews.contains(&part.key)),
        };
        let shares = |key| family.thing(key).is_none_or(|thing| !thing.per_line);
        let mut program = Self {
            family,
            procedure,
            kind: procedure.kind,
            after: terms.after,
            rinse_between: terms.rinse_between,
            outlet: terms.outlet,
            contact: procedure.contact.max(terms.contact).unwrap_or_default(),
            flush: family.flush.unwrap_or_default(),
            stages: Vec::new(),
            in_turn: false,
            done_by: 0,
            masks,
            brush_shared: shares("brush"),
            basin_shared: shares("basin"),
        };
        for (place, stage) in procedure.stages.iter().enumerate() {
            let steps = program.place(place, &stage.steps, stage.over);
            let mut acts = steps.iter().flat_map(|step| &step.acts);
            let renews = acts.clone().any(|act| matches!(act.verb, Verb::Renew | Verb::Refit));
            let local = !acts.any(|act| program.touches_shared(act));
            if renews {
                program.done_by = place as u8 + 1;
            }
            program.stages.push(Staged { over: stage.over, sent: stage.sent, steps, local });
        }
        program
    }

    /// The same, looked at one line after the other where that makes no difference.
    pub(crate) fn in_turn(&self) -> Self {
        Self { in_turn: true, ..self.clone() }
    }

    /// Whether an act changes what lines share.
    fn touches_shared(&self, act: &Act) -> bool {
        let soils = self.brush_shared || self.basin_shared;
        match act.verb {
            _ if act.shared != 0 => true,
            Verb::Open | Verb::Close => self.family.cover != crate::family::Cover::Line,
            Verb::Wash => act.special || soils,
            Verb::Test => !act.special,
            Verb::Run => self.masks.shared & self.masks.wetted != 0,
            verb => verb.subject() == Subject::Machine && verb != Verb::Ask,
        }
    }

    /// The steps of a stage, passages in their places.
    fn place(&self, stage: usize, steps: &'a [Step], over: Over) -> Vec<Placed<'a>> {
        // Each step with which use of a passage it stands in.
        let mut all: Vec<(&'a Step, usize)> = Vec::new();
        for (nth, step) in steps.iter().enumerate() {
            match &step.passage {
                Some(name) => {
                    let inner = self.family.passage(name).map_or(&[][..], |p| &p.steps);
                    all.extend(inner.iter().map(|inner| (inner, nth + 1)));
                }
                None => all.push((step, 0)),
            }
        }
        let here = |step: &Step| step.under.is_empty() || step.under.contains(&self.after);
        let mut flat: Vec<usize> = (0..all.len()).filter(|at| here(all[*at].0)).collect();
        flat.truncate(usize::from(END_OF_STAGE));
        let find = |target: &Target, from: usize, within: usize| -> Option<Goto> {
            let id = match target {
                Target::Next => return Some(self.step_or_on(from + 1, flat.len(), stage)),
                Target::Leave => return Some(self.step_or_on(flat.len(), flat.len(), stage)),
                Target::End => return Some(Goto::End),
                Target::To(id) => id,
            };
            let named =
                all.iter().position(|(step, of)| *of == within && step.id.as_ref() == Some(id));
            if let Some(named) = named {
                // One that is not there under this food code stands for what comes after it.
                let at = flat.partition_point(|at| *at < named);
                return Some(self.step_or_on(at, flat.len(), stage));
            }
            let later = self.procedure.stages.iter().position(|s| s.id == *id);
            later.filter(|later| *later > stage).map(|later| Goto::Stage(later as u8))
        };
        let mut placed = Vec::new();
        let mut slots = 0;
        for (at, (step, within)) in flat.iter().map(|at| &all[*at]).enumerate() {
            let on = self.step_or_on(at + 1, flat.len(), stage);
            let next = step.then.as_ref().and_then(|t| find(t, at, *within)).unwrap_or(on);
            let asked = step.phrases.last().map(Phrase::verb).filter(|verb| verb.asks());
            let names: Vec<&'a str> = match (asked, step.phrases.last()) {
                (Some(Verb::Ask), Some(Phrase::AskSpare(_))) => vec!["yes", "no"],
                (Some(Verb::Ask), _) => step.answers.iter().map(|(n, _)| n.as_str()).collect(),
                (Some(verb), _) => verb.answers().to_vec(),
                (None, _) => Vec::new(),
            };
            let answers: Vec<(&str, Option<Goto>)> = names
                .into_iter()
                .map(|name| {
                    let target = step.answers.iter().find(|(own, _)| own == name);
                    (name, target.and_then(|(_, target)| find(target, at, *within)))
                })
                .collect();
            let back = |goto: Goto| matches!(goto, Goto::Step(to) if usize::from(to) <= at);
            let leads_back = if answers.is_empty() {
                back(next)
            } else {
                answers.iter().any(|(_, goto)| goto.is_some_and(back))
            };
            let mut endless = false;
            let mut too_many = false;
            let limit = leads_back.then(|| {
                let or_else = step.or_else.as_ref().and_then(|t| find(t, at, *within));
                let ends = or_else.filter(|goto| !back(*goto)).zip(step.at_most);
                endless = ends.is_none();
                too_many = slots >= COUNTERS;
                let slot = slots.min(COUNTERS - 1);
                slots += 1;
                // Without an end it leads on at once, so that the rest can be looked at; that is told.
                let (or_else, at_most) = ends.unwrap_or((on, 0));
                Limit { slot, at_most, or_else }
            });
            placed.push(Placed {
                step,
                acts: step.phrases.iter().map(|phrase| self.act(phrase, over)).collect(),
                answers,
                next,
                limit,
                left_out: false,
                guard: None,
                endless,
                too_many,
            });
        }
        placed
    }

    /// A step of a stage, or what follows the stage.
    fn step_or_on(&self, at: usize, len: usize, stage: usize) -> Goto {
        if at < len {
            return Goto::Step(at as u8);
        }
        let later = self.procedure.stages.iter().enumerate().skip(stage + 1);
        let on = later.filter(|(_, stage)| !stage.sent).map(|(place, _)| place).next();
        on.map_or(Goto::End, |place| Goto::Stage(place as u8))
    }

    /// A phrase as the model takes it.
    fn act(&self, phrase: &Phrase, over: Over) -> Act {
        let bare = Act {
            verb: phrase.verb(),
            supply: Supply::None,
            long: Long::Unsaid,
            parts: 0,
            shared: 0,
            special: false,
            all: false,
        };
        let set = |keys: &[String]| {
            let bit = |key: &String| self.family.parts.iter().position(|part| part.key == *key);
            keys.iter().filter_map(bit).fold(0, |mask, bit| mask | 1 << bit)
        };
        let parts = |mask: Mask| Act {
            parts: mask & self.masks.own,
            shared: mask & self.masks.shared,
            ..bare
        };
        match phrase {
            Phrase::Bare(_) | Phrase::Ask(_) => bare,
            Phrase::Feed(supply) | Phrase::Solution(_, supply) => Act { supply: *supply, ..bare },
            Phrase::Run(long) => Act { long: *long, ..bare },
            Phrase::Soak(seconds) => Act { long: Long::For(*seconds), ..bare },
            Phrase::Parts(_, keys) if keys.is_empty() && over == Over::Machine => {
                Act { all: true, ..parts(self.masks.shared) }
            }
            Phrase::Parts(_, keys) if keys.is_empty() => Act { all: true, ..parts(self.masks.own) },
            Phrase::Parts(_, keys) => parts(set(keys)),
            Phrase::WashBrush | Phrase::TestOutlet => Act { special: true, ..bare },
            Phrase::AskSpare(key) => Act { special: true, ..parts(set(std::slice::from_ref(key))) },
        }
    }

    /// The step at a spot.
    pub(crate) fn at(&self, spot: Spot) -> &Placed<'a> {
        &self.stages[usize::from(spot.0)].steps[usize::from(spot.1)]
    }

    /// Every spot, in the order of the text.
    pub(crate) fn spots(&self) -> impl Iterator<Item = Spot> + '_ {
        self.stages.iter().enumerate().flat_map(|(stage, staged)| {
            (0..staged.steps.len()).map(move |step| (stage as u8, step as u8))
        })
    }

    /// Whether an act needs a line to act on.
    pub(crate) fn needs_line(&self, act: &Act) -> bool {
        match act.verb.subject() {
            Subject::Line => true,
            Subject::Machine => act.parts != 0,
            Subject::Either => match act.verb {
                Verb::Open | Verb::Close => self.family.cover == crate::family::Cover::Line,
                Verb::Test => act.special,
                _ => act.parts != 0,
            },
        }
    }
}

/// Steps of a stage that are looked at.
const END_OF_STAGE: u8 = 250;

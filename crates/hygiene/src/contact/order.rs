//! The order of a clean: washed before sanitised, nothing handled after it, drained or rinsed as the code says, then served.

use serde::Serialize;

use crate::label::{Label, LabelRinse};
use crate::profile::{AfterRule, Profile};

/// What was done to a part or a line, in the order it was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Did {
    /// Washed with detergent.
    Washed,
    /// Washed with the detergent that also sanitises.
    WashedWithSanitiser,
    /// Rinsed with drinking water.
    Rinsed,
    /// In contact with sanitiser for its time.
    Sanitised,
    /// Drained well.
    Drained,
    /// Opened, touched or refitted.
    Handled,
    /// Put back into service.
    Served,
}

/// What follows sanitising, by code and label together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AfterPlan {
    /// Drain well, no rinse.
    DrainNoRinse,
    /// Drain well; a rinse with drinking water is not forbidden.
    Drain,
    /// Rinse with drinking water.
    Rinse,
    /// One asks a rinse that the other forbids: not covered.
    Conflict,
}

impl AfterPlan {
    /// In words for the crew.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::DrainNoRinse => "drain well; do not rinse, and do not dry with a cloth",
            Self::Drain => "drain well",
            Self::Rinse => {
                "rinse with drinking water until the strip at the outlet shows it is out"
            }
            Self::Conflict => {
                "label and code say opposite things of a rinse: ask the health department, or use another product"
            }
        }
    }
}

/// What follows sanitising (HY-21 to HY-23, READ: opposite rules in different places). Without a label, the code's rule.
#[must_use]
pub fn after_plan(profile: &Profile, label: Option<&Label>) -> AfterPlan {
    match (profile.after.rule, label.map_or(LabelRinse::Silent, |label| label.rinse)) {
        (AfterRule::DrainNoRinse, LabelRinse::Asks) | (AfterRule::Rinse, LabelRinse::Forbids) => {
            AfterPlan::Conflict
        }
        (AfterRule::DrainNoRinse, _) | (AfterRule::Drain, LabelRinse::Forbids) => {
            AfterPlan::DrainNoRinse
        }
        (AfterRule::Rinse, _) | (AfterRule::Drain, LabelRinse::Asks) => AfterPlan::Rinse,
        (AfterRule::Drain, LabelRinse::Silent) => AfterPlan::Drain,
    }
}

/// What is out of order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum OrderFault {
    /// Sanitised without a wash before (HY-24, HY-140, READ: sanitising is of cleaned surfaces).
    NotWashed,
    /// Sanitised without the rinse that the code asks after the wash.
    NotRinsedBetween,
    /// Served without having been sanitised.
    NotSanitised,
    /// Served after it was handled, with no sanitising since.
    HandledAfter,
    /// Served without draining.
    NotDrained,
    /// Rinsed after sanitising where that is forbidden.
    RinsedAfter,
    /// Not rinsed after sanitising where that is asked.
    NotRinsedAfter,
    /// Label and code disagree about a rinse.
    Conflict,
}

impl OrderFault {
    /// In words, with how to mend it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::NotWashed => {
                "it was sanitised without being washed first: wash, rinse, and sanitise again"
            }
            Self::NotRinsedBetween => {
                "it was sanitised over detergent: rinse with water, and sanitise again"
            }
            Self::NotSanitised => {
                "it goes into service without being sanitised: wash and sanitise it"
            }
            Self::HandledAfter => {
                "it was handled after it was sanitised: sanitise it again, and touch it no more"
            }
            Self::NotDrained => "it goes into service with sanitiser in it: drain it first",
            Self::RinsedAfter => {
                "it was rinsed after it was sanitised, which the code forbids: sanitise it again and drain it"
            }
            Self::NotRinsedAfter => {
                "it goes into service without the rinse that is asked: rinse it with drinking water"
            }
            Self::Conflict => {
                "label and code say opposite things of a rinse: ask the health department, or use another product"
            }
        }
    }
}

/// One fault, at the act where it shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct OutOfOrder {
    /// The act, counted from 0.
    pub at: usize,
    /// What is wrong.
    pub fault: OrderFault,
}

/// What is out of order in what was done to one part or line, from soiled to served, each fault at the act where it shows.
#[must_use]
pub fn order_faults(did: &[Did], profile: &Profile, label: Option<&Label>) -> Vec<OutOfOrder> {
    let plan = after_plan(profile, label);
    let mut faults = Vec::new();
    let mut state = State::default();
    for (at, act) in did.iter().enumerate() {
        state.act(*act, profile, plan, &mut |fault| faults.push(OutOfOrder { at, fault }));
    }
    faults
}

#[derive(Default)]
struct State {
    washed: bool,
    /// Detergent is still on it, and whether it is the sanitiser's own.
    detergent: Option<bool>,
    sanitised: bool,
    drained: bool,
    rinsed_after: bool,
    handled_after: bool,
}

impl State {
    fn act(
        &mut self,
        act: Did,
        profile: &Profile,
        plan: AfterPlan,
        fault: &mut impl FnMut(OrderFault),
    ) {
        match act {
            Did::Washed | Did::WashedWithSanitiser => {
                *self = Self {
                    washed: true,
                    detergent: Some(act == Did::WashedWithSanitiser),
                    ..Self::default()
                };
            }
            Did::Rinsed => {
                self.detergent = None;
                self.rinsed_after = self.sanitised;
            }
            Did::Sanitised => {
                if !self.washed {
                    fault(OrderFault::NotWashed);
                }
                if let (Some(rule), Some(own)) = (&profile.rinse_between, self.detergent)
                    && !(own && rule.unless_same_agent)
                {
                    fault(OrderFault::NotRinsedBetween);
                }
                *self = Self { washed: self.washed, sanitised: true, ..Self::default() };
            }
            Did::Drained => self.drained = true,
            Did::Handled => self.handled_after = self.sanitised || self.handled_after,
            Did::Served => {
                self.served(plan, fault);
                // Product is in it now: it is soiled.
                *self = Self::default();
            }
        }
    }

    fn served(&self, plan: AfterPlan, fault: &mut impl FnMut(OrderFault)) {
        if !self.sanitised {
            fault(OrderFault::NotSanitised);
            return;
        }
        if self.handled_after {
            fault(OrderFault::HandledAfter);
        }
        match plan {
            AfterPlan::Conflict => fault(OrderFault::Conflict),
            AfterPlan::Rinse if !self.rinsed_after => fault(OrderFault::NotRinsedAfter),
            AfterPlan::DrainNoRinse if self.rinsed_after => fault(OrderFault::RinsedAfter),
            AfterPlan::DrainNoRinse | AfterPlan::Drain if !self.drained && !self.rinsed_after => {
                fault(OrderFault::NotDrained);
            }
            _ => {}
        }
    }
}

//! What lines, catches and measures show.

use ouncewise_estimate::{ActKind, Basis, Shown, Standing, standing::VisitShown};
use ouncewise_measure::conformity::Limits;
use ouncewise_measure::print::{Sentence, Units};
use ouncewise_measure::showing::{self, Capability, Decide};
use ouncewise_measure::{Act, Setup, Showing};
use schemars::JsonSchema;
use serde::Serialize;

use crate::allergens::AllergenReport;
use crate::charts::ChartsReport;
use crate::flush::LineFlushReport;
use crate::money::MoneyReport;

/// A number with its unit and standard uncertainty.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Value {
    /// The number.
    pub value: f64,
    /// Its unit.
    pub unit: String,
    /// Its standard uncertainty, same unit (JCGM 100).
    pub standard_uncertainty: f64,
}

/// One part of the doubt.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DoubtPart {
    /// What it comes from.
    pub source: String,
    /// Its contribution to the standard uncertainty of the portion, in the portion's unit.
    pub contribution: f64,
    /// Its share of the variance, 0 to 1.
    pub share: f64,
    /// Whether every catch with this measure shares it, so that it never averages away.
    pub persistent: bool,
}

/// The one act.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OneAct {
    /// `leave-alone`, `catch-again`, `catch-more`, `weigh`, `adjust`, `see-to-water`, `find-fault`, `call` or `describe`.
    pub kind: String,
    /// In a sentence.
    pub advice: String,
    /// The wanted change of the flow as a fraction, if the act is to adjust.
    pub change: Option<f64>,
}

/// `calc catch`: what the catches of one visit show.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CatchReport {
    /// `catch`: what the verdict rests on.
    pub basis: String,
    /// `portion`, or `water` while the water of a ratio line is not shown to be right.
    pub subject: String,
    /// The flow behind the portion; absent when only marks were read.
    pub rate: Option<Value>,
    /// The portion (or the water, if that is the subject) at the recipe's own draw; absent when only
    /// marks were read.
    pub portion: Option<Value>,
    /// Effective degrees of freedom; absent when infinite.
    pub degrees_of_freedom: Option<f64>,
    /// `on-target`, `off-target` or `undecided`.
    pub verdict: String,
    /// Probability that the true portion lies in tolerance (JCGM 106).
    pub probability_on_target: f64,
    /// The one act.
    pub act: OneAct,
    /// Why, in a sentence.
    pub reason: String,
    /// The parts of the doubt of the portion (on a ratio line: of its syrup), largest first.
    pub budget: Vec<DoubtPart>,
    /// Whether first-order propagation (JCGM 100) is enough here; where not, what is beyond it is counted in.
    pub first_order_enough: bool,
    /// What the reader must know besides.
    pub caveats: Vec<String>,
    /// What it would take to decide, if the portion stays where it is; absent where it is decided.
    pub to_decide: Option<Deciding>,
}

/// What it would take to decide. Each way is absent where it is impossible.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Deciding {
    /// The largest standard uncertainty that decides here, in the portion's unit.
    pub needed: f64,
    /// The fewest catches in all with this measure and timer.
    pub catches: Option<u32>,
    /// The shortest single draw with this measure and timer.
    pub longer: Option<String>,
    /// A better measure.
    pub better: Option<String>,
    /// The same in words, with what each way pours away.
    pub words: Vec<String>,
}

impl CatchReport {
    /// The report of a showing; its sentences are in these units.
    pub fn new(setup: &Setup, showing: &Showing, decide: Option<&Decide>, units: Units) -> Self {
        let shown = Shown::tell(setup, showing);
        let budget = showing
            .budget
            .shares()
            .map(|(part, share)| DoubtPart {
                source: part.source.to_owned(),
                contribution: part.contribution,
                share: share / 100.0,
                persistent: part.persistent,
            })
            .collect();
        Self {
            basis: "catch".to_owned(),
            subject: if shown.water { "water" } else { "portion" }.to_owned(),
            rate: showing.rate.map(|rate| Value {
                value: rate.value,
                unit: rate.unit.to_owned(),
                standard_uncertainty: rate.standard_uncertainty,
            }),
            portion: shown.portion.map(|value| Value {
                value,
                unit: shown.unit.clone(),
                standard_uncertainty: shown.standard_uncertainty,
            }),
            degrees_of_freedom: Some(showing.degrees_of_freedom).filter(|d| d.is_finite()),
            verdict: shown.verdict.key().to_owned(),
            probability_on_target: shown.probability_on_target,
            act: OneAct {
                kind: shown.act.key().to_owned(),
                advice: shown.advice.words(units),
                change: match &showing.act {
                    Act::Adjust(adjustment) => Some(adjustment.change),
                    _ => None,
                },
            },
            reason: shown.reason.words(units),
            budget,
            first_order_enough: showing.first_order_enough,
            caveats: shown.caveats,
            to_decide: decide.map(|decide| Deciding::new(setup, decide, units)),
        }
    }
}

/// What one visit's catches showed.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct VisitReport {
    /// When, as the device wrote it (RFC 3339).
    pub at: String,
    /// `as-found` or `as-left`.
    pub state: String,
    /// Key of the measure.
    pub measure: String,
    /// The catches as read.
    pub read: Vec<String>,
    /// The portion, if numbers were read.
    pub portion: Option<Value>,
    /// How far off, as a fraction of the target.
    pub deviation: Option<f64>,
    /// The verdict, if it can be judged.
    pub verdict: Option<String>,
    /// Probability that the true portion lies in tolerance.
    pub probability_on_target: Option<f64>,
    /// Why it cannot be judged.
    pub trouble: Option<String>,
}

impl VisitReport {
    /// The report of a visit.
    pub fn new(visit: &VisitShown) -> Self {
        let shown = visit.shown.as_ref();
        Self {
            at: visit.at.clone(),
            state: match visit.state {
                ouncewise_ledger::LineState::AsFound => "as-found",
                ouncewise_ledger::LineState::AsLeft => "as-left",
            }
            .to_owned(),
            measure: visit.measure.clone(),
            read: visit.read.clone(),
            portion: shown.and_then(|s| {
                Some(Value {
                    value: s.portion?,
                    unit: s.unit.clone(),
                    standard_uncertainty: s.standard_uncertainty,
                })
            }),
            deviation: shown.and_then(Shown::deviation),
            verdict: shown.map(|s| s.verdict.key().to_owned()),
            probability_on_target: shown.map(|s| s.probability_on_target),
            trouble: visit.trouble.clone(),
        }
    }
}

/// Where one line stands.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LineStanding {
    /// Its address: site/machine/line.
    pub address: String,
    /// Name of the site.
    pub site: String,
    /// Name of the machine.
    pub machine: String,
    /// Name of the line.
    pub line: String,
    /// `catch` (its latest catches) or `history`: what the verdict rests on.
    pub basis: String,
    /// The verdict that holds now; absent if there is none.
    pub verdict: Option<String>,
    /// Probability that the true portion lies in tolerance.
    pub probability_on_target: Option<f64>,
    /// The one act.
    pub act: OneAct,
    /// Why, in a sentence.
    pub reason: String,
    /// What the over-pour costs for each 100 portions, where a price is stated.
    pub over_per_100: Option<String>,
    /// What it costs a week, each number by itself; absent where it was not reckoned, as in lists of a machine. In a week
    /// without what only the line's records tell: product poured away, technicians.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub money: Option<MoneyReport>,
    /// The latest visit.
    pub latest: Option<VisitReport>,
    /// How far off, as a fraction of the target, by what the verdict rests on.
    pub deviation: Option<f64>,
    /// What its latest catches show by themselves, where the history says something else.
    pub by_catch: Option<CatchSays>,
    /// How it stands by its history as of its machine's last visit, and what to expect; absent until that was followed.
    pub history: Option<HistorySays>,
}

/// What the latest catches of a line show by themselves.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CatchSays {
    /// The verdict.
    pub verdict: Option<String>,
    /// Probability that the true portion lies in tolerance.
    pub probability_on_target: Option<f64>,
    /// The act that they would advise.
    pub act: OneAct,
    /// Why, in a sentence.
    pub reason: String,
}

/// How a line stands by its history, and what to expect.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct HistorySays {
    /// Where it stands.
    pub stands: crate::stands::StandsReport,
    /// Chance of serving off target, on average over the coming weeks, if it is left alone.
    pub off_if_left: f64,
    /// The same after the act, where that can be told.
    pub off_after: Option<f64>,
    /// Over how many weeks.
    pub weeks: u32,
    /// What the family's behaviour is taken from: `stated priors`, or the record that adopted fitted values.
    pub parameters: String,
}

impl LineStanding {
    /// The report of a standing; its sentences are in these units.
    pub fn new(standing: &Standing, units: Units) -> Self {
        let shown = standing.latest.as_ref().and_then(|latest| latest.shown.as_ref());
        let by_catch = shown.and_then(|shown| shown.change);
        let by_history = standing.history.as_ref().and_then(|history| history.change);
        let act = |kind: ActKind, advice: &Sentence, change: Option<f64>| OneAct {
            kind: kind.key().to_owned(),
            advice: advice.words(units),
            change: change.filter(|_| kind == ActKind::Adjust),
        };
        // Whose act it is: the history's wherever the catches' own is kept beside it.
        let change = if standing.by_catch.is_some() { by_history } else { by_catch };
        Self {
            address: standing.address.to_string(),
            site: standing.site.clone(),
            machine: standing.machine.clone(),
            line: standing.line.clone(),
            basis: match standing.basis {
                Basis::Catch => "catch",
                Basis::History => "history",
            }
            .to_owned(),
            verdict: standing.verdict.map(|v| v.key().to_owned()),
            probability_on_target: standing.probability_on_target,
            act: act(standing.act, &standing.advice, change),
            reason: standing.reason.words(units),
            over_per_100: standing.over_per_100.clone(),
            money: None,
            latest: standing.latest.as_ref().map(VisitReport::new),
            deviation: standing.deviation(),
            by_catch: standing.by_catch.as_ref().map(|says| CatchSays {
                verdict: says.verdict.map(|v| v.key().to_owned()),
                probability_on_target: says.probability_on_target,
                act: act(says.act, &says.advice, by_catch),
                reason: says.reason.words(units),
            }),
            history: standing.history.as_ref().map(|history| HistorySays {
                stands: crate::stands::StandsReport::new(
                    &history.stands,
                    shown.map_or("mL", |shown| &shown.unit),
                ),
                off_if_left: history.off_if_left,
                off_after: history.off_after,
                weeks: history.weeks,
                parameters: history.parameters.clone(),
            }),
        }
    }
}

/// How many lines in use stand where.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Counts {
    /// On target.
    pub on_target: u64,
    /// Off target.
    pub off_target: u64,
    /// Undecided.
    pub undecided: u64,
    /// Without a verdict: never measured, touched since, or not described well enough.
    pub without_verdict: u64,
}

impl Counts {
    /// All lines in use.
    pub fn all(&self) -> u64 {
        self.on_target + self.off_target + self.undecided + self.without_verdict
    }
}

/// A measure with which no number of catches can decide some lines.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CannotDecide {
    /// Key of the site.
    pub site: String,
    /// Key of the measure.
    pub measure: String,
    /// How many lines.
    pub lines: u64,
    /// What would do, in a sentence.
    pub advice: String,
}

/// `week`: the lines that need a decision, worst first.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WeekReport {
    /// Name of the group.
    pub group: String,
    /// Key of the site, if only one was asked for.
    pub site: Option<String>,
    /// How the lines in use stand.
    pub counts: Counts,
    /// Lines, worst first.
    pub lines: Vec<LineStanding>,
    /// Measures that cannot decide, said once for all their lines.
    pub cannot_decide: Vec<CannotDecide>,
    /// Machines whose records are newer than what is shown, because a load is under way.
    pub behind: u64,
}

/// One event of a line's story.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StoryEvent {
    /// When, as the device wrote it (RFC 3339).
    pub at: String,
    /// Id of the record.
    pub record: String,
    /// In words.
    pub what: String,
    /// If it was caught: what that showed.
    pub visit: Option<VisitReport>,
}

/// `line`: one line's story and where it stands.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LineReport {
    /// What its latest catch shows.
    pub standing: LineStanding,
    /// Where it stands by its history; absent where it was never read.
    pub stands: Option<crate::stands::StandsReport>,
    /// How long it must be flushed at least, where its tubes are known.
    pub flush: Option<LineFlushReport>,
    /// What flushing cannot show of its allergens: after a change of product, until the parts are renewed, and through parts
    /// that lines share.
    pub allergens: Vec<AllergenReport>,
    /// Its control charts; only where they were asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub charts: Option<ChartsReport>,
    /// What happened, oldest first.
    pub story: Vec<StoryEvent>,
    /// How many earlier events were left out.
    pub earlier: usize,
}

/// Readings that show something.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Window {
    /// Readings from the first to the second show on target; absent where no reading does.
    pub on_target: Option<(f64, f64)>,
    /// Readings under the first or over the second show off target.
    pub off_target: (f64, f64),
}

impl From<showing::Window> for Window {
    fn from(window: showing::Window) -> Self {
        let pair = |limits: Limits| (limits.lower, limits.upper);
        Self { on_target: window.on.map(pair), off_target: pair(window.off) }
    }
}

/// `calc measure`: what a measure and a timer can show, before any reading.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MeasureReport {
    /// Standard uncertainty of one catch at the target, as a fraction of it.
    pub relative_doubt: f64,
    /// Probability of being on target that a dead-centre catch gives.
    pub best_probability: f64,
    /// The same of as many catches as one likes.
    pub best_of_many: f64,
    /// Whether a single catch can show a line to be on target.
    pub can_show_on_target: bool,
    /// Unit of what the measure reads: `mL` or `g`.
    pub unit: String,
    /// Amounts over the recipe's draw.
    pub amount: Option<Window>,
    /// Seconds to fill to `fill_to`, on a timed line with a vessel.
    pub seconds: Option<Window>,
    /// The amount to fill to and time, in mL.
    pub fill_to: Option<f64>,
    /// What it takes to decide about a line that is exactly right.
    pub to_decide: Deciding,
}

impl MeasureReport {
    /// The report of a capability; its sentences are in these units.
    pub fn new(setup: &Setup, capability: &Capability, units: Units) -> Self {
        Self {
            relative_doubt: capability.relative_doubt,
            best_probability: capability.best_probability,
            best_of_many: capability.best_of_many,
            can_show_on_target: capability.proves_on_target(),
            unit: capability.unit.to_owned(),
            amount: capability.amount.map(Into::into),
            seconds: capability.seconds.map(Into::into),
            fill_to: capability.fill_to,
            to_decide: Deciding::new(setup, &capability.decide, units),
        }
    }
}

/// `calc offset`: the opening offset of a valve.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OffsetReport {
    /// The seconds of a draw that pour nothing; negative: what pours beyond the draw.
    pub offset: Value,
    /// The flow while it is open.
    pub flow: Value,
    /// Whether the offset is shown: further from zero than twice its uncertainty.
    pub shown: bool,
    /// V/t of the shortest draw over V/t of the longest.
    pub shortest_over_longest: f64,
}

//! What a flush comes to, as it is reported.

use ouncewise_hygiene::flush::{Manner, Place, Plan, Way, time};
use ouncewise_hygiene::label::{Caution, Hazard, cautions};
use ouncewise_hygiene::prime::Prime;
use ouncewise_measure::print::Units;
use schemars::JsonSchema;
use serde::Serialize;

use super::{ColdReport, TubeReport};

/// `calc flush`: how a line is flushed, by which ways, and the least time that physics allows.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FlushReport {
    /// What was understood, in the order of the questions.
    pub understood: Vec<FlushFact>,
    /// What must be measured before a least time is known; empty where it is known.
    pub missing: Vec<MissingReport>,
    /// What the line holds, in mL: at least this.
    pub volume_ml: Option<f64>,
    /// The flow, in mL/s.
    pub flow_ml_per_s: Option<f64>,
    /// The time in which one line volume passes, in s.
    pub seconds_per_volume: Option<f64>,
    /// The smallest and the largest Reynolds number among the tubes: the smallest of what is thicker, the
    /// largest of what is thinner, of what flushes and what is in the line.
    pub reynolds: Option<(f64, f64)>,
    /// π·D·L/Q: how far things spread across the flow while one volume passes.
    pub regime_number: Option<f64>,
    /// The manner in which the old content leaves.
    pub manner: Option<MannerReport>,
    /// When the first of what flushes comes out, in s.
    pub first_arrival_s: Option<f64>,
    /// What is wanted.
    pub wanted: WantedReport,
    /// The least time that physics allows.
    pub least: LeastReport,
    /// Each way that the line allows: running first.
    pub plans: Vec<PlanReport>,
    /// Ways that are not offered, and why.
    pub not_offered: Vec<String>,
    /// The flow in mL/s from which on it is turbulent in every tube, and little more than one volume does; null where it is
    /// already.
    pub swirls_from_ml_per_s: Option<f64>,
    /// One line for a crew: `run 95 s; or drain and refill twice: 40 s and half the solution`.
    pub crew: Option<String>,
    /// What the tube and the feed allow while the line is full of a thick product.
    pub tube: Option<TubeReport>,
    /// What the temperature does to a portion that was set at another; empty where that was not asked. One entry for what
    /// holds the product back; one for each that may, where nobody said it.
    pub cold: Vec<ColdReport>,
    /// Filling with product afterwards, where it was asked.
    pub prime: Option<PrimeReport>,
    /// How the residue falls with time by each way.
    pub chart: Option<CurvesReport>,
    /// What to mind.
    pub notes: Vec<String>,
    /// How the figures behind this are known.
    pub basis: Vec<BasisReport>,
    /// What can hurt, in the order in which it is printed.
    pub cautions: Vec<CautionReport>,
    /// The line that stands on everything.
    pub standing: String,
}

/// One thing that was understood.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FlushFact {
    /// What it is: `flow`.
    pub what: String,
    /// As it was understood: `5.00 mL/s`.
    pub words: String,
}

/// Something that nobody measured yet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct MissingReport {
    /// What is missing: `the bore of the tube`.
    pub what: String,
    /// How to get it.
    pub measure: String,
}

/// The manner of the flow.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct MannerReport {
    /// `convective`, `diffusing`, `dispersed`, `between` or `turbulent`.
    pub kind: String,
    /// In words.
    pub words: String,
}

/// What is wanted.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WantedReport {
    /// `outlet`: in what comes out. `line`: left in the line.
    pub place: String,
    /// The share of the old content, as a fraction.
    pub share: f64,
    /// In words.
    pub words: String,
}

/// The least time.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LeastReport {
    /// Whether the line is known well enough for one. Where it is not, there is none, and it is not zero.
    pub known: bool,
    /// No flow of any kind is quicker than this, in s.
    pub hard_s: Option<f64>,
    /// In a straight tube, with equal viscosity and density, in s.
    pub at_best_s: Option<f64>,
    /// In words.
    pub words: String,
}

/// A way to flush, and what it takes.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PlanReport {
    /// `run`, `run-pause-run` or `drain-and-refill`.
    pub way: String,
    /// The pause, in s.
    pub pause_s: Option<f64>,
    /// How often it is drained and refilled.
    pub cycles: Option<u32>,
    /// Line volumes that pass, or are filled in.
    pub volumes: f64,
    /// How long it takes in s, pauses and drains included.
    pub seconds: f64,
    /// That time as a crew is told it, rounded up: `95 s`, `4 min 10 s`.
    pub time: String,
    /// What flushes, in mL.
    pub solution_ml: f64,
    /// The share of the old content that is left then.
    pub residue: f64,
    /// In words for a crew.
    pub words: String,
    /// What it rests on.
    pub assumptions: Vec<String>,
}

/// Filling with product.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PrimeReport {
    /// The product that it takes, in mL.
    pub product_ml: f64,
    /// How long it takes, in s.
    pub seconds: f64,
    /// Whether air stays in the line by itself.
    pub air_stays: bool,
    /// The bore in mm below which a bubble stays where it is.
    pub air_stays_below_mm: f64,
    /// Whether the surface tension behind that bore is assumed.
    pub tension_assumed: bool,
    /// In words for a crew.
    pub words: String,
    /// What it rests on.
    pub assumptions: Vec<String>,
}

/// How the residue falls.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CurvesReport {
    /// What it shows, in a sentence.
    pub finding: String,
    /// A curve for each way.
    pub curves: Vec<CurveReport>,
}

/// How the residue falls by one way.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CurveReport {
    /// The way, in a few words.
    pub way: String,
    /// When it reaches what is wanted, in s.
    pub reaches_s: f64,
    /// That time as a crew is told it.
    pub time: String,
    /// Points: time in s, and the share of the old content then.
    pub points: Vec<(f64, f64)>,
}

/// How a figure is known.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct BasisReport {
    /// The figure.
    pub what: String,
    /// Read, computed, or only remembered.
    pub known: String,
}

/// A caution.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CautionReport {
    /// The signal word.
    pub word: String,
    /// Whether the safety-alert triangle goes with it.
    pub triangle: bool,
    /// What can happen, and what follows.
    pub what: String,
    /// How to avoid it.
    pub avoid: String,
    /// Whether a licensed technician goes on from here.
    pub technician: bool,
    /// How this is known.
    pub known: String,
}

impl CautionReport {
    /// The cautions of some hazards.
    pub(super) fn of(hazards: &[Hazard]) -> Vec<CautionReport> {
        cautions(hazards).map(CautionReport::from).collect()
    }
}

impl From<&Caution> for CautionReport {
    fn from(caution: &Caution) -> Self {
        Self {
            word: caution.printed_word(None),
            triangle: caution.word.is_some_and(ouncewise_hygiene::label::SignalWord::triangle),
            what: caution.what.to_owned(),
            avoid: caution.avoid.to_owned(),
            technician: caution.technician,
            known: caution.status.words().to_owned(),
        }
    }
}

impl From<Manner> for MannerReport {
    fn from(manner: Manner) -> Self {
        let (kind, words) = match manner {
            Manner::Convective => (
                "convective",
                "laminar, and too quick for anything to spread across the flow: the layer at the wall leaves last",
            ),
            Manner::Diffusing => (
                "diffusing",
                "laminar: the layer at the wall leaves late, and what spreads across the flow takes some of it along",
            ),
            Manner::Dispersed => {
                ("dispersed", "laminar, and so slow that each cross-section evens out")
            }
            Manner::Between => {
                ("between", "between laminar and turbulent: counted as laminar, which leaves more")
            }
            Manner::Turbulent { .. } => {
                ("turbulent", "turbulent in every tube: it mixes by itself")
            }
        };
        Self { kind: kind.to_owned(), words: words.to_owned() }
    }
}

impl From<&Plan> for PlanReport {
    fn from(plan: &Plan) -> Self {
        let (way, pause_s, cycles) = match plan.way {
            Way::Run => ("run", None, None),
            Way::RunPauseRun { pause } => ("run-pause-run", Some(pause.0), None),
            Way::DrainAndRefill { cycles } => ("drain-and-refill", None, Some(cycles)),
        };
        Self {
            way: way.to_owned(),
            pause_s,
            cycles,
            volumes: plan.volumes,
            seconds: plan.takes.0,
            time: time(plan.takes),
            solution_ml: plan.solution.0,
            residue: plan.residue,
            words: plan.words.clone(),
            assumptions: plan.assumptions.clone(),
        }
    }
}

impl PrimeReport {
    /// The report of a filling; its sentences are in these units.
    pub(super) fn new(prime: Prime, units: Units) -> Self {
        Self {
            product_ml: prime.product.0,
            seconds: prime.takes.0,
            air_stays: prime.air_lock.locks,
            air_stays_below_mm: prime.air_lock.below.0,
            tension_assumed: prime.air_lock.assumed,
            words: prime.words.words(units),
            assumptions: prime.assumptions,
        }
    }
}

/// A place as it is reported.
pub(super) fn place_word(place: Place) -> &'static str {
    match place {
        Place::Outlet => "outlet",
        Place::Line => "line",
    }
}

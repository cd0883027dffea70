//! What commands, pages and the API answer: one struct for each question, and how it is made from a store.
//!
//! The structs are a published contract, apart from what the store keeps: `--json` prints them, the API serves them,
//! and each has a JSON Schema ([`schemas`]). That both answer alike is no matter of care: they ask here.
//!
//! # What this crate does not do
//!
//! It prints nothing and serves nothing, and computes no verdict: it asks the store and the computing crates, and
//! puts what they say into words that last.

mod allergens;
mod backtest;
mod calculate;
mod charts;
mod compare;
mod data;
mod deciding;
mod describe;
mod doubts;
mod failure;
mod far;
mod fault;
mod flush;
mod forecasts;
mod held_to;
mod kit;
mod learn;
mod library;
mod line;
mod lines;
mod mappings;
mod money;
mod parts;
mod phrase;
mod plural;
mod procedure;
mod procedures;
mod publish;
mod quiz;
mod rounds;
mod rows;
mod schema;
mod site;
mod stands;
mod strength;
mod week;
mod when;

pub use allergens::{
    AllergenReport, allergen_caution, line_allergens, plan_allergens, planned_allergens,
};
pub use backtest::{BacktestReport, WayReport, score_estate, score_histories};
pub use calculate::{CannotCalculate, CatchShown, CatchWords, calculate_catch, calculate_measure};
pub use charts::{ChartLimits, ChartPoint, ChartSaid, ChartsReport, charts_of};
pub use compare::{AblateReport, AblatedReport, CompareReport, Figure, PracticeReport};
pub use data::*;
pub use describe::described;
pub use doubts::{DoubtReport, DoubtsReport, doubts};
pub use failure::{Exit, Failure};
pub use far::{FarReading, far_off};
pub use fault::*;
pub use flush::*;
pub use forecasts::{ForecastReport, ForecastsReport};
pub use held_to::{HeldTo, terms, terms_at};
pub use kit::{
    BringReport, Followed, KitFollows, KitReport, TimeReport, kit, place_kit, procedure_kit,
};
pub use learn::{LearnReport, LearntFamily, LearntValue, adopting, learn};
pub use library::{Judged, Library, ProcedureText, ReadText, StepSeen, checked, judge, step_key};
pub use line::{Told, line, machine};
pub use lines::*;
pub use mappings::{remember, remembered};
pub use money::{MoneyItem, MoneyReport, line_money, week_money};
pub use ouncewise_procedure::Terms;
pub use parts::{
    Between, LivesReport, PartReport, PartsAsked, PartsReport, ReplaceReport, SurvivingReport,
    WeibullReport, parts,
};
pub use phrase::{Misphrased, SetupWords, catch as read_catch};
pub use plural::many;
pub use procedure::*;
pub use procedures::*;
pub use publish::{PublishReport, ToPublish, may_be_published, withdraw};
pub use quiz::{QuestionAsked, QuizReport, WatchedReport, quiz};
pub use rounds::{
    MissingReport, QuestionReport, RoundReport, RoundsReport, boxes, drawn_at, rounds_of,
};
pub use rows::{load, refused, try_out};
pub use schema::schemas;
pub use site::site_called;
pub use stands::{LineStands, StandsReport, TrackReport, WeeksUntilOff, stands};
pub use strength::*;
pub use week::{week, week_of};
pub use when::day_and_age;

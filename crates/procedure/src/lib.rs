//! The procedure language: a lead's text is read, checked like a program against its family's model, and made into the kit
//! list, the time, the quiz and the skip analysis.
//!
//! ```
//! use ouncewise_procedure::{check, read, Terms, Verdict};
//!
//! let (family, faults) = read::family("family.toml", r#"
//!     family = "gravity"
//!     isolation = "none"
//!     pressure = "none"
//!     cover = "none"
//!     metering = "rate"
//!     adjuster = "screw"
//!     kit.cup.name.en = "measuring cup"
//!     kit.stopwatch.name.en = "stopwatch"
//!     kit.tag.name.en = "out-of-service tag"
//! "#);
//! assert!(faults.is_empty(), "{faults:?}");
//! let family = family.unwrap();
//!
//! let (procedure, faults) = read::procedure("calibrate.toml", r#"
//!     kind = "calibrate"
//!     family = "gravity"
//!     title.en = "Weekly catch"
//!     purpose.en = "Know that every portion is true."
//!     languages.en = "written"
//!     kit = ["cup", "stopwatch", "tag"]
//!
//!     [[stage]]
//!     id = "catch"
//!     over = "each-line"
//!
//!     [[stage.step]]
//!     do = "withhold; run until air-free; catch"
//!     say.en = "Take the line out of service, run it until no air comes, and catch for ten seconds."
//!     answers = { on = "give-back", off = "tag", undecided = "tag" }
//!
//!     [[stage.step]]
//!     id = "give-back"
//!     do = "release"
//!     say.en = "Give the line back."
//!     then = "end"
//!
//!     [[stage.step]]
//!     id = "tag"
//!     do = "tag"
//!     say.en = "Hang the tag, and call the lead."
//! "#, &family);
//! assert!(faults.is_empty(), "{faults:?}");
//! let procedure = procedure.unwrap();
//!
//! let report = check(&family, &procedure, &Terms::default());
//! assert_eq!(report.verdict, Verdict::Checked, "{report:#?}");
//! ```
//!
//! A [`Finding`] has its rule, its place in the file, and the shortest way to it as a [`Story`] in the steps' own words;
//! [`Finding::fault`] makes it a [`Fault`](ouncewise_estate::Fault) like those of any other file. [`numbered`] gives
//! the steps in the order of the card, [`skips`] what follows from each mistake and where the work may be left, [`kit::kit`] what
//! to bring along, [`estimate::estimate`] how long it takes, [`quiz::quiz`] and [`quiz::sign_off`] what new crew is asked and
//! watched at, [`write()`] the text again, and
//! [`mend`] the text with all that is safe to mend without asking its author.
//!
//! # What this crate does not do
//!
//! No I/O, no clock, no chance. It prints nothing: what it makes is plain data. "Checked" is said of the text: that it holds
//! against a model, never that a machine is clean or safe, nor that anybody followed it.

mod check;
pub mod estimate;
pub mod family;
pub mod field;
pub mod kit;
mod leave;
pub mod mend;
mod model;
mod numbered;
pub mod phrase;
pub mod procedure;
pub mod quiz;
pub mod read;
mod rule;
pub mod schema;
mod shape;
mod skip;
mod story;
mod terms;
pub mod time;
pub mod verb;
pub mod words;
mod write;

pub use check::{Finding, Report, Shortest, Verdict, check, product};
pub use family::Family;
pub use leave::{Because, Leaving, May};
pub use numbered::{Again, Lead, Numbered, numbered};
pub use procedure::Procedure;
pub use rule::{Harm, Rule};
pub use skip::{Consequence, Mistake, Outcome, Proposal, Skips, skips};
pub use story::{Story, Told};
pub use terms::{AfterRule, MOST_STATES, Terms};
pub use write::write;

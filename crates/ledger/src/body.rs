//! The kinds of fact there are, and what each one says.
//!
//! Measured values are kept as they were read (`"29.6 mL"`, `"7.1 s"`,
//! `"over the 30 mL mark"`), never as floats.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::record::LineState;

/// What happened.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Body {
    /// A round was opened.
    RoundOpened {
        /// Hash of the procedure version followed, where there is one.
        #[serde(skip_serializing_if = "Option::is_none")]
        procedure: Option<String>,
    },
    /// A solution was mixed.
    SolutionMixed {
        /// Product of the sanitiser.
        product: String,
        /// Dose as read: `1 sachet`, `15 mL`.
        dose: String,
        /// Water as read: `10 L`.
        water: String,
    },
    /// A test strip was read.
    StripRead {
        /// As read: `strip class 100`.
        reading: String,
        /// Where: `bucket`, `outlet`.
        place: String,
    },
    /// A step was done.
    StepDone {
        /// Step key.
        step: String,
    },
    /// A step was skipped.
    StepSkipped {
        /// Step key.
        step: String,
        /// Why.
        reason: String,
    },
    /// A part was looked at.
    PartInspected {
        /// What was found: `good`, `worn`, `damaged`, `missing`.
        found: String,
    },
    /// A part was replaced.
    PartReplaced {
        /// Part number.
        #[serde(skip_serializing_if = "Option::is_none")]
        number: Option<String>,
        /// Lot.
        #[serde(skip_serializing_if = "Option::is_none")]
        lot: Option<String>,
    },
    /// A catch was taken.
    CatchTaken {
        /// As found or as left.
        state: LineState,
        /// As read: `29.6 mL`, `over the 30 mL mark`. On a ratio line: the syrup.
        amount: String,
        /// As read: `7.1 s`, `2 doses`.
        draw: String,
        /// Key of the measure at this site.
        measure: String,
        /// On a ratio line: the water as read.
        #[serde(skip_serializing_if = "Option::is_none")]
        water: Option<String>,
        /// On a ratio line: the draw of the water, where it differs.
        #[serde(skip_serializing_if = "Option::is_none")]
        water_draw: Option<String>,
        /// As read: `4 °C`.
        #[serde(skip_serializing_if = "Option::is_none")]
        temperature: Option<String>,
    },
    /// An old log says that the line was seen to, with no measurement. Counts for the calendar, not as evidence.
    ClaimMade {
        /// What the log says: `OK`.
        said: String,
    },
    /// A line was adjusted.
    LineAdjusted {
        /// What was done, in the adjuster's terms: `1/4 turn anticlockwise`, `2 notches up`, `taught at 31 mL`.
        done: String,
        /// The panel's number or percent afterwards, where it has one.
        #[serde(skip_serializing_if = "Option::is_none")]
        setting: Option<String>,
        /// The change that was meant, as a signed percent as read: `-8 %`.
        #[serde(skip_serializing_if = "Option::is_none")]
        meant: Option<String>,
    },
    /// A line was cleaned.
    LineCleaned {},
    /// The line carries another product from now on.
    ProductChanged {
        /// Product key.
        product: String,
    },
    /// Another container of the same product was put on.
    ContainerChanged {
        /// Lot of the container.
        #[serde(skip_serializing_if = "Option::is_none")]
        lot: Option<String>,
    },
    /// A measure of this site was replaced by another piece of the same kind.
    MeasureReplaced {
        /// Key of the measure.
        measure: String,
    },
    /// Another machine stands in this position from now on; both keep their histories.
    MachineSwapped {
        /// Serial number of the machine that came.
        serial: String,
        /// Family, where it differs.
        #[serde(skip_serializing_if = "Option::is_none")]
        family: Option<String>,
    },
    /// A machine was paused.
    MachinePaused {},
    /// A machine was reopened.
    MachineReopened {},
    /// A technician was called.
    TechnicianCalled {
        /// The fault, in words of the family's list or free.
        fault: String,
        /// Cost as read, with its currency: `120.00 EUR`.
        #[serde(skip_serializing_if = "Option::is_none")]
        cost: Option<String>,
        /// Hours out of service, as read: `26 h`.
        #[serde(skip_serializing_if = "Option::is_none")]
        out: Option<String>,
    },
    /// A round was closed.
    RoundClosed {
        /// Whether all musts were there.
        complete: bool,
        /// If not: why.
        #[serde(skip_serializing_if = "Option::is_none")]
        reason: Option<String>,
    },
    /// A thing of the estate is described as follows from now on.
    Configured {
        /// What sort of thing.
        thing: Thing,
        /// Its key (within the subject's site and machine).
        key: String,
        /// Its fields; values as written in the estate files.
        definition: BTreeMap<String, serde_json::Value>,
    },
    /// A thing of the estate is no longer in use. Nothing is deleted.
    Retired {
        /// What sort of thing.
        thing: Thing,
        /// Its key.
        key: String,
    },
    /// A procedure was published.
    ProcedurePublished {
        /// Procedure key.
        key: String,
        /// Hash of its text.
        hash: String,
    },
    /// Family parameters were adopted.
    ParametersPublished {
        /// Family key.
        family: String,
        /// Values as text.
        values: BTreeMap<String, String>,
    },
    /// An earlier record was wrong.
    Correction {
        /// The record that was wrong.
        of: Uuid,
        /// Why.
        reason: String,
        /// What holds instead; nothing, if the earlier record is withdrawn.
        #[serde(skip_serializing_if = "Option::is_none")]
        instead: Option<Box<Body>>,
    },
    /// Somebody verified the ledger.
    Verification {
        /// Number of records verified.
        size: u64,
        /// Root hash, hex.
        root: String,
    },
}

impl Body {
    /// The names of all kinds, as a record's bytes spell them.
    pub const KINDS: [&str; 25] = [
        "round-opened",
        "solution-mixed",
        "strip-read",
        "step-done",
        "step-skipped",
        "part-inspected",
        "part-replaced",
        "catch-taken",
        "claim-made",
        "line-adjusted",
        "line-cleaned",
        "product-changed",
        "container-changed",
        "measure-replaced",
        "machine-swapped",
        "machine-paused",
        "machine-reopened",
        "technician-called",
        "round-closed",
        "configured",
        "retired",
        "procedure-published",
        "parameters-published",
        "correction",
        "verification",
    ];

    /// The name of this kind: `catch-taken`.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::RoundOpened { .. } => "round-opened",
            Self::SolutionMixed { .. } => "solution-mixed",
            Self::StripRead { .. } => "strip-read",
            Self::StepDone { .. } => "step-done",
            Self::StepSkipped { .. } => "step-skipped",
            Self::PartInspected { .. } => "part-inspected",
            Self::PartReplaced { .. } => "part-replaced",
            Self::CatchTaken { .. } => "catch-taken",
            Self::ClaimMade { .. } => "claim-made",
            Self::LineAdjusted { .. } => "line-adjusted",
            Self::LineCleaned { .. } => "line-cleaned",
            Self::ProductChanged { .. } => "product-changed",
            Self::ContainerChanged { .. } => "container-changed",
            Self::MeasureReplaced { .. } => "measure-replaced",
            Self::MachineSwapped { .. } => "machine-swapped",
            Self::MachinePaused { .. } => "machine-paused",
            Self::MachineReopened { .. } => "machine-reopened",
            Self::TechnicianCalled { .. } => "technician-called",
            Self::RoundClosed { .. } => "round-closed",
            Self::Configured { .. } => "configured",
            Self::Retired { .. } => "retired",
            Self::ProcedurePublished { .. } => "procedure-published",
            Self::ParametersPublished { .. } => "parameters-published",
            Self::Correction { .. } => "correction",
            Self::Verification { .. } => "verification",
        }
    }
}

/// A sort of thing in the estate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Thing {
    /// The group and its settings.
    Group,
    /// An owner.
    Owner,
    /// A family of machines.
    Family,
    /// A product.
    Product,
    /// A site.
    Site,
    /// A measure at a site.
    Measure,
    /// A machine at a site.
    Machine,
    /// A line of a machine.
    Line,
}

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
        /// Key of the jurisdiction profile under which it is done, where one is in force.
        #[serde(skip_serializing_if = "Option::is_none")]
        profile: Option<String>,
        /// Edition of that profile.
        #[serde(skip_serializing_if = "Option::is_none")]
        edition: Option<String>,
        /// Name and version of the program that held the round to it.
        #[serde(skip_serializing_if = "Option::is_none")]
        program: Option<String>,
    },
    /// A box of sanitiser or of strips was opened at the site: recorded once, and named by what is taken out of it.
    BoxOpened {
        /// What is in it.
        holds: Holds,
        /// Its name, as on the label.
        name: String,
        /// Its registration number, as on the label.
        #[serde(skip_serializing_if = "Option::is_none")]
        registration: Option<String>,
        /// Its lot.
        #[serde(skip_serializing_if = "Option::is_none")]
        lot: Option<String>,
        /// The day or the month until which it is good: `2027-06-30`, `2027-06`.
        #[serde(skip_serializing_if = "Option::is_none")]
        expiry: Option<String>,
        /// What works in it, or what it reads: `chlorine`, `iodine`, `quat`, `other`.
        #[serde(skip_serializing_if = "Option::is_none")]
        active: Option<String>,
        /// The contact time that the label asks, as read: `60 s`.
        #[serde(skip_serializing_if = "Option::is_none")]
        contact: Option<String>,
        /// The strength that the label allows where food touches, as read: `100 to 200 ppm`, or its one dilution.
        #[serde(skip_serializing_if = "Option::is_none")]
        strength: Option<String>,
        /// The label's own signal word, as it stands there: `DANGER`.
        #[serde(skip_serializing_if = "Option::is_none")]
        signal_word: Option<String>,
    },
    /// A solution was mixed.
    SolutionMixed {
        /// Product of the sanitiser.
        product: String,
        /// Dose as read: `1 sachet`, `15 mL`.
        dose: String,
        /// Water as read: `10 L`.
        water: String,
        /// Temperature of the solution as read: `25 °C`.
        #[serde(skip_serializing_if = "Option::is_none")]
        temperature: Option<String>,
        /// Its pH as read: `7.5`.
        #[serde(skip_serializing_if = "Option::is_none")]
        ph: Option<String>,
        /// Hardness of the water as read: `120 mg/L`.
        #[serde(skip_serializing_if = "Option::is_none")]
        hardness: Option<String>,
        /// The record that opened the box it came from.
        #[serde(rename = "box", skip_serializing_if = "Option::is_none")]
        from_box: Option<Uuid>,
    },
    /// A test strip was read.
    StripRead {
        /// As read: `strip class 100`.
        reading: String,
        /// Where: `bucket`, `outlet`.
        place: String,
        /// The record that opened the box it came from.
        #[serde(rename = "box", skip_serializing_if = "Option::is_none")]
        from_box: Option<Uuid>,
    },
    /// The contact time began: the strip at the outlet was on its strength.
    ContactStarted {},
    /// The contact time ended.
    ContactEnded {
        /// How long it was by a timer, as read: `2 min`.
        #[serde(skip_serializing_if = "Option::is_none")]
        lasted: Option<String>,
    },
    /// A line, or a whole machine, was flushed with water.
    Flushed {
        /// Before or after the sanitiser.
        stage: Stage,
        /// How much or how long, as read: `4 L`, `90 s`.
        amount: String,
    },
    /// It was drained.
    Drained {
        /// Whether air could come in at the top: without it a narrow line stays full.
        vented: bool,
    },
    /// Sanitiser was purged before the line serves again.
    Purged {
        /// The strip at the outlet afterwards, as read: `strip class 0`.
        #[serde(skip_serializing_if = "Option::is_none")]
        reading: Option<String>,
        /// With how much or how long, as read.
        #[serde(skip_serializing_if = "Option::is_none")]
        amount: Option<String>,
    },
    /// The first volume of product was thrown away.
    Discarded {
        /// How much, as read: `100 mL`.
        #[serde(skip_serializing_if = "Option::is_none")]
        amount: Option<String>,
    },
    /// Parts were lubricated.
    Lubricated {
        /// The lubricant, as on its label.
        lubricant: String,
        /// What the label says of food: `food grade, 21 CFR 178.3570`.
        #[serde(skip_serializing_if = "Option::is_none")]
        statement: Option<String>,
    },
    /// The product that is in the line was looked at.
    ProductChecked {
        /// Its temperature as read: `4 °C`.
        #[serde(skip_serializing_if = "Option::is_none")]
        temperature: Option<String>,
        /// Lot of its container.
        #[serde(skip_serializing_if = "Option::is_none")]
        lot: Option<String>,
        /// The day on which the container was opened: `2026-03-02`.
        #[serde(skip_serializing_if = "Option::is_none")]
        opened: Option<String>,
    },
    /// A second person looked at the round: the one whose record this is.
    Verified {},
    /// Something went otherwise than it should.
    Deviated {
        /// What went wrong.
        happened: String,
        /// What was done about it.
        done: String,
        /// Whether the line went back into service, released by the one whose record this is.
        released: bool,
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
        /// Why the old one came out: `failed`, `worn` (it still worked), `planned` (by its age).
        #[serde(skip_serializing_if = "Option::is_none")]
        why: Option<String>,
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
    /// A version of a procedure was published: rounds follow it from now on.
    ProcedurePublished {
        /// Procedure key, among those of its family.
        key: String,
        /// The version, as its card prints it: a hash of its text and of the model.
        hash: String,
        /// Key of the family of machines that it is for.
        #[serde(skip_serializing_if = "Option::is_none")]
        family: Option<String>,
        /// The text, of as many lines as it has.
        #[serde(skip_serializing_if = "Option::is_none")]
        text: Option<String>,
        /// The text of the family's model that it was checked against.
        #[serde(skip_serializing_if = "Option::is_none")]
        model: Option<String>,
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
    pub const KINDS: [&str; 36] = [
        "round-opened",
        "box-opened",
        "solution-mixed",
        "strip-read",
        "contact-started",
        "contact-ended",
        "flushed",
        "drained",
        "purged",
        "discarded",
        "lubricated",
        "product-checked",
        "verified",
        "deviated",
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

    /// A round that follows no written procedure and states no profile.
    #[must_use]
    pub fn round_opened() -> Self {
        Self::RoundOpened { procedure: None, profile: None, edition: None, program: None }
    }

    /// The name of this kind: `catch-taken`.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::RoundOpened { .. } => "round-opened",
            Self::BoxOpened { .. } => "box-opened",
            Self::SolutionMixed { .. } => "solution-mixed",
            Self::StripRead { .. } => "strip-read",
            Self::ContactStarted {} => "contact-started",
            Self::ContactEnded { .. } => "contact-ended",
            Self::Flushed { .. } => "flushed",
            Self::Drained { .. } => "drained",
            Self::Purged { .. } => "purged",
            Self::Discarded { .. } => "discarded",
            Self::Lubricated { .. } => "lubricated",
            Self::ProductChecked { .. } => "product-checked",
            Self::Verified {} => "verified",
            Self::Deviated { .. } => "deviated",
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

/// What a box holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Holds {
    /// Sanitiser.
    Sanitiser,
    /// Test strips.
    Strips,
}

/// When a flush was, beside the sanitiser.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stage {
    /// Before it went in.
    Before,
    /// After its contact time.
    After,
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
    /// A jurisdiction profile of the group's own.
    Profile,
}

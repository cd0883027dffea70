//! One fact, and the kinds of fact there are.
//!
//! Measured values are kept as they were read (`"29.6 mL"`, `"7.1 s"`,
//! `"over the 30 mL mark"`), never as floats.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// Whose ledger a record belongs to: a site's, or the group's own.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Scope(String);

impl Scope {
    /// The scope of what concerns the whole group: families, products, owners, settings.
    pub const GROUP: &str = "@group";
}

/// Who did it. A person is an id in the ledger; the name lives beside it and can be erased.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct PersonId(pub Uuid);

/// What a record is about. Keys are those of the estate files.
#[derive(Debug, Clone, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Subject {
    /// Machine key within the site.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub machine: Option<String>,
    /// Line key within the machine.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<String>,
    /// Part key of the machine's family.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<String>,
}

/// How a record came in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Entered {
    /// At the machine, as it happened.
    AtMachine,
    /// Copied from paper later.
    FromPaper,
    /// Brought in from a file.
    Imported,
    /// At a desk: set-up, corrections, decisions.
    AtDesk,
}

/// The state of a line when it was caught.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LineState {
    /// Before anything was touched.
    AsFound,
    /// After the last thing that was done to it.
    AsLeft,
}

/// One fact.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// Version of the record format; 1.
    pub v: u32,
    /// UUIDv7 made where it happened, or UUIDv8 derived for an import.
    pub id: Uuid,
    /// Whose ledger it belongs to.
    pub scope: Scope,
    /// What it is about.
    pub subject: Subject,
    /// Device clock with offset, RFC 3339 with milliseconds: `2026-03-02T06:41:07.250+01:00`.
    pub at: String,
    /// The device, and its own running number, by which its records keep their order.
    pub device: String,
    /// Running number on the device.
    pub sequence: u64,
    /// Who.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by: Option<PersonId>,
    /// How it came in.
    pub entered: Entered,
    /// SHA-256 (hex) of salt and text of a note that lives beside the ledger and can be erased.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// What happened.
    pub body: Body,
}

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

//! Machines that are built alike: how a line is metered and adjusted, and which wear parts it has.

use crate::adjuster;
use crate::fields::{Define, Definition, Described, Field, Fields, RETIRED, Shape, code};
use ouncewise_measure::quantity::Dimension;
use std::collections::BTreeMap;

use ouncewise_hygiene::label::Lubricate;
use ouncewise_measure::{Adjuster, Metering, Quantity};

use crate::key::Key;
use crate::life::Life;
use crate::timing::Timing;
use crate::tubing::Tubing;

/// A family of machines.
#[derive(Debug, Clone, PartialEq)]
pub struct Family {
    /// Its name.
    pub name: String,
    /// What is measured on its lines.
    pub metering: Metering,
    /// How its lines are set.
    pub adjuster: Adjuster,
    /// The list of causes that fits it when a fault is looked for, where it names one: a word of [`CAUSES`].
    pub faults: Option<&'static str>,
    /// Seconds of a draw that pour nothing (negative: that pour beyond it), where known.
    pub opening_offset: Option<Quantity>,
    /// How the seconds of a catch are taken.
    pub timing: Timing,
    /// The tubes of its lines, where they are alike.
    pub tubing: Tubing,
    /// Its wear parts, each on every line.
    pub parts: BTreeMap<Key, Part>,
    /// Anything else that a lead should know, such as which values are assumed.
    pub notes: Option<String>,
    /// No longer in use.
    pub retired: bool,
}

/// A wear part.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Part {
    /// What it is called.
    pub name: String,
    /// The maker's part number.
    pub number: Option<String>,
    /// How long it lasts, where known.
    pub life: Option<Life>,
    /// Whose product touches it.
    pub touches: Touches,
    /// Whether it is lubricated, where the manual was looked at.
    pub lubricate: Option<Lubricate>,
}

/// The part that every line has, whatever its family names: what product runs through from its container to its nozzle.
pub const TUBES: &str = "tubes";

/// Whose product touches a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Touches {
    /// The line's own. What is not stated is taken for this: a part that is counted in vain costs a part, one that is
    /// left out leaves an allergen behind.
    #[default]
    Line,
    /// That of every line of the machine, as a nozzle that they share.
    AllLines,
    /// None.
    Nothing,
}

const TOUCHES: &[(&str, Touches)] =
    &[("line", Touches::Line), ("all-lines", Touches::AllLines), ("nothing", Touches::Nothing)];

const LUBRICATE: &[(&str, Lubricate)] =
    &[("must", Lubricate::Must), ("may", Lubricate::May), ("never", Lubricate::Never)];

/// The word of a value in a list of words.
fn word_of<T: PartialEq>(words: &[(&'static str, T)], value: &T) -> Option<&'static str> {
    words.iter().find(|(_, known)| known == value).map(|(word, _)| *word)
}

const METERINGS: &[(&str, Metering)] =
    &[("rate", Metering::Rate), ("dose", Metering::Dose), ("ratio", Metering::Ratio)];

/// The lists of causes that ship, by the words that name them.
pub const CAUSES: &[(&str, &str)] =
    &[("piston", "piston"), ("pressure", "pressure"), ("roller-pump", "roller-pump")];

/// The word for a metering.
#[must_use]
pub fn metering_word(metering: Metering) -> &'static str {
    word_of(METERINGS, &metering).unwrap_or("rate")
}

impl Described for Family {
    const NAME: &'static str = "family";
    const FIELDS: &'static [Field] = &[
        Field::must("name", Shape::Text, "what the family is called", "Screw trim"),
        Field::must(
            "metering",
            Shape::Choice(&["rate", "dose", "ratio"]),
            "rate flows while drawing, dose gives an amount per draw, ratio mixes syrup with water",
            "rate",
        ),
        Field::may(
            "opening_offset",
            Shape::Quantity(&[Dimension::Duration]),
            "seconds of a draw that pour nothing; negative if it pours beyond its end; left out if not known",
            "0.12 s",
        ),
        Field::may(
            "faults",
            Shape::Choice(&["piston", "pressure", "roller-pump"]),
            "which list of causes fits when a fault is looked for; by its key, or how it meters and is set, if left out",
            "pressure",
        ),
        Field::may(
            "notes",
            Shape::Note,
            "what else to know, such as which values are assumed",
            "values assumed",
        ),
        RETIRED,
        Field::must("adjuster", Shape::Table(adjuster::FIELDS), "how a line is set", "[adjuster]"),
        Field::may(
            "timer",
            Shape::Table(Timing::FIELDS),
            "how the seconds of a catch are taken; by hand if left out",
            "[timer]",
        ),
        Field::may(
            "tubing",
            Shape::Table(Tubing::FIELDS),
            "the tubes of its lines, where they are alike: how long a flush takes at least follows from them",
            "[tubing]",
        ),
        Field::may(
            "parts",
            Shape::Tables(Part::FIELDS),
            "its wear parts, each on every line",
            "[parts.nozzle-seal]",
        ),
    ];

    fn read(f: &mut Fields<'_>) -> Option<Self> {
        let name = f.text("name");
        let metering = f.choice("metering", METERINGS);
        let opening_offset = f.quantity("opening_offset", &[Dimension::Duration]);
        if let Some(offset) = opening_offset
            && offset.duration().is_none_or(|s| s.0.abs() > 10.0)
        {
            f.refuse_field(
                "opening_offset",
                code::OUT_OF_RANGE,
                format!("`opening_offset` is {offset}"),
                "a valve opens and shuts within ten seconds",
            );
        }
        let faults = f.choice("faults", CAUSES);
        let notes = f.note("notes");
        let retired = f.flag("retired");
        let adjuster = f.within::<adjuster::Described>("adjuster");
        let timing = f.within("timer");
        let tubing = f.within("tubing");
        let parts = f.by_key("parts");
        Some(Self {
            name: name?,
            metering: metering?,
            adjuster: adjuster?.0,
            faults,
            opening_offset,
            timing: timing.unwrap_or_default(),
            tubing: tubing.unwrap_or_default(),
            parts: parts.into_iter().collect(),
            notes,
            retired: retired.unwrap_or(false),
        })
    }

    fn define(&self) -> Definition {
        let define = Define::default()
            .text("name", &self.name)
            .text("metering", metering_word(self.metering))
            .maybe("opening_offset", self.opening_offset)
            .maybe("faults", self.faults)
            .maybe("notes", self.notes.as_ref())
            .value("adjuster", object(adjuster::define(&self.adjuster)))
            .value("timer", object(self.timing.define()));
        let tubing = self.tubing.define();
        let define =
            if tubing.is_empty() { define } else { define.value("tubing", object(tubing)) };
        if self.parts.is_empty() {
            return define.done();
        }
        let parts = self.parts.iter().map(|(key, part)| (key.to_string(), object(part.define())));
        define.value("parts", serde_json::Value::Object(parts.collect())).done()
    }
}

fn object(definition: Definition) -> serde_json::Value {
    serde_json::Value::Object(definition.into_iter().collect())
}

impl Described for Part {
    const NAME: &'static str = "part";
    const FIELDS: &'static [Field] = &[
        Field::must("name", Shape::Text, "what it is called", "nozzle seal"),
        Field::may("number", Shape::Text, "the maker's part number", "ST-104"),
        Field::may("life", Shape::Life, "how long it lasts, in days, weeks or months", "26 weeks"),
        Field::may(
            "touches",
            Shape::Choice(&["line", "all-lines", "nothing"]),
            "whose product touches it: the line's own, that of all lines (as a nozzle that they share), or nothing; the line's own if left out",
            "all-lines",
        ),
        Field::may(
            "lubricate",
            Shape::Choice(&["must", "may", "never"]),
            "whether it gets a thin film of food-grade lubricant, by the manual; not said if left out",
            "never",
        ),
    ];

    fn read(f: &mut Fields<'_>) -> Option<Self> {
        let name = f.text("name");
        let number = f.text("number");
        let life = f.of("life");
        let touches = f.choice("touches", TOUCHES);
        let lubricate = f.choice("lubricate", LUBRICATE);
        Some(Self { name: name?, number, life, touches: touches.unwrap_or_default(), lubricate })
    }

    fn define(&self) -> Definition {
        Define::default()
            .text("name", &self.name)
            .maybe("number", self.number.as_ref())
            .maybe("life", self.life)
            .maybe(
                "touches",
                Some(self.touches)
                    .filter(|t| *t != Touches::Line)
                    .and_then(|t| word_of(TOUCHES, &t)),
            )
            .maybe("lubricate", self.lubricate.and_then(|l| word_of(LUBRICATE, &l)))
            .done()
    }
}

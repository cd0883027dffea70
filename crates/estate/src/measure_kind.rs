//! A kind of measure, described once: many sites may keep pieces of it.

use crate::fields::{Define, Definition, Described, Field, Fields, RETIRED, Shape};
use ouncewise_measure::Quantity;
use ouncewise_measure::quantity::Dimension;
use ouncewise_measure::{Grams, Marks, Measure, Millilitres, Scale, Unit, Vessel};

/// A kind of measure.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct MeasureKind {
    /// Its name.
    pub name: String,
    /// What it reads, and its limits, as written.
    pub reads: Reads,
    /// The most it holds, by volume or weight, where known.
    pub capacity: Option<Quantity>,
    /// No longer in use.
    pub retired: bool,
}

/// What a measure reads.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Reads {
    /// A volume by eye.
    Vessel {
        /// Its marks.
        marks: MarksRead,
        /// The maker's tolerance, plus or minus.
        tolerance: Quantity,
        /// What stays behind when it is emptied, if it is used wetted and drained.
        film: Option<Quantity>,
    },
    /// A weight.
    Scale {
        /// The step of its display.
        resolution: Quantity,
        /// The maker's or verifier's tolerance, plus or minus.
        tolerance: Quantity,
        /// Whether the empty vessel is read as well.
        tared: bool,
    },
}

/// The marks of a vessel, as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MarksRead {
    /// One division every so much.
    Every(Quantity),
    /// One mark only.
    One(Quantity),
}

impl MeasureKind {
    /// The measure, for computing.
    #[must_use]
    pub fn measure(&self) -> Measure {
        let volume = |q: Quantity| q.volume().unwrap_or(Millilitres(0.0));
        let mass = |q: Quantity| q.mass().unwrap_or(Grams(0.0));
        match self.reads {
            Reads::Vessel { marks, tolerance, film } => Measure::Vessel(Vessel {
                marks: match marks {
                    MarksRead::Every(q) => Marks::Every(volume(q)),
                    MarksRead::One(q) => Marks::One(volume(q)),
                },
                tolerance: volume(tolerance),
                film: film.map_or(Millilitres(0.0), volume),
            }),
            Reads::Scale { resolution, tolerance, tared } => Measure::Scale(Scale {
                resolution: mass(resolution),
                tolerance: mass(tolerance),
                tared,
            }),
        }
    }

    /// The unit that stands on it.
    #[must_use]
    pub fn marked_in(&self) -> Unit {
        match self.reads {
            Reads::Vessel { marks: MarksRead::Every(q) | MarksRead::One(q), .. } => q.unit,
            Reads::Scale { resolution: q, .. } => q.unit,
        }
    }
}

#[derive(Clone, Copy)]
enum Kind {
    Vessel,
    Scale,
}

const VOLUME: &[Dimension] = &[Dimension::Volume];
const MASS: &[Dimension] = &[Dimension::Mass];
const EITHER: &[Dimension] = &[Dimension::Volume, Dimension::Mass];

impl Described for MeasureKind {
    const NAME: &'static str = "measure";
    const FIELDS: &'static [Field] = &[
        Field::must("name", Shape::Text, "what it is called", "100 mL cylinder"),
        Field::must(
            "kind",
            Shape::Choice(&["vessel", "scale"]),
            "a vessel is read by eye, a scale shows a weight",
            "vessel",
        ),
        Field::may(
            "division",
            Shape::Quantity(VOLUME),
            "vessel: from one mark to the next",
            "1 mL",
        ),
        Field::may(
            "mark",
            Shape::Quantity(VOLUME),
            "vessel with one mark only: where it is",
            "30 mL",
        ),
        Field::may("resolution", Shape::Quantity(MASS), "scale: the step of its display", "0.1 g"),
        Field::must(
            "tolerance",
            Shape::Quantity(EITHER),
            "how far off its maker lets it be, plus or minus",
            "1 mL",
        ),
        Field::may(
            "film",
            Shape::Quantity(VOLUME),
            "vessel: what stays behind when it is emptied, if it is used wet and drained",
            "0.3 mL",
        ),
        Field::may("tared", Shape::Flag, "scale: the empty vessel is read as well", "true"),
        Field::may("capacity", Shape::Quantity(EITHER), "the most it holds", "100 mL"),
        RETIRED,
    ];

    fn read(f: &mut Fields<'_>) -> Option<Self> {
        let name = f.text("name");
        let kind = f.choice("kind", &[("vessel", Kind::Vessel), ("scale", Kind::Scale)]);
        let retired = f.flag("retired");
        let (reads, dimension) = match kind? {
            Kind::Vessel => {
                f.refuse_others(
                    "a vessel",
                    &[
                        "name",
                        "kind",
                        "division",
                        "mark",
                        "tolerance",
                        "film",
                        "capacity",
                        "retired",
                    ],
                );
                let every = f.positive("division", VOLUME).map(MarksRead::Every);
                let one = f.positive("mark", VOLUME).map(MarksRead::One);
                if f.has("division") && f.has("mark") {
                    f.refuse_field(
                        "mark",
                        crate::fields::code::OTHER_KIND,
                        "a vessel has divisions or one mark, and not both",
                        "keep `division` if it is graduated",
                    );
                } else if !f.has("division") && !f.has("mark") {
                    f.need(
                        "division",
                        "say from one mark to the next, or `mark` if it has only one",
                    );
                }
                let tolerance = f.not_negative("tolerance", VOLUME);
                let film = f.not_negative("film", VOLUME);
                let reads = every.or(one).zip(tolerance).map(|(marks, tolerance)| Reads::Vessel {
                    marks,
                    tolerance,
                    film,
                });
                (reads, VOLUME)
            }
            Kind::Scale => {
                f.refuse_others(
                    "a scale",
                    &["name", "kind", "resolution", "tolerance", "tared", "capacity", "retired"],
                );
                f.need("resolution", "say the step of its display");
                let resolution = f.positive("resolution", MASS);
                let tolerance = f.not_negative("tolerance", MASS);
                let tared = f.flag("tared").unwrap_or(false);
                let reads = resolution.zip(tolerance).map(|(resolution, tolerance)| Reads::Scale {
                    resolution,
                    tolerance,
                    tared,
                });
                (reads, MASS)
            }
        };
        let capacity = f.positive("capacity", dimension);
        Some(Self { name: name?, reads: reads?, capacity, retired: retired.unwrap_or(false) })
    }

    fn define(&self) -> Definition {
        let define = Define::default().text("name", &self.name).maybe("capacity", self.capacity);
        match self.reads {
            Reads::Vessel { marks, tolerance, film } => {
                let (field, at) = match marks {
                    MarksRead::Every(q) => ("division", q),
                    MarksRead::One(q) => ("mark", q),
                };
                define
                    .text("kind", "vessel")
                    .text(field, at)
                    .text("tolerance", tolerance)
                    .maybe("film", film)
                    .done()
            }
            Reads::Scale { resolution, tolerance, tared } => {
                let define = define
                    .text("kind", "scale")
                    .text("resolution", resolution)
                    .text("tolerance", tolerance);
                if tared { define.value("tared", true).done() } else { define.done() }
            }
        }
    }
}

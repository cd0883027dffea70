//! Test strips: what a class supports, whether the strip is for this chemistry, and whether it is in date.
//!
//! A strip reads a class and not a number: one of classes 10, 50, 100 and 200 that "reads 100" supports about 71 to 141 mg/L
//! (HY-61, CALC).

#[cfg(test)]
mod tests;

use serde::Serialize;

use crate::label::Chemistry;
use crate::profile::FieldFault;
use crate::strength::MgPerLitre;

/// What a strip is made to read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StripReads {
    /// Chlorine.
    Chlorine,
    /// Iodine.
    Iodine,
    /// Products of a single quat.
    QuatSingle,
    /// Products of several quats.
    QuatMulti,
    /// Another chemistry, as its maker says.
    Other,
}

/// Whether a strip is for a product (HY-62, READ: a wrong strip gives a wrong number).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum RightStrip {
    /// It is.
    Yes,
    /// It is not: its reading says nothing.
    No,
    /// The label does not say enough to tell.
    NotStated,
}

/// Whether something with a date on it may still be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum InDate {
    /// Its date has not passed; the last day counts.
    Yes,
    /// Its date has passed.
    No,
    /// No date is known.
    #[default]
    NotStated,
}

impl InDate {
    /// By any type of day.
    #[must_use]
    pub fn on<Day: PartialOrd>(today: &Day, expires: Option<&Day>) -> Self {
        match expires {
            None => Self::NotStated,
            Some(last) if today <= last => Self::Yes,
            Some(_) => Self::No,
        }
    }
}

/// Where the edge between two classes is taken to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Edges {
    /// The geometric mean: colours step by ratios.
    #[default]
    Geometric,
    /// The arithmetic mean.
    Arithmetic,
}

/// What a class supports: from (included) to (not included); the highest class has no end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Supports {
    /// The least.
    pub from: MgPerLitre,
    /// The most, if there is one.
    pub to: Option<MgPerLitre>,
}

impl Supports {
    /// Whether a strength is in it.
    #[must_use]
    pub fn holds(&self, strength: MgPerLitre) -> bool {
        strength >= self.from && self.to.is_none_or(|to| strength < to)
    }

    /// Whether all of it is below a strength.
    #[must_use]
    pub fn all_below(&self, strength: MgPerLitre) -> bool {
        self.to.is_some_and(|to| to <= strength)
    }

    /// Whether all of it is over a strength.
    #[must_use]
    pub fn all_over(&self, strength: MgPerLitre) -> bool {
        self.from > strength
    }
}

impl std::fmt::Display for Supports {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let from = libm::round(self.from.0);
        match self.to {
            Some(to) => write!(out, "about {from} to {} mg/L", libm::round(to.0)),
            None => write!(out, "about {from} mg/L or more"),
        }
    }
}

/// A kind of strip: what it reads, and the classes on its card.
#[derive(Debug, Clone, PartialEq)]
pub struct StripKind {
    reads: StripReads,
    classes: Vec<MgPerLitre>,
}

impl StripKind {
    /// A strip with the classes of its card, in rising order; the first may be 0.
    ///
    /// # Errors
    /// Fewer than two classes, or classes that do not rise from zero or over.
    pub fn new(reads: StripReads, classes: &[MgPerLitre]) -> Result<Self, FieldFault> {
        let rising = classes.windows(2).all(|pair| pair[0] < pair[1]);
        let whole = classes.iter().all(|class| class.0 >= 0.0 && class.0.is_finite());
        if classes.len() < 2 || !rising || !whole {
            let mend = "write the numbers of the strip's card from the lowest to the highest, such as 10, 50, 100, 200";
            return Err(FieldFault::new(
                "classes",
                "the classes of the strip do not rise from zero or over",
                mend,
            ));
        }
        Ok(Self { reads, classes: classes.to_vec() })
    }

    /// What it reads.
    #[must_use]
    pub fn reads(&self) -> StripReads {
        self.reads
    }

    /// The classes of its card.
    #[must_use]
    pub fn classes(&self) -> &[MgPerLitre] {
        &self.classes
    }

    /// Whether it is for this chemistry.
    #[must_use]
    pub fn right_for(&self, chemistry: Chemistry) -> RightStrip {
        let wanted = match chemistry {
            Chemistry::Hypochlorite | Chemistry::Isocyanurate | Chemistry::OtherChlorine => {
                StripReads::Chlorine
            }
            Chemistry::Iodine => StripReads::Iodine,
            Chemistry::QuatSingle => StripReads::QuatSingle,
            Chemistry::QuatMulti => StripReads::QuatMulti,
            Chemistry::QuatUnstated
                if matches!(self.reads, StripReads::QuatSingle | StripReads::QuatMulti) =>
            {
                return RightStrip::NotStated;
            }
            Chemistry::QuatUnstated => return RightStrip::No,
            Chemistry::Other => StripReads::Other,
        };
        if self.reads == wanted { RightStrip::Yes } else { RightStrip::No }
    }

    /// What one of its classes supports, up to the edges with its neighbours; nothing for a number that is not on its card.
    /// Beside a class of 0 an edge is half the other class, as a geometric mean would be nothing (JUDGE).
    #[must_use]
    pub fn supports(&self, class: MgPerLitre, edges: Edges) -> Option<Supports> {
        let at = self.classes.iter().position(|own| *own == class)?;
        let edge = |low: MgPerLitre, high: MgPerLitre| {
            MgPerLitre(match edges {
                Edges::Geometric if low.0 > 0.0 => libm::sqrt(low.0 * high.0),
                _ => 0.5 * (low.0 + high.0),
            })
        };
        let from = if at == 0 { MgPerLitre(0.0) } else { edge(self.classes[at - 1], class) };
        let to = self.classes.get(at + 1).map(|next| edge(class, *next));
        Some(Supports { from, to })
    }
}

/// One strip as it was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StripRead<'a> {
    /// Which kind.
    pub kind: &'a StripKind,
    /// The class of its card that it matched.
    pub class: MgPerLitre,
    /// Whether the strips are in date.
    pub in_date: InDate,
}

impl StripRead<'_> {
    /// What the reading supports of this product's strength: nothing for a wrong strip, one past its date, or a number that is
    /// not on the card.
    #[must_use]
    pub fn counts(&self, chemistry: Chemistry) -> Option<Supports> {
        if self.in_date == InDate::No || self.kind.right_for(chemistry) != RightStrip::Yes {
            return None;
        }
        self.kind.supports(self.class, Edges::default())
    }
}

/// What the strip at the outlet says beside the bucket's strength.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AtOutlet {
    /// The solution has arrived: the contact clock starts now.
    Arrived,
    /// Weaker than in the bucket.
    Weaker,
    /// As in the bucket, and weaker than label and code allow.
    TooWeak,
    /// Stronger than in the bucket.
    Stronger,
    /// The reading does not count.
    SaysNothing,
}

impl AtOutlet {
    /// In words for the crew (HY-65 READ and HY-130 CALC: syrup left in a line uses chlorine up).
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Arrived => "the solution has reached the outlet: the contact time starts now",
            Self::Weaker => {
                "weaker at the outlet than in the bucket: run on; if it comes up, residue in the line was using it up, and if not, water left in the line is thinning it"
            }
            Self::TooWeak => {
                "weaker at the outlet than label and code allow: the contact time does not start; mix a new bucket"
            }
            Self::Stronger => {
                "stronger at the outlet than in the bucket: read both again with new strips"
            }
            Self::SaysNothing => {
                "this strip does not count: use one that is made for the product, in date, and read it against its own card"
            }
        }
    }
}

/// Holds the outlet's strip to the bucket's: the same number on both starts the clock, whatever the mix as written makes. A
/// bucket's strip that does not count shows nothing.
#[must_use]
pub fn beside_bucket(
    bucket: &StripRead<'_>,
    outlet: &StripRead<'_>,
    chemistry: Chemistry,
) -> AtOutlet {
    if bucket.counts(chemistry).is_none() || outlet.counts(chemistry).is_none() {
        AtOutlet::SaysNothing
    } else if outlet.class < bucket.class {
        AtOutlet::Weaker
    } else if outlet.class > bucket.class {
        AtOutlet::Stronger
    } else {
        AtOutlet::Arrived
    }
}

/// Holds the outlet's strip to the strength of the bucket. A strip in the bucket says nothing about the line.
#[must_use]
pub fn at_outlet(bucket: MgPerLitre, outlet: &StripRead<'_>, chemistry: Chemistry) -> AtOutlet {
    match outlet.counts(chemistry) {
        None => AtOutlet::SaysNothing,
        Some(supports) if supports.holds(bucket) => AtOutlet::Arrived,
        Some(supports) if supports.all_below(bucket) => AtOutlet::Weaker,
        Some(_) => AtOutlet::Stronger,
    }
}

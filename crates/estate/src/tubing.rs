//! What is known of the tubes of a line: from it follows how long it must be flushed at least.

use ouncewise_hygiene::line::written::{self, Unread};
use ouncewise_hygiene::line::{Fitting, FlowError, Metres, Millimetres, MlPerSecond};

use crate::address::Address;
use crate::estate::Estate;
use crate::fields::{Define, Definition, Described, Field, Fields, Shape, code};

/// The measures of a line's tubes, as written. A family states those of all its lines; what a line states of its own comes
/// before that. What nobody states is not known, and nothing is taken for it.
#[derive(Debug, Clone, Default, PartialEq, Eq, Hash)]
pub struct Tubing {
    /// Inner diameter; of several tubes in the order of the flow, parted by `;`.
    pub bore: Option<String>,
    /// Length; as many as there are bores.
    pub length: Option<String>,
    /// What valves, joints and elbows hold.
    pub fittings: Option<String>,
    /// The flow while it is flushed.
    pub flush_flow: Option<String>,
}

pub(crate) const BORE: Field = Field::may(
    "bore",
    Shape::Text,
    "inner diameter of the tube; of several in the order of the flow, parted by `;`, and `?` for one that is not known",
    "6 mm",
);
pub(crate) const LENGTH: Field = Field::may(
    "length",
    Shape::Text,
    "length of the tube from joint to joint; as many as there are bores",
    "2.4 m",
);
pub(crate) const FITTINGS: Field = Field::may(
    "fittings",
    Shape::Text,
    "what valves, joints and elbows hold, parted by `;`: `4 mL`, `2 x 1.5 mL`, `2 x ?`, `3 mL dead end`",
    "2 x 1.5 mL",
);
pub(crate) const FLUSH_FLOW: Field = Field::may(
    "flush_flow",
    Shape::Text,
    "the flow while it is flushed: catch for some seconds",
    "250 mL in 10 s",
);

/// What is wrong with a text, and how to mend it.
type Wrong = (String, String);

impl Tubing {
    /// What a line states, and for the rest what its family does.
    #[must_use]
    pub fn over(&self, family: &Self) -> Self {
        let first = |own: &Option<String>, other: &Option<String>| own.clone().or(other.clone());
        Self {
            bore: first(&self.bore, &family.bore),
            length: first(&self.length, &family.length),
            fittings: first(&self.fittings, &family.fittings),
            flush_flow: first(&self.flush_flow, &family.flush_flow),
        }
    }

    /// What does not fit between bores and lengths, and how to mend it.
    pub(crate) fn misfit(&self) -> Option<Wrong> {
        let bores = written::bores(self.bore.as_deref()?).ok()?;
        let lengths = written::lengths(self.length.as_deref()?).ok()?;
        written::tubes(&bores, &lengths).err().map(|Unread { what, mend }| (what, mend))
    }

    /// Its fields, to be added to those of what it belongs to.
    pub(crate) fn add_to(&self, define: Define) -> Define {
        define
            .maybe("bore", self.bore.as_ref())
            .maybe("length", self.length.as_ref())
            .maybe("fittings", self.fittings.as_ref())
            .maybe("flush_flow", self.flush_flow.as_ref())
    }
}

impl Described for Tubing {
    const NAME: &'static str = "the tubing";
    const FIELDS: &'static [Field] = &[BORE, LENGTH, FITTINGS, FLUSH_FLOW];

    fn read(f: &mut Fields<'_>) -> Option<Self> {
        let bore = text(f, "bore", |text| {
            all(written::bores(text)?.into_iter().flatten(), Millimetres::of_a_bore)
        });
        let length = text(f, "length", |text| {
            all(written::lengths(text)?.into_iter().flatten(), Metres::of_a_tube)
        });
        let fittings = text(f, "fittings", |text| {
            all(written::fittings(text)?.into_iter(), Fitting::that_can_be)
        });
        let flush_flow = text(f, "flush_flow", |text| {
            all([written::flow(text)?].into_iter(), MlPerSecond::of_a_flush)
        });
        let tubing = Self { bore, length, fittings, flush_flow };
        if let Some((what, mend)) = tubing.misfit() {
            f.refuse_field("length", code::TUBES, format!("`length`: {what}"), mend);
        }
        Some(tubing)
    }

    fn define(&self) -> Definition {
        self.add_to(Define::default()).done()
    }
}

/// Why a measure of a tube is refused.
enum Refusal {
    Unread(Unread),
    Range(FlowError),
}

impl From<Unread> for Refusal {
    fn from(unread: Unread) -> Self {
        Self::Unread(unread)
    }
}

/// Whether all of them can be.
fn all<T>(
    mut things: impl Iterator<Item = T>,
    check: impl Fn(T) -> Result<T, FlowError>,
) -> Result<(), Refusal> {
    things.try_for_each(|thing| check(thing).map(drop)).map_err(Refusal::Range)
}

/// The text of a field, if it reads as what it should be.
fn text(
    f: &mut Fields<'_>,
    name: &'static str,
    check: impl Fn(&str) -> Result<(), Refusal>,
) -> Option<String> {
    let text = f.text(name)?;
    let (code, message, hint) = match check(&text) {
        Ok(()) => return Some(text),
        Err(Refusal::Unread(Unread { what, mend })) => (code::TUBING, what, mend),
        Err(Refusal::Range(FlowError::OutOfRange { value, unit, from, to, mend, .. })) => (
            code::OUT_OF_RANGE,
            format!("`{text}` is {value} {unit}, outside {from} to {to} {unit}"),
            mend.to_owned(),
        ),
        Err(Refusal::Range(error)) => (code::OUT_OF_RANGE, error.to_string(), String::new()),
    };
    f.refuse_field(name, code, format!("`{name}`: {message}"), hint);
    None
}

impl Estate {
    /// What is known of the tubes of a line: its own, and for the rest its family's. Nothing, where there is no such line.
    #[must_use]
    pub fn tubing(&self, address: &Address) -> Option<Tubing> {
        let machine = self.machine(&address.site, &address.machine)?;
        let line = machine.lines.get(&address.line)?;
        let family = self.families.get(&machine.family);
        Some(family.map_or_else(|| line.tubing.clone(), |family| line.tubing.over(&family.tubing)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::{self, Files};

    /// The starter with a family and a line that state their tubes.
    fn with(family: &str, line: &str) -> Files {
        let mut files = crate::starter::files();
        let change = |files: &mut Files, name: &str, change: &dyn Fn(String) -> String| {
            let text = String::from_utf8(files[name].clone()).unwrap();
            files.insert(name.to_owned(), change(text).into_bytes());
        };
        change(&mut files, "families/screw-trim.toml", &|text| {
            format!("{text}\n[tubing]\n{family}\n")
        });
        change(&mut files, "lines.csv", &|text| {
            let mut rows = text.lines();
            let head = format!("{},bore,length,fittings,flush_flow\n", rows.next().unwrap());
            let rows: Vec<String> = rows
                .map(|row| match row.starts_with("rowan-end,counter-1,1,") {
                    true => format!("{row},{line}"),
                    false => format!("{row},,,,"),
                })
                .collect();
            head + &rows.join("\n") + "\n"
        });
        files
    }

    fn told(family: &str, line: &str) -> Vec<(&'static str, String, usize)> {
        let faults = files::read(&with(family, line)).1;
        faults.into_iter().map(|f| (f.code, f.place.file, f.place.column)).collect()
    }

    #[test]
    fn a_line_states_its_own_and_its_family_the_rest() {
        let files = with("bore = '1/4 in'\nlength = '2 m'\nflush_flow = '25 mL/s'", ",3 m,2 x ?,");
        let (estate, faults) = files::read(&files);
        assert_eq!(faults, []);
        let some = |text: &str| Some(text.to_owned());
        let tubing = estate.tubing(&"rowan-end/counter-1/1".parse().unwrap()).unwrap();
        let wanted = Tubing {
            bore: some("1/4 in"),
            length: some("3 m"),
            fittings: some("2 x ?"),
            flush_flow: some("25 mL/s"),
        };
        assert_eq!(tubing, wanted);
        let other = estate.tubing(&"rowan-end/counter-1/2".parse().unwrap()).unwrap();
        assert_eq!((other.length, other.fittings), (some("2 m"), None));
        assert_eq!(estate.tubing(&"rowan-end/counter-1/9".parse().unwrap()), None);
        // Written back, it reads the same.
        assert_eq!(files::read(&files::write(&estate)), (estate, vec![]));
    }

    #[test]
    fn what_cannot_be_read_or_cannot_be_stands_at_its_place() {
        let of_family =
            |text: &str| told(text, ",,,").into_iter().map(|(code, ..)| code).collect::<Vec<_>>();
        for bad in [
            "bore = '6'",
            "bore = 'wide'",
            "length = '2 kg'",
            "fittings = '0 x 1 mL'",
            "flush_flow = '25 mL'",
        ] {
            assert_eq!(of_family(bad), ["E037"], "{bad}");
        }
        for far in
            ["bore = '200 mm'", "length = '900 m'", "flush_flow = '900 L/s'", "fittings = '40 L'"]
        {
            assert_eq!(of_family(far), ["E024"], "{far}");
        }
        assert_eq!(of_family("bore = '6 mm; 8 mm'\nlength = '2 m'"), ["E038"]);
        let at_line = told("", "wide,,,");
        assert_eq!((at_line[0].0, at_line[0].1.as_str()), ("E037", "lines.csv"));
    }

    /// The family's two bores do not fit the one length of a line: told, and nothing is refused.
    #[test]
    fn a_line_whose_own_does_not_fit_its_familys_is_warned() {
        let files = with("bore = '6 mm; 8 mm'", ",2 m,,");
        let (estate, faults) = files::read(&files);
        assert_eq!(faults.len(), 1, "{faults:#?}");
        assert_eq!((faults[0].code, faults[0].severity), ("E058", crate::Severity::Warning));
        assert_eq!(faults[0].place.file, "lines.csv");
        assert!(estate.tubing(&"rowan-end/counter-1/1".parse().unwrap()).is_some());
    }
}

//! The strips and the contact time of a round, held to the code in force and to the label of the box. A strip that is out of
//! range, or names no one class, is asked about, and the round is not complete with it.

use ouncewise_ledger::{Body, Record};
use ouncewise_measure::{Quantity, Seconds};
use uuid::Uuid;

use super::boxes::seconds;
use super::{About, Known, OpenedBox, Presence};
use crate::contact::{ClockStart, judge_contact, least_contact};
use crate::label::{Label, LabelStrength};
use crate::profile::{Profile, RecordKind, at_least};
use crate::strength::{Conditions, MgPerLitre, Outcome, Window, window};

type Records<'a> = [(&'a Record, &'a Body)];

/// One thing that did not hold, or was not shown.
pub(super) struct Held {
    pub kind: RecordKind,
    pub about: About,
    pub ask: String,
    /// Whether it broke a figure.
    pub fails: bool,
}

/// How fine a clock is that was read to the minute.
const MINUTE: f64 = 60.0;

/// How far under its number a class reaches, where its card is not known: about 100, numbers step by two, and the edge between two
/// classes is their geometric mean (HY-61, CALC).
const SAME_CLASS: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// The class of its card that a strip matched, as it was written: `100`, `strip class 12,5`. Nothing where no number is named, or
/// several are, such as `100 of 10/50/100/200`.
#[must_use]
pub fn strip_class(reading: &str) -> Option<MgPerLitre> {
    let numbers = reading.split(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',')));
    let mut all = numbers.filter_map(|number| number.replace(',', ".").parse::<f64>().ok());
    let first = all.next()?;
    all.all(|other| other == first).then_some(MgPerLitre(first))
}

/// A strip as it was read.
#[derive(Clone, Copy)]
struct Strip<'a> {
    reading: &'a str,
    from_box: Option<Uuid>,
}

impl Strip<'_> {
    fn class(self) -> Option<MgPerLitre> {
        strip_class(self.reading)
    }

    /// Whether it is weaker than another. Strips out of one box have one card: a class lower is another class, however near.
    fn weaker_than(self, other: Self) -> bool {
        let same = if self.from_box == other.from_box { 1.0 } else { SAME_CLASS };
        self.class().zip(other.class()).is_some_and(|(own, other)| own.0 < same * other.0)
    }

    /// That it names no one class.
    fn unclear(self, place: &str) -> String {
        format!("the strip {place} reads “{}”: which class of its card was it?", self.reading)
    }
}

/// The solution and its strip in the bucket.
pub(super) fn bucket(
    records: &Records<'_>,
    known: &Known<'_>,
    presence: &Presence<'_>,
) -> Vec<Held> {
    let allowed = Allowed::new(records, known, presence);
    let mut held = Vec::new();
    if let Some((kind, ask)) = allowed.as_ref().and_then(Allowed::no_row) {
        held.push(Held { kind, about: About::Strip, ask, fails: true });
    }
    if let Some(Allowed { profile, label, .. }) = allowed.as_ref().filter(|all| all.conflict) {
        let ask = format!(
            "the label of “{}” allows no strength that {} allows too: was it read right, and is it the right product?",
            label.name, profile.name
        );
        held.push(Held { kind: RecordKind::SanitiserBox, about: About::Strip, ask, fails: true });
    }
    held.extend(label_read(presence));
    held.extend(strips(records, known, presence));
    let until = contact_start(records).unwrap_or(records.len());
    let read = last(&records[..until], "bucket").or_else(|| last(records, "bucket"));
    let ask = read.and_then(|read| match read.class() {
        Some(class) => outside(allowed.as_ref(), class).map(|outside| {
            format!("the strip in the bucket reads {class}, and {outside}: was a new bucket mixed?")
        }),
        None => Some(read.unclear("in the bucket")),
    });
    if let Some(ask) = ask {
        held.push(Held { kind: RecordKind::StripBucket, about: About::Strip, ask, fails: true });
    }
    held
}

/// A label that was written down, but not so that anything can be held to it.
fn label_read(presence: &Presence<'_>) -> Option<Held> {
    let opened = presence.sanitiser_box()?;
    let (what, text) = opened.unread()?;
    let such = if what == "strength" { "100 to 200 ppm" } else { "60 s" };
    let ask = format!(
        "the {what} on the label of “{}” is written “{text}”, which cannot be read: correct it, such as to {such}",
        opened.name
    );
    Some(Held { kind: RecordKind::SanitiserBox, about: About::Strip, ask, fails: true })
}

/// Strips of a box that is for another sanitiser: a wrong strip is a wrong number (HY-62, READ).
fn strips(records: &Records<'_>, known: &Known<'_>, presence: &Presence<'_>) -> Option<Held> {
    let ours = presence.sanitiser()?;
    let (opened, theirs, place) = records.iter().find_map(|(_, body)| {
        let Body::StripRead { from_box: Some(from), place, .. } = body else { return None };
        let opened = known.boxes.get(from)?;
        let theirs = opened.sanitiser().filter(|theirs| *theirs != ours)?;
        Some((opened, theirs, place))
    })?;
    let outlet = place.trim().eq_ignore_ascii_case("outlet");
    let kind = if outlet { RecordKind::StripOutlet } else { RecordKind::StripBucket };
    let ask = format!(
        "the strips of the box “{}” are for {theirs}, and the sanitiser is {ours}: were they the right strips?",
        opened.name
    );
    Some(Held { kind, about: About::Strip, ask, fails: true })
}

/// The strip at the outlet of one line, and its contact time.
pub(super) fn line(records: &Records<'_>, known: &Known<'_>, presence: &Presence<'_>) -> Vec<Held> {
    let allowed = Allowed::new(records, known, presence);
    outlet(records, allowed.as_ref())
        .into_iter()
        .chain(contact(records, known, presence, allowed.as_ref()))
        .collect()
}

fn outlet(records: &Records<'_>, allowed: Option<&Allowed<'_>>) -> Option<Held> {
    let until = contact_start(records).unwrap_or(records.len());
    // Once it is purged the outlet reads nothing, as it ought to.
    let highest = || {
        let all = records.iter().filter_map(|(_, body)| reading(body, "outlet"));
        let strength = |strip: &Strip<'_>| strip.class().map_or(f64::NEG_INFINITY, |class| class.0);
        all.max_by(|a, b| strength(a).total_cmp(&strength(b)))
    };
    let started = (until < records.len()).then(|| last(&records[..until], "outlet")).flatten();
    let read = started.or_else(highest)?;
    let bucket = last(&records[..until], "bucket").or_else(|| last(records, "bucket"));
    let ask = match read.class().map(|class| (class, outside(allowed, class))) {
        None => read.unclear("at the outlet"),
        Some((class, Some(outside))) => format!(
            "the strip at the outlet reads {class}, and {outside}: the contact time does not start at that; was another strip read?"
        ),
        Some((class, None)) => {
            let bucket = bucket.filter(|bucket| read.weaker_than(*bucket))?.class()?;
            format!(
                "the strip at the outlet reads {class}, and the one in the bucket {bucket}: had the solution arrived?"
            )
        }
    };
    Some(Held { kind: RecordKind::StripOutlet, about: About::Strip, ask, fails: true })
}

/// The contact time of a line, held to the longer of label and code, on the clock that starts at the outlet's strip. Whether
/// that strip was strong enough is asked of the strip.
fn contact(
    records: &Records<'_>,
    known: &Known<'_>,
    presence: &Presence<'_>,
    allowed: Option<&Allowed<'_>>,
) -> Option<Held> {
    let start = contact_start(records)?;
    let profile = known.profile?;
    // Section 3.3: the clock starts at the outlet's strip, whatever time is asked. That none was read at all is told of the strip.
    let Some(read) = last(&records[..start], "outlet") else {
        let ask = "the contact time began before a strip was read at the outlet: had the solution arrived?";
        let fails = last(records, "outlet").is_some();
        return Some(Held {
            kind: RecordKind::ContactStart,
            about: About::Contact,
            ask: ask.to_owned(),
            fails,
        });
    };
    let end = records.iter().rposition(|(_, body)| matches!(body, Body::ContactEnded { .. }));
    let end = end.filter(|end| *end > start)?;
    let (elapsed, fine) = elapsed(records[start].0, records[end])?;
    let label = presence.sanitiser_box().and_then(OpenedBox::label);
    // What is too weak for any row, or names no class, is held to the time of the weakest that is allowed.
    let weakest = allowed.map_or(0.0, |allowed| allowed.window.from.0);
    let strength = MgPerLitre(read.class().map_or(weakest, |class| class.0.max(weakest)));
    let mut least = least_contact(profile, label.as_ref(), strength, &conditions(records));
    // The time that is known holds also where the other is not: it is never shorter for that.
    least.least = least
        .least
        .or_else(|| least.row?.seconds.map(Seconds))
        .or_else(|| label.as_ref()?.contact.filter(|own| own.0 > 0.0));
    let asked = least.least?;
    let verdict = judge_contact(&least, Seconds(elapsed + fine), ClockStart::OutletOnStrength);
    let (ask, fails) = match verdict.outcome {
        Outcome::Accepted => return None,
        Outcome::Refused => {
            let ran =
                if fine > 0.0 { "by the clock to the minute" } else { "by the times on record" };
            let ask = format!(
                "the contact time was {elapsed} s {ran}, and {} s are asked: was it longer?",
                asked.0
            );
            (ask, true)
        }
        _ => (format!("{}: what were the times?", verdict.say), true),
    };
    Some(Held { kind: RecordKind::ContactEnd, about: About::Contact, ask, fails })
}

/// The strengths that the code in force allows of what is in the box.
struct Allowed<'a> {
    profile: &'a Profile,
    label: Label,
    conditions: Conditions,
    window: Window,
    /// Whether a row of the code speaks of the solution at its temperature and pH.
    row: bool,
    /// The strengths on the label of the box, where they were written down.
    of_box: Option<(MgPerLitre, MgPerLitre)>,
    /// Whether the least is the label's.
    label_asks: bool,
    /// Whether the most is the label's.
    label_allows: bool,
    /// Whether label and code allow nothing together.
    conflict: bool,
}

impl<'a> Allowed<'a> {
    /// Nothing where no code is in force, the sanitiser is not known, or neither code nor label of the box says a strength.
    fn new(records: &Records<'_>, known: &Known<'a>, presence: &Presence<'_>) -> Option<Self> {
        let profile = known.profile?;
        let own = presence.sanitiser_box().and_then(OpenedBox::label)?;
        // Where nobody wrote down which strengths the label of the box allows, the code's alone are held.
        let any =
            LabelStrength::Range { from: MgPerLitre(f64::MIN_POSITIVE), to: MgPerLitre(f64::MAX) };
        let with = |strength| Label::new(own.name.clone(), own.chemistry, strength, Seconds(1.0));
        let here = conditions(records);
        let within = |label: &Label, conditions: &Conditions| {
            window(profile, label, conditions).filter(|window| window.from <= window.to)
        };
        let label = with(any);
        let row = within(&label, &here).is_some();
        let conditions = if row { here } else { Conditions::default() };
        let of_code = within(&label, &conditions);
        // A strip reads a class: one of which any part lies in the label's range is not outside it.
        let of_box = own.strength.map(LabelStrength::ends);
        let both = of_box.and_then(|(from, to)| {
            let from = MgPerLitre(from.0 * SAME_CLASS);
            let to = MgPerLitre(to.0 / SAME_CLASS);
            if of_code.is_none() {
                return (from <= to).then_some((Window { from, to }, true, true));
            }
            let window = within(&with(LabelStrength::Range { from, to }), &conditions)?;
            Some((window, window.from == from, window.to == to))
        });
        let (window, label_asks, label_allows) = match both {
            Some(both) => both,
            None => (of_code?, false, false),
        };
        Some(Self {
            profile,
            conditions: here,
            window,
            row: row || of_code.is_none(),
            of_box,
            label_asks,
            label_allows,
            conflict: of_box.is_some() && both.is_none(),
            label,
        })
    }

    /// That no row speaks of a solution so cold, or of such a pH.
    fn no_row(&self) -> Option<(RecordKind, String)> {
        if self.row {
            return None;
        }
        let warm = Conditions { temperature: None, ..self.conditions };
        let what = self.label.chemistry.sanitiser();
        let name = &self.profile.name;
        match (self.conditions.temperature, window(self.profile, &self.label, &warm)) {
            (Some(read), Some(_)) => Some((
                RecordKind::SolutionTemperature,
                format!("{name} has no row for {what} at {read}: was the solution so cold?"),
            )),
            _ => Some((
                RecordKind::SolutionPh,
                format!("{name} has no row for {what} at this pH: was the pH read right?"),
            )),
        }
    }
}

/// How a reading is outside what is allowed, in words; nothing if it is not. A strip that reads nothing is outside in any case.
fn outside(allowed: Option<&Allowed<'_>>, read: MgPerLitre) -> Option<String> {
    let Some(Allowed { profile, window, of_box, label_asks, label_allows, label, .. }) = allowed
    else {
        return (read.0 <= 0.0).then(|| "that is no sanitiser".to_owned());
    };
    // Of label and code the one whose figure it is.
    let of_label = || format!("the label of “{}”", label.name);
    let by_label = |end: bool| of_box.filter(|_| end);
    let (least, from) = by_label(*label_asks)
        .map_or_else(|| (profile.name.clone(), window.from), |(from, _)| (of_label(), from));
    let (most, to) = by_label(*label_allows)
        .map_or_else(|| (profile.name.clone(), window.to), |(_, to)| (of_label(), to));
    if read.0 <= 0.0 || !at_least(read.0, window.from.0) {
        let least = if window.from.0 > f64::MIN_POSITIVE {
            format!("{least} asks {from} or more")
        } else {
            "that is no sanitiser".to_owned()
        };
        return Some(least);
    }
    (!at_least(window.to.0, read.0)).then(|| format!("{most} allows {to} at most"))
}

fn contact_start(records: &Records<'_>) -> Option<usize> {
    records.iter().rposition(|(_, body)| matches!(body, Body::ContactStarted {}))
}

fn last<'a>(records: &Records<'a>, place: &str) -> Option<Strip<'a>> {
    records.iter().rev().find_map(|(_, body)| reading(body, place))
}

/// Seconds from start to end, and how much more it may have been: a clock that was read to the minute hides up to one.
fn elapsed(start: &Record, end: (&Record, &Body)) -> Option<(f64, f64)> {
    if let Body::ContactEnded { lasted: Some(lasted) } = end.1
        && let Some(lasted) = seconds(lasted)
    {
        return Some((lasted.0, 0.0));
    }
    let apart = end.0.instant().ok()?.duration_since(start.instant().ok()?).as_secs_f64();
    let to_the_minute = |record: &Record| record.at.get(17..23) == Some("00.000");
    let fine = if to_the_minute(start) && to_the_minute(end.0) { MINUTE } else { 0.0 };
    Some((apart, fine))
}

/// A strip that was read at a place.
fn reading<'a>(body: &'a Body, wanted: &str) -> Option<Strip<'a>> {
    let Body::StripRead { reading, place, from_box } = body else { return None };
    let here = place.trim().eq_ignore_ascii_case(wanted);
    here.then_some(Strip { reading, from_box: *from_box })
}

fn conditions(records: &[(&Record, &Body)]) -> Conditions {
    let mixed = records.iter().rev().find_map(|(_, body)| match body {
        Body::SolutionMixed { temperature, ph, .. } => Some((temperature, ph)),
        _ => None,
    });
    let Some((temperature, ph)) = mixed else { return Conditions::default() };
    Conditions {
        temperature: temperature.as_deref().and_then(|read| read.parse::<Quantity>().ok()),
        ph: ph.as_deref().and_then(|read| read.trim().replace(',', ".").parse().ok()),
        ..Conditions::default()
    }
}

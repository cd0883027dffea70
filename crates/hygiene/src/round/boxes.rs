//! Boxes of sanitiser and of strips: recorded once, and named by what is taken out of them.

use std::collections::BTreeMap;

use ouncewise_ledger::{Body, Holds, Record};
use ouncewise_measure::{Quantity, Seconds};
use uuid::Uuid;

use crate::label::{Chemistry, Label, LabelStrength};
use crate::profile::Sanitiser;
use crate::strength::MgPerLitre;

/// A box as it was recorded when it was opened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenedBox {
    /// When, as the device wrote it.
    pub at: String,
    /// What is in it.
    pub holds: Holds,
    /// Its name, as on the label.
    pub name: String,
    /// Its registration number.
    pub registration: Option<String>,
    /// Its lot.
    pub lot: Option<String>,
    /// The day or the month until which it is good.
    pub expiry: Option<String>,
    /// What works in it, or what it reads.
    pub active: Option<String>,
    /// The contact time that the label asks.
    pub contact: Option<String>,
    /// The strength that the label allows where food touches.
    pub strength: Option<String>,
    /// The label's own signal word.
    pub signal_word: Option<String>,
}

/// The boxes that were opened at a site, by the record that opened each; records with the body that holds after corrections.
#[must_use]
pub fn opened_boxes<'a>(
    records: impl IntoIterator<Item = (&'a Record, &'a Body)>,
) -> BTreeMap<Uuid, OpenedBox> {
    let mut boxes = BTreeMap::new();
    for (record, body) in records {
        if let Body::BoxOpened {
            holds,
            name,
            registration,
            lot,
            expiry,
            active,
            contact,
            strength,
            signal_word,
        } = body
        {
            let opened = OpenedBox {
                at: record.at.clone(),
                holds: *holds,
                name: name.clone(),
                registration: registration.clone(),
                lot: lot.clone(),
                expiry: expiry.clone(),
                active: active.clone(),
                contact: contact.clone(),
                strength: strength.clone(),
                signal_word: signal_word.clone(),
            };
            boxes.insert(record.id, opened);
        }
    }
    boxes
}

impl OpenedBox {
    /// Whether what must be known of a box is: its lot, and until when it is good.
    #[must_use]
    pub fn whole(&self) -> bool {
        self.lot.is_some() && self.expiry.is_some()
    }

    /// Which sanitiser it is, or its strips are for, as codes sort them.
    #[must_use]
    pub fn sanitiser(&self) -> Option<Sanitiser> {
        let active = self.active.as_deref()?.trim();
        let word = |(word, _): &&(&str, Sanitiser)| active.eq_ignore_ascii_case(word);
        Sanitiser::WORDS.iter().find(word).map(|(_, sanitiser)| *sanitiser)
    }

    /// Whether it was past its expiry at a time as records spell it. One whose expiry cannot be read is not.
    #[must_use]
    pub fn past_at(&self, at: &str) -> bool {
        let Some(expiry) = self.expiry.as_deref().map(str::trim).filter(|e| is_day_or_month(e))
        else {
            return false;
        };
        at.get(..expiry.len()).is_some_and(|day| day > expiry)
    }

    /// What was written of its label and cannot be computed with: what it is, and the text.
    #[must_use]
    pub fn unread(&self) -> Option<(&'static str, &str)> {
        let written = |text: &Option<String>| text.as_deref().is_some_and(|t| !t.trim().is_empty());
        let strength = written(&self.strength) && self.label_strength().is_none();
        let contact = written(&self.contact) && self.contact_time().is_none();
        let (what, text) = match (strength, contact) {
            (true, _) => ("strength", &self.strength),
            (false, true) => ("contact time", &self.contact),
            (false, false) => return None,
        };
        Some((what, text.as_deref()?))
    }

    fn label_strength(&self) -> Option<LabelStrength> {
        self.strength.as_deref()?.parse().ok()
    }

    fn contact_time(&self) -> Option<Seconds> {
        seconds(self.contact.as_deref()?)
    }

    /// Its label, as far as it was recorded.
    #[must_use]
    pub fn label(&self) -> Option<Label> {
        let chemistry = match self.sanitiser()? {
            Sanitiser::Chlorine => Chemistry::OtherChlorine,
            Sanitiser::Iodine => Chemistry::Iodine,
            Sanitiser::Quat => Chemistry::QuatUnstated,
            Sanitiser::Other => Chemistry::Other,
        };
        let any = LabelStrength::Range { from: MgPerLitre(0.0), to: MgPerLitre(0.0) };
        let label = Label::new(self.name.clone(), chemistry, any, Seconds(0.0));
        let (contact, strength) = (self.contact_time(), self.label_strength());
        Some(Label { strength, contact, signal_word: self.signal_word.clone(), ..label })
    }
}

/// Whether a text is a day or a month as `2027-06-30` or `2027-06`.
#[must_use]
pub fn is_day_or_month(text: &str) -> bool {
    let parts: Vec<&str> = text.split('-').collect();
    matches!(parts.len(), 2 | 3)
        && parts.iter().zip([4, 2, 2]).all(|(part, length)| {
            part.len() == length && part.bytes().all(|byte| byte.is_ascii_digit())
        })
}

/// A time as it was read: `60 s`, `2 min`.
pub(super) fn seconds(text: &str) -> Option<Seconds> {
    text.parse::<Quantity>().ok()?.duration()
}

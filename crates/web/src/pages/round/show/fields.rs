//! The fields of the form.

use maud::{Markup, html};
use ouncewise_hygiene::label::{Hazard, cautions};
use ouncewise_hygiene::profile::{Level, RecordKind};
use ouncewise_ledger::Holds;

use super::super::here::Here;
use super::super::typed::Typed;
use crate::layout::{Fault, beside, described, invalid};

/// What a field needs to be shown.
pub struct Form<'a> {
    pub here: &'a Here,
    pub typed: &'a Typed,
    pub wrong: &'a [Fault],
}

impl Form<'_> {
    /// A field of text.
    pub fn text(&self, id: &str, label: &str, hint: &str, class: &str) -> Markup {
        html! {
            div class="field" {
                label for=(id) { (label) }
                p class="hint" id={ (id) "-hint" } { (hint) }
                (beside(self.wrong, id))
                input type="text" id=(id) name=(id) value=(self.typed.of(id)) class=(class) autocomplete="off"
                    aria-describedby=[described(self.wrong, id, true)] aria-invalid=[invalid(self.wrong, id)];
            }
        }
    }

    /// A box to tick.
    pub fn tick(&self, id: &str, label: &str) -> Markup {
        html! {
            (beside(self.wrong, id))
            label class="choice" for=(id) {
                input type="checkbox" id=(id) name=(id) value="yes" checked[self.typed.ticked(id)]
                    aria-describedby=[described(self.wrong, id, false)];
                (label)
            }
        }
    }

    /// One of several.
    pub fn choose(&self, id: &str, label: &str, hint: &str, of: &[(String, String)]) -> Markup {
        html! {
            div class="field" {
                label for=(id) { (label) }
                p class="hint" id={ (id) "-hint" } { (hint) }
                (beside(self.wrong, id))
                select id=(id) name=(id) aria-describedby=[described(self.wrong, id, true)] aria-invalid=[invalid(self.wrong, id)] {
                    @for (value, words) in of {
                        option value=(value) selected[self.typed.of(id) == value] { (words) }
                    }
                }
            }
        }
    }

    /// One entry: open where it must be recorded, folded away where it need not be. One with an answer or a fault is open.
    pub fn entry(
        &self,
        title: &str,
        kinds: &[RecordKind],
        fields: &[&str],
        body: &Markup,
    ) -> Markup {
        if kinds.iter().any(|kind| self.here.must(*kind)) {
            return html! { fieldset class="line-form" { legend { (title) } (body) } };
        }
        html! { fieldset class="line-form" { legend { (title) } (self.folded("Not asked for here", fields, body)) } }
    }

    /// What is asked for as good to have, or not at all: folded away until it has an answer or a fault.
    pub fn may(&self, kind: RecordKind, title: &str, fields: &[&str], body: &Markup) -> Markup {
        if self.here.must(kind) {
            return body.clone();
        }
        let asks = self.here.profile.as_ref().and_then(|(_, profile)| profile.asks(kind));
        let more = if asks == Some(Level::Should) { "good to have" } else { "not asked for here" };
        self.folded(&format!("{title} ({more})"), fields, body)
    }

    /// Folded away until it has an answer or a fault.
    pub fn folded(&self, title: &str, fields: &[&str], body: &Markup) -> Markup {
        let open = fields
            .iter()
            .any(|field| !self.typed.of(field).is_empty() || invalid(self.wrong, field).is_some());
        html! { details open[open] { summary { (title) } (body) } }
    }

    /// The cautions of some hazards; the chemical's with the word of its label, as it stands on the box.
    pub fn cautions(&self, hazards: &[Hazard]) -> Markup {
        let word = self.signal_word();
        html! {
            ul class="cautions" {
                @for caution in cautions(hazards) {
                    li { strong { (caution.printed_word(word)) ": " } (caution.what) " " (caution.avoid) }
                }
            }
        }
    }

    /// The signal word on the box of sanitiser that was chosen, of a new one as it is typed; before anything is chosen, of the
    /// last that was opened.
    fn signal_word(&self) -> Option<&str> {
        let chosen = self.typed.of("sanitiser");
        if chosen == "new" {
            return Some(self.typed.of("sanitiser-signal-word"));
        }
        let boxes = self.here.boxes_of(Holds::Sanitiser);
        let mut words =
            boxes.iter().filter(|(id, _)| chosen.is_empty() || id.to_string() == chosen);
        words.next().and_then(|(_, opened)| opened.signal_word.as_deref())
    }

    /// The box that something came from: one that was opened here, or a new one.
    pub fn box_of(&self, name: &str, holds: Holds, label: &str) -> Markup {
        let today = self.here.now.date().to_string();
        let mut of: Vec<(String, String)> = self
            .here
            .boxes_of(holds)
            .into_iter()
            .map(|(id, opened)| {
                let lot =
                    opened.lot.as_ref().map_or_else(String::new, |lot| format!(", lot {lot}"));
                let past = if opened.past_at(&today) { ", past its expiry" } else { "" };
                (id.to_string(), format!("{}{lot}{past}", opened.name))
            })
            .collect();
        let none = of.is_empty();
        of.push(("new".to_owned(), "A new box, described below".to_owned()));
        let id = |what: &str| format!("{name}-{what}");
        let fields =
            ["name", "registration", "lot", "expiry", "strength", "contact", "signal-word"].map(id);
        let fields: Vec<&str> = fields.iter().map(String::as_str).collect();
        let actives = [
            ("", "Not said"),
            ("chlorine", "Chlorine"),
            ("iodine", "Iodine"),
            ("quat", "Quat"),
            ("other", "Other"),
        ];
        let actives: Vec<(String, String)> =
            actives.iter().map(|(v, w)| ((*v).to_owned(), (*w).to_owned())).collect();
        let described = html! {
            div class="row" {
                (self.text(&id("name"), "Name, as on the label", "The whole name", ""))
                (self.text(&id("lot"), "Lot", "As printed on the box", "short"))
                (self.text(&id("expiry"), "Good until", "Such as 2027-06 or 2027-06-30", "short"))
            }
            div class="row" {
                @if holds == Holds::Strips {
                    (self.choose(&id("active"), "What they are for", "As the box says", &actives))
                } @else {
                    (self.choose(&id("active"), "What works in it", "As the label says", &actives))
                    (self.text(&id("strength"), "Strength on the label", "Where food touches, such as 100 to 200 ppm", "short"))
                    (self.text(&id("contact"), "Contact time on the label", "Such as 60 s", "short"))
                    (self.text(&id("signal-word"), "Its own signal word (optional)", "As it stands on the label", "short"))
                }
                (self.text(&id("registration"), "Registration number (optional)", "As on the label", "short"))
            }
        };
        html! {
            (self.choose(name, label, "Each box is described once, when it is opened", &of))
            @if none { fieldset { legend { "The new box" } (described) } }
            @else { (self.folded("A new box was opened", &fields, &described)) }
        }
    }
}

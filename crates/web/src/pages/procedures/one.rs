//! One procedure: its text beside what the check says of it, kit and time, versions; and the form in which the text is changed.

use maud::{Markup, html};
use ouncewise_estate::Estate;
use ouncewise_report::{
    FaultReport, FindingReport, HeldTo, KitReport, Library, ProcedureInList, ProcedureReport,
    ProcedureText, PublishReport, StepSeen, Terms, VersionReport, checked, many, served, versions,
};

use super::kit::{bring, numbers};
use super::list::{OF_THE_TEXT, languages, titles, verdict};
use super::page_of;
use super::written::Written;
use crate::layout::{
    Fault, Place, beside, described, faults, invalid, page as whole, titled, trail,
};
use crate::words;
use crate::wrong::sentence;

/// As many machines are listed.
const MACHINES: usize = 24;

/// What is shown of a procedure besides itself.
pub struct Seen<'a> {
    pub kit: Option<&'a KitReport>,
    /// Those of the food code at that place.
    pub terms: &'a Terms,
    /// The site or machine that the kit is asked for.
    pub place: &'a str,
    pub wrong: &'a [Fault],
    /// Whether it was published or withdrawn just now.
    pub done: bool,
}

fn above() -> Markup {
    trail(&[("/procedures", "Procedures")])
}

/// The page.
pub fn page(library: &Library, one: &ProcedureText, estate: &Estate, seen: &Seen<'_>) -> Markup {
    let read = one.read_under(seen.terms);
    let (check, found) = checked(&one.file(), &read.judged);
    let listed = ProcedureInList::of(one, estate, seen.terms);
    let here = page_of(&one.family, &one.name);
    let reads = read.judged.is_ok();
    // What is below is for the same place.
    let place = if seen.kit.is_some() { seen.place } else { "" };
    let also =
        |mark: char| if place.is_empty() { String::new() } else { format!("{mark}for={place}") };
    let holds = matches!(check.verdict.as_str(), "checked" | "cannot-be-shown-clean");
    let title = format!("{}: {}", listed.title, one.family);
    let body = html! {
        (above())
        (faults(seen.wrong))
        h1 { (listed.title) ": " span class="key" { (one.family) } }
        (titles(&listed))
        @if seen.done {
            div class="said" role="status" { p { "Recorded. Rounds follow version " code { (listed.short()) } " from now on." } }
        }
        p { (listed.purpose) }
        p { (verdict(&check.verdict)) " · " (check.says) }
        p { (HeldTo::of(seen.terms).says) }
        p class="warn" { (OF_THE_TEXT) }
        @if listed.languages.iter().any(|language| language.unreviewed) {
            p class="warn" { "Nobody has read over the safety text of: " (unreviewed(&listed)) ". It is marked so on the card, until a person who speaks it signs it in the text." }
        }
        @if reads {
            ul class="acts" {
                li { a class="button" href={ (here) "/skip" (also('?')) } { "What if a step is skipped" } }
                @if holds {
                    @for (language, paper, words) in prints("Card", &listed) {
                        li { a class="button plain" href={ (here) "/card?language=" (language) "&paper=" (paper) (also('&')) } { (words) } }
                    }
                }
                li { a class="button plain" href={ (here) "/quiz" (also('?')) } { "Quiz" } }
                @if holds {
                    @for (language, paper, words) in prints("Sign-off form", &listed) {
                        li { a class="button plain" href={ (here) "/sign-off?language=" (language) "&paper=" (paper) (also('&')) } { (words) } }
                    }
                }
            }
        }
        dl class="facts" {
            dt { "Version" }
            dd {
                code { (listed.short()) }
                @match &listed.published { Some(at) => { ", published " (words::when(at)) } None => ", as it ships" }
            }
            dt { "Languages" } dd { (languages(&listed)) }
            @if let Some(takes) = &listed.takes {
                dt { "Time" } dd { "For " (many(usize::try_from(takes.lines).unwrap_or(usize::MAX), "line")) ": " (takes.says) @if !takes.untimed.is_empty() { ". Steps without a time of their own are not counted: " (numbers(&takes.untimed)) } }
            }
            dt { "Looked at" } dd { (check.states[0]) " states of one line, " (check.states[1]) " of two" }
            dt { "Serves" } dd { (serves(estate, &one.family)) }
        }
        (Shown { check: &check, found: &found, text: &one.text, model: &one.model }.both())
        (steps(&one.steps(seen.terms, "en")))
        (kit(&here, seen))
        (all_versions(&here, &versions(library, one), one))
        h2 id="change" { "Change the text" }
        p { "It is checked as you wrote it, and nothing is recorded until you publish it." }
        // An older text is changed under the model that its family has now: its own would be the family's again.
        (form(&Written {
            family: one.family.clone(),
            name: one.name.clone(),
            text: one.text.clone(),
            seen: one.version.clone(),
            ..Written::default()
        }, library.model(&one.family).unwrap_or(&one.model), &[]))
    };
    whole(&titled(&title, seen.wrong), Some(Place::Procedures), &body)
}

fn unreviewed(listed: &ProcedureInList) -> String {
    let of = listed.languages.iter().filter(|language| language.unreviewed);
    of.map(|language| language.language.as_str()).collect::<Vec<_>>().join(", ")
}

/// What is printed, in each language and on each paper.
fn prints(what: &str, listed: &ProcedureInList) -> Vec<(String, &'static str, String)> {
    let of = listed.languages.iter().flat_map(|language| {
        [("a4", "A4"), ("letter", "US Letter")].map(|(paper, words)| {
            let code = &language.language;
            (code.clone(), paper, format!("{what} ({code}, {words})"))
        })
    });
    of.collect()
}

fn serves(estate: &Estate, family: &str) -> Markup {
    let all = served(estate, family);
    html! {
        (many(all.len(), "machine"))
        @if !all.is_empty() {
            details {
                summary { "Which" }
                ul { @for (site, machine) in all.iter().take(MACHINES) { li { a href=(words::machine_page(site, machine)) { (site) "/" (machine) } } } }
                @if all.len() > MACHINES { p { "and " (all.len() - MACHINES) " more" } }
            }
        }
    }
}

/// A text beside what was found in it.
pub struct Shown<'a> {
    pub check: &'a ProcedureReport,
    pub found: &'a [FaultReport],
    pub text: &'a str,
    pub model: &'a str,
}

impl Shown<'_> {
    /// Findings first, where there are any; else the text folded away.
    pub fn both(&self) -> Markup {
        let in_model = self.found.iter().any(is_model);
        html! {
            h2 { "The text" @if !self.found.is_empty() { ", and what was found in it" } }
            @if self.found.is_empty() {
                details { summary { "The text as it is in force" } (self.lines("t", "The text", self.text, false)) }
            } @else {
                div class="beside" {
                    ol class="found" {
                        @for (nth, fault) in self.found.iter().enumerate() { li { (self.finding(nth, fault)) } }
                    }
                    div {
                        (self.lines("t", "The text", self.text, false))
                        @if in_model {
                            h3 { "The family’s model" }
                            (self.lines("m", "The model of its family", self.model, true))
                        }
                    }
                }
            }
        }
    }

    fn finding(&self, nth: usize, fault: &FaultReport) -> Markup {
        let told: Option<&FindingReport> = self.check.findings.get(nth);
        let (mark, file) = if is_model(fault) { ("m", "family.toml") } else { ("t", "the text") };
        html! {
            p {
                a href={ "/docs/rules#" (fault.code) } { (fault.code) } " "
                @if fault.severity == "warning" { "(to know) " }
                (sentence(&fault.message))
            }
            p { a href={ "#" (mark) (fault.line) } { "Line " (fault.line) " of " (file) } @if let Some(step) = told.and_then(|told| told.step) { ", step " (step) " of the card" } }
            @if let Some(hint) = &fault.hint { p { "To mend it: " (hint) "." } }
            @if let Some(story) = told.and_then(|told| told.story.as_ref()) {
                details { summary { "How it comes about" } p { (story) } }
            }
        }
    }

    fn lines(&self, mark: &str, what: &str, text: &str, of_model: bool) -> Markup {
        let marked = |line: usize| {
            let here = self.found.iter().filter(move |f| f.line == line && is_model(f) == of_model);
            here.map(|fault| fault.code.as_str()).collect::<Vec<_>>()
        };
        html! {
            div class="scroll" tabindex="0" role="region" aria-label=(what) {
                ol class="text" {
                    @for (nth, line) in text.lines().enumerate() {
                        @let codes = marked(nth + 1);
                        li id={ (mark) (nth + 1) } class=[(!codes.is_empty()).then_some("marked")] {
                            code { (line) }
                            @if !codes.is_empty() { strong { " ◀ " (codes.join(", ")) } }
                        }
                    }
                }
            }
        }
    }
}

fn is_model(fault: &FaultReport) -> bool {
    fault.file == "family.toml"
}

/// The steps, in the order of the card.
fn steps(all: &[StepSeen]) -> Markup {
    html! {
        @if !all.is_empty() {
            h2 { "Its steps" }
            details {
                summary { (many(all.len(), "step")) ", of which " (all.iter().filter(|step| step.must_not_skip).count()) " must not be skipped" }
                ol { @for step in all { li { (step.say) @if step.must_not_skip { strong { " ■ Must not skip" } } } } }
            }
        }
    }
}

fn kit(here: &str, seen: &Seen<'_>) -> Markup {
    html! {
        h2 id="kit" { "What to bring" }
        form method="get" action=(here) {
            div class="field" {
                label for="for" { "For a site or a machine" }
                p class="hint" id="for-hint" { "Its key, such as fernhollow or fernhollow/counter-1; empty for one machine of as many lines as the text says" }
                (beside(seen.wrong, "for"))
                input type="text" id="for" name="for" value=(seen.place) autocomplete="off" aria-describedby=[described(seen.wrong, "for", true)] aria-invalid=[invalid(seen.wrong, "for")];
            }
            button class="plain" { "List it" }
        }
        @if let Some(kit) = seen.kit { (bring(kit)) }
    }
}

fn all_versions(here: &str, all: &[VersionReport], one: &ProcedureText) -> Markup {
    html! {
        h2 { "Versions" }
        ul {
            @for version in all.iter().rev() {
                li {
                    a href={ (here) "/versions/" (version.version) } { "Version " code { (version.version.get(..12).unwrap_or(&version.version)) } }
                    @match &version.published { Some(at) => { ", published " (words::when(at)) } None => ", as it ships" }
                    @if version.in_force { ", " strong { "in force" } }
                    @if version.withdrawn { ", withdrawn" }
                }
            }
        }
        @if one.published.is_some() {
            form method="post" action=(here) {
                input type="hidden" name="seen" value=(one.version);
                p { "Withdrawing it brings back the version before it. It stays in the ledger, marked; rounds that followed it go on saying so." }
                button class="away" name="act" value="withdraw" { "Withdraw the version in force" }
            }
        }
    }
}

/// The text of one version.
pub fn version(library: &Library, one: &ProcedureText) -> Markup {
    let (check, found) = checked(&one.file(), &one.read_under(library.terms()).judged);
    let short = one.version.get(..12).unwrap_or(&one.version);
    let in_force = library.in_force(&one.family, &one.name).is_some_and(|own| own == one);
    let title = format!("{}: version {short}", one.title());
    let body = html! {
        (trail(&[("/procedures", "Procedures"), (&page_of(&one.family, &one.name), &one.title())]))
        h1 { (title) }
        p {
            @match &one.published { Some((_, at)) => { "Published " (words::when(at)) } None => "As it ships" }
            @if in_force { ", in force" } @else if one.withdrawn { ", withdrawn" } @else { ", no longer in force" }
            ". SHA-256 of its text and its model: " code { (one.version) }
        }
        p { (verdict(&check.verdict)) " · " (check.says) }
        p class="warn" { (OF_THE_TEXT) }
        (Shown { check: &check, found: &found, text: &one.text, model: &one.model }.both())
    };
    whole(&title, Some(Place::Procedures), &body)
}

/// A text that was changed or begun: what the check says of it, and the form to go on with.
pub fn edited(
    library: &Library,
    written: &Written,
    would: Option<&PublishReport>,
    wrong: &[Fault],
) -> Markup {
    let model = if written.model.trim().is_empty() {
        library.model(&written.family).unwrap_or_default()
    } else {
        &written.model
    };
    let at = format!("{}/{}", written.family, written.name);
    let title = if would.is_some() { format!("Checked: {at}") } else { format!("Write {at}") };
    let here = page_of(&written.family, &written.name);
    let body = html! {
        (above())
        (faults(wrong))
        h1 { (title) }
        p { "Nothing is recorded until you publish it." }
        @if let Some(would) = would {
            div class=(if would.outcome == "refused" { "warn" } else { "said" }) role="status" {
                @if let Some(check) = &would.check { p { (verdict(&check.verdict)) " · " (check.says) } }
                @match would.outcome.as_str() {
                    "refused" => p { "It cannot be published so: mend what was found, and check it again." },
                    "in-force" => p { "This very text is in force." },
                    _ => p { "It can be published, as version " code { (would.short()) } "." },
                }
            }
            p class="warn" { (OF_THE_TEXT) }
            @if let Some(warning) = would.warns() { p class="warn" { (warning) } }
            @if would.outcome == "would-be-published" {
                form method="post" action=(here) {
                    (kept(written))
                    button name="act" value="publish" { "Publish: rounds follow this text from now on" }
                }
            }
            @if let Some(check) = &would.check {
                (Shown { check, found: &would.faults, text: &written.text, model }.both())
            }
        }
        h2 id="change" { "Change the text" }
        (form(written, model, wrong))
    };
    whole(&titled(&title, wrong), Some(Place::Procedures), &body)
}

/// The text as it was checked, to be sent again.
fn kept(written: &Written) -> Markup {
    html! {
        input type="hidden" name="seen" value=(written.seen);
        textarea name="text" hidden aria-label="The text" { "\n" (written.text) }
        textarea name="model" hidden aria-label="The model of its family" { "\n" (written.model) }
    }
}

fn form(written: &Written, model: &str, wrong: &[Fault]) -> Markup {
    html! {
        form method="post" action=(page_of(&written.family, &written.name)) novalidate {
            input type="hidden" name="seen" value=(written.seen);
            div class="field" {
                label for="text" { "The text" }
                p class="hint" id="text-hint" { "TOML. What a step does begins with one of the verbs that this program knows; the sentence is yours." }
                (beside(wrong, "text"))
                // The first line end in a text area is taken for none of its text.
                textarea id="text" name="text" rows="24" cols="80" spellcheck="false" aria-describedby=[described(wrong, "text", true)] aria-invalid=[invalid(wrong, "text")] { "\n" (written.text) }
            }
            details open[!written.model.trim().is_empty()] {
                summary { "The model of its family" }
                div class="field" {
                    label for="model" { "What its lines may be in, which parts they have, what its procedures share" }
                    p class="hint" id="model-hint" { "It is published with the text. What is changed here holds for this procedure, and for those of its family that are published after it." }
                    textarea id="model" name="model" rows="24" cols="80" spellcheck="false" aria-describedby="model-hint" { "\n" (model) }
                }
            }
            button name="act" value="check" { "Check it" }
        }
    }
}

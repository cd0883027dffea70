//! Find the fault of a line: one question at a time, causes with their chances, acts in their order, what to tell the technician.
//! All that was answered stands in the address, so that the page can be kept, sent and gone back from.

#[cfg(test)]
mod tests;

use axum::Router;
use axum::extract::rejection::{PathRejection, QueryRejection};
use axum::extract::{Path, Query, State};
use axum::routing::get;
use maud::{Markup, html};
use ouncewise_estate::Address;
use ouncewise_report::{
    ActInOrder, Answer, Answered, FaultFinding, LikelyCause, OpenSign, PartNamed, chance, many,
};

use crate::App;
use crate::layout::{Place, page, trail};
use crate::words;
use crate::wrong::{Wrong, sentence};

pub fn routes() -> Router<App> {
    Router::new().route("/sites/{site}/{machine}/{line}/fault", get(show))
}

/// The page of a line.
pub fn page_of(address: &Address) -> String {
    format!("{}/fault", words::line_page(address))
}

/// What stands in the address.
struct Asked {
    here: String,
    answers: Vec<Answered>,
    /// The sign that a person wants to be asked for.
    ask: Option<String>,
}

impl Asked {
    fn new(address: &Address, pairs: Vec<(String, String)>) -> Result<Self, Wrong> {
        let mut asked = Self { here: page_of(address), answers: Vec::new(), ask: None };
        for (name, text) in pairs {
            match name.as_str() {
                // Several in one, as the form sends on what was answered before.
                "sign" | "answer" => {
                    for text in text.split(',') {
                        let answered: Answered = text.parse()?;
                        // The last answer to a sign counts.
                        asked.answers.retain(|known| known.sign != answered.sign);
                        asked.answers.push(answered);
                    }
                }
                "ask" => asked.ask = Some(text),
                _ => {}
            }
        }
        Ok(asked)
    }

    /// The page with these answers, at a place in it.
    fn link(&self, answers: impl Iterator<Item = String>, more: &str) -> String {
        let all: Vec<String> = answers
            .map(|answered| format!("sign={answered}"))
            .chain((!more.is_empty()).then(|| more.to_owned()))
            .collect();
        let query = if all.is_empty() { String::new() } else { format!("?{}", all.join("&")) };
        format!("{}{query}#ask", self.here)
    }

    fn given(&self) -> impl Iterator<Item = String> {
        self.answers.iter().map(ToString::to_string)
    }

    /// The same without the answer to a sign.
    fn without(&self, sign: &str) -> String {
        let rest = self.answers.iter().filter(|answered| answered.sign != sign);
        self.link(rest.map(ToString::to_string), "")
    }

    /// The same, with a sign taken out.
    fn taken_out(&self, sign: &str) -> String {
        let out = Answered { sign: sign.to_owned(), answer: Answer::Unknown };
        self.link(self.given().chain([out.to_string()]), "")
    }

    /// The same, asking for a sign.
    fn asking(&self, sign: &str) -> String {
        self.link(self.given(), &format!("ask={sign}"))
    }
}

async fn show(
    State(app): State<App>,
    at: Result<Path<(String, String, String)>, PathRejection>,
    query: Result<Query<Vec<(String, String)>>, QueryRejection>,
) -> Result<Markup, Wrong> {
    let Path((site, machine, line)) = at?;
    let Query(pairs) = query?;
    let address = Address::new(&site, &machine, &line)?;
    let asked = Asked::new(&address, pairs)?;
    let report = ouncewise_report::fault(app.store(), &address, &asked.answers, None, None).await?;
    let line_at = words::line_page(&address);
    let machine_at = words::machine_page(&site, &machine);
    let above = [
        ("/sites", "Sites"),
        (&words::site_page(&site), &report.site),
        (&machine_at, &report.machine),
        (&line_at, &report.line),
    ];
    let body = html! {
        (trail(&above))
        h1 { "Find the fault: " (report.line) }
        p { (sentence(&report.reason)) }
        section class="warn" aria-labelledby="cautions" {
            h2 id="cautions" { "Before you touch the machine" }
            ul { @for caution in &report.cautions { li { (caution) } } }
        }
        (question(&report, &asked))
        (answered(&report, &asked))
        (known(&report, &asked))
        h2 { "Likeliest causes" }
        p class="muted" { "How likely it is that each is there, whatever else is. Two may be there at once, or none of these: they need not add up to 100 %." }
        ol class="budget" { @for cause in &report.causes { (likely(cause)) } }
        h2 { "Then act in this order" }
        p { "On average " (minutes(report.minutes)) " until the line works, if exactly one of the known causes is there. Catch it after each act; stop when it is right." }
        p class="muted" { "Beside each act stands how often it would be the one that mends the line, if exactly one cause is there. A cause’s chance above leaves room for others, so the two differ." }
        ol { @for act in &report.acts { (in_order(act)) } }
        section class="call" aria-labelledby="call" {
            h2 id="call" { "Before you call" }
            @for said in &report.before_you_call { p { (said) } }
        }
        section aria-labelledby="was" {
            h2 id="was" { "It was …" }
            p { "Catch the line as left, and put on record what mended it, so that the next search knows: what was set or caught on the form of catches, a part or a clean on the form of a round." }
            ul class="acts" {
                li { a class="button plain" href={ (machine_at) "/record" } { "Record catches" } }
                li { a class="button plain" href={ (machine_at) "/round" } { "Record a round" } }
            }
        }
        p class="muted" {
            (report.catalogue.name) ": " (report.catalogue.basis) ". " (sentence(&report.catalogue.why)) " "
            a href="/docs/fault-finding" { "How this is worked out" }
        }
    };
    let title = format!("Find the fault: {}, {}, {}", report.line, report.machine, report.site);
    Ok(page(&title, Some(Place::Sites), &body))
}

/// The one question, with its three answers; others behind it.
fn question(report: &FaultFinding, asked: &Asked) -> Markup {
    let wanted = asked.ask.as_deref();
    let chosen = report.open.iter().find(|open| wanted == Some(open.sign.as_str()));
    let one = chosen.or(report.next.as_ref());
    let others = || report.open.iter().filter(|open| one.is_none_or(|one| one.sign != open.sign));
    html! {
        section class="ask" id="ask" aria-labelledby="next" {
            h2 id="next" { "Look at this next" }
            @match one {
                Some(one) => (form(one, asked)),
                None => p { "No question saves more minutes than it takes. Begin with the first act." },
            }
            @if others().next().is_some() {
                details {
                    summary { "Ask for something else" }
                    ul { @for open in others() { li { a href=(asked.asking(&open.sign)) { (open.ask) } } } }
                }
            }
        }
    }
}

fn form(one: &OpenSign, asked: &Asked) -> Markup {
    html! {
        p class="question" id="question" { (one.ask) }
        p { "Takes " (minutes(one.minutes))
            @if one.saves_minutes > 0.0 { ", and saves " (minutes(one.saves_minutes)) " on average" }
            ". " (one.changes) }
        form method="get" action={ (asked.here) "#ask" } {
            @if !asked.answers.is_empty() {
                input type="hidden" name="sign" value=(asked.given().collect::<Vec<_>>().join(","));
            }
            ul class="acts" {
                @for (answer, words) in [("yes", "Yes"), ("no", "No"), ("unknown", "Cannot tell")] {
                    li {
                        button name="answer" value={ (one.sign) ":" (answer) } class=[(answer == "unknown").then_some("plain")] aria-describedby="question" { (words) }
                    }
                }
            }
        }
    }
}

/// What a person answered, each to be taken back.
fn answered(report: &FaultFinding, asked: &Asked) -> Markup {
    html! {
        @if !report.answers.is_empty() {
            h2 { "What you answered" }
            ul {
                @for given in &report.answers {
                    li {
                        strong { (said(&given.answer)) } " " (given.ask)
                        @if let Some(known) = report.left_out.iter().find(|known| known.sign == given.sign) {
                            span class="muted" { " Its records say " (known.answer) ": " (sentence(&known.why)) }
                        }
                        " " a class="undo" href=(asked.without(&given.sign)) { "Take back" span class="unseen" { ": " (given.ask) } }
                    }
                }
            }
        }
    }
}

/// What its records answer, each to be taken out.
fn known(report: &FaultFinding, asked: &Asked) -> Markup {
    html! {
        @if !report.known.is_empty() {
            h2 { "Already known from its records" }
            ul {
                @for known in &report.known {
                    li {
                        strong { (said(&known.answer)) } " " (known.ask) " "
                        span class="muted" { (sentence(&known.why)) }
                        " " a class="undo" href=(asked.taken_out(&known.sign)) { "Leave this out" span class="unseen" { ": " (known.ask) } }
                    }
                }
            }
        }
    }
}

fn said(answer: &str) -> &'static str {
    match answer {
        "yes" => "Yes.",
        "no" => "No.",
        _ => "Cannot tell.",
    }
}

fn likely(cause: &LikelyCause) -> Markup {
    let share = chance(cause.probability);
    html! {
        li {
            meter min="0" max="1" value=(format!("{:.3}", cause.probability)) aria-label={ "chance of " (cause.name) } { (share) }
            " " strong { (share) } " " (cause.name)
            @for part in &cause.parts { " " span class="muted" { "(" (named(part)) ")" } }
        }
    }
}

fn named(part: &PartNamed) -> String {
    match &part.number {
        Some(number) => format!("{}, number {number}", part.name),
        None => part.name.clone(),
    }
}

fn in_order(act: &ActInOrder) -> Markup {
    html! {
        li {
            @if act.technician { strong { "Technician only: " } }
            (act.does)
            br;
            span class="muted" {
                (minutes(act.minutes))
                @if let Some(opens) = &act.opens { ", and " (minutes(opens.minutes)) " to open and shut: " (opens.name) }
                "; mends it in " (chance(act.probability)) " of such cases"
            }
        }
    }
}

/// `5 minutes`.
fn minutes(minutes: f64) -> String {
    if minutes < 1.0 {
        return "under a minute".to_owned();
    }
    // Whole minutes are what a person plans by.
    many(minutes.round() as u64, "minute")
}

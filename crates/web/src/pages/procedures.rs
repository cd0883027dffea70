//! *Procedures*: the list, each with its text beside what the check says of it, what follows from a mistake, card and quiz.
//!
//! A text can be changed and checked without anything being recorded. Publishing it is a record: rounds follow it from then on.

mod kit;
mod list;
mod more;
mod one;
#[cfg(test)]
mod tests;
mod written;

use axum::Router;
use axum::extract::rejection::{FormRejection, PathRejection, QueryRejection};
use axum::extract::{Form, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};
use axum::routing::get;
use maud::Markup;
use ouncewise_estate::Estate;
use ouncewise_paper::card::{Print, Printed};
use ouncewise_paper::sheet::Paper;
use ouncewise_report::{
    Library, ProcedureText, Terms, ToPublish, may_be_published, place_kit, procedure_kit,
    procedure_text, terms_at, withdraw,
};
use serde::Deserialize;

use crate::App;
use crate::layout::Fault;
use crate::wrong::Wrong;
use one::Seen;
use written::Written;

pub fn routes() -> Router<App> {
    Router::new()
        .route("/procedures", get(all).post(begin))
        .route("/procedures/card.css", get(|asked: Query_| style(Printed::Card, asked)))
        .route("/procedures/sign-off.css", get(|asked: Query_| style(Printed::SignOff, asked)))
        .route("/procedures/kit", get(kit))
        .route("/procedures/{family}/{name}", get(show).post(sent))
        .route("/procedures/{family}/{name}/versions/{version}", get(version))
        .route("/procedures/{family}/{name}/skip", get(skip))
        .route("/procedures/{family}/{name}/quiz", get(quiz))
        .route("/procedures/{family}/{name}/card", get(card))
        .route("/procedures/{family}/{name}/sign-off", get(sign_off))
}

pub use list::of_family;

/// The page of a procedure, or one below it.
pub fn page_of(family: &str, name: &str) -> String {
    // Both are keys: letters, digits and hyphens.
    format!("/procedures/{family}/{name}")
}

type At = Result<Path<(String, String)>, PathRejection>;
type Sent = Result<Form<Vec<(String, String)>>, FormRejection>;

/// Work that takes a processor for long, beside the other pages.
async fn aside<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, Wrong> {
    tokio::task::spawn_blocking(work).await.map_err(|_| Wrong {
        status: StatusCode::INTERNAL_SERVER_ERROR,
        what: "a defect of this program stopped this check".to_owned(),
        hint: Some("nothing was recorded; tell its makers which text it was".to_owned()),
    })
}

async fn all(State(app): State<App>) -> Result<Markup, Wrong> {
    let (library, estate) = (Library::of(app.store()).await?, app.store().estate().await?);
    aside(move || list::page(&library, &estate, &Written::default(), &[])).await
}

/// Begins a procedure as a copy of another: nothing is recorded yet.
async fn begin(State(app): State<App>, fields: Sent) -> Result<Response, Wrong> {
    let Form(fields) = fields?;
    let (library, estate) = (Library::of(app.store()).await?, app.store().estate().await?);
    let written = Written::from_fields(fields);
    match written.copied(&library) {
        Ok(copy) => {
            let page = aside(move || one::edited(&library, &copy, None, &[])).await?;
            Ok(page.into_response())
        }
        Err(wrong) => {
            let page = aside(move || list::page(&library, &estate, &written, &wrong)).await?;
            Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
        }
    }
}

#[derive(Debug, Default, Deserialize)]
struct Asked {
    /// A site, or a machine of it, whose food code holds and for which the kit is listed.
    #[serde(rename = "for")]
    kit_for: Option<String>,
    language: Option<String>,
    paper: Option<PaperAsked>,
    /// Key of a procedure within each family.
    procedure: Option<String>,
    done: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum PaperAsked {
    A4,
    Letter,
}

impl Asked {
    fn paper(&self) -> Paper {
        if self.paper == Some(PaperAsked::Letter) { Paper::Letter } else { Paper::A4 }
    }

    /// The site that was asked for, and the machine there.
    fn place(&self) -> Option<(&str, Option<&str>)> {
        let place = self.kit_for.as_deref().map(str::trim).filter(|place| !place.is_empty())?;
        let (site, machine) = place.split_once('/').unwrap_or((place, ""));
        Some((site, (!machine.is_empty()).then_some(machine)))
    }

    /// The terms of the food code at the place that was asked for; the group's without one.
    fn terms(&self, estate: &Estate) -> Result<Terms, Wrong> {
        let site = self.place().map(|(site, _)| site);
        match site.filter(|site| !estate.sites.contains_key(*site)) {
            Some(site) => Err(Wrong::missing(
                format!("there is no site `{site}`"),
                "the page of sites lists them all",
            )),
            None => Ok(terms_at(estate, site)),
        }
    }

    /// The language that was asked for, of those that the procedure has; else its first.
    fn language(&self, one: &ProcedureText) -> Result<String, Wrong> {
        let read = one.read();
        let Ok(judged) = &read.judged else { return Ok("en".to_owned()) };
        let all = &judged.procedure.languages;
        let known = |code: &str| all.iter().any(|(own, _)| own == code);
        match self.language.as_deref() {
            Some(code) if known(code) => Ok(code.to_owned()),
            Some(code) => Err(Wrong::missing(
                format!("{} is not written in `{code}`", one.at()),
                "its page lists its languages",
            )),
            None if known("en") => Ok("en".to_owned()),
            None => Ok(all.first().map_or_else(|| "en".to_owned(), |(code, _)| code.clone())),
        }
    }
}

type Query_ = Result<Query<Asked>, QueryRejection>;

/// The version of a procedure that is in force, owned.
async fn in_force(app: &App, at: At) -> Result<(Library, ProcedureText), Wrong> {
    let Path((family, name)) = at?;
    let library = Library::of(app.store()).await?;
    let one = procedure_text(&library, (&family, &name), None)?.clone();
    Ok((library, one))
}

/// A procedure in force, what was asked, and the terms of the food code where it is asked for.
async fn at_place(
    app: &App,
    at: At,
    asked: Query_,
) -> Result<(ProcedureText, Asked, Terms), Wrong> {
    let ((_, one), Query(asked)) = (in_force(app, at).await?, asked?);
    let terms = asked.terms(&*app.store().estate().await?)?;
    Ok((one, asked, terms))
}

async fn show(State(app): State<App>, at: At, asked: Query_) -> Result<Response, Wrong> {
    let (library, one) = in_force(&app, at).await?;
    let Query(asked) = asked?;
    let estate = app.store().estate().await?;
    let page = aside(move || {
        let site = asked.place().map(|(site, _)| site);
        let machine = asked.place().and_then(|(_, machine)| machine);
        let place = asked.kit_for.as_deref().unwrap_or_default().trim();
        let terms = terms_at(&estate, site);
        let kit = procedure_kit(&one, &estate, site, machine, &terms);
        let (kit, wrong) = match kit {
            Ok(kit) => (Some(kit), Vec::new()),
            // A text that cannot be read has no kit; its faults stand on the page anyway.
            Err(_) if place.is_empty() => (None, Vec::new()),
            Err(why) => (
                None,
                vec![Fault::new(
                    "for",
                    format!("{}; {}", why.message, why.hint.unwrap_or_default()),
                )],
            ),
        };
        let status =
            if wrong.is_empty() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
        let done = asked.done.is_some();
        let seen = Seen { kit: kit.as_ref(), terms: &terms, place, wrong: &wrong, done };
        (status, one::page(&library, &one, &estate, &seen))
    });
    Ok(page.await?.into_response())
}

async fn version(
    State(app): State<App>,
    at: Result<Path<(String, String, String)>, PathRejection>,
) -> Result<Markup, Wrong> {
    let Path((family, name, version)) = at?;
    let library = Library::of(app.store()).await?;
    let one = procedure_text(&library, (&family, &name), Some(&version))?.clone();
    aside(move || one::version(&library, &one)).await
}

/// Checks a text as it is typed; publishes it, or withdraws what was published last.
async fn sent(State(app): State<App>, at: At, fields: Sent) -> Result<Response, Wrong> {
    let (Path((family, name)), Form(fields)) = (at?, fields?);
    let library = Library::of(app.store()).await?;
    let mut written = Written::from_fields(fields);
    (written.family, written.name) = (family, name);
    let here = page_of(&written.family, &written.name);
    let (family, name) = (written.family.clone(), written.name.clone());
    if written.act == "withdraw" {
        let is_seen = |one: &ProcedureText| one.version == written.seen;
        // Sent twice, it is withdrawn already.
        let gone = library.versions(&family, &name).any(|one| is_seen(one) && one.withdrawn);
        if library.in_force(&family, &name).is_some_and(is_seen) {
            let (estate, at) = (app.store().estate().await?, app.now_at());
            withdraw(app.store(), (&library, &estate), (&family, &name), false, &at).await?;
        } else if !gone {
            return Err(Wrong {
                status: StatusCode::CONFLICT,
                what: "somebody published another version since this page was made: nothing was withdrawn".to_owned(),
                hint: Some("look at the page of the procedure for what is in force now".to_owned()),
            });
        }
        let left = Library::of(app.store()).await?;
        let there = left.in_force(&family, &name).is_some();
        let to = if there { format!("{here}?done=yes") } else { "/procedures".to_owned() };
        return Ok(Redirect::to(&to).into_response());
    }
    let estate = app.store().estate().await?;
    let (copy, of, again) = (library.clone(), estate.clone(), written.clone());
    let would = aside(move || again.to_publish().would(&copy, &of)).await??;
    if written.act != "publish" || would.outcome == "refused" {
        let publishing = written.act == "publish";
        let status = if publishing { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
        let page = aside(move || one::edited(&library, &written, Some(&would), &[])).await?;
        return Ok((status, page).into_response());
    }
    let seen = library.in_force(&family, &name).map_or("", |one| one.version.as_str());
    if would.outcome == "would-be-published" && seen != written.seen {
        let what = "somebody published another version since this form was made: look at what is in force now, and check again";
        let wrong = [Fault::new("text", what)];
        let page = aside(move || one::edited(&library, &written, Some(&would), &wrong)).await?;
        return Ok((StatusCode::CONFLICT, page).into_response());
    }
    let asked: ToPublish<'_> = written.to_publish();
    asked.publish(app.store(), (&library, &estate), None, &app.now_at()).await?;
    Ok(Redirect::to(&format!("{here}?done=yes")).into_response())
}

async fn skip(State(app): State<App>, at: At, asked: Query_) -> Result<Markup, Wrong> {
    let (one, asked, terms) = at_place(&app, at, asked).await?;
    let language = asked.language(&one)?;
    aside(move || more::skip(&one, &terms, &language)).await?.ok_or_else(unread)
}

async fn quiz(State(app): State<App>, at: At, asked: Query_) -> Result<Markup, Wrong> {
    let (one, asked, terms) = at_place(&app, at, asked).await?;
    let language = asked.language(&one)?;
    aside(move || more::quiz(&one, &terms, &language)).await?.ok_or_else(unread)
}

fn unread() -> Wrong {
    Wrong {
        status: StatusCode::CONFLICT,
        what: "the text of this procedure cannot be read".to_owned(),
        hint: Some("its page shows what to mend".to_owned()),
    }
}

/// What is printed of a text that holds.
async fn printed(what: Printed, app: &App, at: At, asked: Query_) -> Result<Response, Wrong> {
    let (one, asked, terms) = at_place(app, at, asked).await?;
    let (language, paper) = (asked.language(&one)?, asked.paper());
    let made = move || {
        let read = one.read_under(&terms);
        let judged = read.judged.as_ref().ok()?;
        let (family, procedure) = (&judged.family, &judged.procedure);
        let (language, version) = (language.as_str(), one.version.as_str());
        let print = Print { family, procedure, terms: &terms, paper, language, version };
        let style = format!("/procedures/{}.css?paper={}", what.word(), paper_word(paper));
        may_be_published(judged.report.verdict).then(|| print.page(what, Some(&style)))
    };
    match aside(made).await? {
        Some(page) => Ok(Html(page).into_response()),
        None => Err(Wrong {
            status: StatusCode::CONFLICT,
            what: "nothing is printed of a text that does not hold".to_owned(),
            hint: Some("the page of the procedure shows what to mend".to_owned()),
        }),
    }
}

async fn card(State(app): State<App>, at: At, asked: Query_) -> Result<Response, Wrong> {
    printed(Printed::Card, &app, at, asked).await
}

async fn sign_off(State(app): State<App>, at: At, asked: Query_) -> Result<Response, Wrong> {
    printed(Printed::SignOff, &app, at, asked).await
}

fn paper_word(paper: Paper) -> &'static str {
    if paper == Paper::Letter { "letter" } else { "a4" }
}

/// What to bring to a site, or to one of its machines, with each machine's usual procedure.
async fn kit(State(app): State<App>, asked: Query_) -> Result<Markup, Wrong> {
    let Query(asked) = asked?;
    let (library, estate) = (Library::of(app.store()).await?, app.store().estate().await?);
    let terms = asked.terms(&estate)?;
    let made = move || {
        let Some((site, machine)) = asked.place() else {
            return Err(Wrong::missing(
                "no site was named",
                "open it from the page of a site, or add `?for=` and the key of one",
            ));
        };
        let named = asked.procedure.as_deref();
        let kit = place_kit((&library, &estate), (site, machine), named, &terms, "en")?;
        Ok(kit::page(&kit, site, machine))
    };
    aside(made).await?
}

async fn style(what: Printed, asked: Query_) -> Result<Response, Wrong> {
    let Query(asked) = asked?;
    let style = ouncewise_paper::card::style(what, asked.paper());
    Ok(([(header::CONTENT_TYPE, "text/css; charset=utf-8")], style).into_response())
}

//! The documents for the lead, served with the program: the same files as in its folder `docs`.

#[cfg(test)]
mod tests;

use axum::Router;
use axum::extract::Path;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use maud::{Markup, PreEscaped, html};
use pulldown_cmark::{CowStr, Event, Options, Parser, Tag, TagEnd};

use crate::App;
use crate::layout::{page, trail};
use crate::wrong::Wrong;

/// Name, title and text of each.
const ALL: &[(&str, &str, &str)] = &[
    (
        "from-a-sheet-to-monday",
        "From a sheet to Monday’s list",
        include_str!("../../../../docs/from-a-sheet-to-monday.md"),
    ),
    (
        "estimate",
        "How it thinks, and where it can be wrong",
        include_str!("../../../../docs/estimate.md"),
    ),
    ("evidence", "Evidence that the advice is good", include_str!("../../../../docs/evidence.md")),
    ("hygiene", "Why clear is not clean", include_str!("../../../../docs/hygiene.md")),
    ("strength", "Strength and strips", include_str!("../../../../docs/strength.md")),
    ("fault-finding", "Finding a fault", include_str!("../../../../docs/fault-finding.md")),
    ("sheets", "Sheets", include_str!("../../../../docs/sheets.md")),
    ("files", "Files", include_str!("../../../../docs/files.md")),
    ("faults", "Faults in files", include_str!("../../../../docs/faults.md")),
    (
        "procedures",
        "Procedures, and the verbs they are written with",
        include_str!("../../../../docs/procedures.md"),
    ),
    ("rules", "Rules for procedures", include_str!("../../../../docs/procedures/rules.md")),
    ("records", "How records are kept", include_str!("../../../../docs/records.md")),
    ("api", "The API", include_str!("../../../../docs/api.md")),
];

macro_rules! pictures {
    ($($name:literal),*) => {
        &[$(($name, include_str!(concat!("../../../../docs/pictures/", $name)))),*]
    };
}

/// The pictures of documents that are served with them, by their names in the folder `docs/pictures`.
const PICTURES: &[(&str, &str)] = pictures![
    "flush-wall.svg",
    "flush-clear.svg",
    "flush-flow.svg",
    "flush-ways.svg",
    "flush-syrup.svg",
    "flush-sanitiser.svg",
    "strength-gallon.svg",
    "strength-strip.svg"
];

pub fn routes() -> Router<App> {
    Router::new()
        .route("/docs", get(all))
        .route("/docs/pictures/{name}", get(picture))
        .route("/docs/problems", get(problems))
        .route("/docs/{name}", get(one))
}

async fn all() -> Markup {
    let body = html! {
        h1 { "How to use this" }
        ul {
            @for (name, title, _) in ALL { li { a href={ "/docs/" (name) } { (title) } } }
            li { a href="/docs/problems" { "What the API’s problems mean" } }
        }
    };
    page("How to use this", None, &body)
}

async fn one(Path(name): Path<String>) -> Result<Markup, Wrong> {
    let name = name.trim_end_matches(".md");
    let Some((_, title, text)) = ALL.iter().find(|(known, ..)| *known == name) else {
        return Err(Wrong::missing(
            format!("there is no document `{name}`"),
            "the page “How to use this” lists them",
        ));
    };
    let body = html! {
        (trail(&[("/docs", "How to use this")]))
        div class="document" { (PreEscaped(rendered(text))) }
    };
    Ok(page(title, None, &body))
}

/// A picture of a document.
async fn picture(Path(name): Path<String>) -> Result<Response, Wrong> {
    let Some((_, text)) = PICTURES.iter().find(|(known, _)| *known == name) else {
        return Err(Wrong::missing(
            format!("there is no picture `{name}`"),
            "the documents show those there are",
        ));
    };
    Ok(([(header::CONTENT_TYPE, "image/svg+xml")], *text).into_response())
}

/// A document as HTML. Its links to other documents lead to their pages; pictures that are not served are in the folder only.
fn rendered(text: &str) -> String {
    let parser = Parser::new_ext(text, Options::ENABLE_TABLES);
    let mut skipping = false;
    let mut in_heading = false;
    let (mut heading, mut tables) = (String::new(), 0);
    let served = |at: &str| {
        let name = at.strip_prefix("pictures/")?;
        PICTURES.iter().any(|(known, _)| *known == name).then(|| format!("/docs/pictures/{name}"))
    };
    let events = parser.filter_map(|event| match event {
        Event::Start(Tag::Image { link_type, dest_url, title, id })
            if served(&dest_url).is_some() =>
        {
            let dest_url = served(&dest_url).map_or(dest_url, CowStr::from);
            Some(Event::Start(Tag::Image { link_type, dest_url, title, id }))
        }
        Event::Start(Tag::Image { .. }) => {
            skipping = true;
            None
        }
        Event::End(TagEnd::Image) if skipping => {
            skipping = false;
            None
        }
        _ if skipping => None,
        Event::Start(Tag::Heading { .. }) => {
            in_heading = true;
            heading.clear();
            Some(event)
        }
        Event::End(TagEnd::Heading(_)) => {
            in_heading = false;
            Some(event)
        }
        Event::Text(ref words) | Event::Code(ref words) if in_heading => {
            heading.push_str(words);
            Some(event)
        }
        Event::Start(Tag::Link { link_type, dest_url, title, id }) => {
            let dest_url = match dest_url.split_once(".md") {
                Some((name, rest)) if !dest_url.contains("://") => {
                    // Each has a name of its own, in whichever folder it is.
                    let name = name.rsplit('/').next().unwrap_or(name);
                    CowStr::from(format!("/docs/{name}{rest}"))
                }
                _ => dest_url,
            };
            Some(Event::Start(Tag::Link { link_type, dest_url, title, id }))
        }
        Event::Start(Tag::Table(_)) => {
            tables += 1;
            let open = html! { (heading) ": table " (tables) }.into_string();
            let open = format!(
                "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"{open}\"><table>"
            );
            Some(Event::Html(CowStr::from(open)))
        }
        Event::End(TagEnd::Table) => Some(Event::Html(CowStr::from("</tbody></table></div>"))),
        event => Some(event),
    });
    let mut html = String::new();
    pulldown_cmark::html::push_html(&mut html, events);
    // Markdown has no table without headings; one that says nothing is no heading.
    html.replace("<th></th>", "<td></td>").replace("<th>", "<th scope=\"col\">")
}

/// What the codes of the API's problems mean.
async fn problems() -> Markup {
    let body = html! {
        (trail(&[("/docs", "How to use this")]))
        h1 { "What the API’s problems mean" }
        p { "Every answer of the API that is not a success is a problem document (RFC 9457). Its code is one of these, or the code of a fault in a file or a sheet." }
        dl class="facts" {
            @for (code, words) in crate::api::CODES {
                dt id=(code) { code { (code) } } dd { (words) }
            }
        }
    };
    page("What the API’s problems mean", None, &body)
}

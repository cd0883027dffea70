//! What all pages share: head, navigation, foot.

use maud::{DOCTYPE, Markup, html};

/// The places in the navigation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// This week.
    Week,
    /// Sites, and what is below them.
    Sites,
    /// Procedures.
    Procedures,
    /// Bringing in a sheet.
    Bring,
    /// Records.
    Records,
    /// Calculating.
    Calculate,
    /// Setting up.
    SetUp,
}

const PLACES: [(Place, &str, &str); 7] = [
    (Place::Week, "/", "This week"),
    (Place::Sites, "/sites", "Sites"),
    (Place::Procedures, "/procedures", "Procedures"),
    (Place::Bring, "/bring", "Bring in a sheet"),
    (Place::Records, "/records", "Records"),
    (Place::Calculate, "/calculate", "Calculate"),
    (Place::SetUp, "/setup", "Set up"),
];

/// A page. `body` holds the one `h1`.
pub fn page(title: &str, here: Option<Place>, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                title { (title) " – Ouncewise" }
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                link rel="stylesheet" href=(crate::assets::STYLE);
                link rel="icon" href=(crate::assets::ICON) type="image/svg+xml";
                script type="module" src=(crate::assets::SCRIPT) {}
            }
            body {
                a class="skip" href="#main" { "Skip to the page" }
                header class="top" {
                    p class="name" { a href="/" { "Ouncewise" } }
                    nav aria-label="Pages" {
                        ul {
                            @for (place, at, words) in PLACES {
                                li {
                                    a href=(at) aria-current=[(here == Some(place)).then_some("page")] { (words) }
                                }
                            }
                        }
                    }
                }
                main id="main" tabindex="-1" { (body) }
                footer {
                    p {
                        "Follow the product label, the machine’s manual and the local code; where they differ, the stricter applies. "
                        "A verdict never overrules a person who thinks that a line is unsafe: stop it."
                    }
                    p {
                        a href="/docs" { "How to use this" } " · "
                        a href="/api/v1/openapi.json" { "API" } " · "
                        "Ouncewise " (env!("CARGO_PKG_VERSION"))
                    }
                }
            }
        }
    }
}

/// Where a page stands: links to what is above it.
pub fn trail(above: &[(&str, &str)]) -> Markup {
    html! {
        nav class="trail" aria-label="Above this page" {
            ol { @for (at, words) in above { li { a href=(at) { (words) } } } }
        }
    }
}

/// One thing that is wrong with a form: the field, and what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Id of the field.
    pub field: String,
    /// What is wrong with it, as a sentence that says how to mend it.
    pub what: String,
}

impl Fault {
    /// A fault of a field.
    pub fn new(field: impl Into<String>, what: impl Into<String>) -> Self {
        Self { field: field.into(), what: crate::wrong::sentence(&what.into()) }
    }
}

/// All that is wrong with a form, above it; the script puts the focus there.
pub fn faults(all: &[Fault]) -> Markup {
    html! {
        @if !all.is_empty() {
            section class="faults" role="alert" aria-labelledby="what-is-wrong" tabindex="-1" data-focus {
                h2 id="what-is-wrong" { "There is a problem" }
                ul { @for fault in all { li { a href={ "#" (fault.field) } { (fault.what) } } } }
            }
        }
    }
}

/// What is wrong with one field, beside it. The field names it by `aria-describedby`: [`described`].
pub fn beside(all: &[Fault], field: &str) -> Markup {
    html! {
        @if invalid(all, field).is_some() {
            div class="fault" id={ (field) "-fault" } {
                @for fault in all.iter().filter(|fault| fault.field == field) {
                    p { span class="unseen" { "Error: " } (fault.what) }
                }
            }
        }
    }
}

/// Whether a field has a fault, for `aria-invalid`.
pub fn invalid(all: &[Fault], field: &str) -> Option<&'static str> {
    all.iter().any(|fault| fault.field == field).then_some("true")
}

/// The ids that describe a field: its hint, and its fault where it has one.
pub fn described(all: &[Fault], field: &str, hint: bool) -> Option<String> {
    let fault = invalid(all, field).map(|_| format!("{field}-fault"));
    let hint = hint.then(|| format!("{field}-hint"));
    let ids: Vec<String> = hint.into_iter().chain(fault).collect();
    (!ids.is_empty()).then(|| ids.join(" "))
}

/// The title of a page with a form that has faults says so first.
pub fn titled(title: &str, all: &[Fault]) -> String {
    if all.is_empty() { title.to_owned() } else { format!("Error: {title}") }
}

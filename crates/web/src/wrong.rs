//! What could not be done, as a page that says what, where and how to mend it.

use std::any::Any;

use axum::extract::rejection::{FormRejection, PathRejection, QueryRejection};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::html;
use ouncewise_estate::Misread;
use ouncewise_report::{Exit, Failure};
use ouncewise_store::{Outcome, Receipt, StoreError};

use crate::layout;

/// A failure on its way to a page.
#[derive(Debug)]
pub struct Wrong {
    /// What the browser is told.
    pub status: StatusCode,
    /// What happened, and to what.
    pub what: String,
    /// How to mend it.
    pub hint: Option<String>,
}

impl Wrong {
    /// What a form that was sent again with other answers is told; its records are kept aside.
    pub fn unless_recorded_otherwise(receipt: &Receipt) -> Result<(), Self> {
        if !receipt.outcomes.iter().any(|outcome| matches!(outcome, Outcome::Conflict { .. })) {
            return Ok(());
        }
        Err(Self {
            status: StatusCode::CONFLICT,
            what: "this form was recorded before, with other answers".to_owned(),
            hint: Some("what was recorded first stands, and the other answers are kept aside; to correct a record, open it under Records and withdraw it, then fill in a new form".to_owned()),
        })
    }

    /// Something that was asked for is not there.
    pub fn missing(what: impl Into<String>, hint: impl Into<String>) -> Self {
        Self { status: StatusCode::NOT_FOUND, what: what.into(), hint: Some(hint.into()) }
    }

    /// What was sent cannot be used.
    pub fn unusable(what: impl Into<String>, hint: impl Into<String>) -> Self {
        Self { status: StatusCode::BAD_REQUEST, what: what.into(), hint: Some(hint.into()) }
    }
}

/// The status that says what an exit code says.
pub fn status(failure: &Failure) -> StatusCode {
    match failure.exit {
        _ if failure.missing => StatusCode::NOT_FOUND,
        Exit::Done | Exit::No => StatusCode::OK,
        Exit::Usage => StatusCode::BAD_REQUEST,
        Exit::Data => StatusCode::UNPROCESSABLE_ENTITY,
        Exit::Unavailable => StatusCode::SERVICE_UNAVAILABLE,
        Exit::Bug | Exit::Io => StatusCode::INTERNAL_SERVER_ERROR,
    }
}

impl From<Failure> for Wrong {
    fn from(failure: Failure) -> Self {
        Self { status: status(&failure), what: failure.message, hint: failure.hint }
    }
}

impl From<StoreError> for Wrong {
    fn from(error: StoreError) -> Self {
        Failure::from(error).into()
    }
}

impl From<Misread> for Wrong {
    fn from(misread: Misread) -> Self {
        Self::unusable(misread.message, misread.hint)
    }
}

macro_rules! rejected {
    ($($rejection:ty),*) => {$(
        impl From<$rejection> for Wrong {
            fn from(rejection: $rejection) -> Self {
                let hint = "go back, and use the page's own form or links".to_owned();
                Self { status: rejection.status(), what: rejection.body_text(), hint: Some(hint) }
            }
        }
    )*};
}
rejected!(FormRejection, PathRejection, QueryRejection);

impl IntoResponse for Wrong {
    fn into_response(self) -> Response {
        let title = match self.status {
            StatusCode::NOT_FOUND => "Not there",
            status if status.is_client_error() => "That could not be done",
            _ => "Something is wrong here",
        };
        let body = html! {
            h1 { (title) }
            p { (sentence(&self.what)) }
            @if let Some(hint) = &self.hint { p { (sentence(hint)) } }
            p { a href="/" { "This week" } }
        };
        (self.status, layout::page(title, None, &body)).into_response()
    }
}

/// Words as a sentence of their own: a capital first and a stop last.
pub fn sentence(words: &str) -> String {
    let mut chars = words.trim().chars();
    let first: String = chars.next().into_iter().flat_map(char::to_uppercase).collect();
    let mut text = first + chars.as_str();
    if !text.ends_with(['.', '?', '!', ':']) {
        text.push('.');
    }
    text
}

/// A defect of ours: nothing of it is shown, for it may hold anything.
pub fn panicked(_: Box<dyn Any + Send>) -> Response {
    Wrong {
        status: StatusCode::INTERNAL_SERVER_ERROR,
        what: "a defect of this program stopped this page".to_owned(),
        hint: Some("nothing that was saved is lost; go back and try again, and tell its makers what you did".to_owned()),
    }
    .into_response()
}

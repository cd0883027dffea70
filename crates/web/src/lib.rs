//! Pages for the lead and the JSON API: the same answers as the command line's, over the same store.
//!
//! Pages are made on the server, work without JavaScript, and call no other host. Each module of `pages` is one page or
//! one act, its template beside its handler; `api` is the same for programs. [`router`] puts them together,
//! [`serve`] listens.
//!
//! # What this crate does not do
//!
//! There is no sign-in yet, so it serves this machine only: [`serve`] refuses every other address, and the router every
//! other host. It computes nothing: verdicts, windows and estimates are those of the computing crates, and what is said
//! of them is made by `report`.

mod api;
mod app;
mod assets;
mod headers;
mod kept;
mod layout;
mod learning;
mod pages;
mod serve;
#[cfg(test)]
mod testing;
mod words;
mod wrong;

pub use api::openapi;
pub use app::App;
pub use serve::{ServeError, bind, serve};

use std::time::Duration;

use axum::Router;
use axum::http::StatusCode;
use axum::middleware;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::csrf::CsrfLayer;
use tower_http::timeout::TimeoutLayer;

/// The longest request that is answered; bringing in a large sheet takes a while.
const LONGEST: Duration = Duration::from_secs(300);

/// All pages, the API and the files that belong to them.
pub fn router(app: App) -> Router {
    Router::new()
        .merge(pages::routes())
        .merge(assets::routes())
        .nest("/api/v1", api::routes())
        .fallback(pages::not_found)
        .method_not_allowed_fallback(pages::not_that_way)
        .with_state(app.clone())
        .layer(CompressionLayer::new())
        .layer(middleware::from_fn_with_state(app, kept::pages))
        .layer(TimeoutLayer::with_status_code(StatusCode::REQUEST_TIMEOUT, LONGEST))
        .layer(CatchPanicLayer::custom(wrong::panicked))
        .layer(CsrfLayer::new())
        .layer(middleware::from_fn(headers::only_here))
        // What is refused out here is refused to programs too, in their own form.
        .layer(middleware::from_fn(api::in_problems))
        .layer(middleware::from_fn(headers::strict))
}

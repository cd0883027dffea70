//! The JSON API: all that the pages and the command line answer, for programs.
//!
//! One [`table`] holds every operation; the router and the description (OpenAPI 3.1) are both made from it. A request is
//! held against the very schemas that are published before a handler sees it, and every answer that is no success is a
//! problem document with a code of [`CODES`].

mod calculate;
mod call;
mod endpoint;
mod estate;
mod fault;
mod fits;
mod json;
mod learn;
mod list;
mod loads;
mod openapi;
mod problem;
mod procedures;
mod records;
mod schemas;
mod sheets;
mod standing;
mod table;
#[cfg(test)]
mod tests;
mod upload;

pub use openapi::openapi;
pub use problem::{CODES, in_problems};

use axum::Router;
use tower_http::catch_panic::CatchPanicLayer;

use crate::App;

/// All operations.
pub fn routes() -> Router<App> {
    let mut make = openapi::Schemas::new();
    table::table(&mut make)
        .into_iter()
        .fold(Router::new(), |router, endpoint| router.route(endpoint.path, endpoint.route()))
        .fallback(problem::no_address)
        .method_not_allowed_fallback(problem::not_that_way)
        .layer(CatchPanicLayer::custom(problem::panicked))
}

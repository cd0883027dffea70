//! The pages. Each module is one page or one act: its address, its handler, its template.

mod bring;
mod calculate;
mod docs;
mod fault;
mod history;
mod line;
mod machine;
mod record;
mod records;
mod round;
mod setup;
mod sheet;
mod site;
mod sites;
mod week;

pub use bring::Uploads;

use axum::Router;
use axum::http::StatusCode;
use axum::middleware::map_response;
use axum::response::{IntoResponse, Response};

use crate::App;
use crate::kept;
use crate::wrong::Wrong;

/// All of them.
pub fn routes() -> Router<App> {
    // These only show: what they say holds until something is written.
    let shows = week::routes()
        .merge(sites::routes())
        .merge(site::routes())
        .merge(machine::routes())
        .merge(line::routes())
        .route_layer(map_response(kept::may_be_kept));
    Router::new()
        .merge(shows)
        .merge(fault::routes())
        .merge(record::routes())
        .merge(round::routes())
        .merge(sheet::routes())
        .merge(records::routes())
        .merge(calculate::routes())
        .merge(bring::routes())
        .merge(setup::routes())
        .merge(docs::routes())
}

/// Nothing is at this address.
pub async fn not_found() -> Wrong {
    Wrong::missing("there is no page at this address", "look at the address, or begin at this week")
}

/// Something is there, but not for this method.
pub async fn not_that_way() -> Response {
    let wrong = Wrong {
        status: StatusCode::METHOD_NOT_ALLOWED,
        what: "this address answers another method".to_owned(),
        hint: Some("go back, and use the page's own form or links".to_owned()),
    };
    wrong.into_response()
}

#[cfg(test)]
mod tests;

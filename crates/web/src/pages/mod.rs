//! The pages. Each module is one page or one act: its address, its handler, its template.

mod bring;
mod calculate;
mod charts;
mod docs;
mod fault;
mod history;
mod line;
mod machine;
mod procedures;
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
use axum::http::{Method, StatusCode, Uri};
use axum::middleware::map_response;
use axum::response::{IntoResponse, Redirect, Response};

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
        .merge(charts::routes())
        .merge(fault::routes())
        .merge(record::routes())
        .merge(round::routes())
        .merge(sheet::routes())
        .merge(records::routes())
        .merge(calculate::routes())
        .merge(bring::routes())
        .merge(procedures::routes())
        .merge(setup::routes())
        .merge(docs::routes())
}

/// Nothing is at this address. With a slash too many at its end it leads to the page that is meant.
pub async fn not_found(method: Method, uri: Uri) -> Response {
    let path = uri.path();
    // A browser takes a backslash for a slash.
    let own = path.len() > 1 && !path.contains('\\');
    if matches!(method, Method::GET | Method::HEAD) && own && path.ends_with('/') {
        // One slash before it, however many were sent: two would name another host.
        let plain = format!("/{}", path.trim_matches('/'));
        let query = uri.query().map_or_else(String::new, |query| format!("?{query}"));
        return Redirect::permanent(&format!("{plain}{query}")).into_response();
    }
    Wrong::missing("there is no page at this address", "look at the address, or begin at this week")
        .into_response()
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

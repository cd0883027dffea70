//! Pages that many look at are made once, and given again until anything was written.
//!
//! Kept are pages that only show (their routes say so, by [`may_be_kept`]), as they went out, compressed or not. Whether
//! they still hold is asked of the store each time; and no page is older than a minute, because some say how long ago
//! something was. Forms are never kept: each has an id of its own, by which it is recorded once.

use std::collections::{HashMap, VecDeque};
use std::sync::{Mutex, PoisonError};

use axum::body::{Body, Bytes, to_bytes};
use axum::extract::{Request, State};
use axum::http::{Method, StatusCode, header, response};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::App;

/// How many pages are kept at most, and how large each may be.
const MOST: usize = 64;
const LARGEST: usize = 256 * 1024;

/// For how long, at most.
const MILLISECONDS: i64 = 60_000;

/// The pages that are kept.
#[derive(Default)]
pub struct Kept(Mutex<Pages>);

#[derive(Default)]
struct Pages {
    pages: HashMap<Asked, Page>,
    /// In the order in which they were made.
    order: VecDeque<Asked>,
}

/// What was asked for: the address, and whether the answer may be compressed.
type Asked = (String, bool);

#[derive(Clone)]
struct Page {
    version: i64,
    made_ms: i64,
    head: response::Parts,
    body: Bytes,
}

impl Kept {
    fn find(&self, asked: &Asked, version: i64, now_ms: i64) -> Option<Page> {
        let kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let page = kept.pages.get(asked)?;
        let age = now_ms - page.made_ms;
        (page.version == version && (0..MILLISECONDS).contains(&age)).then(|| page.clone())
    }

    fn keep(&self, asked: Asked, page: Page) {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.pages.insert(asked.clone(), page).is_none() {
            kept.order.push_back(asked);
        }
        while kept.pages.len() > MOST
            && let Some(oldest) = kept.order.pop_front()
        {
            kept.pages.remove(&oldest);
        }
    }
}

/// Gives a kept page where it still holds, and keeps what can be kept.
pub async fn pages(State(app): State<App>, request: Request, next: Next) -> Response {
    let Some(asked) = asked(&request) else { return next.run(request).await };
    let Ok(Some(version)) = app.store().version().await else { return next.run(request).await };
    let now_ms = app.now().as_millisecond();
    if let Some(Page { head, body, .. }) = app.kept().find(&asked, version, now_ms) {
        return Response::from_parts(head, Body::from(body));
    }
    let response = next.run(request).await;
    if response.status() != StatusCode::OK || response.extensions().get::<MayBeKept>().is_none() {
        return response;
    }
    let (head, body) = response.into_parts();
    // A page is made whole before it is sent, so this waits for nothing but its compression.
    let Ok(body) = to_bytes(body, usize::MAX).await else {
        return StatusCode::INTERNAL_SERVER_ERROR.into_response();
    };
    if body.len() <= LARGEST {
        let page = Page { version, made_ms: now_ms, head: head.clone(), body: body.clone() };
        app.kept().keep(asked, page);
    }
    Response::from_parts(head, Body::from(body))
}

/// Marks an answer that only shows what was recorded.
#[derive(Clone, Copy)]
struct MayBeKept;

/// Says of the answers of some routes that they only show what was recorded, and may be kept until something is written.
pub async fn may_be_kept(mut response: Response) -> Response {
    response.extensions_mut().insert(MayBeKept);
    response
}

/// What is asked for, and whether the answer may be compressed.
fn asked(request: &Request) -> Option<Asked> {
    if request.method() != Method::GET {
        return None;
    }
    let address = request.uri().path_and_query()?.as_str().to_owned();
    let accepts = request.headers().get_all(header::ACCEPT_ENCODING);
    let packed = accepts.iter().any(|value| value.to_str().is_ok_and(|v| v.contains("gzip")));
    Some((address, packed))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{caught, demo, get};

    fn count(app: &App) -> usize {
        app.kept().0.lock().unwrap().pages.len()
    }

    #[tokio::test]
    async fn a_page_is_given_again_until_something_is_written() {
        let here = demo().await;
        let line = "/sites/fernhollow/counter-1/2";
        let first = get(&here.app, line).await.1;
        assert_eq!(count(&here.app), 1);
        assert_eq!(get(&here.app, line).await.1, first);
        assert_eq!(count(&here.app), 1);
        let another = caught("fernhollow", "counter-1", "2", "2026-03-02", "30.2 mL", 9);
        here.store.append(vec![another]).await.unwrap();
        let after = get(&here.app, line).await.1;
        assert_ne!(after, first);
        assert!(after.contains("30.2 mL"), "{after}");
    }

    #[tokio::test]
    async fn forms_and_what_is_wrong_are_not_kept() {
        let here = demo().await;
        let form = "/sites/fernhollow/counter-1/record";
        let first = get(&here.app, form).await.1;
        assert_ne!(get(&here.app, form).await.1, first, "each form has an id of its own");
        get(&here.app, "/docs").await;
        let (missing, _) = get(&here.app, "/sites/fernhollow/nowhere").await;
        assert_eq!(missing, StatusCode::NOT_FOUND);
        assert_eq!(count(&here.app), 0);
    }

    #[test]
    fn the_oldest_makes_room() {
        let kept = Kept::default();
        let page = |version| Page {
            version,
            made_ms: 0,
            head: Response::new(()).into_parts().0,
            body: Bytes::from_static(b"page"),
        };
        for number in 0..=MOST {
            kept.keep((number.to_string(), false), page(1));
        }
        assert!(kept.find(&("0".to_owned(), false), 1, 0).is_none());
        let last = (MOST.to_string(), false);
        assert!(kept.find(&last, 1, 0).is_some());
        assert!(kept.find(&last, 2, 0).is_none(), "something was written");
        assert!(kept.find(&last, 1, MILLISECONDS).is_none(), "a minute later");
    }
}

//! What every answer carries, and which requests are answered at all.

use axum::extract::Request;
use axum::http::header::{self, HeaderName, HeaderValue};
use axum::http::{StatusCode, Uri};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// Everything comes from here, and nothing is written into a page: no inline script, no inline style.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; \
     form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// Adds the headers that every answer carries.
pub async fn strict(request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "same-origin"),
        (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
        (HeaderName::from_static("permissions-policy"), "camera=(), geolocation=(), microphone=()"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    // Names and figures of the group are not for a cache that others share. What was checked before it was recorded must
    // be there when somebody goes back to it, so the browser may keep it.
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("private, no-cache"));
    response
}

/// Answers only those who asked for this machine by its own name: a page of another site whose name was made to lead
/// here (DNS rebinding) would otherwise read everything.
pub async fn only_here(request: Request, next: Next) -> Response {
    let host = request.headers().get(header::HOST).and_then(|host| host.to_str().ok());
    if host.or_else(|| request.uri().host()).is_some_and(is_here) {
        return next.run(request).await;
    }
    let what = "This is served to its own machine only, as http://localhost or http://127.0.0.1.\n";
    (StatusCode::MISDIRECTED_REQUEST, what).into_response()
}

fn is_here(host: &str) -> bool {
    let Ok(uri) = format!("http://{host}/").parse::<Uri>() else { return false };
    matches!(uri.host(), Some("localhost" | "127.0.0.1" | "[::1]"))
}

#[cfg(test)]
mod tests {
    use super::is_here;

    #[test]
    fn only_names_of_this_machine_are_here() {
        for here in ["localhost", "localhost:8037", "127.0.0.1:1", "[::1]:8037"] {
            assert!(is_here(here), "{here}");
        }
        for not in [
            "",
            "example.org",
            "localhost.example.org",
            "127.0.0.1.example.org:80",
            "10.0.0.1",
            "a b",
        ] {
            assert!(!is_here(not), "{not}");
        }
    }
}

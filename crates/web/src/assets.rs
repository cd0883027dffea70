//! The files that belong to the pages. Each is served under an address that changes with its content, so that a
//! browser keeps it.

use std::sync::LazyLock;

use axum::Router;
use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use maud::Render;
use sha2::{Digest, Sha256};

use crate::App;

/// One file.
struct Asset {
    name: &'static str,
    kind: &'static str,
    text: String,
    mark: String,
}

impl Asset {
    fn new(name: &'static str, kind: &'static str, text: String) -> Self {
        let digest = Sha256::digest(text.as_bytes());
        let mark = digest.iter().take(6).map(|byte| format!("{byte:02x}")).collect();
        Self { name, kind, text, mark }
    }
}

static ALL: LazyLock<[Asset; 3]> = LazyLock::new(|| {
    use ouncewise_chart::{CSS, DARK, LIGHT};
    let style = include_str!("assets/style.css")
        .replace("/* chart, light */", LIGHT)
        .replace("/* chart, dark */", DARK);
    [
        Asset::new("style.css", "text/css; charset=utf-8", style + CSS),
        Asset::new("icon.svg", "image/svg+xml", include_str!("assets/icon.svg").to_owned()),
        Asset::new(
            "page.js",
            "text/javascript; charset=utf-8",
            include_str!("assets/page.js").to_owned(),
        ),
    ]
});

/// The address of a file, for templates.
pub struct At(usize);

/// The style sheet.
pub const STYLE: At = At(0);
/// The icon.
pub const ICON: At = At(1);
/// The script.
pub const SCRIPT: At = At(2);

impl Render for At {
    fn render_to(&self, buffer: &mut String) {
        let asset = &ALL[self.0];
        buffer.push_str(&format!("/files/{}/{}", asset.mark, asset.name));
    }
}

pub fn routes() -> Router<App> {
    Router::new()
        .route("/files/{mark}/{name}", get(file))
        // Where a browser looks that shows a document without a link to its icon, such as the machine sheet.
        .route("/favicon.ico", get(async || Redirect::permanent(&ICON.render().0)))
}

async fn file(Path((mark, name)): Path<(String, String)>) -> Response {
    match ALL.iter().find(|asset| asset.name == name && asset.mark == mark) {
        Some(asset) => (
            [
                (header::CONTENT_TYPE, asset.kind),
                (header::CACHE_CONTROL, "public, max-age=31536000, immutable"),
            ],
            asset.text.as_str(),
        )
            .into_response(),
        None => StatusCode::NOT_FOUND.into_response(),
    }
}

//! A small store to ask, and how to ask it, for tests.

use std::sync::Arc;

use axum::body::Body;
use axum::http::{HeaderMap, Request, Response, StatusCode, header};
use jiff::Timestamp;
use ouncewise_estate::{Estate, files};
use ouncewise_ledger::{Draft, Entered, LineState, Record, Scope, Subject};
use ouncewise_store::{Clock, Location, Options, Store};
use tempfile::TempDir;
use tower::ServiceExt;
use uuid::Uuid;

use crate::App;

/// 2026-03-02T09:00:00Z, a Monday.
pub const NOW: &str = "2026-03-02T09:00:00Z";

/// A server without a network, over a store in a folder of its own.
pub struct Here {
    pub app: App,
    pub store: Arc<Store>,
    _folder: TempDir,
}

/// Over an empty store.
pub async fn empty() -> Here {
    let folder = tempfile::tempdir().unwrap();
    let now: Timestamp = NOW.parse().unwrap();
    let clock = Clock::new(move || now);
    let location = Location::Dir(folder.path().join("data"));
    let options = Options { clock: clock.clone(), ..Options::default() };
    let store = Arc::new(Store::open_with(&location, options).await.unwrap());
    let app = App::new(store.clone(), clock, Some(folder.path().join("mappings")));
    Here { app, store, _folder: folder }
}

/// Over two sites: `fernhollow` has a screw-set machine of three lines and a taught one, `mossgate` one machine.
/// Lines were caught some times; `fernhollow/counter-1/2` is far off.
pub async fn demo() -> Here {
    let here = empty().await;
    let described =
        ouncewise_report::described(&Estate::default(), &estate(), "2026-01-05T08:00:00.000Z");
    here.store.append(described).await.unwrap();
    let mut drafts = Vec::new();
    for (week, day) in ["2026-02-09", "2026-02-16", "2026-02-23"].iter().enumerate() {
        for (line, amount) in [("1", "30.1 mL"), ("2", "36.4 mL"), ("3", "29.4 mL")] {
            drafts.push(caught("fernhollow", "counter-1", line, day, amount, week as u64));
        }
        drafts.push(caught("mossgate", "counter-1", "1", day, "30.6 mL", week as u64));
    }
    here.store.append(drafts).await.unwrap();
    here.store.follow().await.unwrap();
    here
}

/// The estate of [`demo`].
pub fn estate() -> Estate {
    let files = [
        (
            "estate.toml",
            "[group]\nname = \"Valley Counters\"\ntime_zone = \"Etc/UTC\"\ncurrency = \"EUR\"\n",
        ),
        (
            "families/screw.toml",
            "name = \"Screw trim\"\nmetering = \"rate\"\n[adjuster]\nkind = \"screw\"\nper_turn = \"40 %\"\nmore = \"anticlockwise\"\n",
        ),
        (
            "families/roller.toml",
            "name = \"Roller pump\"\nmetering = \"dose\"\n[adjuster]\nkind = \"taught\"\n",
        ),
        (
            "products.toml",
            "[gooseberry]\nname = \"Gooseberry\"\n[honey]\nname = \"Smoked honey\"\n",
        ),
        (
            "measures.toml",
            "[cylinder]\nname = \"50 mL cylinder\"\nkind = \"vessel\"\ndivision = \"0.5 mL\"\ntolerance = \"0.25 mL\"\ncapacity = \"50 mL\"\n",
        ),
        (
            "sites.csv",
            "site,name,measures\nfernhollow,Fern Hollow,cylinder = cylinder\nmossgate,Moss Gate,cylinder = cylinder\n",
        ),
        (
            "machines.csv",
            "site,machine,name,family\nfernhollow,counter-1,Counter 1,screw\nfernhollow,counter-2,Counter 2,roller\nmossgate,counter-1,Counter 1,screw\n",
        ),
        (
            "lines.csv",
            "site,machine,line,product,target,tolerance,draw\n\
             fernhollow,counter-1,1,gooseberry,30 mL,5 %,7 s\n\
             fernhollow,counter-1,2,honey,30 mL,5 %,7 s\n\
             fernhollow,counter-1,3,gooseberry,30 mL,5 %,7 s\n\
             fernhollow,counter-2,1,honey,30 mL,10 %,1 dose\n\
             mossgate,counter-1,1,gooseberry,30 mL,5 %,7 s\n",
        ),
    ];
    let files =
        files.into_iter().map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec())).collect();
    let (estate, faults) = files::read(&files);
    assert_eq!(faults, []);
    estate
}

/// A catch as found, over seven seconds.
pub fn caught(
    site: &str,
    machine: &str,
    line: &str,
    day: &str,
    amount: &str,
    sequence: u64,
) -> Draft {
    let body = ouncewise_ledger::Body::CatchTaken {
        state: LineState::AsFound,
        amount: amount.to_owned(),
        draw: "7 s".to_owned(),
        measure: "cylinder".to_owned(),
        water: None,
        water_draw: None,
        temperature: None,
    };
    Record {
        v: 1,
        id: Uuid::now_v7(),
        scope: Scope::site(site).unwrap(),
        subject: Subject::line(machine, line),
        at: format!("{day}T06:40:00.000Z"),
        device: "test".to_owned(),
        sequence,
        by: None,
        entered: Entered::AtMachine,
        note: None,
        body,
    }
    .into()
}

/// One request, as it would come from a browser of this machine.
pub async fn send(app: &App, request: axum::http::request::Builder, body: Body) -> Response<Body> {
    let request: Request<Body> = request.header(header::HOST, "localhost").body(body).unwrap();
    crate::router(app.clone()).oneshot(request).await.unwrap()
}

/// The text of an answer.
pub async fn text(response: Response<Body>) -> String {
    let bytes = axum::body::to_bytes(response.into_body(), 1 << 26).await.unwrap();
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// A page.
pub async fn get(app: &App, path: &str) -> (StatusCode, String) {
    let response = send(app, Request::get(path), Body::empty()).await;
    (response.status(), text(response).await)
}

/// A form that is sent.
pub async fn post(app: &App, path: &str, form: &[(&str, &str)]) -> (StatusCode, HeaderMap, String) {
    let encode = |text: &str| {
        percent_encoding::utf8_percent_encode(text, percent_encoding::NON_ALPHANUMERIC).to_string()
    };
    let body: Vec<String> =
        form.iter().map(|(name, value)| format!("{}={}", encode(name), encode(value))).collect();
    let request =
        Request::post(path).header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
    let response = send(app, request, Body::from(body.join("&"))).await;
    (response.status(), response.headers().clone(), text(response).await)
}

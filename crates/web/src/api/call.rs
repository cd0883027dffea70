//! One request as a handler sees it, read and checked against its schemas, and what the handler answers.

use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{FromRequest, FromRequestParts, Query, RawPathParams, Request};
use axum::http::header::{self, HeaderName, HeaderValue};
use axum::http::{HeaderMap, StatusCode, Uri};
use axum::response::{IntoResponse, Response};
use schemars::JsonSchema;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};

use super::json;
use super::problem::{Code, Problem};
use super::{fits, openapi};
use crate::App;

/// Nothing: no parameters in the address, or none in the query.
#[derive(Debug, serde::Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Nothing {}

/// One request. `P` are the parameters of its path, `Q` those of its query, `B` is its body.
pub struct Call<P = Nothing, Q = Nothing, B = ()> {
    pub app: App,
    pub at: P,
    pub asked: Q,
    pub uri: Uri,
    pub headers: HeaderMap,
    pub body: B,
}

/// What an operation takes, as schemas.
#[derive(Debug, Clone)]
pub struct Takes {
    pub path: Value,
    pub query: Value,
    /// Of the body, by media type.
    pub bodies: Vec<Value>,
    /// The longest body, in bytes.
    pub most: usize,
}

impl<P, Q, B> Call<P, Q, B>
where
    P: DeserializeOwned,
    Q: DeserializeOwned,
    B: Sent,
{
    pub async fn read(app: App, request: Request, takes: &Takes) -> Result<Self, Problem> {
        let (mut parts, body) = request.into_parts();
        let at = path(&mut parts, &takes.path).await?;
        let asked = query(&parts.uri, &takes.query)?;
        let headers = parts.headers.clone();
        let uri = parts.uri.clone();
        let body = B::read(Request::from_parts(parts, body), takes).await?;
        Ok(Self { app, at, asked, uri, headers, body })
    }

    /// A header, where it is text.
    pub fn header(&self, name: &HeaderName) -> Option<&str> {
        self.headers.get(name).and_then(|value| value.to_str().ok())
    }
}

/// The parameters in the path. What cannot be a key is the name of nothing.
async fn path<P: DeserializeOwned>(
    parts: &mut axum::http::request::Parts,
    schema: &Value,
) -> Result<P, Problem> {
    let params = RawPathParams::from_request_parts(parts, &())
        .await
        .map_err(|_| Problem::new(Code::Usage, "the address holds bytes that are not UTF-8"))?;
    let given: Map<String, Value> =
        params.iter().map(|(name, text)| (name.to_owned(), Value::from(text))).collect();
    let given = Value::Object(given);
    let faults = fits::faults(&Value::Null, schema, &given);
    if let Some(fault) = faults.first() {
        let name = fault.pointer.trim_start_matches('/');
        let text = given.get(name).and_then(Value::as_str).unwrap_or_default();
        let text: String = text.chars().take(80).collect();
        return Err(Problem::missing(
            format!("`{text}` in the address can be no {name}"),
            fault.detail.clone(),
        ));
    }
    serde_json::from_value(given)
        .map_err(|_| Problem::missing("there is nothing of that name", "look at the address"))
}

/// The parameters of the query, each at most once but for lists, whose items come one by one.
fn query<Q: DeserializeOwned>(uri: &Uri, schema: &Value) -> Result<Q, Problem> {
    let unread = || Problem::new(Code::Usage, "the query of the address cannot be read");
    let Query(pairs) = Query::<Vec<(String, String)>>::try_from_uri(uri).map_err(|_| unread())?;
    let none = Map::new();
    let known = schema.get("properties").and_then(Value::as_object).unwrap_or(&none);
    let mut given = Map::new();
    for (name, text) in pairs {
        let short: String = name.chars().take(80).collect();
        let Some(says) = known.get(&name) else {
            let near = ouncewise_estate::fault::nearest(&name, known.keys().map(String::as_str));
            let names: Vec<&str> = known.keys().map(String::as_str).collect();
            let problem =
                Problem::new(Code::Usage, format!("there is no parameter `{short}` here"));
            return Err(match (near, names.as_slice()) {
                (Some(near), _) => problem.hint(format!("did you mean `{near}`?")),
                (None, []) => problem.hint("this address takes none"),
                (None, names) => problem.hint(format!("this address takes {}", names.join(", "))),
            });
        };
        if let Some(items) = says.get("items") {
            let list = given.entry(name).or_insert_with(|| Value::Array(Vec::new()));
            list.as_array_mut().into_iter().for_each(|list| list.push(typed(items, text.clone())));
            continue;
        }
        if given.insert(name, typed(says, text)).is_some() {
            return Err(Problem::new(Code::Usage, format!("`{short}` is there twice"))
                .hint("keep one of the two"));
        }
    }
    let given = Value::Object(given);
    let faults = fits::faults(&Value::Null, schema, &given);
    if let Some(fault) = faults.first() {
        let name = fault.pointer.trim_start_matches('/');
        let what = if name.is_empty() {
            fault.detail.clone()
        } else {
            format!("`{name}`: {}", fault.detail)
        };
        let errors = if faults.len() > 1 { faults } else { Vec::new() };
        return Err(Problem { errors, ..Problem::new(Code::Usage, what) });
    }
    serde_json::from_value(given).map_err(|_| unread())
}

/// A parameter's text as what its schema says that it is; text that is no such thing stays text, and does not fit.
fn typed(schema: &Value, text: String) -> Value {
    let word = schema.get("type").and_then(Value::as_str).unwrap_or_default();
    match (word, text.as_str()) {
        ("boolean", "true") => Value::Bool(true),
        ("boolean", "false") => Value::Bool(false),
        ("integer", digits) => digits.parse::<u64>().map_or(Value::String(text), Value::from),
        _ => Value::String(text),
    }
}

/// A body, as it is read.
pub trait Sent: Sized + Send {
    /// The media types that are taken.
    const TYPES: &'static [&'static str];

    /// Its schemas by media type, in this order.
    fn schemas(make: &mut openapi::Schemas) -> Vec<Value>;

    fn read(request: Request, takes: &Takes) -> impl Future<Output = Result<Self, Problem>> + Send;
}

impl Sent for () {
    const TYPES: &'static [&'static str] = &[];

    fn schemas(_: &mut openapi::Schemas) -> Vec<Value> {
        Vec::new()
    }

    async fn read(_: Request, _: &Takes) -> Result<Self, Problem> {
        Ok(())
    }
}

/// A body of JSON that fits its schema.
pub struct Json<T>(pub T);

impl<T: DeserializeOwned + JsonSchema + Send> Sent for Json<T> {
    const TYPES: &'static [&'static str] = &["application/json"];

    fn schemas(make: &mut openapi::Schemas) -> Vec<Value> {
        vec![make.taken::<T>()]
    }

    async fn read(request: Request, takes: &Takes) -> Result<Self, Problem> {
        media_type(request.headers(), Self::TYPES)?;
        let bytes = bytes(request, takes.most).await?;
        let value = json::parse(&bytes)?;
        let faults = match takes.bodies.first() {
            Some(schema) => fits::faults(openapi::document(), schema, &value),
            None => Vec::new(),
        };
        if !faults.is_empty() {
            return Err(Problem::data(faults));
        }
        let read = serde_json::from_value(value);
        read.map(Json).map_err(|e| Problem::new(Code::Data, format!("the body: {e}")))
    }
}

/// Which of these media types the body is of.
pub fn media_type(headers: &HeaderMap, taken: &[&'static str]) -> Result<&'static str, Problem> {
    let given =
        headers.get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    let kind = given.split(';').next().unwrap_or_default().trim();
    taken.iter().find(|taken| kind.eq_ignore_ascii_case(taken)).copied().ok_or_else(|| {
        let said = match kind {
            "" => "the header Content-Type is missing".to_owned(),
            _ => "a body of this media type is not taken here".to_owned(),
        };
        Problem::new(Code::MediaType, said).hint(format!("send {}", taken.join(", ")))
    })
}

/// The bytes of a body, if there are not too many.
pub async fn bytes(mut request: Request, most: usize) -> Result<Bytes, Problem> {
    axum::extract::DefaultBodyLimit::max(most).apply(&mut request);
    Bytes::from_request(request, &()).await.map_err(|rejection: BytesRejection| {
        if rejection.status() == StatusCode::PAYLOAD_TOO_LARGE {
            too_large(most)
        } else {
            Problem::new(Code::Usage, "the body broke off").hint("send it again")
        }
    })
}

/// More than so many bytes.
pub fn too_large(most: usize) -> Problem {
    Problem::new(Code::TooLarge, format!("the body is longer than {most} bytes"))
        .hint("send it in parts")
}

/// What is answered.
#[derive(Debug)]
pub struct Reply<A> {
    pub status: StatusCode,
    pub headers: HeaderMap,
    /// Nothing, where the answer has no body.
    pub body: Option<A>,
}

impl<A> Reply<A> {
    pub fn new(status: StatusCode, body: A) -> Self {
        Self { status, headers: HeaderMap::new(), body: Some(body) }
    }

    /// An answer without a body.
    pub fn empty(status: StatusCode) -> Self {
        Self { status, headers: HeaderMap::new(), body: None }
    }

    /// With a header, where its text can stand in one.
    #[must_use]
    pub fn header(mut self, name: HeaderName, text: &str) -> Self {
        if let Ok(value) = HeaderValue::from_str(text) {
            self.headers.insert(name, value);
        }
        self
    }
}

impl<A> From<A> for Reply<A> {
    fn from(body: A) -> Self {
        Self::new(StatusCode::OK, body)
    }
}

impl<A: Serialize> IntoResponse for Reply<A> {
    fn into_response(self) -> Response {
        let Self { status, headers, body } = self;
        match body.as_ref().map(serde_json::to_vec) {
            None => (status, headers).into_response(),
            Some(Ok(bytes)) => {
                ([(header::CONTENT_TYPE, "application/json")], (status, headers, bytes))
                    .into_response()
            }
            Some(Err(_)) => Problem::of_code(Code::Bug).into_response(),
        }
    }
}

//! What could not be done, as a problem document (RFC 9457): one shape and one list of codes for every answer of the API
//! that is no success.

use std::any::Any;

use axum::body::Body;
use axum::extract::Request;
use axum::http::header::{self, HeaderValue};
use axum::http::{HeaderMap, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use ouncewise_estate::Fault as FileFault;
use ouncewise_estate::sheets::Refusal;
use ouncewise_report::{Exit, Failure};
use ouncewise_store::StoreError;
use schemars::JsonSchema;
use serde::Serialize;

/// The media type of a problem.
pub const MEDIA_TYPE: &str = "application/problem+json";

/// Where the API is served.
pub const ROOT: &str = "/api/v1";

/// The most errors that one problem lists.
const LISTED: usize = 100;

macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident $code:literal $status:literal $title:literal $words:literal;)*) => {
        /// What sort of problem.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum Code {
            $($(#[$doc])* $name,)*
        }

        /// Every code with what it means and how it is mended, for people. Faults in files and sheets have codes of their own.
        pub const CODES: &[(&str, &str)] = &[$(($code, $words),)*];

        impl Code {
            #[cfg(test)]
            pub const ALL: &[Code] = &[$(Code::$name,)*];

            /// As a program sees it.
            pub fn as_str(self) -> &'static str {
                match self { $(Code::$name => $code,)* }
            }

            /// The status that goes with it.
            pub fn status(self) -> StatusCode {
                StatusCode::from_u16(match self { $(Code::$name => $status,)* })
                    .unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
            }

            fn title(self) -> &'static str {
                match self { $(Code::$name => $title,)* }
            }
        }
    };
}

codes! {
    /// A parameter or a header is not understood.
    Usage "usage" 400 "The request was not understood"
        "A parameter or a header of the request is not known, is there twice, or has a value that it cannot have. The answer says which; the API's own description lists what each address takes.";
    /// The body is no JSON.
    NotJson "not-json" 400 "The body is not JSON"
        "The body must be one JSON value in UTF-8, with no key twice in one object. The answer gives line and column.";
    /// From another site.
    CrossSite "cross-site" 403 "Not from another site"
        "A browser sent this from a page of another site. Programs are not concerned; pages are to be those of this server.";
    /// Nothing of that name.
    NotThere "not-there" 404 "Not there"
        "There is no such site, machine, line, ledger, record or load. Look at the list above it.";
    /// No such address.
    NoAddress "no-address" 404 "No such address"
        "The API has nothing at this address. /api/v1/openapi.json describes all addresses.";
    /// Another method.
    Method "method" 405 "Not by this method"
        "The address is there, and answers other methods: the header Allow lists them.";
    /// It took too long.
    TooSlow "too-slow" 408 "It took too long"
        "The request took longer than five minutes and was broken off. Send less at once. Records that were sent may be sent again: none is kept twice.";
    /// It has changed.
    Changed "changed" 412 "It has changed meanwhile"
        "What was to be changed is no longer what If-Match names. Get it again, make the change in what is there now, and send that with its ETag.";
    /// Too many bytes.
    TooLarge "too-large" 413 "Too much at once"
        "The body is larger than this address takes. Send it in parts.";
    /// Of another media type.
    MediaType "media-type" 415 "Not of this media type"
        "The header Content-Type must name one of the media types that this address takes.";
    /// To another machine.
    NotHere "not-here" 421 "Only for its own machine"
        "There is no sign-in yet, so this is served to its own machine only, as http://localhost or http://127.0.0.1.";
    /// The body does not say what it must.
    Data "data" 422 "The data cannot be used"
        "The body is JSON, and does not say what it must. Each entry of errors points to one place and says what is wrong there. Nothing of it was kept.";
    /// A field is not there.
    Missing "missing" 422 "Something is missing"
        "In errors: a field that must be there is not.";
    /// A field that nobody asked for.
    UnknownField "unknown-field" 422 "Something is not known"
        "In errors: a field that is not known here. It is refused, because what it was to say would be lost.";
    /// A value that cannot stand there.
    Value "value" 422 "A value cannot stand there"
        "In errors: a value of another type than it must be, none of the words that are taken, too long, or not understood.";
    /// Estate files have faults.
    Faults "faults" 422 "The estate files have faults"
        "Nothing was changed. Each entry of errors has the code of its fault, its file, line and column, and how to mend it.";
    /// A sheet cannot be read.
    Refused "refused" 422 "The sheet was refused"
        "Nothing was loaded. Each entry of errors has the code of its reason; the document on sheets explains each.";
    /// A condition must be stated.
    Condition "condition" 428 "Say what is to be changed"
        "A change of the estate must say in If-Match which estate it changes: the ETag of the last GET. So nobody's change is lost.";
    /// Our own fault.
    Bug "bug" 500 "A defect of this program"
        "This program has a defect. Nothing that was saved is lost. Tell its makers what was sent.";
    /// What is stored is damaged.
    Damaged "damaged" 500 "The store is damaged"
        "Something stored cannot be read. Run ouncewise verify on the server, and restore the last backup.";
    /// The disk does not do what it must.
    Io "io" 500 "Reading or writing failed"
        "The store's file or folder could not be read or written. Nothing of this request was saved, everything saved before is safe. Look after the disk of the server.";
    /// Try again.
    Unavailable "unavailable" 503 "Not available just now"
        "The store is held by another program or cannot be reached. Nothing of this request was saved. Try again after the seconds of Retry-After.";
    /// No room.
    Full "full" 507 "The disk is full"
        "The disk of the server is full. Nothing of this request was saved, everything saved before is safe. Free some space, and send it again.";
}

/// One thing that is wrong with what was sent.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ErrorAt {
    /// Where in the body: a JSON Pointer (RFC 6901).
    pub pointer: String,
    /// What sort: a code of a problem, of a fault in a file (`E012`) or of a refused row (`S020`).
    pub code: String,
    /// What is wrong, and how to mend it.
    pub detail: String,
}

impl ErrorAt {
    /// An error with a code of ours.
    pub fn new(pointer: impl Into<String>, code: Code, detail: impl Into<String>) -> Self {
        Self { pointer: pointer.into(), code: code.as_str().to_owned(), detail: detail.into() }
    }
}

/// A problem document (RFC 9457).
#[derive(Debug, Clone, Serialize, JsonSchema)]
#[schemars(rename = "Problem")]
pub struct Document {
    /// The page that explains its code.
    pub r#type: String,
    /// What sort of problem, in a few words; always the same for one code.
    pub title: String,
    /// The HTTP status.
    pub status: u16,
    /// What happened, and to what.
    pub detail: String,
    /// The address that was asked for.
    pub instance: String,
    /// The code, for programs.
    pub code: String,
    /// How to mend it.
    pub hint: Option<String>,
    /// Everything that is wrong with what was sent, at most a hundred, where it can be told apart.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub errors: Vec<ErrorAt>,
}

/// A problem on its way out.
#[derive(Debug, Clone)]
pub struct Problem {
    pub code: Code,
    pub detail: String,
    pub hint: Option<String>,
    pub errors: Vec<ErrorAt>,
}

impl Problem {
    pub fn new(code: Code, detail: impl Into<String>) -> Self {
        Self { code, detail: detail.into(), hint: None, errors: Vec::new() }
    }

    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// What was sent does not say what it must.
    pub fn data(errors: Vec<ErrorAt>) -> Self {
        let detail = match errors.as_slice() {
            [only] => format!("{}: {}", place(&only.pointer), only.detail),
            all => format!("{} things are wrong with what was sent", all.len()),
        };
        Self { errors, ..Self::new(Code::Data, detail) }
            .hint("mend what errors lists, and send it again: nothing of it was kept")
    }

    /// Something named in the address is not there.
    pub fn missing(what: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::new(Code::NotThere, what).hint(hint)
    }

    /// Estate files that cannot be loaded. `pointer` gives the place of a file in the body.
    pub fn faults(faults: &[FileFault], pointer: impl Fn(&str) -> String) -> Self {
        let errors = faults
            .iter()
            .map(|fault| ErrorAt {
                pointer: pointer(&fault.place.file),
                code: fault.code.to_owned(),
                detail: fault.to_string(),
            })
            .collect();
        let detail = ouncewise_report::many(faults.len(), "fault");
        Self { errors, ..Self::new(Code::Faults, detail) }
            .hint("mend them all, and send it again: nothing was changed")
    }

    /// A sheet that cannot be loaded.
    pub fn refused(refusals: &[Refusal]) -> Self {
        let detail = match refusals {
            [only] => only.to_string(),
            all => format!("{} things are wrong with the sheet or its mapping", all.len()),
        };
        let errors = refusals
            .iter()
            .map(|refusal| ErrorAt {
                pointer: String::new(),
                code: refusal.code.as_str().to_owned(),
                detail: refusal.to_string(),
            })
            .collect();
        Self { errors, ..Self::new(Code::Refused, detail) }
            .hint("mend it, and send it again: nothing was loaded")
    }

    /// What a status alone says, where another layer broke the request off.
    fn of_status(status: StatusCode) -> Self {
        let code = match status.as_u16() {
            403 => Code::CrossSite,
            404 => Code::NoAddress,
            405 => Code::Method,
            408 => Code::TooSlow,
            413 => Code::TooLarge,
            415 => Code::MediaType,
            421 => Code::NotHere,
            503 => Code::Unavailable,
            400..500 => Code::Usage,
            _ => Code::Bug,
        };
        Self::of_code(code)
    }

    /// With the words that always go with the code.
    pub fn of_code(code: Code) -> Self {
        let words =
            CODES.iter().find(|(known, _)| *known == code.as_str()).map(|(_, words)| *words);
        Self::new(code, words.unwrap_or(code.title()))
    }

    fn document(&self, instance: &str) -> Document {
        let mut errors = self.errors.clone();
        errors.truncate(LISTED);
        Document {
            r#type: format!("/docs/problems#{}", self.code.as_str()),
            title: self.code.title().to_owned(),
            status: self.code.status().as_u16(),
            detail: self.detail.clone(),
            instance: instance.to_owned(),
            code: self.code.as_str().to_owned(),
            hint: self.hint.clone(),
            errors,
        }
    }

    fn body(&self, instance: &str) -> Vec<u8> {
        serde_json::to_vec(&self.document(instance)).unwrap_or_default()
    }
}

fn place(pointer: &str) -> &str {
    if pointer.is_empty() { "the body" } else { pointer }
}

impl From<StoreError> for Problem {
    /// Where the store is, and what its database said, is nobody's business.
    fn from(error: StoreError) -> Self {
        let code = match &error {
            StoreError::Usage(_) => Code::Usage,
            StoreError::Full { .. } => Code::Full,
            StoreError::ReadOnly { .. } | StoreError::Io { .. } => Code::Io,
            StoreError::Unavailable { .. } => Code::Unavailable,
            StoreError::Damaged { .. } => Code::Damaged,
            StoreError::Database { .. } => Code::Bug,
            StoreError::Drafts(refusals) => {
                return Self::data(
                    refusals
                        .iter()
                        .flat_map(|refusal| {
                            let at = format!("/records/{}", refusal.position);
                            refusal
                                .what
                                .iter()
                                .map(move |what| ErrorAt::new(&at, Code::Value, what))
                        })
                        .collect(),
                );
            }
        };
        Self::of_code(code)
    }
}

impl From<Failure> for Problem {
    /// From a question to the store: what it says about data is then about what is stored.
    fn from(failure: Failure) -> Self {
        let code = match failure.exit {
            _ if failure.missing => Code::NotThere,
            Exit::Usage => Code::Usage,
            Exit::Data => Code::Damaged,
            Exit::Unavailable => Code::Unavailable,
            Exit::Io => Code::Io,
            Exit::Done | Exit::No | Exit::Bug => Code::Bug,
        };
        if code.status().is_server_error() {
            return Self::of_code(code);
        }
        Self { hint: failure.hint, ..Self::new(code, failure.message) }
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let mut response = self.code.status().into_response();
        response.extensions_mut().insert(self);
        response
    }
}

/// Nothing is at this address.
pub async fn no_address() -> Problem {
    Problem::new(Code::NoAddress, "there is nothing at this address of the API")
        .hint("GET /api/v1/openapi.json lists all addresses")
}

/// Something is there, but not for this method.
pub async fn not_that_way() -> Problem {
    Problem::new(Code::Method, "this address answers other methods")
        .hint("the header Allow lists them")
}

/// A defect of ours: nothing of it is shown, for it may hold anything.
pub fn panicked(_: Box<dyn Any + Send>) -> Response {
    Problem::of_code(Code::Bug).into_response()
}

/// Whatever the API or a layer around it answers, and is no success, goes out as a problem.
pub async fn in_problems(request: Request, next: Next) -> Response {
    let path = request.uri().path().to_owned();
    let head = request.method() == Method::HEAD;
    let mut response = next.run(request).await;
    let ours = path.strip_prefix(ROOT).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'));
    let status = response.status();
    let told = is_problem(response.headers());
    if !ours || told || !(status.is_client_error() || status.is_server_error()) {
        return response;
    }
    let problem =
        response.extensions_mut().remove::<Problem>().unwrap_or_else(|| Problem::of_status(status));
    let (mut parts, _) = response.into_parts();
    parts.status = problem.code.status();
    parts.headers.remove(header::CONTENT_LENGTH);
    parts.headers.remove(header::CONTENT_ENCODING);
    parts.headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(MEDIA_TYPE));
    if parts.status == StatusCode::SERVICE_UNAVAILABLE {
        parts.headers.insert(header::RETRY_AFTER, HeaderValue::from_static("1"));
    }
    let body = if head { Body::empty() } else { Body::from(problem.body(&path)) };
    Response::from_parts(parts, body)
}

fn is_problem(headers: &HeaderMap) -> bool {
    headers.get(header::CONTENT_TYPE).is_some_and(|kind| kind.as_bytes() == MEDIA_TYPE.as_bytes())
}

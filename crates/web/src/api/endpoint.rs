//! One operation of the API: what it is called, what it takes and answers, and who handles it.
//!
//! The types of the handler are the types of the description: nothing is written down twice.

use std::sync::Arc;

use axum::extract::{Request, State};
use axum::response::IntoResponse;
use axum::routing::{MethodFilter, MethodRouter, on};
use schemars::JsonSchema;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

use super::call::{Call, Reply, Sent, Takes};
use super::openapi::Schemas;
use super::problem::Problem;
use crate::App;

/// The longest body of JSON, unless said otherwise.
const USUAL: usize = 1 << 20;

/// What an operation does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verb {
    Get,
    Post,
    Put,
}

impl Verb {
    fn filter(self) -> MethodFilter {
        match self {
            Verb::Get => MethodFilter::GET,
            Verb::Post => MethodFilter::POST,
            Verb::Put => MethodFilter::PUT,
        }
    }

    /// As the description spells it.
    pub fn word(self) -> &'static str {
        match self {
            Verb::Get => "get",
            Verb::Post => "post",
            Verb::Put => "put",
        }
    }
}

/// A header that an operation takes.
#[derive(Debug, Clone)]
pub struct Header {
    pub name: &'static str,
    pub says: &'static str,
    pub must: bool,
    pub example: &'static str,
}

/// One answer that is no problem.
#[derive(Debug, Clone)]
pub struct Answer {
    pub status: u16,
    pub says: &'static str,
    /// Of its body; nothing, where it has none.
    pub schema: Option<Value>,
}

/// One operation.
pub struct Endpoint {
    pub verb: Verb,
    pub path: &'static str,
    pub id: &'static str,
    /// In a few words.
    pub summary: &'static str,
    /// In full.
    pub says: &'static str,
    pub takes: Takes,
    /// The media types of its body.
    pub types: &'static [&'static str],
    pub headers: Vec<Header>,
    pub answers: Vec<Answer>,
    /// Statuses of problems, besides those that every operation may have.
    pub problems: Vec<u16>,
    /// Examples of parameters by name, and of the body under the empty name.
    pub examples: Vec<(&'static str, Value)>,
    serve: Box<dyn FnOnce(Takes) -> MethodRouter<App>>,
}

impl Endpoint {
    /// An operation by its handler.
    pub fn new<P, Q, B, A, F>(
        make: &mut Schemas,
        (verb, path, id): (Verb, &'static str, &'static str),
        handler: fn(Call<P, Q, B>) -> F,
    ) -> Self
    where
        P: DeserializeOwned + JsonSchema + Send + 'static,
        Q: DeserializeOwned + JsonSchema + Send + 'static,
        B: Sent + 'static,
        A: Serialize + JsonSchema,
        F: Future<Output = Result<Reply<A>, Problem>> + Send + 'static,
    {
        let bodies = B::schemas(make);
        let takes =
            Takes { path: make.inline::<P>(), query: make.inline::<Q>(), bodies, most: USUAL };
        let answer =
            Answer { status: 200, says: "What was asked for.", schema: Some(make.told::<A>()) };
        Self {
            verb,
            path,
            id,
            summary: "",
            says: "",
            takes,
            types: B::TYPES,
            headers: Vec::new(),
            answers: vec![answer],
            problems: Vec::new(),
            examples: Vec::new(),
            serve: Box::new(move |takes| route(verb, handler, takes)),
        }
    }

    /// What it is for, in a few words and in full.
    pub fn says(mut self, summary: &'static str, says: &'static str) -> Self {
        (self.summary, self.says) = (summary, says);
        self
    }

    /// The longest body that it takes.
    pub fn most(mut self, bytes: usize) -> Self {
        self.takes.most = bytes;
        self
    }

    /// A header that it takes.
    pub fn header(
        mut self,
        name: &'static str,
        must: bool,
        says: &'static str,
        example: &'static str,
    ) -> Self {
        self.headers.push(Header { name, says, must, example });
        self
    }

    /// Says what its usual answer means.
    pub fn answers(mut self, says: &'static str) -> Self {
        self.answers[0].says = says;
        self
    }

    /// Another answer with the same body, or with none.
    pub fn also(mut self, status: u16, has_body: bool, says: &'static str) -> Self {
        let schema = self.answers[0].schema.clone().filter(|_| has_body);
        self.answers.push(Answer { status, says, schema });
        self
    }

    /// Statuses of problems, besides the usual ones.
    pub fn problems(mut self, statuses: &[u16]) -> Self {
        self.problems.extend(statuses);
        self
    }

    /// An example of a parameter; of the body, where the name is empty.
    pub fn example(mut self, name: &'static str, value: impl Into<Value>) -> Self {
        self.examples.push((name, value.into()));
        self
    }

    /// All statuses of problems that it may have.
    pub fn all_problems(&self) -> Vec<u16> {
        let mut all = vec![400, 403, 408, 421, 500, 503];
        if self.takes.path["properties"].as_object().is_some_and(|p| !p.is_empty()) {
            all.push(404);
        }
        if !self.types.is_empty() {
            all.extend([413, 415, 422]);
        }
        if self.verb != Verb::Get {
            all.push(507);
        }
        all.extend(&self.problems);
        all.sort_unstable();
        all.dedup();
        all
    }

    /// The handler at its method.
    pub fn route(self) -> MethodRouter<App> {
        (self.serve)(self.takes)
    }
}

fn route<P, Q, B, A, F>(
    verb: Verb,
    handler: fn(Call<P, Q, B>) -> F,
    takes: Takes,
) -> MethodRouter<App>
where
    P: DeserializeOwned + Send + 'static,
    Q: DeserializeOwned + Send + 'static,
    B: Sent + 'static,
    A: Serialize,
    F: Future<Output = Result<Reply<A>, Problem>> + Send + 'static,
{
    let takes = Arc::new(takes);
    let serve = move |State(app): State<App>, request: Request| {
        let takes = takes.clone();
        async move {
            let call = match Call::read(app, request, &takes).await {
                Ok(call) => call,
                Err(problem) => return problem.into_response(),
            };
            handler(call).await.into_response()
        }
    };
    on(verb.filter(), serve)
}

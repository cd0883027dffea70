//! The API's description (OpenAPI 3.1), made from the table of its operations.

use std::sync::LazyLock;

use schemars::generate::{SchemaGenerator, SchemaSettings};
use schemars::{JsonSchema, Schema};
use serde_json::{Map, Value, json};

use super::call::{Call, Reply};
use super::endpoint::{Endpoint, Header};
use super::problem::{self, Document, MEDIA_TYPE, Problem};
use super::table::table;

/// Makes the schemas of what is taken and of what is answered; those with names of their own are kept apart.
pub struct Schemas {
    taken: SchemaGenerator,
    told: SchemaGenerator,
    inline: SchemaGenerator,
}

fn settings() -> SchemaSettings {
    SchemaSettings::draft2020_12().with(|settings| {
        settings.definitions_path = "/components/schemas".into();
        settings.meta_schema = None;
    })
}

impl Schemas {
    pub fn new() -> Self {
        Self {
            taken: settings().into_generator(),
            told: settings().for_serialize().into_generator(),
            inline: settings().with(|s| s.inline_subschemas = true).into_generator(),
        }
    }

    /// Of something that is taken.
    pub fn taken<T: JsonSchema>(&mut self) -> Value {
        self.taken.subschema_for::<T>().to_value()
    }

    /// Of something that is answered.
    pub fn told<T: JsonSchema>(&mut self) -> Value {
        self.told.subschema_for::<T>().to_value()
    }

    /// Of parameters: a flat object, in which what may be left out is not null but missing.
    pub fn inline<T: JsonSchema>(&mut self) -> Value {
        let mut schema = self.inline.root_schema_for::<T>().to_value();
        if let Some(properties) = schema.get_mut("properties").and_then(Value::as_object_mut) {
            properties.values_mut().for_each(without_null);
        }
        schema
    }

    /// The schemas with names: of what is taken, and of what is answered.
    pub fn apart(mut self) -> (Map<String, Value>, Map<String, Value>) {
        (self.taken.take_definitions(true), self.told.take_definitions(true))
    }

    fn components(self) -> Map<String, Value> {
        let (mut all, told) = self.apart();
        all.extend(told);
        all
    }
}

/// A parameter is text in an address: it is there, or it is not.
fn without_null(schema: &mut Value) {
    let Some(keywords) = schema.as_object_mut() else { return };
    if let Some(Value::Array(types)) = keywords.get("type").cloned() {
        let mut types = types.into_iter().filter(|word| word != "null");
        if let (Some(only), None) = (types.next(), types.next()) {
            keywords.insert("type".to_owned(), only);
        }
    }
    if let Some(Value::Array(choices)) = keywords.remove("anyOf") {
        let only = choices.into_iter().find(|choice| choice["type"] != "null");
        if let Some(Value::Object(only)) = only {
            keywords.extend(only);
        }
    }
    keywords.remove("default");
}

/// The description of the API, for whoever writes a program against it.
pub fn openapi() -> Value {
    document().clone()
}

/// Any JSON object.
#[derive(Debug, serde::Serialize, JsonSchema)]
#[serde(transparent)]
pub struct Described(Map<String, Value>);

/// Serves it.
pub async fn get(_: Call) -> Result<Reply<Described>, Problem> {
    let map = document().as_object().cloned().unwrap_or_default();
    Ok(Described(map).into())
}

/// The same; its components are what bodies are checked against.
pub fn document() -> &'static Value {
    static DOCUMENT: LazyLock<Value> = LazyLock::new(made);
    &DOCUMENT
}

fn made() -> Value {
    let mut make = Schemas::new();
    let problem = make.told::<Document>();
    let mut paths: Map<String, Value> = Map::new();
    for endpoint in table(&mut make) {
        let operation = operation(&endpoint, &problem);
        let at = paths.entry(endpoint.path).or_insert_with(|| json!({}));
        at[endpoint.verb.word()] = operation;
    }
    json!({
        "openapi": "3.1.0",
        "jsonSchemaDialect": "https://json-schema.org/draft/2020-12/schema",
        "info": {
            "title": "Ouncewise",
            "version": env!("CARGO_PKG_VERSION"),
            "summary": "Every line clean, every portion true: the equipment lead's tool for dispensing lines.",
            "description": "Measured values in records are text, as they were read: `29.6 mL`, `over the 30 mL mark`. What was computed from them is numbers. \
                Every answer that is no success is a problem document (RFC 9457); its codes are explained at /docs/problems. \
                Unknown parameters and unknown fields are refused.",
            "license": { "name": "Apache-2.0 OR MIT", "identifier": "Apache-2.0 OR MIT" },
        },
        "servers": [{ "url": problem::ROOT }],
        "paths": paths,
        "components": { "schemas": make.components() },
    })
}

fn operation(endpoint: &Endpoint, problem: &Value) -> Value {
    let example = |name: &str| {
        endpoint.examples.iter().find(|(known, _)| *known == name).map(|(_, value)| value.clone())
    };
    let mut parameters = parameters("path", &endpoint.takes.path, &example);
    parameters.extend(self::parameters("query", &endpoint.takes.query, &example));
    parameters.extend(endpoint.headers.iter().map(header));
    let mut responses = Map::new();
    for answer in &endpoint.answers {
        let mut said = json!({ "description": answer.says });
        if let Some(schema) = &answer.schema {
            said["content"] = json!({ "application/json": { "schema": schema } });
        }
        responses.insert(answer.status.to_string(), said);
    }
    for status in endpoint.all_problems() {
        let content = json!({ MEDIA_TYPE: { "schema": problem } });
        let said = json!({ "description": meaning(status), "content": content });
        responses.insert(status.to_string(), said);
    }
    let mut operation = json!({
        "operationId": endpoint.id,
        "summary": endpoint.summary,
        "description": endpoint.says,
        "responses": responses,
    });
    if !parameters.is_empty() {
        operation["parameters"] = Value::Array(parameters);
    }
    if !endpoint.types.is_empty() {
        let content: Map<String, Value> = endpoint
            .types
            .iter()
            .zip(&endpoint.takes.bodies)
            .map(|(kind, schema)| {
                let mut said = json!({ "schema": schema });
                if let Some(example) = example("").filter(|_| *kind == "application/json") {
                    said["example"] = example;
                }
                ((*kind).to_owned(), said)
            })
            .collect();
        operation["requestBody"] = json!({ "required": true, "content": content });
    }
    operation
}

fn parameters(place: &str, schema: &Value, example: &dyn Fn(&str) -> Option<Value>) -> Vec<Value> {
    let must = schema.get("required").and_then(Value::as_array);
    let Some(properties) = schema.get("properties").and_then(Value::as_object) else {
        return Vec::new();
    };
    let said = |(name, schema): (&String, &Value)| {
        let mut schema = schema.clone();
        let says = schema.as_object_mut().and_then(|s| s.remove("description"));
        let required = must.is_some_and(|must| must.iter().any(|known| known == name));
        let mut parameter = json!({
            "name": name,
            "in": place,
            "required": required,
            "description": says,
            "schema": schema,
        });
        if let Some(example) = example(name) {
            parameter["example"] = example;
        }
        parameter
    };
    properties.iter().map(said).collect()
}

fn header(header: &Header) -> Value {
    json!({
        "name": header.name,
        "in": "header",
        "required": header.must,
        "description": header.says,
        "schema": { "type": "string" },
        "example": header.example,
    })
}

/// What a status of a problem means here.
fn meaning(status: u16) -> &'static str {
    match status {
        400 => "A parameter or header is not understood, or the body is not JSON.",
        403 => "A browser sent it from a page of another site.",
        404 => "There is nothing of that name.",
        408 => "It took too long.",
        412 => "It has changed since the state that If-Match names.",
        413 => "The body is too long.",
        415 => "The body is of another media type.",
        421 => "It was asked of another machine than this one.",
        422 => "The body does not say what it must; nothing of it was kept.",
        428 => "If-Match is missing.",
        503 => "The store is held by another program, or cannot be reached; try again.",
        507 => "The disk is full; nothing of it was kept.",
        _ => "A defect of this program, or of the disk.",
    }
}

/// A schema that was written by hand, for a type of a crate that has none.
pub fn by_hand(schema: Value) -> Schema {
    match schema {
        Value::Object(keywords) => keywords.into(),
        _ => Schema::default(),
    }
}

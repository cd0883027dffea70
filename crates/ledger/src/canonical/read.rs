//! Reading: JSON in any spelling, refused where its value has no canonical bytes.

use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Number, Value};

use super::{CanonicalError, MAX_DEPTH, MAX_INTEGER};

pub(super) fn parse(bytes: &[u8]) -> Result<Value, CanonicalError> {
    let mut deserializer = serde_json::Deserializer::from_slice(bytes);
    let value = Strict { depth: 0 }.deserialize(&mut deserializer).map_err(|e| malformed(&e))?;
    deserializer.end().map_err(|e| malformed(&e))?;
    Ok(value)
}

pub(crate) fn malformed(error: &serde_json::Error) -> CanonicalError {
    let (line, column) = (error.line(), error.column());
    // The reader appends the place to its message; we put it in front.
    let message = error.to_string();
    let message = message
        .strip_suffix(&format!(" at line {line} column {column}"))
        .unwrap_or(&message)
        .to_owned();
    CanonicalError::Malformed { line, column, message }
}

/// Reads one value at a depth.
#[derive(Clone, Copy)]
struct Strict {
    depth: usize,
}

impl Strict {
    fn deeper<E: Error>(self) -> Result<Self, E> {
        if self.depth == MAX_DEPTH {
            return Err(E::custom(format!("nested more than {MAX_DEPTH} deep; make it flatter")));
        }
        Ok(Self { depth: self.depth + 1 })
    }
}

impl<'de> DeserializeSeed<'de> for Strict {
    type Value = Value;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Value, D::Error> {
        deserializer.deserialize_any(self)
    }
}

fn too_big<E: Error>(value: impl fmt::Display) -> E {
    E::custom(format!("the number {value} is beyond {MAX_INTEGER}; keep it as text"))
}

impl<'de> Visitor<'de> for Strict {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("text, a whole number, true, false, null, a list or an object")
    }

    fn visit_unit<E: Error>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E: Error>(self, value: bool) -> Result<Value, E> {
        Ok(Value::Bool(value))
    }

    fn visit_i64<E: Error>(self, value: i64) -> Result<Value, E> {
        if value.unsigned_abs() > MAX_INTEGER {
            return Err(too_big(value));
        }
        Ok(Value::Number(value.into()))
    }

    fn visit_u64<E: Error>(self, value: u64) -> Result<Value, E> {
        if value > MAX_INTEGER {
            return Err(too_big(value));
        }
        Ok(Value::Number(Number::from(value)))
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<Value, E> {
        // Also what is whole but written `1.0`, `1e2`, `-0`, or is beyond 64 bits.
        Err(E::custom(format!(
            "the number {value:?} is not written as a whole number within {MAX_INTEGER}; keep it as text, as it was read"
        )))
    }

    fn visit_str<E: Error>(self, value: &str) -> Result<Value, E> {
        Ok(Value::String(value.to_owned()))
    }

    fn visit_string<E: Error>(self, value: String) -> Result<Value, E> {
        Ok(Value::String(value))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Value, A::Error> {
        let inner = self.deeper()?;
        let mut list = Vec::new();
        while let Some(item) = items.next_element_seed(inner)? {
            list.push(item);
        }
        Ok(Value::Array(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Value, A::Error> {
        let inner = self.deeper()?;
        let mut object = Map::new();
        while let Some(key) = entries.next_key::<String>()? {
            if object.contains_key(&key) {
                return Err(A::Error::custom(format!(
                    "the key {key:?} is there twice; keep one of them"
                )));
            }
            let value = entries.next_value_seed(inner)?;
            object.insert(key, value);
        }
        Ok(Value::Object(object))
    }
}

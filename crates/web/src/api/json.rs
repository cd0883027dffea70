//! JSON that says one thing: a key that is there twice in one object is refused, for nobody can tell which of the two holds.

use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Number, Value};

use super::problem::{Code, Problem};

/// Reads a body.
pub fn parse(bytes: &[u8]) -> Result<Value, Problem> {
    let mut reader = serde_json::Deserializer::from_slice(bytes);
    let read = Once.deserialize(&mut reader).and_then(|value| reader.end().map(|()| value));
    read.map_err(|error| {
        let problem = Problem::new(Code::NotJson, format!("the body is not JSON: {error}"));
        if bytes.is_empty() { problem.hint("send a body") } else { problem.hint("mend it there") }
    })
}

struct Once;

impl<'de> DeserializeSeed<'de> for Once {
    type Value = Value;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Value, D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Once {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_unit<E: Error>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E: Error>(self, value: bool) -> Result<Value, E> {
        Ok(Value::Bool(value))
    }

    fn visit_i64<E: Error>(self, value: i64) -> Result<Value, E> {
        Ok(Value::from(value))
    }

    fn visit_u64<E: Error>(self, value: u64) -> Result<Value, E> {
        Ok(Value::from(value))
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<Value, E> {
        Number::from_f64(value)
            .map(Value::Number)
            .ok_or_else(|| E::custom("a number beyond all numbers"))
    }

    fn visit_str<E: Error>(self, value: &str) -> Result<Value, E> {
        Ok(Value::String(value.to_owned()))
    }

    fn visit_string<E: Error>(self, value: String) -> Result<Value, E> {
        Ok(Value::String(value))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Value, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element_seed(Once)? {
            list.push(item);
        }
        Ok(Value::Array(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Value, A::Error> {
        let mut object = Map::new();
        while let Some(key) = entries.next_key::<String>()? {
            if object.contains_key(&key) {
                let short: String = key.chars().take(80).collect();
                return Err(A::Error::custom(format!(
                    "the key {short:?} is there twice; keep one of them"
                )));
            }
            let value = entries.next_value_seed(Once)?;
            object.insert(key, value);
        }
        Ok(Value::Object(object))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_says_two_things_is_refused() {
        let text = r#" {"a": [1, -2, 0.5, "é", null, true], "b": {}} "#;
        assert_eq!(parse(text.as_bytes()).unwrap(), serde_json::from_str::<Value>(text).unwrap());
        let deep = "[".repeat(100_000);
        for bad in
            ["", "{", "{}{}", r#"{"a":1,"a":1}"#, r#"[{"b":{"c":1,"c":2}}]"#, "NaN", "1e999", &deep]
        {
            let problem = parse(bad.as_bytes()).unwrap_err();
            assert_eq!(problem.code, Code::NotJson, "{}", problem.detail);
        }
        assert!(parse(b"\"\xff\"").is_err());
    }
}

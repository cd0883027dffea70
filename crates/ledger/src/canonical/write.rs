//! Writing: a serde serialiser that puts canonical bytes straight into one buffer.
//!
//! Every member of an object is written as it comes, with a comma behind it; at the
//! object's end the members are put in order by moving their bytes, and the last
//! comma becomes the closing brace. No tree of values is built.

use std::borrow::Cow;
use std::cmp::Ordering;
use std::fmt;
use std::io::Write;
use std::ops::Range;

use serde::ser::{self, Serialize, Serializer};
use serde_json::Value;

use super::{CanonicalError, MAX_DEPTH, MAX_INTEGER};

pub(super) fn to_bytes<T: Serialize + ?Sized>(value: &T) -> Result<Vec<u8>, CanonicalError> {
    let mut writer = Writer { out: Vec::with_capacity(512), depth: 0 };
    value.serialize(&mut writer)?;
    Ok(writer.out)
}

impl ser::Error for CanonicalError {
    fn custom<T: fmt::Display>(message: T) -> Self {
        Self::NoSuchValue { path: String::new(), what: message.to_string() }
    }
}

fn no_such_value(what: &str) -> CanonicalError {
    CanonicalError::NoSuchValue { path: String::new(), what: what.to_owned() }
}

/// Text between quotation marks with the fewest escapes (RFC 8785 §3.2.2.2).
pub(crate) fn write_text(out: &mut Vec<u8>, text: &str) {
    out.push(b'"');
    let bytes = text.as_bytes();
    let mut done = 0;
    for (i, &byte) in bytes.iter().enumerate() {
        if byte >= 0x20 && byte != b'"' && byte != b'\\' {
            continue;
        }
        out.extend_from_slice(&bytes[done..i]);
        done = i + 1;
        match byte {
            b'"' => out.extend_from_slice(b"\\\""),
            b'\\' => out.extend_from_slice(b"\\\\"),
            0x08 => out.extend_from_slice(b"\\b"),
            b'\t' => out.extend_from_slice(b"\\t"),
            b'\n' => out.extend_from_slice(b"\\n"),
            0x0c => out.extend_from_slice(b"\\f"),
            b'\r' => out.extend_from_slice(b"\\r"),
            _ => {
                const HEX: &[u8; 16] = b"0123456789abcdef";
                out.extend_from_slice(b"\\u00");
                out.push(HEX[usize::from(byte >> 4)]);
                out.push(HEX[usize::from(byte & 15)]);
            }
        }
    }
    out.extend_from_slice(&bytes[done..]);
    out.push(b'"');
}

/// Order of keys: by their UTF-16 code units (RFC 8785 §3.2.3). That is the order of their bytes,
/// but that characters above U+FFFF (bytes from 0xF0) come before U+E000 to U+FFFF (from 0xEE).
pub(super) fn key_order(a: &str, b: &str) -> Ordering {
    match a.bytes().zip(b.bytes()).find(|(x, y)| x != y) {
        Some((x, y)) if x >= 0xee && y >= 0xee => a.encode_utf16().cmp(b.encode_utf16()),
        Some((x, y)) => x.cmp(&y),
        None => a.len().cmp(&b.len()),
    }
}

struct Writer {
    out: Vec<u8>,
    depth: usize,
}

impl Writer {
    fn open(&mut self, bracket: u8) -> Result<(), CanonicalError> {
        if self.depth == MAX_DEPTH {
            return Err(CanonicalError::TooDeep { path: String::new() });
        }
        self.depth += 1;
        self.out.push(bracket);
        Ok(())
    }

    /// Turns the last member's comma into the closing bracket.
    fn close(&mut self, start: usize, bracket: u8) {
        self.depth -= 1;
        if self.out.len() > start {
            self.out.pop();
        }
        self.out.push(bracket);
    }

    fn integer(
        &mut self,
        value: impl fmt::Display + Copy,
        within: bool,
    ) -> Result<(), CanonicalError> {
        if !within {
            return Err(CanonicalError::TooBig { path: String::new(), value: value.to_string() });
        }
        write!(self.out, "{value}").expect("a Vec takes what is written");
        Ok(())
    }

    fn items(&mut self) -> Result<Items<'_>, CanonicalError> {
        self.open(b'[')?;
        Ok(Items { start: self.out.len(), count: 0, variant: None, writer: self })
    }

    fn members(&mut self, length: usize) -> Result<Members<'_>, CanonicalError> {
        self.open(b'{')?;
        Ok(Members {
            start: self.out.len(),
            members: Vec::with_capacity(length),
            sorted: true,
            key: None,
            variant: None,
            writer: self,
        })
    }

    /// `{"variant":`, which [`Writer::close_variant`] closes.
    fn open_variant(&mut self, variant: &str) -> Result<(), CanonicalError> {
        self.open(b'{')?;
        write_text(&mut self.out, variant);
        self.out.push(b':');
        Ok(())
    }

    fn close_variant(&mut self) {
        self.depth -= 1;
        self.out.push(b'}');
    }
}

/// Whether a signed integer lies within ±(2⁵³−1).
fn fits(value: i128) -> bool {
    value.unsigned_abs() <= u128::from(MAX_INTEGER)
}

impl<'a> Serializer for &'a mut Writer {
    type Ok = ();
    type Error = CanonicalError;
    type SerializeSeq = Items<'a>;
    type SerializeTuple = Items<'a>;
    type SerializeTupleStruct = Items<'a>;
    type SerializeTupleVariant = Items<'a>;
    type SerializeMap = Members<'a>;
    type SerializeStruct = Members<'a>;
    type SerializeStructVariant = Members<'a>;

    fn serialize_bool(self, value: bool) -> Result<(), CanonicalError> {
        self.out.extend_from_slice(if value { b"true" } else { b"false" });
        Ok(())
    }
    fn serialize_i8(self, value: i8) -> Result<(), CanonicalError> {
        self.integer(value, true)
    }
    fn serialize_i16(self, value: i16) -> Result<(), CanonicalError> {
        self.integer(value, true)
    }
    fn serialize_i32(self, value: i32) -> Result<(), CanonicalError> {
        self.integer(value, true)
    }
    fn serialize_i64(self, value: i64) -> Result<(), CanonicalError> {
        self.integer(value, value.unsigned_abs() <= MAX_INTEGER)
    }
    fn serialize_i128(self, value: i128) -> Result<(), CanonicalError> {
        self.integer(value, fits(value))
    }
    fn serialize_u8(self, value: u8) -> Result<(), CanonicalError> {
        self.integer(value, true)
    }
    fn serialize_u16(self, value: u16) -> Result<(), CanonicalError> {
        self.integer(value, true)
    }
    fn serialize_u32(self, value: u32) -> Result<(), CanonicalError> {
        self.integer(value, true)
    }
    fn serialize_u64(self, value: u64) -> Result<(), CanonicalError> {
        self.integer(value, value <= MAX_INTEGER)
    }
    fn serialize_u128(self, value: u128) -> Result<(), CanonicalError> {
        self.integer(value, value <= u128::from(MAX_INTEGER))
    }
    fn serialize_f32(self, value: f32) -> Result<(), CanonicalError> {
        self.serialize_f64(f64::from(value))
    }
    fn serialize_f64(self, value: f64) -> Result<(), CanonicalError> {
        Err(CanonicalError::Fraction { path: String::new(), value: format!("{value:?}") })
    }
    fn serialize_char(self, value: char) -> Result<(), CanonicalError> {
        self.serialize_str(value.encode_utf8(&mut [0; 4]))
    }
    fn serialize_str(self, value: &str) -> Result<(), CanonicalError> {
        write_text(&mut self.out, value);
        Ok(())
    }
    fn serialize_bytes(self, _: &[u8]) -> Result<(), CanonicalError> {
        Err(no_such_value("a byte string"))
    }
    fn serialize_none(self) -> Result<(), CanonicalError> {
        self.serialize_unit()
    }
    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Result<(), CanonicalError> {
        value.serialize(self)
    }
    fn serialize_unit(self) -> Result<(), CanonicalError> {
        self.out.extend_from_slice(b"null");
        Ok(())
    }
    fn serialize_unit_struct(self, _: &'static str) -> Result<(), CanonicalError> {
        self.serialize_unit()
    }
    fn serialize_unit_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
    ) -> Result<(), CanonicalError> {
        self.serialize_str(variant)
    }
    fn serialize_newtype_struct<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        value: &T,
    ) -> Result<(), CanonicalError> {
        value.serialize(self)
    }
    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        value: &T,
    ) -> Result<(), CanonicalError> {
        self.open_variant(variant)?;
        value.serialize(&mut *self).map_err(|e| e.under(variant))?;
        self.close_variant();
        Ok(())
    }
    fn serialize_seq(self, _: Option<usize>) -> Result<Items<'a>, CanonicalError> {
        self.items()
    }
    fn serialize_tuple(self, _: usize) -> Result<Items<'a>, CanonicalError> {
        self.items()
    }
    fn serialize_tuple_struct(
        self,
        _: &'static str,
        _: usize,
    ) -> Result<Items<'a>, CanonicalError> {
        self.items()
    }
    fn serialize_tuple_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        _: usize,
    ) -> Result<Items<'a>, CanonicalError> {
        self.open_variant(variant)?;
        Ok(Items { variant: Some(variant), ..self.items()? })
    }
    fn serialize_map(self, length: Option<usize>) -> Result<Members<'a>, CanonicalError> {
        self.members(length.unwrap_or(0).min(64))
    }
    fn serialize_struct(
        self,
        _: &'static str,
        length: usize,
    ) -> Result<Members<'a>, CanonicalError> {
        self.members(length)
    }
    fn serialize_struct_variant(
        self,
        _: &'static str,
        _: u32,
        variant: &'static str,
        length: usize,
    ) -> Result<Members<'a>, CanonicalError> {
        self.open_variant(variant)?;
        Ok(Members { variant: Some(variant), ..self.members(length)? })
    }
}

/// An array being written.
struct Items<'a> {
    writer: &'a mut Writer,
    start: usize,
    count: usize,
    variant: Option<&'static str>,
}

impl Items<'_> {
    fn item<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), CanonicalError> {
        value.serialize(&mut *self.writer).map_err(|e| self.place(e.under(self.count)))?;
        self.writer.out.push(b',');
        self.count += 1;
        Ok(())
    }

    fn place(&self, error: CanonicalError) -> CanonicalError {
        match self.variant {
            Some(variant) => error.under(variant),
            None => error,
        }
    }

    fn finish(self) {
        self.writer.close(self.start, b']');
        if self.variant.is_some() {
            self.writer.close_variant();
        }
    }
}

macro_rules! items {
    ($($trait:ident :: $method:ident),*) => {$(
        impl ser::$trait for Items<'_> {
            type Ok = ();
            type Error = CanonicalError;
            fn $method<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), CanonicalError> {
                self.item(value)
            }
            fn end(self) -> Result<(), CanonicalError> {
                self.finish();
                Ok(())
            }
        }
    )*};
}
items!(
    SerializeSeq::serialize_element,
    SerializeTuple::serialize_element,
    SerializeTupleStruct::serialize_field,
    SerializeTupleVariant::serialize_field
);

/// An object being written.
struct Members<'a> {
    writer: &'a mut Writer,
    start: usize,
    members: Vec<(Cow<'static, str>, Range<usize>)>,
    sorted: bool,
    key: Option<String>,
    variant: Option<&'static str>,
}

impl Members<'_> {
    fn member<T: Serialize + ?Sized>(
        &mut self,
        key: Cow<'static, str>,
        value: &T,
    ) -> Result<(), CanonicalError> {
        if let Some((last, _)) = self.members.last() {
            self.sorted &= key_order(last, &key) == Ordering::Less;
        }
        let start = self.writer.out.len();
        write_text(&mut self.writer.out, &key);
        self.writer.out.push(b':');
        if let Err(error) = value.serialize(&mut *self.writer) {
            return Err(self.place(error.under(key)));
        }
        self.writer.out.push(b',');
        self.members.push((key, start..self.writer.out.len()));
        Ok(())
    }

    fn place(&self, error: CanonicalError) -> CanonicalError {
        match self.variant {
            Some(variant) => error.under(variant),
            None => error,
        }
    }

    fn finish(mut self) -> Result<(), CanonicalError> {
        if !self.sorted {
            self.members.sort_by(|(a, _), (b, _)| key_order(a, b));
            if let Some(pair) = self.members.windows(2).find(|pair| pair[0].0 == pair[1].0) {
                let error = CanonicalError::DuplicateKey { path: String::new() }.under(&pair[0].0);
                return Err(self.place(error));
            }
            let out = &mut self.writer.out;
            let unsorted = out.split_off(self.start);
            for (_, range) in &self.members {
                out.extend_from_slice(&unsorted[range.start - self.start..range.end - self.start]);
            }
        }
        self.writer.close(self.start, b'}');
        if self.variant.is_some() {
            self.writer.close_variant();
        }
        Ok(())
    }
}

impl ser::SerializeMap for Members<'_> {
    type Ok = ();
    type Error = CanonicalError;

    fn serialize_key<T: Serialize + ?Sized>(&mut self, key: &T) -> Result<(), CanonicalError> {
        match serde_json::to_value(key) {
            Ok(Value::String(key)) => self.key = Some(key),
            _ => return Err(self.place(no_such_value("a key that is not text"))),
        }
        Ok(())
    }
    fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), CanonicalError> {
        let key = self.key.take().ok_or_else(|| no_such_value("a value without a key"))?;
        self.member(Cow::Owned(key), value)
    }
    fn end(self) -> Result<(), CanonicalError> {
        self.finish()
    }
}

macro_rules! members {
    ($($trait:ident),*) => {$(
        impl ser::$trait for Members<'_> {
            type Ok = ();
            type Error = CanonicalError;
            fn serialize_field<T: Serialize + ?Sized>(&mut self, key: &'static str, value: &T) -> Result<(), CanonicalError> {
                self.member(Cow::Borrowed(key), value)
            }
            fn end(self) -> Result<(), CanonicalError> {
                self.finish()
            }
        }
    )*};
}
members!(SerializeStruct, SerializeStructVariant);

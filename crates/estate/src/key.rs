//! Keys: the short names by which people and records call a thing.

use std::borrow::Borrow;
use std::cmp::Ordering;
use std::fmt;
use std::ops::Deref;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::misread::Misread;

/// A lower-case slug, unique within its parent: `fernhollow`, `counter-1`, `3`.
///
/// Letters a to z, digits and `-`; it starts and ends with a letter or digit,
/// and has at most 64 characters.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Key(String);

/// Longest key, in characters.
const LONGEST: usize = 64;

impl Key {
    /// The key as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The key nearest to any text, where there is one: `Fern Hollow (North)` gives `fern-hollow-north`.
    #[must_use]
    pub fn suggest(text: &str) -> Option<Self> {
        let mut slug = String::new();
        let mut gap = false;
        for c in text.chars() {
            let start = slug.len();
            push_plain(&mut slug, c);
            if slug.len() == start {
                // An apostrophe joins (`Mary's` is `marys`), everything else parts.
                gap |= !matches!(c, '\'' | '’');
            } else if gap && start > 0 {
                slug.insert(start, '-');
                gap = false;
            } else {
                gap = false;
            }
            if slug.len() >= LONGEST {
                slug.truncate(LONGEST);
                break;
            }
        }
        slug.trim_end_matches('-').parse().ok()
    }

    /// Order in which people list keys: `2` before `10`.
    #[must_use]
    pub fn natural_cmp(&self, other: &Self) -> Ordering {
        natural(&self.0, &other.0)
    }
}

/// Appends the plain form of a character; nothing if it has none.
fn push_plain(slug: &mut String, c: char) {
    if c.is_ascii_alphanumeric() {
        slug.push(c.to_ascii_lowercase());
        return;
    }
    for lower in c.to_lowercase() {
        let plain = match lower {
            'a'..='z' => {
                slug.push(lower);
                continue;
            }
            'à' | 'á' | 'â' | 'ã' | 'å' | 'ā' | 'ă' | 'ą' => "a",
            'ä' | 'æ' => "ae",
            'ç' | 'ć' | 'č' => "c",
            'ď' | 'đ' | 'ð' => "d",
            'è' | 'é' | 'ê' | 'ë' | 'ē' | 'ė' | 'ę' | 'ě' => "e",
            'ğ' => "g",
            'ì' | 'í' | 'î' | 'ï' | 'ī' | 'į' | 'ı' => "i",
            'ł' | 'ľ' => "l",
            'ñ' | 'ń' | 'ň' => "n",
            'ò' | 'ó' | 'ô' | 'õ' | 'ō' | 'ő' => "o",
            'ö' | 'ø' | 'œ' => "oe",
            'ř' => "r",
            'ś' | 'š' | 'ş' | 'ș' => "s",
            'ß' => "ss",
            'ť' | 'ţ' | 'ț' => "t",
            'þ' => "th",
            'ù' | 'ú' | 'û' | 'ū' | 'ů' | 'ű' => "u",
            'ü' => "ue",
            'ý' | 'ÿ' => "y",
            'ź' | 'ž' | 'ż' => "z",
            _ => continue,
        };
        slug.push_str(plain);
    }
}

/// Compares runs of digits by their value, all else by character.
fn natural(a: &str, b: &str) -> Ordering {
    let (mut x, mut y) = (a, b);
    loop {
        let digits = |s: &str| s.bytes().take_while(u8::is_ascii_digit).count();
        let (m, n) = (digits(x), digits(y));
        if m > 0 && n > 0 {
            let (p, q) = (x[..m].trim_start_matches('0'), y[..n].trim_start_matches('0'));
            let order = p.len().cmp(&q.len()).then_with(|| p.cmp(q));
            if order.is_ne() {
                return order;
            }
            (x, y) = (&x[m..], &y[n..]);
            continue;
        }
        match (x.chars().next(), y.chars().next()) {
            (Some(c), Some(d)) if c == d => {
                (x, y) = (&x[c.len_utf8()..], &y[d.len_utf8()..]);
            }
            (c, d) => return c.cmp(&d).then_with(|| a.cmp(b)),
        }
    }
}

impl FromStr for Key {
    type Err = Misread;

    fn from_str(text: &str) -> Result<Self, Misread> {
        let fits = !text.is_empty()
            && text.len() <= LONGEST
            && text.bytes().all(|b| matches!(b, b'a'..=b'z' | b'0'..=b'9' | b'-'))
            && !text.starts_with('-')
            && !text.ends_with('-');
        if fits {
            return Ok(Self(text.to_owned()));
        }
        let rule = "a key has lower-case letters a to z, digits and `-`, and at most 64 characters";
        Err(if text.is_empty() {
            Misread::new("the key is empty", rule)
        } else {
            let hint = match Self::suggest(text) {
                Some(key) => format!("write `{key}`: {rule}"),
                None => rule.to_owned(),
            };
            Misread::new(format!("`{text}` cannot be a key"), hint)
        })
    }
}

impl TryFrom<String> for Key {
    type Error = Misread;

    fn try_from(text: String) -> Result<Self, Misread> {
        text.parse()
    }
}

impl From<Key> for String {
    fn from(key: Key) -> Self {
        key.0
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

impl Deref for Key {
    type Target = str;

    fn deref(&self) -> &str {
        &self.0
    }
}

impl AsRef<str> for Key {
    fn as_ref(&self) -> &str {
        &self.0
    }
}

impl Borrow<str> for Key {
    fn borrow(&self) -> &str {
        &self.0
    }
}

impl PartialEq<str> for Key {
    fn eq(&self, other: &str) -> bool {
        self.0 == other
    }
}

impl PartialEq<&str> for Key {
    fn eq(&self, other: &&str) -> bool {
        self.0 == *other
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_is_a_plain_slug() {
        for good in ["3", "fernhollow", "counter-1", "a--b"] {
            assert_eq!(good.parse::<Key>().unwrap(), good);
        }
        for bad in ["", "-a", "a-", "Fern", "fern hollow", "é", "a/b", "a_b"] {
            assert!(bad.parse::<Key>().is_err(), "{bad}");
        }
        assert!("x".repeat(65).parse::<Key>().is_err());
    }

    #[test]
    fn the_hint_names_the_nearest_key() {
        let hint = "Fern Hollow".parse::<Key>().unwrap_err().hint;
        assert!(hint.starts_with("write `fern-hollow`"), "{hint}");
        let pairs = [
            ("Mary's Café №4", "marys-cafe-4"),
            ("  Große Straße ", "grosse-strasse"),
            ("Öre/Ås", "oere-as"),
        ];
        for (text, key) in pairs {
            assert_eq!(Key::suggest(text).unwrap(), key);
        }
        assert_eq!(Key::suggest("駅前"), None);
    }

    #[test]
    fn people_list_two_before_ten() {
        let mut keys: Vec<Key> =
            ["10", "2", "b-10", "b-9", "1a", "1"].map(|k| k.parse().unwrap()).into();
        keys.sort_by(Key::natural_cmp);
        let text: Vec<&str> = keys.iter().map(Key::as_str).collect();
        assert_eq!(text, ["1", "1a", "2", "10", "b-9", "b-10"]);
    }
}

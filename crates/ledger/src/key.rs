//! Keys: the short names by which people and files call sites, machines, lines and parts.

use thiserror::Error;

/// The longest key, in letters.
pub const MAX_KEY: usize = 64;

/// Text that is no key.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum KeyError {
    /// No letters.
    #[error("a key is empty; write one such as counter-1")]
    Empty,
    /// More than [`MAX_KEY`] letters.
    #[error("a key of {length} letters; the longest is {MAX_KEY}")]
    TooLong {
        /// Its length.
        length: usize,
    },
    /// A character that keys do not have.
    #[error("{found:?} in a key; use a-z, 0-9 and, between them, -, such as counter-1")]
    Character {
        /// The first such character.
        found: char,
    },
}

/// Checks a key: 1 to [`MAX_KEY`] of a-z, 0-9 and `-`, with a letter or digit first and last.
///
/// # Errors
/// The first thing that is wrong with it.
pub fn check_key(key: &str) -> Result<(), KeyError> {
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit();
    if let Some(found) = key.chars().find(|&c| !plain(c) && c != '-') {
        return Err(KeyError::Character { found });
    }
    let (Some(first), Some(last)) = (key.chars().next(), key.chars().next_back()) else {
        return Err(KeyError::Empty);
    };
    if let Some(&found) = [first, last].iter().find(|&&c| !plain(c)) {
        return Err(KeyError::Character { found });
    }
    if key.len() > MAX_KEY {
        return Err(KeyError::TooLong { length: key.len() });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_short_lower_case_names() {
        for key in ["fernhollow", "counter-1", "3", "a--b", &"x".repeat(64)] {
            assert_eq!(check_key(key), Ok(()), "{key}");
        }
        assert_eq!(check_key(""), Err(KeyError::Empty));
        assert_eq!(check_key(&"x".repeat(65)), Err(KeyError::TooLong { length: 65 }));
        for (key, found) in [
            ("Fern", 'F'),
            ("a b", ' '),
            ("a/b", '/'),
            ("-a", '-'),
            ("a-", '-'),
            ("a_b", '_'),
            ("café", 'é'),
            ("@group", '@'),
            ("a\0", '\0'),
        ] {
            assert_eq!(check_key(key), Err(KeyError::Character { found }), "{key}");
        }
    }
}

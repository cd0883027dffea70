//! Numbers of things in words: `1 record`, `3 records`, `2 catches`.

/// A count with its word, in the singular where it is one.
pub fn many(count: impl TryInto<u64>, word: &str) -> String {
    let count = count.try_into().unwrap_or(u64::MAX);
    match (count, word.ends_with("ch")) {
        (1, _) => format!("1 {word}"),
        (_, true) => format!("{count} {word}es"),
        (_, false) => format!("{count} {word}s"),
    }
}

#[cfg(test)]
mod tests {
    use super::many;

    #[test]
    fn one_is_not_many() {
        assert_eq!(many(0u64, "record"), "0 records");
        assert_eq!(many(1usize, "record"), "1 record");
        assert_eq!(many(2u32, "catch"), "2 catches");
    }
}

//! One phrase of a step: a verb and what follows it. Read from the words that people write, and written back as them.

use std::fmt;

use ouncewise_estate::Misread;
use ouncewise_estate::fault::nearest;
use serde::{Serialize, Serializer};

use crate::time::Seconds;
use crate::verb::{Takes, Verb};

/// What an inlet is connected to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Supply {
    /// Nothing: shut or unclipped.
    None,
    /// The product that the line carries.
    Product,
    /// The product that it is to carry from now on.
    NewProduct,
    /// Drinking water.
    Water,
    /// Detergent.
    Detergent,
    /// Sanitiser.
    Sanitiser,
}

impl Supply {
    /// Each with its word.
    pub const WORDS: &'static [(&'static str, Self)] = &[
        ("none", Self::None),
        ("product", Self::Product),
        ("new-product", Self::NewProduct),
        ("water", Self::Water),
        ("detergent", Self::Detergent),
        ("sanitiser", Self::Sanitiser),
    ];

    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, own)| *own == self).map_or("", |(word, _)| word)
    }
}

/// How long something runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Long {
    /// As the person sees fit: not long enough for anything.
    Unsaid,
    /// So long.
    For(Seconds),
    /// Until no air comes any more.
    UntilAirFree,
}

/// A verb and what follows it.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Phrase {
    /// A verb that stands alone.
    Bare(Verb),
    /// `feed …`
    Feed(Supply),
    /// `mix detergent`, `mix sanitiser`, `test sanitiser`
    Solution(Verb, Supply),
    /// `run …`
    Run(Long),
    /// `soak …`
    Soak(Seconds),
    /// `remove …`, `look …`, `wash …`, `renew …`, `lubricate …`, `refit …`: parts by key, none for `all`.
    Parts(Verb, Vec<String>),
    /// `test outlet`
    TestOutlet,
    /// `wash brush`
    WashBrush,
    /// `ask spare …`
    AskSpare(String),
    /// `ask …`
    Ask(String),
}

const AIR_FREE: &str = "until air-free";
const OUTLET: &str = "outlet";

impl Phrase {
    /// The verb.
    #[must_use]
    pub fn verb(&self) -> Verb {
        match self {
            Self::Bare(verb) | Self::Solution(verb, _) | Self::Parts(verb, _) => *verb,
            Self::Feed(_) => Verb::Feed,
            Self::Run(_) => Verb::Run,
            Self::Soak(_) => Verb::Soak,
            Self::TestOutlet => Verb::Test,
            Self::WashBrush => Verb::Wash,
            Self::AskSpare(_) | Self::Ask(_) => Verb::Ask,
        }
    }

    /// Seconds that it says itself.
    #[must_use]
    pub fn seconds(&self) -> Option<Seconds> {
        match self {
            Self::Run(Long::For(seconds)) | Self::Soak(seconds) => Some(*seconds),
            _ => None,
        }
    }

    /// Reads one phrase.
    ///
    /// # Errors
    /// What is wrong with it, and how to mend it.
    pub fn read(text: &str) -> Result<Self, Misread> {
        let text = text.trim();
        let (word, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        let rest = rest.trim();
        let words = || Verb::ALL.iter().map(|(_, word, ..)| *word);
        let Some((verb, ..)) = Verb::ALL.iter().find(|(_, own, ..)| *own == word) else {
            let hint = match nearest(word, words()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("the verbs are {}", words().collect::<Vec<_>>().join(", ")),
            };
            return Err(Misread::new(format!("`{word}` is no verb"), hint));
        };
        let verb = *verb;
        match verb.takes() {
            Takes::Nothing if rest.is_empty() => Ok(Self::Bare(verb)),
            Takes::Nothing => Err(Misread::new(
                format!("nothing follows `{verb}`, and here is `{rest}`"),
                format!("write only `{verb}`, and part phrases by `;`"),
            )),
            Takes::Supply => supply(verb, rest, Supply::WORDS).map(Self::Feed),
            Takes::Solution => {
                supply(verb, rest, &Supply::WORDS[4..]).map(|s| Self::Solution(verb, s))
            }
            Takes::Tested if rest == OUTLET => Ok(Self::TestOutlet),
            Takes::Tested => tested(verb, rest),
            Takes::MaybeTime if rest.is_empty() => Ok(Self::Run(Long::Unsaid)),
            Takes::MaybeTime if rest == AIR_FREE => Ok(Self::Run(Long::UntilAirFree)),
            Takes::MaybeTime => rest.parse().map(|seconds| Self::Run(Long::For(seconds))).map_err(
                |Misread { message, .. }| {
                    Misread::new(message, format!("write `run`, `run 30 s` or `run {AIR_FREE}`"))
                },
            ),
            Takes::Time => rest.parse().map(Self::Soak).map_err(|Misread { message, .. }| {
                Misread::new(message, "write how long, as in `soak 60 s`")
            }),
            Takes::PartsOrBrush if rest == "brush" => Ok(Self::WashBrush),
            Takes::Parts | Takes::PartsOrBrush => parts(verb, rest).map(|p| Self::Parts(verb, p)),
            Takes::Question => match rest.strip_prefix("spare ") {
                Some(part) => key(part, "part").map(Self::AskSpare),
                None => key(rest, "question").map(Self::Ask),
            },
        }
    }

    /// Reads the phrases of a step, each with where it begins in the text; those that cannot be read as what is wrong.
    #[must_use]
    pub fn read_all(text: &str) -> Vec<(usize, Result<Self, Misread>)> {
        let mut from = 0;
        let mut phrases = Vec::new();
        for piece in text.split(';') {
            let start = from + (piece.len() - piece.trim_start().len());
            from += piece.len() + 1;
            if !piece.trim().is_empty() {
                phrases.push((start, Self::read(piece)));
            }
        }
        phrases
    }
}

fn supply(
    verb: Verb,
    word: &str,
    from: &'static [(&'static str, Supply)],
) -> Result<Supply, Misread> {
    from.iter().find(|(own, _)| *own == word).map(|(_, supply)| *supply).ok_or_else(|| {
        let words: Vec<&str> = from.iter().map(|(word, _)| *word).collect();
        let hint = match nearest(word, words.iter().copied()) {
            Some(near) => format!("did you mean `{verb} {near}`?"),
            None => format!("after `{verb}` stands {}", words.join(", ")),
        };
        let what = if word.is_empty() {
            format!("`{verb}` does not say what")
        } else {
            format!("`{verb}` cannot be followed by `{word}`")
        };
        Misread::new(what, hint)
    })
}

/// What a strip is read in, other than the outlet.
fn tested(verb: Verb, word: &str) -> Result<Phrase, Misread> {
    let sanitiser = &Supply::WORDS[5..];
    let read = supply(verb, word, sanitiser).map(|supply| Phrase::Solution(verb, supply));
    read.map_err(|Misread { message, hint }| {
        let words = sanitiser.iter().map(|(word, _)| *word).chain([OUTLET]);
        let hint = match nearest(word, words) {
            Some(near) => format!("did you mean `{verb} {near}`?"),
            None => format!("{hint} for the bucket, or {OUTLET} for the line"),
        };
        Misread::new(message, hint)
    })
}

fn key(text: &str, what: &str) -> Result<String, Misread> {
    text.trim().parse::<ouncewise_estate::Key>().map(String::from).map_err(
        |Misread { message, hint }| Misread::new(message, format!("name the {what}: {hint}")),
    )
}

fn parts(verb: Verb, text: &str) -> Result<Vec<String>, Misread> {
    if text.is_empty() {
        let hint = format!("write the part, as in `{verb} valve-seal`, or `{verb} all`");
        return Err(Misread::new(format!("`{verb}` does not say which part"), hint));
    }
    if text == "all" {
        return Ok(Vec::new());
    }
    text.split(',').map(|part| key(part, "part")).collect()
}

impl fmt::Display for Phrase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Bare(verb) => write!(f, "{verb}"),
            Self::Feed(supply) => write!(f, "feed {}", supply.word()),
            Self::Solution(verb, supply) => write!(f, "{verb} {}", supply.word()),
            Self::Run(Long::Unsaid) => f.write_str("run"),
            Self::Run(Long::For(seconds)) => write!(f, "run {seconds}"),
            Self::Run(Long::UntilAirFree) => write!(f, "run {AIR_FREE}"),
            Self::Soak(seconds) => write!(f, "soak {seconds}"),
            Self::Parts(verb, parts) if parts.is_empty() => write!(f, "{verb} all"),
            Self::Parts(verb, parts) => write!(f, "{verb} {}", parts.join(", ")),
            Self::TestOutlet => write!(f, "test {OUTLET}"),
            Self::WashBrush => f.write_str("wash brush"),
            Self::AskSpare(part) => write!(f, "ask spare {part}"),
            Self::Ask(word) => write!(f, "ask {word}"),
        }
    }
}

impl Serialize for Phrase {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_phrase_reads_back_as_it_is_written() {
        for text in [
            "withhold",
            "feed new-product",
            "mix sanitiser",
            "test sanitiser",
            "test outlet",
            "run",
            "run 30 s",
            "run until air-free",
            "soak 2 min",
            "remove valve-seal, nozzle-ring",
            "wash brush",
            "refit all",
            "ask spare pump-tube",
            "ask clear",
        ] {
            assert_eq!(Phrase::read(text).unwrap().to_string(), text);
        }
    }

    #[test]
    fn what_cannot_be_read_names_what_was_meant() {
        let hint = |text| Phrase::read(text).unwrap_err().hint;
        assert_eq!(hint("drian"), "did you mean `drain`?");
        assert_eq!(hint("feed watr"), "did you mean `feed water`?");
        assert!(hint("ensure clean").starts_with("the verbs are"));
        assert!(hint("soak").contains("soak 60 s"));
        assert!(hint("drain fully").contains("only `drain`"));
        assert!(hint("test detergent").contains("sanitiser"));
        assert_eq!(hint("test outlt"), "did you mean `test outlet`?");
    }
}

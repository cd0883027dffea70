//! Lists that come in pages: an opaque cursor leads from one to the next, and neither loses nor repeats what was there,
//! whatever is added meanwhile.

use std::fmt::Write;

use axum::http::{StatusCode, Uri, header};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::call::Reply;
use super::problem::{Code, Problem, ROOT};

/// Which page of a list.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PageAsked {
    /// Where to go on: from `next` of the page before.
    #[schemars(length(max = 1000))]
    cursor: Option<String>,
    /// The most things on the page.
    #[serde(default = "usual")]
    #[schemars(range(min = 1, max = 200))]
    limit: usize,
}

fn usual() -> usize {
    50
}

/// A page of a list.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "ListOf{T}")]
pub struct Listed<T> {
    /// What is on this page.
    pub items: Vec<T>,
    /// Address of the page after it; null on the last one.
    pub next: Option<String>,
}

/// A page that was asked for.
#[derive(Debug)]
pub struct Page {
    list: String,
    /// What stands before it; nothing on the first page.
    pub after: Option<String>,
    pub limit: usize,
}

impl PageAsked {
    /// Reads the cursor, which must be of this list.
    pub fn page(&self, list: &str) -> Result<Page, Problem> {
        let after = match &self.cursor {
            None => None,
            Some(cursor) => Some(opened(list, cursor).ok_or_else(|| {
                Problem::new(Code::Usage, "`cursor`: this cursor is not of this list")
                    .hint("take it from `next` of the page before, or leave it out to begin again")
            })?),
        };
        Ok(Page { list: list.to_owned(), after, limit: self.limit })
    }
}

/// One page of all, each with its place in the list. There is one more than the page holds, where there is another page.
pub fn listed<T>(uri: &Uri, page: &Page, mut all: Vec<(String, T)>) -> Reply<Listed<T>> {
    let more = all.len() > page.limit;
    all.truncate(page.limit);
    let next = all.last().filter(|_| more).map(|(place, _)| {
        let cursor = sealed(&page.list, place);
        format!("{ROOT}{}?limit={}&cursor={cursor}", uri.path(), page.limit)
    });
    let link = next.as_ref().map(|next| format!("<{next}>; rel=\"next\""));
    let items = all.into_iter().map(|(_, item)| item).collect();
    let reply = Reply::new(StatusCode::OK, Listed { items, next });
    match link {
        Some(link) => reply.header(header::LINK, &link),
        None => reply,
    }
}

/// A place in a list as text that nobody reads anything into.
fn sealed(list: &str, place: &str) -> String {
    let mut text = String::new();
    for byte in format!("{list} {place}").bytes() {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
    }
    text
}

fn opened(list: &str, cursor: &str) -> Option<String> {
    let bytes: Option<Vec<u8>> = cursor
        .as_bytes()
        .chunks(2)
        .map(|pair| u8::from_str_radix(std::str::from_utf8(pair).ok()?, 16).ok())
        .collect();
    let text = String::from_utf8(bytes?).ok()?;
    let place = text.strip_prefix(list)?.strip_prefix(' ')?;
    (sealed(list, place) == cursor).then(|| place.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cursor_is_of_its_own_list_only() {
        let cursor = sealed("records fernhollow", "49");
        assert_eq!(opened("records fernhollow", &cursor).as_deref(), Some("49"));
        assert_eq!(opened("records fern", &cursor), None);
        assert_eq!(opened("sites", &cursor), None);
        for bad in ["", "zz", "4", "+4", &cursor[1..], &cursor.to_uppercase(), "ff"] {
            assert_eq!(opened("records fernhollow", bad), None, "{bad}");
        }
    }
}

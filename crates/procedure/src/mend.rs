//! What is safe to mend in a text without asking its author what was meant: verbs with one near word, the kit, and spaces. Only
//! what is wrong is touched: comments, order and all else stay as they were written.

use std::collections::BTreeSet;
use std::ops::Range;

use ouncewise_estate::fault::nearest;
use ouncewise_estate::written::{self, Entry, Node, Table, Value};
use serde::Serialize;

use crate::family::Family;
use crate::kit;
use crate::phrase::{Phrase, Supply};
use crate::read;
use crate::verb::Verb;

/// One thing that was mended.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Change {
    /// The line in the text as it was, from 1.
    pub line: usize,
    /// What was done.
    pub says: String,
}

/// A text, and what was mended in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mended {
    /// The text as it is now.
    pub text: String,
    /// What was done, by line.
    pub changes: Vec<Change>,
}

/// Something to put in the place of a part of a text.
struct Edit {
    span: Range<usize>,
    with: String,
    says: String,
}

/// A procedure's text with all that is safe to mend. Its family says what it may list in its kit.
#[must_use]
pub fn procedure(text: &str, family: &Family) -> Mended {
    let mut mended = alone(text);
    loop {
        let kit = kit_edits(&mended.text, family);
        if kit.is_empty() {
            return mended;
        }
        // Of neighbours that go, one takes the comma of the other: that one goes next time.
        apply(&mut mended, kit);
        let mut left = Vec::new();
        spaces(&mended.text, &mut left);
        apply(&mut mended, left);
    }
}

/// A family's text with all that is safe to mend.
#[must_use]
pub fn family(text: &str) -> Mended {
    alone(text)
}

/// What is mended by looking at the text alone.
fn alone(text: &str) -> Mended {
    let mut mended = Mended { text: text.to_owned(), changes: Vec::new() };
    // Of a text that cannot be read, nothing is known.
    let (Some(table), broken) = written::toml(text) else { return mended };
    if !broken.is_empty() {
        return mended;
    }
    let mut edits = Vec::new();
    phrases(text, &table, &mut edits);
    spaces(text, &mut edits);
    apply(&mut mended, edits);
    mended
}

/// Puts edits in, the last first, so that the places of the others stay true. One that overlaps another is left out.
fn apply(mended: &mut Mended, mut edits: Vec<Edit>) {
    edits.sort_by_key(|edit| (edit.span.start, edit.span.end));
    let mut from = usize::MAX;
    for edit in edits.into_iter().rev() {
        if edit.span.end > from {
            continue;
        }
        from = edit.span.start;
        let line = mended.text[..edit.span.start].matches('\n').count() + 1;
        mended.changes.push(Change { line, says: edit.says });
        mended.text.replace_range(edit.span, &edit.with);
    }
    mended.changes.sort_by(|a, b| a.line.cmp(&b.line).then_with(|| a.says.cmp(&b.says)));
}

/// Every `do`, however deep it stands.
fn phrases(text: &str, table: &Table, edits: &mut Vec<Edit>) {
    for Entry { name, node, .. } in &table.0 {
        match &node.value {
            Value::Text(own) if name == "do" => edits.extend(phrase(text, node, own)),
            Value::Table(inner) => phrases(text, inner, edits),
            Value::List(items) => {
                for item in items {
                    if let Value::Table(inner) = &item.value {
                        phrases(text, inner, edits);
                    }
                }
            }
            _ => {}
        }
    }
}

/// The phrases of one step, spelt and spaced as they should be.
fn phrase(text: &str, node: &Node, own: &str) -> Option<Edit> {
    let inner = node.span.start + 1..node.span.end.checked_sub(1)?;
    // With escapes, or in another sort of quotation mark, it is left to its author.
    if text.get(inner.clone())? != own {
        return None;
    }
    let pieces = own.split(';').filter(|piece| !piece.trim().is_empty());
    let pieces: Vec<String> = pieces.map(spelt).collect();
    let with = pieces.join("; ");
    if with == own || pieces.is_empty() {
        return None;
    }
    let says = if squeezed(&with) == squeezed(own) {
        format!("`{with}`: its spaces")
    } else {
        format!("`{}` is `{with}`", own.trim())
    };
    Some(Edit { span: inner, with, says })
}

fn squeezed(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace() && *c != ';').collect()
}

/// A phrase whose verb, or what is fed or mixed, is put right where only one word is near.
fn spelt(piece: &str) -> String {
    let mut words: Vec<&str> = piece.split_whitespace().collect();
    let as_written = words.join(" ");
    if Phrase::read(&as_written).is_ok() {
        return as_written;
    }
    let verbs = || Verb::ALL.iter().map(|(_, word, ..)| *word);
    if let Some(first) = words.first().copied()
        && verbs().all(|verb| verb != first)
    {
        let Some(verb) = only_near(first, verbs()) else { return as_written };
        words[0] = verb;
    }
    if words.len() == 2 && matches!(words[0], "feed" | "mix" | "test") {
        // A strip is read at the outlet too.
        let outlet = (words[0] == "test").then_some("outlet");
        let supplies = || Supply::WORDS.iter().map(|(word, _)| *word).chain(outlet);
        if supplies().all(|supply| supply != words[1])
            && let Some(supply) = only_near(words[1], supplies())
        {
            words[1] = supply;
        }
    }
    let now = words.join(" ");
    if Phrase::read(&now).is_ok() { now } else { as_written }
}

/// The one word that is near; none, where a second could be meant.
fn only_near<'a>(written: &str, words: impl Iterator<Item = &'a str> + Clone) -> Option<&'a str> {
    let near = nearest(written, words.clone())?;
    let second = nearest(written, words.filter(|word| *word != near));
    second.is_none().then_some(near)
}

/// Blanks at the ends of lines.
fn spaces(text: &str, edits: &mut Vec<Edit>) {
    // Within a text of several lines they may be meant.
    if text.contains("\"\"\"") || text.contains("'''") {
        return;
    }
    let mut from = 0;
    for whole in text.split_inclusive('\n') {
        let line = whole.trim_end_matches(['\n', '\r']);
        let kept = line.trim_end_matches([' ', '\t']);
        if kept.len() < line.len() {
            let span = from + kept.len()..from + line.len();
            let says = "blanks at the end of the line".to_owned();
            edits.push(Edit { span, with: String::new(), says });
        }
        from += whole.len();
    }
}

/// What the kit lists too much, or lacks although a step uses it.
fn kit_edits(text: &str, family: &Family) -> Vec<Edit> {
    let mut edits = Vec::new();
    let (Some(procedure), _) = read::procedure("", text, family) else { return edits };
    let (Some(table), _) = written::toml(text) else { return edits };
    let used = kit::used(family, &procedure);
    let known = |key: &str| {
        let spare = key.strip_prefix("spare ").map(|part| family.part(part).is_some());
        spare.unwrap_or_else(|| family.thing(key).is_some())
    };
    let lacks = used.keys().filter(|key| known(key) && !procedure.kit.contains(key));
    let lacks: Vec<&String> = lacks.collect();
    let Some(entry) = table.get("kit") else {
        if let Some(after) = table.get("family").filter(|_| !lacks.is_empty()) {
            let end = text[after.node.span.end..].find('\n').map(|at| after.node.span.end + at);
            let at = end.unwrap_or(text.len());
            let all: Vec<String> = lacks.iter().map(|key| format!("\"{key}\"")).collect();
            let with = format!("\nkit = [{}]", all.join(", "));
            let says = "the kit: what the steps use".to_owned();
            edits.push(Edit { span: at..at, with, says });
        }
        return edits;
    };
    let Value::List(items) = &entry.node.value else { return edits };
    let mut seen = BTreeSet::new();
    let mut kept: Option<&Node> = None;
    let mut dropped: Vec<(usize, &String, bool)> = Vec::new();
    for (nth, item) in items.iter().enumerate() {
        let Value::Text(key) = &item.value else { return Vec::new() };
        let first = seen.insert(key.clone());
        if first && (used.contains_key(key) || !known(key)) {
            kept = Some(item);
        } else {
            dropped.push((nth, key, first));
        }
    }
    for (nth, key, first) in dropped {
        let says = if first {
            format!("`{key}` out of the kit: no step uses it")
        } else {
            format!("`{key}` out of the kit: it stands there twice")
        };
        edits.push(Edit {
            span: without(text, items, nth, &entry.node),
            with: String::new(),
            says,
        });
    }
    for key in lacks {
        let says = format!("`{key}` into the kit: a step uses it");
        let (at, with) = match kept {
            Some(last) => beside(text, items, last, key),
            None => (entry.node.span.start + 1, format!("\"{key}\", ")),
        };
        edits.push(Edit { span: at..at, with, says });
    }
    edits
}

/// Where an item goes in after another, and as what: on a line of its own where the list is written so.
fn beside(text: &str, items: &[Node], last: &Node, key: &str) -> (usize, String) {
    let end = last.span.end;
    let first = items.first().map_or(0, |first| first.span.start);
    let line = text[..first].rfind('\n').map_or(0, |at| at + 1);
    let blanks = &text[line..first];
    if line == 0 || !blanks.trim().is_empty() {
        return (end, format!(", \"{key}\""));
    }
    // A comment beside the other stays beside it.
    let over = text[end..].find(['\n', '\r']).map_or(end, |at| end + at);
    let rest = text[end..over].strip_prefix(',').map(str::trim);
    if rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('#')) {
        return (over, format!("\n{blanks}\"{key}\","));
    }
    (end, format!(",\n{blanks}\"{key}\""))
}

/// An item of a list with the comma that belongs to it; a comment beside it stays.
fn without(text: &str, items: &[Node], nth: usize, list: &Node) -> Range<usize> {
    let own = items[nth].span.clone();
    let rest = &text[own.end..list.span.end];
    let blanks = rest.len() - rest.trim_start().len();
    if rest[blanks..].starts_with(',') {
        let mut end = own.end + blanks + 1;
        let after = &text[end..list.span.end];
        end += after.len() - after.trim_start_matches([' ', '\t']).len();
        // A line of which nothing is left goes too.
        let line = text[..own.start].rfind('\n').map_or(0, |at| at + 1);
        let alone =
            text[line..own.start].trim().is_empty() && text[end..].starts_with(['\n', '\r']);
        if alone && line > list.span.start {
            let over = text[end..].find('\n').map_or(end, |at| end + at + 1);
            return line..over;
        }
        return own.start..end;
    }
    // The last one: the comma before it goes, where nothing but blanks stands between.
    let before = text[..own.start].trim_end();
    let start = if before.ends_with(',') { before.len() - 1 } else { own.start };
    start.max(list.span.start + 1)..own.end
}

#[cfg(test)]
mod tests {
    use super::*;

    const FAMILY: &str = include_str!("../../../content/procedures/screw-trim/family.toml");
    const CLEAN: &str = include_str!("../../../content/procedures/screw-trim/weekly-clean.toml");

    fn mended(text: &str) -> Mended {
        procedure(text, &read::family("family.toml", FAMILY).0.unwrap())
    }

    fn says(text: &str) -> Vec<String> {
        mended(text).changes.into_iter().map(|change| change.says).collect()
    }

    #[test]
    fn what_ships_needs_no_mending_and_what_was_mended_needs_no_more() {
        assert_eq!(mended(CLEAN), Mended { text: CLEAN.to_owned(), changes: Vec::new() });
        assert_eq!(family(FAMILY).changes, Vec::new());
        let spoilt = CLEAN
            .replacen("do = \"restore\"", "do = \"restor ;\"  ", 1)
            .replacen("\"cup\"", "\"driver\", \"cup\", \"cup\"", 1)
            .replacen("\"stopwatch\"", "\"driver\"", 1);
        let once = mended(&spoilt);
        assert!(once.changes.len() >= 3, "{:?}", once.changes);
        assert_eq!(mended(&once.text), Mended { text: once.text.clone(), changes: Vec::new() });
        let family = read::family("family.toml", FAMILY).0.unwrap();
        let (procedure, faults) = read::procedure("p.toml", &once.text, &family);
        assert_eq!(faults, Vec::new());
        assert_eq!(
            crate::check(&family, &procedure.unwrap(), &crate::Terms::default()).verdict,
            crate::Verdict::Checked
        );
    }

    #[test]
    fn a_verb_is_put_right_only_where_one_word_is_near() {
        let put = |from: &str| spelt(from);
        assert_eq!(put("drian"), "drain");
        assert_eq!(put("  soke   60  s "), "soke 60 s");
        assert_eq!(put("isolat"), "isolate");
        assert_eq!(put("feed watr"), "feed water");
        assert_eq!(put("fed sanitizer"), "feed sanitiser");
        // Two are near, or none is, or what follows cannot be read either.
        assert_eq!(put("re"), "re");
        assert_eq!(put("ensure clean"), "ensure clean");
        assert_eq!(put("drian fully"), "drian fully");
    }

    #[test]
    fn the_kit_is_made_what_the_steps_use_and_comments_stay() {
        let list = "kit = [\n    \"cup\",       # the marked one\n    \"towel\", # from the store\n    \"driver\",\n]\n";
        let text = format!(
            "# Ours.\nkind = \"calibrate\"\nfamily = \"screw-trim\"\n{list}# Below.\n\
             [[stage]]\nid = \"a\"\nover = \"each-line\"\n[[stage.step]]\ndo = \"catch\"\nsay.en = \"C\"\n"
        );
        let now = mended(&text);
        assert_eq!(
            now.text,
            text.replace(
                list,
                "kit = [\n    \"cup\",       # the marked one\n    \"stopwatch\",\n    # from the store\n]\n"
            ),
            "{}",
            now.text
        );
        let told = says(&text);
        assert_eq!(told.len(), 3, "{told:?}");
        // A thing that the family does not declare is not for us to add, nor to take out.
        let odd = text.replacen("\"towel\"", "\"hammer\"", 1);
        assert!(mended(&odd).text.contains("hammer"));
        let one = text.replace(list, "kit = [\"cup\", \"towel\"]\n");
        assert!(
            mended(&one).text.contains("kit = [\"cup\", \"stopwatch\"]\n"),
            "{}",
            mended(&one).text
        );
        // However many go from its end.
        for many in [
            "kit = [\"cup\", \"stopwatch\", \"towel\", \"driver\", \"towel\"]\n",
            "kit = [\n    \"cup\",\n    \"stopwatch\",\n    \"towel\", # a\n    \"driver\"\n]\n",
            "kit = [\"towel\", \"driver\"]\n",
        ] {
            let once = mended(&text.replace(list, many));
            assert!(!once.text.contains("towel") && !once.text.contains("driver"), "{}", once.text);
            assert_eq!(mended(&once.text).changes, Vec::new(), "{}", once.text);
        }
        let none = text.replace(list, "");
        assert!(
            mended(&none)
                .text
                .contains("family = \"screw-trim\"\nkit = [\"cup\", \"stopwatch\"]\n")
        );
        let empty = text.replace(list, "kit = []\n");
        let family = read::family("family.toml", FAMILY).0.unwrap();
        let read = read::procedure("p.toml", &mended(&empty).text, &family).0.unwrap();
        assert_eq!(read.kit, ["cup", "stopwatch"]);
    }

    #[test]
    fn blanks_go_and_line_ends_stay() {
        let text = CLEAN.replacen('\n', "  \r\n", 1);
        assert_eq!(mended(&text).text, CLEAN.replacen('\n', "\r\n", 1));
        let text = CLEAN.replacen("do = \"restore\"", "do = \"  restore;\"", 1);
        assert_eq!(mended(&text).text, CLEAN);
        // A text of several lines may mean its blanks; one that cannot be read is left alone.
        let text = format!("{CLEAN}\n# \"\"\"  \n");
        assert_eq!(mended(&text).text, text);
        assert_eq!(mended("= =  \n").text, "= =  \n");
    }
}

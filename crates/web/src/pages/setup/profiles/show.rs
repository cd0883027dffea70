//! The pages of food codes.

use std::collections::{BTreeMap, BTreeSet};

use maud::{Markup, html};
use ouncewise_estate::Estate;
use ouncewise_hygiene::profile::Profile;
use ouncewise_hygiene::profile::form::{self, Holds, Texts};
use ouncewise_report::many;

use super::Asked;
use crate::layout::{self, Fault, Place, beside, described, faults, invalid, titled, trail};
use crate::wrong::sentence;

/// Keys by which people tell one row from the next.
const TELLING: [&str; 7] = ["sanitiser", "kind", "of", "lubricant", "from", "to", "seconds"];

/// All food codes, and the form of a copy.
pub fn all(estate: &Estate, typed: &BTreeMap<String, String>, wrong: &[Fault]) -> Markup {
    let of = |name: &str| typed.get(name).map_or("", String::as_str);
    let title = "Food codes";
    let used = |key: &str| {
        let sites = estate.sites.keys().filter(|site| {
            estate.jurisdiction(site).is_some_and(|in_force| in_force.as_str() == key)
        });
        sites.count()
    };
    let shipped = Profile::all_shipped()
        .iter()
        .filter_map(|(id, text)| Some(((*id).to_owned(), Profile::read(text).ok()?)));
    let shipped: Vec<(String, Profile)> = shipped.collect();
    let field = |id: &str, label: &str, hint: &str| {
        html! {
            div class="field" {
                label for=(id) { (label) }
                p class="hint" id={ (id) "-hint" } { (hint) }
                (beside(wrong, id))
                input type="text" id=(id) name=(id) value=(of(id)) autocomplete="off" aria-describedby=[described(wrong, id, true)] aria-invalid=[invalid(wrong, id)];
            }
        }
    };
    let body = html! {
        (trail(&[("/setup", "Set up")]))
        (faults(wrong))
        h1 { (title) }
        p { "A food code says how strong, how warm and how long, and which records a round must have. Which one is in force is said by " a href="/setup/group" { "the group" } ", or by a site of its own. Rounds are held to it." }
        h2 { "Your own: " (estate.profiles.len()) }
        @if estate.profiles.is_empty() { p { "None yet." } }
        @else {
            ul {
                @for (key, own) in &estate.profiles {
                    li {
                        a href={ "/setup/profiles/" (key) } { (own.profile.name) } ", " (own.profile.edition)
                        @if used(key) > 0 { ", in force at " (many(used(key), "site")) }
                        (food(&own.profile))
                    }
                }
            }
        }
        h2 { "Those that ship: " (shipped.len()) }
        ul {
            @for (key, profile) in &shipped {
                li {
                    strong { (profile.name) } " (" (key) "): " (profile.code) ", " (profile.edition)
                    @if used(key) > 0 { ", in force at " (many(used(key), "site")) }
                    (food(profile))
                }
            }
        }
        h2 { "Make your own" }
        p { "Copy the one that is nearest, and change what differs. Ask your health department which edition is in force, and what was changed." }
        form method="post" action="/setup/profiles" novalidate {
            div class="field" {
                label for="base" { "Copy of" }
                p class="hint" id="base-hint" { "One that ships, or one of your own" }
                (beside(wrong, "base"))
                select id="base" name="base" aria-describedby=[described(wrong, "base", true)] aria-invalid=[invalid(wrong, "base")] {
                    option value="" selected[of("base").is_empty()] { "Choose" }
                    @for (key, profile) in &shipped { option value=(key) selected[of("base") == key] { (profile.name) } }
                    @for (key, own) in &estate.profiles { option value=(key) selected[of("base") == key.as_str()] { (own.profile.name) } }
                }
            }
            (field("name", "Name", "What people call it, such as Our county"))
            (field("key", "Key (optional)", "Its short name in records and files, such as our-county; made from the name if left out"))
            p { button { "Copy it and look at its rows" } }
        }
    };
    layout::page(&titled(title, wrong), Some(Place::SetUp), &body)
}

/// What a profile says beside strength and contact: cold and hot, time, cleaning, allergens, lubricants.
fn food(profile: &Profile) -> Markup {
    let all = profile.food_told();
    html! {
        details {
            summary { "Cold and hot, time, cleaning, allergens" }
            @if all.is_empty() { p { "It says nothing of them: then nothing is covered." } }
            ul { @for limit in &all { li { (sentence(&limit.words)) " (" (limit.clause) "; " (limit.known) ")" } } }
        }
    }
}

fn above() -> Markup {
    trail(&[("/setup", "Set up"), ("/setup/profiles", "Food codes")])
}

/// One of ours as a form.
pub fn form(asked: &Asked, wrong: &[Fault], done: bool) -> Markup {
    let name = asked.texts.get("name").filter(|name| !name.is_empty()).unwrap_or(&asked.key);
    let title = format!("Food code: {name}");
    let at = format!("/setup/profiles/{}", asked.key);
    let sheet = Sheet { texts: &asked.texts, wrong };
    let keys = form::keys();
    let body = html! {
        (above())
        (faults(wrong))
        h1 { (title) }
        @if done { div class="said" role="status" { p { "Recorded." } } }
        @if !asked.known { p { "A copy of " span class="key" { (asked.base) } ". Nothing is recorded yet." } }
        p { "Strengths are in mg/L, times in seconds. A temperature is given in °C and in °F, as the code prints both. Beside each figure stand its clause, its source, and its status: READ only if you saw the text. " a href="/docs/strength" { "What each key says" } }
        form method="post" action=(at) novalidate data-keep {
            input type="hidden" name="seen" value=(asked.mark);
            input type="hidden" name="base" value=(asked.base);
            @for key in keys.iter().filter(|key| key.name != "id") { (sheet.key("", key)) }
            p { button name="act" value="check" { "Check what changes" } }
        }
        @if asked.known {
            form method="post" action=(at) {
                input type="hidden" name="seen" value=(asked.mark);
                button class="away" name="act" value="remove" { "Take it away" }
            }
        }
    };
    layout::page(&titled(&title, wrong), Some(Place::SetUp), &body)
}

/// The fields of a profile, with what stands in them and what is wrong.
struct Sheet<'a> {
    texts: &'a Texts,
    wrong: &'a [Fault],
}

impl Sheet<'_> {
    /// One key: a field, or the fields under it, folded away until one of them is at fault.
    fn key(&self, prefix: &str, key: &form::Asked) -> Markup {
        let path =
            if prefix.is_empty() { key.name.to_owned() } else { format!("{prefix}.{}", key.name) };
        match &key.holds {
            Holds::One(inner) => {
                let there = if form::filled(self.texts, &path) { "" } else { ": none" };
                self.folded(
                    &path,
                    &format!("{}{there}", label(key.name)),
                    &html! {
                        p class="hint" { (sentence(key.says)) }
                        (self.marked(&path))
                        @for key in inner { (self.key(&path, key)) }
                    },
                )
            }
            Holds::Many(inner) => self.rows(&path, key, inner),
            _ => self.field(&path, key),
        }
    }

    fn rows(&self, path: &str, key: &form::Asked, inner: &[form::Asked]) -> Markup {
        let rows = form::rows(self.texts, path);
        let next = rows.last().map_or(1, |last| last + 1);
        let what = label(key.name);
        self.folded(
            path,
            &format!("{what}: {}", many(rows.len(), "row")),
            &html! {
                p class="hint" { (sentence(key.says)) }
                (self.marked(path))
                @for n in &rows {
                    @let row = format!("{path}[{n}]");
                    (self.folded(&row, &format!("{what} {n}{}", self.telling(&row)), &html! {
                        (self.marked(&row))
                        @for key in inner { (self.key(&row, key)) }
                        @let out = id(&format!("{row}.{}", form::OUT));
                        label class="choice" for=(out) {
                            input type="checkbox" id=(out) name=(out) value="yes";
                            "Leave this row out"
                        }
                    }))
                }
                @let row = format!("{path}[{next}]");
                (self.folded(&row, &format!("Another row: {what} {next}"), &html! {
                    @for key in inner { (self.key(&row, key)) }
                }))
            },
        )
    }

    /// A fault of a whole table or row has no field of its own.
    fn marked(&self, path: &str) -> Markup {
        let id = id(path);
        html! {
            @if invalid(self.wrong, &id).is_some() { div id=(id) tabindex="-1" aria-describedby={ (id) "-fault" } { (beside(self.wrong, &id)) } }
        }
    }

    fn folded(&self, path: &str, title: &str, body: &Markup) -> Markup {
        let id = id(path);
        let below = format!("{id}.");
        let open =
            self.wrong.iter().any(|fault| fault.field == id || fault.field.starts_with(&below));
        html! { details open[open] { summary { (title) } div class="line-form" { (body) } } }
    }

    /// What tells a row from the next: `, chlorine, from 50`.
    fn telling(&self, row: &str) -> String {
        let of = |key: &&str| {
            let text = self.texts.get(&format!("{row}.{key}"))?;
            let bare = matches!(*key, "sanitiser" | "kind" | "of" | "lubricant");
            Some(if bare { format!(", {text}") } else { format!(", {key} {text}") })
        };
        TELLING.iter().filter_map(of).collect()
    }

    fn field(&self, path: &str, key: &form::Asked) -> Markup {
        let id = id(path);
        let value = self.texts.get(path).map_or("", String::as_str);
        let wrong = self.wrong;
        let choices: Option<Vec<&str>> = match &key.holds {
            Holds::Words(words) => Some(words.clone()),
            Holds::Flag => Some(vec!["yes", "no"]),
            _ => None,
        };
        let more = if matches!(key.holds, Holds::Texts) { "; parted by ;" } else { "" };
        html! {
            div class="field" {
                label for=(id) { (label(key.name)) @if !key.must { " (optional)" } }
                p class="hint" id={ (id) "-hint" } { (sentence(&format!("{}{more}", key.says))) }
                (beside(wrong, &id))
                @if let Some(choices) = choices {
                    select id=(id) name=(id) aria-describedby=[described(wrong, &id, true)] aria-invalid=[invalid(wrong, &id)] {
                        option value="" selected[value.is_empty()] { @if key.must { "Choose" } @else { "Left out" } }
                        @for word in &choices { option value=(word) selected[*word == value] { (word) } }
                        @if !value.is_empty() && !choices.contains(&value) { option value=(value) selected { (value) } }
                    }
                } @else if value.len() > 80 {
                    textarea id=(id) name=(id) rows="3" aria-describedby=[described(wrong, &id, true)] aria-invalid=[invalid(wrong, &id)] { (value) }
                } @else {
                    input type="text" id=(id) name=(id) value=(value) autocomplete="off" aria-describedby=[described(wrong, &id, true)] aria-invalid=[invalid(wrong, &id)];
                }
            }
        }
    }
}

/// The id and name of a key's field: `limit.2.from` for `limit[2].from`.
fn id(path: &str) -> String {
    path.replace('[', ".").replace(']', "")
}

/// The field that a fault is about. What is wrong with the file as a whole stands at its name.
pub fn field_of(key: &str) -> String {
    if key.is_empty() || key.starts_with("line ") || key == "id" {
        "name".to_owned()
    } else {
        id(key)
    }
}

/// `hot_water` as people say it.
fn label(name: &str) -> String {
    let words = match name {
        "c" => "°C",
        "f" => "°F",
        "ph_to" => "pH up to",
        "ph_or_label" => "Or the label’s pH",
        "mg_per_l" => "mg/L",
        "ppm_to" => "ppm up to",
        name => return sentence(&name.replace('_', " ")).trim_end_matches('.').to_owned(),
    };
    words.to_owned()
}

/// What differs, key by key, in words.
pub fn differences(before: &Texts, after: &Texts) -> Vec<String> {
    let keys: BTreeSet<&String> = before.keys().chain(after.keys()).collect();
    let says = |text: Option<&String>| {
        text.map_or_else(|| "nothing".to_owned(), |text| format!("“{text}”"))
    };
    keys.into_iter()
        .filter(|key| key.as_str() != "id" && before.get(*key) != after.get(*key))
        .map(|key| {
            format!(
                "{}: {} → {}",
                key.replace('_', " "),
                says(before.get(key)),
                says(after.get(key))
            )
        })
        .collect()
}

/// What would change.
pub fn check(asked: &Asked, differences: &[String]) -> Markup {
    let title = "Check before it is recorded";
    let body = html! {
        (above())
        h1 { (title) }
        @if asked.known && differences.is_empty() {
            p { "Nothing changes: it is as the form says." }
        } @else {
            @if !asked.known {
                p { "A new food code " span class="key" { (asked.key) } ", from " span class="key" { (asked.base) } @if differences.is_empty() { ", with nothing changed." } @else { ", with these changes:" } }
            }
            ul { @for words in differences { li { (words) } } }
            @if asked.known { p { "Rounds that name it are held to it as it will be. Give it another edition where the code itself changed." } }
            @else { p { "It is in force nowhere until the group or a site names it." } }
        }
        form method="post" action={ "/setup/profiles/" (asked.key) } {
            input type="hidden" name="seen" value=(asked.mark);
            input type="hidden" name="base" value=(asked.base);
            @for (path, text) in asked.texts.iter().filter(|(path, _)| path.as_str() != "id") {
                input type="hidden" name=(id(path)) value=(text);
            }
            ul class="acts" {
                @if !asked.known || !differences.is_empty() { li { button name="act" value="keep" { "Record it" } } }
                li { button class="plain" name="act" value="change" { "Change something" } }
            }
        }
    };
    layout::page(title, Some(Place::SetUp), &body)
}

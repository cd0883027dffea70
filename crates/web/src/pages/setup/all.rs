//! What the group is made of, and what to do first while it is made of nothing.

use maud::{Markup, html};
use ouncewise_estate::Estate;
use ouncewise_report::many;

use crate::layout::{self, Place};

/// Things of a list that are shown before it is folded.
const SHOWN: usize = 12;

/// The page.
pub fn page(estate: &Estate) -> Markup {
    let group = &estate.group;
    let named = !group.name.is_empty();
    let body = html! {
        h1 { "Set up" }
        @if !named && estate.sites.is_empty() { (first()) }
        h2 { "The group" }
        p { a href="/setup/group" { @if named { (group.name) } @else { "Name the group" } } @if named { ", " (group.time_zone.name()) ", " (group.currency) } }
        (list("Sites", "sites", "Add a site", estate.sites.iter().map(|(key, site)| (key.as_str(), site.name.clone(), many(site.machines.len(), "machine"), site.retired))))
        (list("Families of machines", "families", "Add a family", estate.families.iter().map(|(key, family)| (key.as_str(), family.name.clone(), String::new(), family.retired))))
        (list("Products", "products", "Add a product", estate.products.iter().map(|(key, product)| (key.as_str(), product.name.clone(), String::new(), product.retired))))
        (list("Kinds of measure", "measures", "Add a kind of measure", estate.measures.iter().map(|(key, kind)| (key.as_str(), kind.name.clone(), String::new(), kind.retired))))
        (list("Owners", "owners", "Add an owner", estate.owners.iter().map(|(key, owner)| (key.as_str(), owner.name.clone(), String::new(), owner.retired))))
        h2 { "Procedures" }
        p { "How each family is cleaned, calibrated and mended: " a href="/procedures" { "read, change and publish procedures" } "." }
        h2 { "How families behave" }
        p { "How far lines wander and how fast they wear is assumed, until your own records tell: " a href="/setup/behaviour" { "see what they tell, and adopt it" } "." }
        h2 { "Food codes" }
        p {
            @match &group.jurisdiction {
                Some(key) => { "In force: " (estate.profile(key).map_or_else(|| key.to_string(), |profile| profile.name.clone())) ". " }
                None => { "None is in force for the whole group. " }
            }
            a href="/setup/profiles" { "Food codes, and one of your own" }
        }
        h2 { "Shipped families and kinds of measure" }
        form method="post" action="/setup" {
            p { "Seven families of machines and some kinds of measure to begin with; what you have under the same key stays as it is." }
            button class="plain" { "Take them over" }
        }
        h2 { "All of it as files" }
        p { "For those who like text: " a href="/setup/files" { "read, download and change it as files" } "." }
    };
    layout::page("Set up", Some(Place::SetUp), &body)
}

fn first() -> Markup {
    html! {
        p { "There is nothing here yet. The quickest way in is a spreadsheet: what it speaks of is set up from it." }
        ul class="acts" { li { a class="button" href="/bring" { "Bring in a sheet" } } }
        p { "By hand, go from the top: name the group; take over or add families, products and kinds of measure; add a site with its measures, its machines, and each machine’s lines." }
    }
}

fn list<'e>(
    heading: &str,
    at: &str,
    add: &str,
    things: impl Iterator<Item = (&'e str, String, String, bool)>,
) -> Markup {
    let mut things: Vec<_> = things.collect();
    things.sort_by(|a, b| (a.3, &a.1).cmp(&(b.3, &b.1)));
    let items = |things: &[(&str, String, String, bool)]| {
        html! {
            ul {
                @for (key, name, more, retired) in things {
                    li {
                        a href={ "/setup/" (at) "/" (key) } { @if name.is_empty() { (key) } @else { (name) } }
                        @if !more.is_empty() { ", " (more) }
                        @if *retired { " (out of use)" }
                    }
                }
            }
        }
    };
    html! {
        h2 { (heading) ": " (things.len()) }
        @if things.len() > SHOWN {
            details { summary { "All " (things.len()) } (items(&things)) }
        } @else if !things.is_empty() {
            (items(&things))
        }
        p { a href={ "/setup/" (at) } { (add) } }
    }
}

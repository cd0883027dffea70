//! What a line's records answer: the store's events as the numbers that fault finding takes, and its reasons in words.

use jiff::Timestamp;
use jiff::tz::TimeZone;
use ouncewise_advice::fault::{Failed, Known, Records, Seen, Why, known};
use ouncewise_estate::{Address, Estate};
use ouncewise_estimate::history::{self, weeks};
use ouncewise_estimate::joint::Behaviour;
use ouncewise_estimate::{ActKind, Happening};
use ouncewise_measure::{Amount, print};
use ouncewise_store::Event;

use super::KnownSign;
use crate::line::Told;
use crate::plural::many;
use crate::rounds::effective;

/// What a line's records answer, with the reason in words. The question is left to who knows the catalogue.
pub(super) fn answers(
    estate: &Estate,
    behaviour: &Behaviour,
    address: &Address,
    events: &[Event],
    story: &[Told],
) -> Vec<KnownSign> {
    let (site, machine) = (&address.site, &address.machine);
    let Some(history) = history::read(estate, site, machine, effective(events)) else {
        return Vec::new();
    };
    let Some(line) = history.lines.iter().position(|key| *key == address.line) else {
        return Vec::new();
    };
    let limits: Vec<Option<(f64, f64)>> = history
        .addresses
        .iter()
        .zip(&history.past.targets)
        .map(|(address, target)| {
            let known = estate.line(address).filter(|line| !line.retired)?;
            let tolerance = known.tolerance.fraction().clamp(0.0, 0.999);
            Some((target + (1.0 - tolerance).ln(), target + (1.0 + tolerance).ln()))
        })
        .collect();
    let latest = story.iter().rposition(|told| told.visit.is_some());
    let failed = latest.and_then(|place| failed(&story[place]));
    // What was mended after a failure may have ended it: then only a catch tells.
    if let (Some(_), Some(place)) = (failed, latest)
        && story[place..].iter().filter_map(|told| told.happening.as_ref()).any(mends)
    {
        return Vec::new();
    }
    let part = story.iter().rev().find_map(|told| match told.happening {
        Some(Happening::PartReplaced { .. }) => at(told),
        _ => None,
    });
    let records = Records { past: &history.past, behaviour, limits: &limits, line, failed, part };
    let zone = estate
        .sites
        .get(site)
        .and_then(|site| site.time_zone.as_ref())
        .unwrap_or(&estate.group.time_zone)
        .rules();
    let name = |line: usize| {
        let address = history.addresses.get(line)?;
        Some(format!("line {}, {},", address.line, estate.line_label(address)))
    };
    known(&records).iter().map(|known| told(known, &zone, &name)).collect()
}

/// A visit at which nothing came, or less than half.
fn failed(told: &Told) -> Option<Failed> {
    told.visit.as_ref()?.shown.as_ref().filter(|shown| shown.act == ActKind::FindFault)?;
    let nothing = told.caught()?.catches.iter().all(|(_, catch)| match catch.amount {
        Amount::Volume(volume) => volume.0 <= 0.0,
        Amount::Mass(mass) => mass.0 <= 0.0,
        Amount::Mark(..) => false,
    });
    Some(Failed { at: at(told)?, nothing })
}

fn mends(what: &Happening) -> bool {
    what.may_change_flow() && !matches!(what, Happening::Cleaned)
        || matches!(what, Happening::ContainerChanged)
}

fn at(told: &Told) -> Option<f64> {
    told.event.at.parse().ok().map(weeks)
}

/// The day of so many weeks since 1970: `23 Feb 2026`.
fn day(weeks: f64, zone: &TimeZone) -> String {
    let ms = (weeks * 7.0 * 86_400_000.0).round();
    // A float becomes the nearest whole number that there is.
    Timestamp::from_millisecond(ms as i64).map_or_else(
        |_| String::new(),
        |at| at.to_zoned_datetime(zone.clone()).strftime("%-d %b %Y").to_string(),
    )
}

fn told(known: &Known, zone: &TimeZone, name: &dyn Fn(usize) -> Option<String>) -> KnownSign {
    let day = |weeks: f64| day(weeks, zone);
    let why = match known.why {
        Why::Off { at, by } => {
            let side = if by < 0.0 { "under" } else { "over" };
            format!(
                "by its history it stood {} {side} its target when it was caught on {}",
                print::percent(by.abs()),
                day(at)
            )
        }
        Why::Right { at } => {
            format!("by its history it stood within tolerance when it was caught on {}", day(at))
        }
        Why::Agree(count) => format!("its last {} agree", many(count, "catch")),
        Why::Differ(count) => {
            format!("its last {} differ more than measure and timer explain", many(count, "catch"))
        }
        Why::AtOnce { after, before } => {
            format!("it changed at once, between {} and {}", day(after), day(before))
        }
        Why::Slowly { since, by, put_back } => {
            let back = if put_back > 0.01 {
                format!("; adjusting put {} back", print::percent(put_back))
            } else {
                String::new()
            };
            format!(
                "since {} it got {} less, little by little{back}",
                day(since),
                print::percent(by)
            )
        }
        Why::Together(count) => format!("{count} lines of the machine are off the same way"),
        Why::Alone(line) => {
            let other = name(line).unwrap_or_else(|| "another line".to_owned());
            format!("{other} of the same machine is not")
        }
        Why::SincePart(at) => {
            format!("it was right before a part was put in on {}, and not since", day(at))
        }
        Why::RightAfterPart(at) => {
            format!("it was right after the last part was put in, on {}", day(at))
        }
        Why::Nothing(at) => format!("nothing came on {}", day(at)),
        Why::Something(at) => format!("more than half came on {}", day(at)),
        Why::UnderHalf(at) => format!("less than half came on {}", day(at)),
    };
    let answer = if known.seen == Seen::Yes { "yes" } else { "no" };
    KnownSign { sign: known.sign.to_owned(), ask: String::new(), answer: answer.to_owned(), why }
}

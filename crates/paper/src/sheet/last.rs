//! What the last catch said, where it asks for more than to leave the line alone.

use ouncewise_estimate::{ActKind, Basis, Standing, Told};
use ouncewise_measure::print::{self, Units};

/// In a sentence or two; `None` where there is nothing to do. A line that stands well says nothing: a number that is
/// already on the sheet is copied sooner than one is read.
pub(super) fn words(standing: &Standing, units: Units) -> Option<String> {
    if let Some(touched) = &standing.touched {
        return Some(format!(
            "{} on {}, and not caught since: only a catch shows whether it is right.",
            capital(&touched.words),
            day(&touched.at)
        ));
    }
    let latest = standing.latest.as_ref()?;
    let when = day(&latest.at);
    let off = standing.deviation();
    match standing.act {
        ActKind::CatchAgain if standing.by_catch.is_some() => Some(format!(
            "Last catch {when} does not fit the ones before: catch it twice before you adjust."
        )),
        ActKind::LeaveAlone | ActKind::CatchAgain | ActKind::CatchMore => None,
        ActKind::SeeToShared => Some(format!(
            "On {when} the lines of this machine stood off together: catch all of them first. If they still do, tell the lead, and look to supply and cold before you set them."
        )),
        ActKind::Clean => Some(format!(
            "By {when} it had fallen at once: clean it thoroughly, then catch it before you adjust."
        )),
        ActKind::Replace => {
            Some("Its wear part is due: replace it, then catch it and set it.".to_owned())
        }
        // What the windows would leave alone is not to be turned because of its history.
        ActKind::Adjust if standing.verdict == Some(Told::OnTarget) => None,
        ActKind::Adjust if standing.basis == Basis::History => {
            let off =
                off.map_or("off".to_owned(), |by| format!("at {}", print::signed_percent(by)));
            Some(format!(
                "By its history it stood {off} on {when}. If this catch is off the same way: {}.",
                first(&standing.advice.words(units))
            ))
        }
        ActKind::Adjust => {
            let off = off.map_or("off".to_owned(), print::signed_percent);
            Some(format!(
                "Last catch {when}: {off}. If it still reads so: {}.",
                first(&standing.advice.words(units))
            ))
        }
        ActKind::Call => {
            let off = off.map_or("off".to_owned(), print::signed_percent);
            Some(format!("Last catch {when}: {off}. If it still reads so, call the technician."))
        }
        ActKind::FindFault => Some(format!(
            "Last catch {when}: under half came. A fault: adjust nothing, tell the lead."
        )),
        ActKind::SeeToWater => Some(format!(
            "Last catch {when}: the water was not shown to be right. Catch the water first."
        )),
        ActKind::Weigh => Some(format!(
            "Last catch {when}: undecided. This time {}.",
            first(&standing.advice.words(units))
        )),
        ActKind::Describe => Some(format!(
            "Last catch {when}: it could not be judged: {}.",
            standing.reason.words(units)
        )),
    }
}

/// Advice without what the sheet says of every line: slack, or an old setting that is lost.
fn first(advice: &str) -> &str {
    advice.split("; ").next().unwrap_or(advice)
}

fn capital(words: &str) -> String {
    let mut rest = words.chars();
    rest.next().map_or(String::new(), |c| c.to_uppercase().chain(rest).collect())
}

/// The day of a device time, as written.
fn day(at: &str) -> &str {
    at.get(..10).unwrap_or(at)
}

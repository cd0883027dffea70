//! What the last catch said, where it asks for more than to leave the line alone.

use ouncewise_estimate::{ActKind, Standing};
use ouncewise_measure::print;

/// In a sentence or two; `None` where there is nothing to do. A line that stands well says nothing: a number that is
/// already on the sheet is copied sooner than one is read.
pub(super) fn words(standing: &Standing) -> Option<String> {
    if let Some(touched) = &standing.touched {
        return Some(format!(
            "{}, {}: not caught since. Only a catch shows whether it is right.",
            day(&touched.at),
            touched.words
        ));
    }
    let latest = standing.latest.as_ref()?;
    let when = day(&latest.at);
    let off = latest.shown.as_ref().and_then(|shown| shown.deviation());
    match standing.act {
        ActKind::LeaveAlone | ActKind::CatchAgain | ActKind::CatchMore => None,
        ActKind::Adjust => {
            let off = off.map_or("off".to_owned(), print::signed_percent);
            Some(format!("{when}: {off}. If it still reads so: {}.", standing.advice))
        }
        ActKind::Call => {
            let off = off.map_or("off".to_owned(), print::signed_percent);
            Some(format!("{when}: {off}. If it still reads so, call the technician."))
        }
        ActKind::FindFault => {
            Some(format!("{when}: under half came. A fault: adjust nothing, tell the lead."))
        }
        ActKind::SeeToWater => {
            Some(format!("{when}: the water was not shown to be right. Catch the water first."))
        }
        ActKind::Weigh => Some(format!("{when}: undecided. This time {}.", standing.advice)),
        ActKind::Describe => Some(format!("{when}: it could not be judged: {}.", standing.reason)),
    }
}

/// The day of a device time, as written.
fn day(at: &str) -> &str {
    at.get(..10).unwrap_or(at)
}

//! From when on a chart is drawn: as far back as its catches can be told apart.

use jiff::civil::DateTime;

use crate::catches::Spot;
use crate::data::{Event, Stood};
use crate::time::days;

/// The least room for a catch, in pixels, with which catches are told apart.
const CATCH: f64 = 1.8;

/// What is beside the plot at least.
const BESIDE: f64 = 150.0;

/// What happened more days than this before the first catch is not drawn.
const BEFORE: f64 = 28.0;

/// From when on catches and events are drawn. What comes before is in the table only.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Window {
    catches: Option<DateTime>,
    first: Option<DateTime>,
}

impl Window {
    /// For the catches of some lines, each in order of time, in a chart of some width.
    pub(crate) fn of(lines: &[&[Spot]], width: f64) -> Self {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "50 to 1100")]
        let most = ((width - BESIDE) / CATCH) as usize;
        let at = |spot: &Spot| spot.catch.at;
        let cut = |line: &&[Spot]| line.len().checked_sub(most).filter(|over| *over > 0);
        let catches = lines.iter().filter_map(|line| Some(at(&line[cut(line)?]))).max();
        let first = lines.iter().filter_map(|line| line.first().map(at)).min();
        Self { catches, first }
    }

    /// The catches that are drawn.
    pub(crate) fn spots<'a, 'b>(&self, spots: &'a [Spot<'b>]) -> &'a [Spot<'b>] {
        let from = spots.partition_point(|spot| self.catches.is_some_and(|c| spot.catch.at < c));
        &spots[from..]
    }

    /// Where the line stood, of the time that is drawn.
    pub(crate) fn stood(&self, stood: &[Stood]) -> Vec<Stood> {
        let from = self.catches.or(self.first);
        stood.iter().filter(|s| from.is_some_and(|from| s.at >= from)).copied().collect()
    }

    /// The events that are drawn.
    pub(crate) fn events<'e>(&self, events: &'e [Event]) -> impl Iterator<Item = &'e Event> {
        let from = match (self.catches, self.first) {
            (Some(cut), _) => days(cut),
            (None, Some(first)) => days(first) - BEFORE,
            (None, None) => f64::NEG_INFINITY,
        };
        events.iter().filter(move |event| days(event.at) >= from)
    }
}

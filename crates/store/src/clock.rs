//! The one place where the store reads the clock.

use std::fmt;
use std::sync::Arc;

use jiff::Timestamp;

/// Tells the time of receipt. The system's clock, or a test's own.
#[derive(Clone)]
pub struct Clock(Arc<dyn Fn() -> Timestamp + Send + Sync>);

impl Clock {
    /// The system's clock.
    #[must_use]
    #[expect(
        clippy::disallowed_methods,
        reason = "the store stamps receipt, here and nowhere else"
    )]
    pub fn system() -> Clock {
        Clock::new(|| {
            Timestamp::try_from(std::time::SystemTime::now())
                .expect("the system's clock is within the years -9999 to 9999")
        })
    }

    /// A clock that asks `tell`.
    #[must_use]
    pub fn new(tell: impl Fn() -> Timestamp + Send + Sync + 'static) -> Clock {
        Clock(Arc::new(tell))
    }

    /// Now, in whole milliseconds since 1970 UTC.
    #[must_use]
    pub fn now_ms(&self) -> i64 {
        (self.0)().as_millisecond()
    }
}

impl fmt::Debug for Clock {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Clock")
    }
}

/// Milliseconds as a record's entry spells them: RFC 3339, UTC.
pub(crate) fn received(ms: i64) -> String {
    ouncewise_ledger::time::received(timestamp(ms))
}

/// The moment of so many milliseconds; the nearest one that exists.
pub(crate) fn timestamp(ms: i64) -> Timestamp {
    Timestamp::from_millisecond(ms).unwrap_or(if ms < 0 { Timestamp::MIN } else { Timestamp::MAX })
}

//! Things that happen at a stated place and week, whatever chance says.

/// One thing that happens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Incident {
    pub(crate) site: &'static str,
    /// Machine, where it happens to one; all machines of the site otherwise.
    pub(crate) machine: Option<&'static str>,
    /// Line, where it happens to one.
    pub(crate) line: Option<&'static str>,
    /// Week, from 0.
    pub(crate) week: u32,
    pub(crate) what: What,
}

/// What happens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum What {
    /// Until this week, the log says only "OK".
    ClaimsUntil,
    /// Another machine comes into the position.
    Swap(&'static str),
    /// The machine is paused for so many weeks.
    Pause(u32),
    /// The line carries another product.
    Product(&'static str),
    /// The supply loses this much for all lines of the machine.
    Drop(f64),
    /// Crust narrows the line by this much.
    Clog(f64),
    /// The line's part is past its life.
    WearOut,
    /// The level of the line moves by this much (somebody leaned on the screw).
    Knock(f64),
    /// Another piece of the same kind replaces this measure.
    NewPiece(&'static str),
    /// The first catch of the round is typed wrongly, and corrected next day.
    Typo,
    /// A catch is written under the wrong line, and withdrawn next day.
    WrongLine,
    /// The round is missed.
    Missed,
    /// The round is done, and every line read; then the crew is called away, and nothing is touched.
    CalledAway,
    /// The round carries a note.
    Note(&'static str),
}

//! What a chart is drawn from: plain data, filled by the caller.

use jiff::civil::DateTime;

/// One line's chart.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LineChart {
    /// What the chart shows, as a finding: `8 % over since 3 March`.
    pub finding: String,
    /// The line's history.
    pub history: History,
    /// The day up to which the chart reaches, usually today; later catches and events lengthen it.
    pub until: Option<DateTime>,
    /// Where the line stood by its history, and will stand, drawn behind the catches; may be empty.
    pub stood: Vec<Stood>,
}

/// Where a line stood by its history: the truth lies between these portions 19 times in 20.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stood {
    /// When.
    pub at: DateTime,
    /// The lower portion.
    pub low: f64,
    /// The likeliest portion.
    pub middle: f64,
    /// The upper portion.
    pub high: f64,
    /// Whether this is still to come.
    pub ahead: bool,
}

/// A machine's chart: its lines one under another.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MachineChart {
    /// What the chart shows, as a finding: `All four lines moved up on 3 March`.
    pub finding: String,
    /// The machine: `Fernhollow, counter 1`.
    pub name: String,
    /// Its lines, in the order in which people list them. Names are short here: `1 Gooseberry`.
    pub lines: Vec<History>,
    /// What concerned the whole machine. What concerns one line is in its history.
    pub events: Vec<Event>,
    /// The day up to which the chart reaches, usually today; later catches and events lengthen it.
    pub until: Option<DateTime>,
}

/// One line's history. Nothing needs to be sorted, and what is not finite is not drawn.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct History {
    /// The line, as people call it.
    pub name: String,
    /// The unit of portions, targets and doubts: `mL` or `g`.
    pub unit: String,
    /// What the recipe asks, and asked.
    pub recipes: Vec<Recipe>,
    /// Its catches, one for each visit, or one for each mark.
    pub catches: Vec<Catch>,
    /// What happened to it.
    pub events: Vec<Event>,
}

/// What the recipe asks from a time on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Recipe {
    /// From when; the earliest recipe holds for what came before it as well.
    pub from: Option<DateTime>,
    /// The target, in the line's unit.
    pub target: f64,
    /// How far off still serves, as a fraction of the target.
    pub tolerance: f64,
}

/// What was caught at one visit in one state.
#[derive(Debug, Clone, PartialEq)]
pub struct Catch {
    /// When, by the clock of the site.
    pub at: DateTime,
    /// As found or as left.
    pub state: State,
    /// As it was read: `29.6 mL in 7.1 s`.
    pub read: String,
    /// What it shows of the portion.
    pub reading: Reading,
    /// The verdict, where it could be judged.
    pub verdict: Option<Verdict>,
}

/// As found or as left.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum State {
    /// As found: before anything was touched.
    Found,
    /// As left: after it.
    Left,
}

/// What a catch shows of the portion at the recipe's own draw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reading {
    /// An amount.
    Portion {
        /// The portion, in the line's unit.
        value: f64,
        /// Its standard uncertainty, same unit.
        u: f64,
    },
    /// Only that it was at, over or under a mark.
    Mark {
        /// Which.
        side: Side,
        /// The portion for which that mark stands.
        portion: f64,
    },
    /// Nothing that can be drawn: a log that says only "OK", or what cannot be read. It stands in the table only.
    Unread,
}

/// On which side of a mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// At the mark.
    At,
    /// Over it.
    Over,
    /// Under it.
    Under,
}

/// A verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// On target.
    OnTarget,
    /// Off target.
    OffTarget,
    /// Undecided.
    Undecided,
}

/// Something that happened to a line or its machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// When, by the clock of the site.
    pub at: DateTime,
    /// What.
    pub what: Happening,
    /// More about it, in a few words: the part's name, the new product, the serial number, how far the screw was turned.
    pub words: String,
}

/// What happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Happening {
    /// It was adjusted.
    Adjusted(Option<Way>),
    /// It was cleaned.
    Cleaned,
    /// A part was replaced.
    PartReplaced,
    /// It carries another product from now on.
    ProductChanged,
    /// Another machine stands here from now on.
    MachineSwapped,
    /// The machine was paused.
    Paused,
    /// The machine was reopened.
    Reopened,
    /// A technician was called.
    TechnicianCalled,
}

/// Which way an adjustment was meant to go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Way {
    /// To pour more.
    More,
    /// To pour less.
    Less,
}

/// Where one line stands, small enough for a row of a list.
#[derive(Debug, Clone, PartialEq)]
pub struct Dots {
    /// The unit of all of it: `mL` or `g`.
    pub unit: String,
    /// What the recipe asks.
    pub target: f64,
    /// How far off still serves, as a fraction of the target.
    pub tolerance: f64,
    /// The latest catch, or the estimate; none where it was never caught.
    pub reading: Option<Reading>,
    /// The verdict, where there is one.
    pub verdict: Option<Verdict>,
}

/// How wide a chart is, and how high its plot: its whole height follows from what it holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    /// Width of the chart, in pixels; 240 to 2000.
    pub width: u16,
    /// Height of the plot, in pixels; 80 to 1000. Of a machine's chart: of each line's plot at most, 30 to 200.
    pub plot: u16,
}

impl Size {
    /// For a column of text, a tablet or a sheet of paper.
    pub const WIDE: Self = Self { width: 720, plot: 220 };
    /// For a telephone: a page of 320 pixels with its margins.
    pub const NARROW: Self = Self { width: 288, plot: 190 };
}

impl State {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Found => "as found",
            Self::Left => "as left",
        }
    }
}

impl Side {
    /// In words, before "the … mark".
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::At => "at",
            Self::Over => "over",
            Self::Under => "under",
        }
    }
}

impl Verdict {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::OnTarget => "on target",
            Self::OffTarget => "off target",
            Self::Undecided => "undecided",
        }
    }
}

impl Happening {
    /// In words, past tense.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Adjusted(None) => "adjusted",
            Self::Adjusted(Some(Way::More)) => "adjusted, to pour more",
            Self::Adjusted(Some(Way::Less)) => "adjusted, to pour less",
            Self::Cleaned => "cleaned",
            Self::PartReplaced => "part replaced",
            Self::ProductChanged => "product changed",
            Self::MachineSwapped => "machine swapped",
            Self::Paused => "machine paused",
            Self::Reopened => "machine reopened",
            Self::TechnicianCalled => "technician called",
        }
    }

    /// Whether the line begins anew, so that no line is drawn from what was caught before to what was caught after.
    #[must_use]
    pub fn begins_anew(self) -> bool {
        matches!(
            self,
            Self::Adjusted(_) | Self::PartReplaced | Self::ProductChanged | Self::MachineSwapped
        )
    }
}

impl Event {
    /// What happened, with more about it.
    #[must_use]
    pub fn in_words(&self) -> String {
        match self.words.trim() {
            "" => self.what.words().to_owned(),
            more => format!("{}: {more}", self.what.words()),
        }
    }
}

impl Catch {
    /// The portion and its standard uncertainty, if it was read as an amount.
    #[must_use]
    pub fn portion(&self) -> Option<(f64, f64)> {
        match self.reading {
            Reading::Portion { value, u } => Some((value, u)),
            Reading::Mark { .. } | Reading::Unread => None,
        }
    }
}

//! Codes of everything that a sheet can be told: why a row was refused, or why it is listed and not loaded.

use serde::{Serialize, Serializer};

macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident = $code:literal, $title:literal;)*) => {
        /// Why a row, or a whole sheet, was not loaded. Each code is explained in `docs/sheets.md`.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Code {
            $($(#[$doc])* $name,)*
        }

        impl Code {
            /// Every code, in order.
            pub const ALL: &[Code] = &[$(Code::$name,)*];

            /// The code as people see it: `S020`.
            pub fn as_str(self) -> &'static str {
                match self { $(Code::$name => $code,)* }
            }

            /// What it stands for, in a few words.
            pub fn title(self) -> &'static str {
                match self { $(Code::$name => $title,)* }
            }
        }
    };
}

codes! {
    /// The file is neither text nor a workbook that can be read.
    Unreadable = "S001", "the file cannot be read";
    /// No row looks like a heading.
    NoHeading = "S002", "no heading row";
    /// A column that must be there is not.
    MissingColumn = "S003", "a column is missing";
    /// A column that this door does not know.
    UnknownColumn = "S004", "unknown column";
    /// Two columns have the same heading.
    TwiceColumn = "S005", "the same column twice";
    /// A saved mapping does not fit this sheet.
    MappingMisfit = "S006", "the mapping does not fit the sheet";
    /// Bytes that are not text in the encoding of the file.
    Encoding = "S010", "encoding fault";
    /// A quotation mark is not closed.
    Quote = "S011", "quotation mark not closed";
    /// The row has more cells than the heading.
    TooManyCells = "S012", "more cells than headings";
    /// A cell that must be filled is empty.
    EmptyCell = "S013", "empty cell";
    /// No such site.
    UnknownSite = "S020", "unknown site";
    /// No such machine at the site.
    UnknownMachine = "S021", "unknown machine";
    /// No such line on the machine.
    UnknownLine = "S022", "unknown line";
    /// No such measure at the site.
    UnknownMeasure = "S023", "unknown measure";
    /// No such product.
    UnknownProduct = "S024", "unknown product";
    /// No such part in the family.
    UnknownPart = "S026", "unknown part";
    /// A name that fits more than one thing.
    AmbiguousName = "S025", "name fits more than one";
    /// Not an amount.
    NotAnAmount = "S030", "not an amount";
    /// No unit, or one that could be several.
    UnitUnclear = "S031", "unit missing or unclear";
    /// A unit of another sort than the measure or the column takes.
    WrongUnit = "S032", "wrong unit";
    /// A value that cannot be.
    Impossible = "S033", "impossible value";
    /// Neither seconds nor doses, or not what the line is metered by.
    DrawUnclear = "S034", "draw missing or of the wrong sort";
    /// Both an amount and a mark, or neither.
    AmountOrMark = "S035", "amount or mark";
    /// Neither as found nor as left.
    StateUnclear = "S036", "state not understood";
    /// Not a date.
    NotADate = "S040", "date not understood";
    /// A date in the future.
    Future = "S041", "date in the future";
    /// A date before any such log can have been kept.
    TooOld = "S042", "date too long ago";
    /// The row is there twice.
    Duplicate = "S050", "the row is there twice";
    /// Two rows claim one identity and differ.
    Clash = "S051", "two rows with one identity";
    /// The id is not a UUID.
    NotAnId = "S052", "id not understood";
    /// The sequence is not a whole number.
    NotASequence = "S053", "sequence not understood";
    /// The row waits for the answer to a question of the mapping.
    Waiting = "S060", "waits for an answer";
    /// A cell that could be read as nothing that its column holds.
    CellUnclear = "S061", "cell not understood";
    /// Left out because the mapping says so.
    LeftOut = "S062", "left out by the mapping";
    /// A title above the heading.
    Title = "S070", "title row";
    /// The heading.
    Heading = "S071", "heading row";
    /// Nothing in it.
    Blank = "S072", "blank row";
    /// A total, a mean, a count.
    Totals = "S073", "totals row";
    /// The heading once more, as at the top of a printed page.
    HeadingAgain = "S074", "heading repeated";
    /// A row that says what the rows under it belong to.
    Section = "S075", "section row";
    /// A row with places or dates and no reading.
    NoReading = "S076", "row without a reading";
    /// Words only.
    Remark = "S077", "remark row";
    /// A column that is not loaded.
    ColumnNotLoaded = "S078", "column not loaded";
}

impl Code {
    /// Whether it says that something is wrong, and not only what a row is.
    pub fn is_fault(self) -> bool {
        self < Code::LeftOut
    }
}

impl Serialize for Code {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.as_str())
    }
}

/// One thing that was not loaded, with its place and its reason.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Refusal {
    /// Row number as a spreadsheet program counts (the first row is 1); 0 where it concerns the whole sheet.
    pub row: u64,
    /// Heading or letter of the column, where it is one cell.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub column: Option<String>,
    /// What sort of refusal.
    pub code: Code,
    /// What is so, in plain words.
    pub reason: String,
    /// How to mend it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hint: Option<String>,
}

impl Refusal {
    /// A refusal without column and hint.
    pub fn new(row: u64, code: Code, reason: impl Into<String>) -> Refusal {
        Refusal { row, column: None, code, reason: reason.into(), hint: None }
    }

    /// With the column it is about, unless it names one already.
    #[must_use]
    pub fn column(mut self, column: impl Into<String>) -> Refusal {
        self.column.get_or_insert_with(|| column.into());
        self
    }

    /// With how to mend it.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Refusal {
        self.hint = Some(hint.into());
        self
    }
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.row > 0 {
            write!(f, "row {}", self.row)?;
            if let Some(column) = &self.column {
                write!(f, ", column {column}")?;
            }
            write!(f, ": ")?;
        }
        write!(f, "{} ({})", self.reason, self.code.as_str())?;
        if let Some(hint) = &self.hint {
            write!(f, "; {hint}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Refusal {}

//! What can be typed. Each command's help shows examples first.

mod backtest;
mod doubts;
mod fault;
mod flush;
mod learn;
mod parts;
mod procedure;
mod publish;
mod rounds;
mod simulate;
mod strength;

pub use backtest::Backtest;
pub use doubts::Doubts;
pub use fault::Fault;
pub use flush::CalcFlush;
pub use learn::Learn;
pub use parts::Parts;
pub use procedure::{Card, Code, Kit, Language, Quiz, SignOff, Skip};
pub use publish::Publish;
pub use rounds::Rounds;
pub use simulate::{Compare, Estates, Simulate, SimulateWhat, World};

use std::net::SocketAddr;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

pub use strength::CalcStrength;

/// Every line clean, every portion true.
///
/// Ouncewise turns what a crew reads off a cup and a stopwatch into a verdict
/// with its doubt, keeps it in a ledger that shows when it was altered, and
/// says which lines need a decision this week, and which one act.
#[derive(Debug, Parser)]
#[command(
    name = "ouncewise",
    version,
    arg_required_else_help = true,
    max_term_width = 80,
    before_help = "\
Examples:
  ouncewise demo                      # see it work on a made-up group of sites
  ouncewise serve                     # open the pages in a browser
  ouncewise load sheet our-log.xlsx   # bring in your own spreadsheet
  ouncewise week                      # which lines need a decision, worst first
  ouncewise calc catch '31 mL in 7.1 s' --target '30 mL in 7 s' \\
      --cup '1 mL ± 0.5 mL'           # one verdict, without a ledger",
    after_help = "\
Results go to stdout, talk to stderr. Exit codes: 0 done, 1 the answer is no,
2 not understood, 65 bad data, 69 unavailable, 70 a defect, 74 reading or
writing failed.

Follow the product label, the machine's manual and the local code; where they
differ, the stricter applies. A verdict never overrules a person who thinks
that a line is unsafe."
)]
pub struct Arguments {
    #[command(flatten)]
    pub global: Global,
    #[command(subcommand)]
    pub command: Command,
}

/// Choices that every command shares.
#[derive(Debug, Args)]
pub struct Global {
    /// Print the result as JSON (its form: `ouncewise schema`)
    #[arg(long, global = true)]
    pub json: bool,
    /// Say nothing but the result
    #[arg(long, short, global = true)]
    pub quiet: bool,
    /// When to use colour; `NO_COLOR` is honoured
    #[arg(long, global = true, value_enum, default_value_t = Color::Auto)]
    pub color: Color,
    /// Units to print; without it those that the group chose, and metric where
    /// there is no group
    #[arg(long, global = true, value_enum)]
    pub units: Option<UnitsChoice>,
}

/// When to colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Color {
    /// On a terminal only
    Auto,
    Never,
    Always,
}

/// Where the ledger is kept.
#[derive(Debug, Clone, Args)]
pub struct Data {
    /// Folder of the ledger, or the address of a PostgreSQL database; without
    /// it, a folder among this user's own data
    #[arg(long, env = "OUNCEWISE_DATA", hide_env_values = true, value_name = "LEDGER")]
    pub data: Option<String>,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Make a virtual group of 24 sites with a year of history, print its week, and open its pages
    Demo(Demo),
    /// Write starter files that describe a group, to edit
    New(New),
    /// Check files of an estate, or procedures: every fault at its place, all at once
    Check(Check),
    /// What follows when a step of a procedure is left out, and where the work may be left
    Skip(Skip),
    /// The card of a procedure, as a page to print
    Card(Card),
    /// What to bring along for a procedure, a machine or a site, and how long it takes
    Kit(Kit),
    /// Questions on a procedure with their answers, and the steps that a trainer watches
    Quiz(Quiz),
    /// The form of the observed sign-off of a procedure, as a page to print
    SignOff(SignOff),
    /// Publish a procedure: a record says that rounds follow this text from now on
    Publish(Publish),
    /// Open the pages in a browser of this machine: bring in a sheet, this week, record, print
    Serve(Serve),
    /// Bring in an estate, catches, other records, or a spreadsheet of your own
    Load(Load),
    /// Write everything out as files that `load` reads back
    Export(Export),
    /// This week: which lines need a decision, worst first, why, and the one act
    Week(Week),
    /// One line's story and where it stands
    Line(Line),
    /// What may be wrong with a line, what to look at next, and in which order to act
    Fault(Fault),
    /// What forecasts of your own histories would have been worth
    Backtest(Backtest),
    /// How families of machines behave, by your own records; and adopt it
    Learn(Learn),
    /// How rounds stand: complete, or what they lack of what the food code asks
    Rounds(Rounds),
    /// How long wear parts last, by family and part, and when to replace them
    Parts(Parts),
    /// Records that are worth a question, at sites whose owner agreed
    Doubts(Doubts),
    /// The printed sheet of a machine: each line's window in that kitchen's own measure
    Sheet(Sheet),
    /// Calculate a verdict, or what a measure can show, without a ledger
    Calc(Box<Calc>),
    /// Virtual estates whose truth is known: which way of doing a round does best
    Simulate(Simulate),
    /// Write out the ledger itself, for a verifier that does not trust us
    Ledger(Ledger),
    /// Throw what was computed away, and compute it again from the ledger
    Rebuild(Rebuild),
    /// Show that no record was altered since it was received
    Verify(Verify),
    /// Copy the ledger to a file, safely, while others go on writing
    Backup(Backup),
    /// Put a backup back
    Restore(Restore),
    /// Erase a person's name, or the text of a note; the records stay
    Forget(Forget),
    /// Print the JSON Schema of a report or of an estate file
    Schema(Schema),
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise demo                      # then open the address that it prints
  ouncewise demo --no-serve --units us --top 3
  ouncewise demo --keep my-demo
  ouncewise week --data my-demo       # look around in what was kept")]
pub struct Demo {
    /// Seed of the made-up history
    #[arg(long, default_value_t = ouncewise_simulate::larkfield::SEED)]
    pub seed: u64,
    /// How many lines to list
    #[arg(long, default_value_t = 10, value_name = "N")]
    pub top: usize,
    /// Keep the ledger in this folder, which must be new or empty
    #[arg(long, value_name = "DIR")]
    pub keep: Option<PathBuf>,
    /// End after the week is printed (`--json` does so too)
    #[arg(long)]
    pub no_serve: bool,
    /// Address to serve its pages at, on this machine; without it 127.0.0.1:8037,
    /// or another port where that is taken
    #[arg(long, value_name = "ADDRESS:PORT")]
    pub listen: Option<SocketAddr>,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise serve                     # then open http://127.0.0.1:8037
  ouncewise serve --data my-demo --listen 127.0.0.1:9000

There is no sign-in yet, so only this machine is served.")]
pub struct Serve {
    /// Address to listen on, on this machine; port 0 takes any that is free;
    /// without it 127.0.0.1:8037
    #[arg(long, value_name = "ADDRESS:PORT")]
    pub listen: Option<SocketAddr>,
    #[command(flatten)]
    pub data: Data,
}

/// Which units are printed where nobody wrote any.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UnitsChoice {
    Metric,
    Us,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Example:
  ouncewise new our-group             # then edit the files
  ouncewise check our-group           # and see what is still wrong")]
pub struct New {
    /// Folder to write to, which must be new or empty
    pub dir: PathBuf,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise check our-group
  ouncewise check our-group --json
  ouncewise check our-group --profile uk-rinse
  ouncewise check our-group --fix --yes    # mend what is safe to mend

A procedure is checked against the model of its family: `family.toml` beside
it, or the one that ships. \"Checked\" is said of its text, never of a machine.")]
pub struct Check {
    /// Folders or files: of an estate, or of procedures
    #[arg(required = true)]
    pub paths: Vec<PathBuf>,
    /// Mend what is safe to mend in procedures: verbs with one near word, the kit,
    /// spaces; shows what would change, and asks
    #[arg(long)]
    pub fix: bool,
    /// Do not ask before that is written
    #[arg(long, short, requires = "fix")]
    pub yes: bool,
    #[command(flatten)]
    pub code: Code,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise load sheet our-log.xlsx   # a spreadsheet with your own headings
  ouncewise load estate our-group     # files that describe sites and lines
  ouncewise load catches catches.csv  # readings, in columns named by us
  ouncewise load list                 # what was loaded so far")]
pub struct Load {
    #[command(subcommand)]
    pub what: LoadWhat,
}

#[derive(Debug, Subcommand)]
pub enum LoadWhat {
    /// An estate folder: shows what changes, then appends it
    Estate(LoadEstate),
    /// Catches: what was read off a cup or a scale, and when
    #[command(before_help = "\
Examples:
  ouncewise load catches catches.csv
  ouncewise load catches catches.csv --dry-run   # only look
  ouncewise load catches - < catches.csv

Columns, in any order: at, site, machine, line, state (as-found or as-left),
amount and unit (or mark), seconds or doses; and where they are known: measure,
by, sequence, temperature, water, water_seconds, id, note.")]
    Catches(LoadFile),
    /// Adjustments of lines
    #[command(before_help = "\
Example:
  ouncewise load adjustments adjustments.csv

Columns, in any order: at, site, machine, line, done (`1/4 turn anticlockwise`,
`2 notches up`); and where they are known: setting, meant, by, sequence, id,
note.")]
    Adjustments(LoadFile),
    /// Part changes
    #[command(before_help = "\
Example:
  ouncewise load parts parts.csv

Columns, in any order: at, site, machine, line, part; and where they are known:
number and lot of the part put in and why the old one came out (failed, worn or
planned), or found (good, worn, damaged or missing)
where it was only looked at; by, sequence, id, note.")]
    Parts(LoadFile),
    /// Product changes
    #[command(before_help = "\
Example:
  ouncewise load products products.csv

Columns, in any order: at, site, machine, line, product; and where they are
known: lot, by, sequence, id, note. A lot without a product is another
container of the same product.")]
    Products(LoadFile),
    /// What was recorded of rounds: solution, strips, contact, flushing, draining
    #[command(before_help = "\
Example:
  ouncewise load rounds rounds.csv

A record a row, as `export` writes them. Columns, in any order: at, site,
machine, kind (`round-opened`, `solution-mixed`, `strip-read`, `flushed` …); and
what that kind says: docs/sheets.md lists it. An empty line is the whole
machine.")]
    Rounds(LoadFile),
    /// All records, from the records.jsonl that `export` wrote
    #[command(before_help = "\
Example:
  ouncewise load records our-copy/records.jsonl")]
    Records(LoadRecords),
    /// A spreadsheet of your own, with any headings
    Sheet(LoadSheet),
    /// What was loaded, newest first
    List(LoadList),
    /// Withdraw a load: its records stay, marked as withdrawn
    Undo(LoadUndo),
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise load estate our-group --dry-run      # only look
  ouncewise load estate our-group

Nothing is ever deleted: what is no longer in the files is retired, and its
records stay.")]
pub struct LoadEstate {
    /// Folder with estate.toml and the other files
    pub dir: PathBuf,
    /// Only show what would change
    #[arg(long, short = 'n')]
    pub dry_run: bool,
    /// Do not ask before something is changed or retired
    #[arg(long, short)]
    pub yes: bool,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
pub struct LoadFile {
    /// CSV or XLSX file (`-` reads CSV from stdin)
    pub file: PathBuf,
    /// Load nothing if any row is refused
    #[arg(long)]
    pub all_or_nothing: bool,
    /// Only show what would be loaded and refused
    #[arg(long, short = 'n')]
    pub dry_run: bool,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
pub struct LoadRecords {
    /// A file that `export` wrote (`-` reads stdin)
    pub file: PathBuf,
    /// Load nothing if any line is refused
    #[arg(long)]
    pub all_or_nothing: bool,
    /// Only show what would be loaded and refused
    #[arg(long, short = 'n')]
    pub dry_run: bool,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise load sheet our-log.xlsx   # proposes how to read it; keeps nothing
  ouncewise load sheet our-log.xlsx --save-mapping how.toml
  ouncewise load sheet our-log.xlsx --mapping how.toml --defaults --yes

It shows what each column is taken for, asks what the sheet does not tell, and
lists every row that it cannot load, with the reason.")]
pub struct LoadSheet {
    /// CSV or XLSX file
    pub file: PathBuf,
    /// Which sheet of a workbook; without it, the first that is not empty
    #[arg(long, value_name = "NAME")]
    pub sheet: Option<String>,
    /// Read it by this mapping instead of proposing one
    #[arg(long, value_name = "FILE")]
    pub mapping: Option<PathBuf>,
    /// Write the mapping to this file, to correct and use again
    #[arg(long, value_name = "FILE")]
    pub save_mapping: Option<PathBuf>,
    /// Answer an open question: `--answer date-order=day-month`
    #[arg(long, value_name = "NAME=CHOICE")]
    pub answer: Vec<String>,
    /// Take the likeliest answer to every open question
    #[arg(long)]
    pub defaults: bool,
    /// Keep it; without this, nothing is kept unless you are asked. Rows that are refused are left out and listed;
    /// readings far off their target go in, and are listed to be looked at
    #[arg(long, short)]
    pub yes: bool,
    /// Load nothing if any row is refused
    #[arg(long)]
    pub all_or_nothing: bool,
    /// Write the rows that were not loaded, with their reasons, to this file
    #[arg(long, value_name = "FILE")]
    pub refused: Option<PathBuf>,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Example:
  ouncewise load list")]
pub struct LoadList {
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Example:
  ouncewise load list                 # shows the number of each load
  ouncewise load undo 1 --yes

The records stay in the ledger, marked as withdrawn. The file can be mended and
loaded again.")]
pub struct LoadUndo {
    /// Number of the load, as `load list` shows it
    pub load: usize,
    /// Do not ask
    #[arg(long, short)]
    pub yes: bool,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Example:
  ouncewise export our-copy
  ouncewise load records our-copy/records.jsonl --data another-ledger

It writes the estate as files to edit, which `load estate` reads; catches,
adjustments, part and product changes as CSV for a spreadsheet; and
records.jsonl, which holds everything, names and notes too, and which `load
records` reads back to the same state.")]
pub struct Export {
    /// Folder to write to, which must be new or empty
    pub dir: PathBuf,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise week
  ouncewise week --site fernhollow --top 50
  ouncewise week --json > week.json")]
pub struct Week {
    /// Only this site, by its key or its name
    #[arg(long)]
    pub site: Option<String>,
    /// How many lines to list
    #[arg(long, default_value_t = 10, value_name = "N")]
    pub top: usize,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise line fernhollow/counter-1/3
  ouncewise line fernhollow/counter-1/3 --last 100
  ouncewise line fernhollow/counter-1/3 --charts")]
pub struct Line {
    /// Address: site/machine/line
    pub address: String,
    /// How many events to show, the newest last
    #[arg(long, default_value_t = 20, value_name = "N")]
    pub last: usize,
    /// Show its readings on control charts instead of its story: what signals, and what that means
    #[arg(long)]
    pub charts: bool,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise sheet fernhollow/counter-1
  ouncewise sheet fernhollow/counter-1 --html counter-1.html --paper letter")]
pub struct Sheet {
    /// Machine: site/machine
    pub machine: String,
    /// Write it as a page to print, to this file (`-` for stdout)
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
    /// Write it as a PDF, to this file (`-` for stdout); for a program that was built with `--features pdf`
    #[arg(long, value_name = "FILE", conflicts_with = "html")]
    pub pdf: Option<PathBuf>,
    /// Key of a measure that stands in for each line's usual one
    #[arg(long, value_name = "KEY")]
    pub measure: Option<String>,
    /// Paper
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    pub paper: Paper,
    #[command(flatten)]
    pub data: Data,
}

/// Sizes of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Paper {
    A4,
    Letter,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise calc catch '31 mL in 7.1 s' --target '30 mL in 7 s' \\
      --cup '1 mL ± 0.5 mL'
  ouncewise calc measure --target '30 mL in 7 s' --scale '0.1 g' \\
      --density '1.27 ± 0.01 g/mL'
  ouncewise calc flush --bore '6 mm' --length '3 m' --flow '250 mL in 10 s'")]
pub struct Calc {
    #[command(subcommand)]
    pub what: CalcWhat,
}

#[derive(Debug, Subcommand)]
pub enum CalcWhat {
    /// A verdict on the catches of one visit, with its budget
    Catch(CalcCatch),
    /// What a measure and a timer can show for a tolerance, before any reading
    Measure(CalcMeasure),
    /// Whether a sanitiser solution is accepted, by its label and by the code
    Strength(Box<CalcStrength>),
    /// The opening offset of a valve, from draws of different lengths
    Offset(CalcOffset),
    /// How long to flush a line, by which ways, and the least that physics allows
    Flush(Box<CalcFlush>),
}

#[derive(Debug, Args)]
#[command(
    override_usage = "ouncewise calc catch --target <AMOUNT in DRAW>
           <--cup … | --mark … | --scale …> [OPTIONS] <CATCH>...",
    before_help = "\
Examples:
  ouncewise calc catch '31 mL in 7.1 s' --target '30 mL in 7 s' \\
      --cup '1 mL ± 0.5 mL' --adjuster 'screw 20 %/turn'
  ouncewise calc catch '64 mL in 2 doses' --target '30 mL in 1 dose' \\
      --cup '5 mL ± 1 mL' --adjuster taught
  ouncewise calc catch 'over the 30 mL mark in 7 s' --target '30 mL in 7 s' \\
      --mark '30 mL ± 2 mL'
  ouncewise calc catch '37.2 g in 7 s' --target '30 mL in 7 s' \\
      --scale '1 g' --density '1.27 ± 0.01 g/mL'
  ouncewise calc catch '30 mL in 7 s' --water '149 mL in 7 s' \\
      --target '30 mL in 7 s' --water-target '150 mL ± 5 %' \\
      --cup '1 mL ± 0.5 mL'"
)]
pub struct CalcCatch {
    /// The catches of one visit, each AMOUNT in DRAW: `31 mL in 7.1 s`,
    /// `58 mL in 2 doses`, `over the 30 mL mark in 7 s`
    #[arg(required = true, value_name = "CATCH")]
    pub catches: Vec<String>,
    /// On a ratio line: the water caught, AMOUNT in DRAW, one for each catch
    #[arg(long, value_name = "CATCH", requires = "water_target")]
    pub water: Vec<String>,
    #[command(flatten)]
    pub setup: SetupArgs,
}

#[derive(Debug, Args)]
#[command(
    override_usage = "ouncewise calc measure --target <AMOUNT in DRAW>
           <--cup … | --mark … | --scale …> [OPTIONS]",
    before_help = "\
Examples:
  ouncewise calc measure --target '30 mL in 7 s' --cup '1 mL ± 0.5 mL'
  ouncewise calc measure --target '30 mL in 1 dose' --tolerance '5 %' \\
      --mark '30 mL ± 2 mL'           # exit code 1: it cannot show it"
)]
pub struct CalcMeasure {
    #[command(flatten)]
    pub setup: SetupArgs,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Example:
  ouncewise calc offset '11.3 mL in 2 s' '29.4 mL in 5 s' '47.4 mL in 8 s'

Where V/t differs by the length of the draw, the valve pours nothing while it
opens, or pours on while it closes. Draw at three lengths or more, and state the
result in the family.")]
pub struct CalcOffset {
    /// Catches: AMOUNT in SECONDS, at three lengths or more
    #[arg(required = true, value_name = "CATCH", num_args = 3..)]
    pub catches: Vec<String>,
}

/// A line and its measure, described on the command line.
#[derive(Debug, Args)]
pub struct SetupArgs {
    /// What the recipe asks, in its own draw: `30 mL in 7 s`, `40 g in 1 dose`
    #[arg(long, value_name = "AMOUNT in DRAW")]
    pub target: String,
    /// How far off still serves
    #[arg(long, default_value = "5 %")]
    pub tolerance: String,
    /// On a ratio line: the water of the same draw and its tolerance: `150 mL ± 5 %`
    #[arg(long, value_name = "AMOUNT ± PERCENT")]
    pub water_target: Option<String>,
    #[command(flatten)]
    pub reads: ReadsArgs,
    /// Film that stays in the vessel when it is emptied, if it is used wet and
    /// drained
    #[arg(long, value_name = "VOLUME", requires = "vessel")]
    pub film: Option<String>,
    /// The empty vessel is weighed too
    #[arg(long, requires = "scale")]
    pub tared: bool,
    /// How the seconds were taken: `hand`, `hand 0.15 s`, `machine`,
    /// `machine ± 0.02 s`
    #[arg(long, default_value = "hand")]
    pub timer: String,
    /// Density of the product: `1.27 ± 0.01 g/mL`, or its Brix: `62 ± 1 Brix`
    #[arg(long)]
    pub density: Option<String>,
    /// Temperature of the product
    #[arg(long)]
    pub temperature: Option<String>,
    /// Seconds of a draw that pour nothing
    #[arg(long, value_name = "DURATION")]
    pub opening_offset: Option<String>,
    /// How the line is set: `screw`, `screw 20 %/turn`, `notches 3 %/notch`,
    /// `number`, `percent`, `taught`, or `none` where the crew cannot set it
    #[arg(long)]
    pub adjuster: Option<String>,
    /// The panel's present number or percent
    #[arg(long)]
    pub setting: Option<f64>,
    /// Probability of being wrong that the group accepts
    #[arg(long, default_value = "5 %")]
    pub risk: String,
}

/// What the catch is read with: one of them.
#[derive(Debug, Args)]
#[group(id = "reads", required = true, multiple = false)]
pub struct ReadsArgs {
    /// A graduated cup: its division and the maker's tolerance: `1 mL ± 0.5 mL`
    #[arg(long, value_name = "DIVISION ± TOLERANCE", group = "vessel")]
    pub cup: Option<String>,
    /// A cup with one mark: `30 mL ± 2 mL`
    #[arg(long, value_name = "MARK ± TOLERANCE", group = "vessel")]
    pub mark: Option<String>,
    /// A scale: its step, and its tolerance if it has one: `1 g`, `0.1 g ± 0.2 g`
    #[arg(long, value_name = "STEP ± TOLERANCE")]
    pub scale: Option<String>,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Example:
  ouncewise ledger evidence

It writes one file of records and one checkpoint for each site. Who keeps a
checkpoint can show later that no record before it was changed.")]
pub struct Ledger {
    /// Folder to write to, which must be new or empty
    pub dir: PathBuf,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Example:
  ouncewise rebuild

The result is the same; it is of use after a new version, or to be sure.")]
pub struct Rebuild {
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Example:
  ouncewise verify

The exit code is 1, and the first record that does not fit is named, if
anything was altered. It shows that records are as they came, not that the
work was done.")]
pub struct Verify {
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Example:
  ouncewise backup ouncewise-2026-03-02.db")]
pub struct Backup {
    /// File to write, which must not exist
    pub file: PathBuf,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Example:
  ouncewise restore ouncewise-2026-03-02.db --yes

The ledger that is there now is kept beside it under another name.")]
pub struct Restore {
    /// A file that `backup` wrote
    pub file: PathBuf,
    /// Do not ask
    #[arg(long, short)]
    pub yes: bool,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise forget person 'Ada Brook' --yes
  ouncewise forget note 01964c1e-7a53-7b2e-9d3c-2f1f6a0c4b11 --yes

The records stay, without the name or the text. Backups and exports made
before still hold it.")]
pub struct Forget {
    /// What to erase
    #[arg(value_enum)]
    pub what: ForgetWhat,
    /// The name, or the id of the record that the note is on
    pub which: String,
    /// Do not ask
    #[arg(long, short)]
    pub yes: bool,
    #[command(flatten)]
    pub data: Data,
}

/// What can be erased.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ForgetWhat {
    /// A person's name
    Person,
    /// The text of a note
    Note,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise schema                    # lists the names
  ouncewise schema week")]
pub struct Schema {
    /// Name of the report or file; without it, the names are listed
    pub name: Option<String>,
}

//! What can be typed. Each command's help shows examples first.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

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
    before_help = "Examples:
  ouncewise demo                          see it work on a made-up group of sites
  ouncewise calc catch '31 mL in 7.1 s' --target '30 mL in 7 s' --cup '1 mL ± 0.5 mL'
  ouncewise load sheet our-log.xlsx       bring in your own spreadsheet
  ouncewise week                          which lines need a decision, worst first",
    after_help = "Exit codes: 0 done, 1 the answer is no, 2 usage, 65 bad data, 69 unavailable, 70 defect, 74 I/O.
Follow the product label, the machine's manual and the local code; where they differ, the stricter applies."
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
    /// Print the result as JSON (see `ouncewise schema`)
    #[arg(long, global = true)]
    pub json: bool,
    /// Say nothing but the result
    #[arg(long, short, global = true)]
    pub quiet: bool,
    /// Colour: on a terminal, never, or always (`NO_COLOR` is honoured)
    #[arg(long, global = true, value_enum, default_value_t = Color::Auto)]
    pub color: Color,
}

/// When to colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Color {
    Auto,
    Never,
    Always,
}

/// Where the ledger is kept.
#[derive(Debug, Clone, Args)]
pub struct Data {
    /// Folder of the ledger, or the address of a PostgreSQL database (`postgres://…`)
    #[arg(long, env = "OUNCEWISE_DATA", value_name = "DIR")]
    pub data: Option<String>,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Make a virtual group of 24 sites with a year of history, and print its week
    Demo(Demo),
    /// Write starter files that describe a group, to edit
    New(New),
    /// Check estate files: every fault at its place, all at once
    Check(Check),
    /// Bring in an estate, catches, other records, or a spreadsheet of your own
    Load(Load),
    /// Write everything out as files that `load` reads back
    Export(Export),
    /// This week: which lines need a decision, worst first, why, and the one act
    Week(Week),
    /// One line's story and where it stands
    Line(Line),
    /// The printed sheet of a machine: each line's window in that kitchen's own measure
    Sheet(Sheet),
    /// Calculate without a ledger
    Calc(Box<Calc>),
    /// Write out the ledger itself, for a verifier that does not trust us
    Ledger(Ledger),
    /// Throw what was computed away, and compute it again from the ledger
    Rebuild(Rebuild),
    /// Show that no record was altered since it was received
    Verify(Verify),
    /// Copy the ledger to a file, safely, while others write
    Backup(Backup),
    /// Put a copy back
    Restore(Restore),
    /// Erase a person's name, or a note's text; the records stay
    Forget(Forget),
    /// Print the JSON Schema of a report or of an estate file
    Schema(Schema),
}

#[derive(Debug, Args)]
#[command(before_help = "Examples:
  ouncewise demo
  ouncewise demo --units us
  ouncewise demo --keep my-demo && ouncewise week --data my-demo")]
pub struct Demo {
    /// Units to print
    #[arg(long, value_enum, default_value_t = UnitsChoice::Metric)]
    pub units: UnitsChoice,
    /// Seed of the made-up history
    #[arg(long, default_value_t = ouncewise_simulate::larkfield::SEED)]
    pub seed: u64,
    /// How many lines to list
    #[arg(long, default_value_t = 10, value_name = "N")]
    pub top: usize,
    /// Keep the ledger in this folder, which must be new or empty
    #[arg(long, value_name = "DIR")]
    pub keep: Option<PathBuf>,
}

/// Which units are printed where nobody wrote any.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UnitsChoice {
    Metric,
    Us,
}

#[derive(Debug, Args)]
#[command(before_help = "Example:
  ouncewise new our-group        then edit the files, and `ouncewise check our-group`")]
pub struct New {
    /// Folder to write to, which must be new or empty
    pub dir: PathBuf,
}

#[derive(Debug, Args)]
#[command(before_help = "Examples:
  ouncewise check our-group
  ouncewise check our-group/lines.csv our-group/estate.toml --json")]
pub struct Check {
    /// Estate folders or files
    #[arg(required = true)]
    pub paths: Vec<PathBuf>,
}

#[derive(Debug, Args)]
#[command(before_help = "Examples:
  ouncewise load sheet our-log.xlsx               proposes how to read it; nothing is kept yet
  ouncewise load sheet our-log.xlsx --yes         keeps it
  ouncewise load estate our-group
  ouncewise load catches catches.csv
  ouncewise load undo 3")]
pub struct Load {
    #[command(subcommand)]
    pub what: LoadWhat,
}

#[derive(Debug, Subcommand)]
pub enum LoadWhat {
    /// An estate folder: shows what would change, then appends it (retires, never deletes)
    Estate(LoadEstate),
    /// Catches: at, site, machine, line, amount, unit (or mark), seconds or doses, measure, by, state
    Catches(LoadFile),
    /// Adjustments of lines
    Adjustments(LoadFile),
    /// Part changes
    Parts(LoadFile),
    /// Product changes
    Products(LoadFile),
    /// All records that `export` wrote: records.jsonl
    Records(LoadFile),
    /// A spreadsheet with headings of your own
    Sheet(LoadSheet),
    /// What was loaded, newest first
    List(LoadList),
    /// Withdraw a load: its records stay, marked as withdrawn
    Undo(LoadUndo),
}

#[derive(Debug, Args)]
pub struct LoadEstate {
    /// Folder with estate.toml and the other files
    pub dir: PathBuf,
    /// Only show what would change
    #[arg(long, short = 'n')]
    pub dry_run: bool,
    /// Do not ask
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
pub struct LoadSheet {
    /// CSV or XLSX file
    pub file: PathBuf,
    /// Read it by this mapping instead of proposing one
    #[arg(long, value_name = "FILE")]
    pub mapping: Option<PathBuf>,
    /// Write the mapping to this file, to correct and use again
    #[arg(long, value_name = "FILE")]
    pub save_mapping: Option<PathBuf>,
    /// Answer an open question: `--answer ounce=us`
    #[arg(long, value_name = "NAME=CHOICE")]
    pub answer: Vec<String>,
    /// Take the likeliest answer to every open question
    #[arg(long)]
    pub defaults: bool,
    /// Keep it: without this, nothing is kept
    #[arg(long, short)]
    pub yes: bool,
    /// Load nothing if any row is refused
    #[arg(long)]
    pub all_or_nothing: bool,
    /// Write the list of rows that were not loaded, each with its reason, to this file
    #[arg(long, value_name = "FILE")]
    pub refused: Option<PathBuf>,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
pub struct LoadList {
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
pub struct LoadUndo {
    /// Number of the load, as `load list` shows it
    pub load: i64,
    /// Do not ask
    #[arg(long, short)]
    pub yes: bool,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
#[command(before_help = "Example:
  ouncewise export our-group
  ouncewise load records our-group/records.jsonl --data another-ledger

It writes the estate as files to edit (`load estate` reads them); catches, adjustments, part and
product changes as CSV for a spreadsheet; and records.jsonl, which holds everything, names and
notes too, and which `load records` reads back to the same state.")]
pub struct Export {
    /// Folder to write to, which must be new or empty
    pub dir: PathBuf,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
#[command(before_help = "Examples:
  ouncewise week
  ouncewise week --site fernhollow --top 50
  ouncewise week --json | jq '.lines[0]'")]
pub struct Week {
    /// Only this site
    #[arg(long)]
    pub site: Option<String>,
    /// How many lines to list
    #[arg(long, default_value_t = 10, value_name = "N")]
    pub top: usize,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
#[command(before_help = "Example:
  ouncewise line fernhollow/counter-1/3")]
pub struct Line {
    /// Address: site/machine/line
    pub address: String,
    /// How many events to show, newest last
    #[arg(long, default_value_t = 20, value_name = "N")]
    pub last: usize,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
#[command(before_help = "Examples:
  ouncewise sheet fernhollow/counter-1
  ouncewise sheet fernhollow/counter-1 --html counter-1.html --paper letter")]
pub struct Sheet {
    /// Machine: site/machine
    pub machine: String,
    /// Write it as a page to print, to this file (`-` for stdout)
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
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
}

#[derive(Debug, Args)]
#[command(before_help = "Examples:
  ouncewise calc catch '31 mL in 7.1 s' --target '30 mL in 7 s' --cup '1 mL ± 0.5 mL'
  ouncewise calc catch '58 mL in 2 doses' --target '30 mL in 1 dose' --cup '5 mL ± 1 mL' --adjuster taught
  ouncewise calc catch 'over the 30 mL mark in 7 s' --target '30 mL in 7 s' --mark '30 mL ± 2 mL'
  ouncewise calc catch '37.2 g in 7 s' --target '30 mL in 7 s' --scale '1 g' --density '1.27 ± 0.01 g/mL'")]
pub struct CalcCatch {
    /// Catches: AMOUNT in DRAW (`31 mL in 7.1 s`, `58 mL in 2 doses`, `over the 30 mL mark in 7 s`)
    #[arg(required = true, value_name = "CATCH")]
    pub catches: Vec<String>,
    /// On a ratio line: the water caught, AMOUNT in DRAW, one for each catch
    #[arg(long, value_name = "CATCH")]
    pub water: Vec<String>,
    #[command(flatten)]
    pub setup: SetupArgs,
}

#[derive(Debug, Args)]
#[command(before_help = "Example:
  ouncewise calc measure --target '30 mL in 7 s' --tolerance '5 %' --cup '5 mL ± 2 mL'")]
pub struct CalcMeasure {
    #[command(flatten)]
    pub setup: SetupArgs,
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
    /// Film that stays in the cup when it is emptied, if it is used wetted and drained
    #[arg(long, value_name = "VOLUME", requires = "vessel")]
    pub film: Option<String>,
    /// The empty vessel is weighed too
    #[arg(long, requires = "scale")]
    pub tared: bool,
    /// How the seconds were taken: `hand`, `hand 0.15 s`, `machine`, `machine ± 0.02 s`
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
    /// How the line is set: `screw`, `screw 20 %/turn`, `notches 3 %/notch`, `number`, `percent`, `taught`, `none`
    #[arg(long, default_value = "none")]
    pub adjuster: String,
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
#[command(before_help = "Example:
  ouncewise ledger evidence     writes one JSON-lines file and one checkpoint for each site")]
pub struct Ledger {
    /// Folder to write to, which must be new or empty
    pub dir: PathBuf,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
pub struct Rebuild {
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
pub struct Verify {
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
#[command(before_help = "Example:
  ouncewise backup /mnt/usb/ouncewise-2026-03-02.db")]
pub struct Backup {
    /// File to write, which must not exist
    pub file: PathBuf,
    #[command(flatten)]
    pub data: Data,
}

#[derive(Debug, Args)]
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
#[command(before_help = "Examples:
  ouncewise forget person 'Ada Brook'
  ouncewise forget note 01964c1e-…")]
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
pub struct Schema {
    /// Name of the report or file; without it, the names are listed
    pub name: Option<String>,
}

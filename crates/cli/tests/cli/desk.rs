//! A desk to run the program at: a folder of its own, nobody's settings, no terminal.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::LazyLock;

use serde_json::Value;
use tempfile::TempDir;

/// The binary under test.
pub const PROGRAM: &str = env!("CARGO_BIN_EXE_ouncewise");

/// A folder to work in, with a home of its own.
pub struct Desk(TempDir);

impl Desk {
    /// An empty one.
    pub fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    /// One with the starter estate in `our-group`, loaded into the ledger.
    pub fn with_starter() -> Self {
        let desk = Self::new();
        desk.run(["new", "our-group"]).done();
        desk.run(["load", "estate", "our-group"]).done();
        desk
    }

    /// One with the starter estate and a few weeks of catches.
    pub fn with_catches() -> Self {
        let desk = Self::with_starter();
        desk.write("catches.csv", CATCHES);
        desk.run(["load", "catches", "catches.csv"]).done();
        desk
    }

    /// One with the demo's ledger, which is made once for all tests.
    pub fn with_demo() -> Self {
        static DEMO: LazyLock<Desk> = LazyLock::new(|| {
            let desk = Desk::new();
            desk.run(["demo", "--no-serve", "--quiet", "--keep", "data"]).done();
            desk
        });
        let desk = Self::new();
        fs::create_dir(desk.path("data")).unwrap();
        fs::copy(DEMO.ledger(), desk.ledger()).unwrap();
        desk
    }

    /// The folder, or a path in it.
    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    /// Writes a file.
    pub fn write(&self, name: &str, text: impl AsRef<[u8]>) {
        fs::write(self.path(name), text).unwrap();
    }

    /// Reads a file.
    pub fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap()
    }

    /// The file of the ledger.
    pub fn ledger(&self) -> PathBuf {
        self.path("data/ouncewise.db")
    }

    /// Runs the program with its ledger in `data`.
    pub fn run<'a>(&self, args: impl IntoIterator<Item = &'a str>) -> Ran {
        self.run_with(args, &[])
    }

    /// The same with more settings in the environment.
    pub fn run_with<'a>(
        &self,
        args: impl IntoIterator<Item = &'a str>,
        env: &[(&str, &str)],
    ) -> Ran {
        let mut command = self.command(PROGRAM);
        command.args(args).envs(env.iter().copied());
        Ran::of(&mut command)
    }

    /// Runs a line of shell.
    pub fn shell(&self, line: &str) -> Ran {
        let program = Path::new(PROGRAM).parent().unwrap();
        let path = format!("{}:/usr/bin:/bin", program.display());
        Ran::of(self.command("/bin/sh").args(["-c", line]).env("PATH", path))
    }

    /// A program that runs here.
    pub fn command(&self, program: &str) -> Command {
        let mut command = Command::new(program);
        command
            .current_dir(self.0.path())
            .stdin(Stdio::null())
            .env_clear()
            .env("HOME", self.path("home"))
            .env("TZ", "UTC")
            .env("OUNCEWISE_DATA", self.path("data"));
        command
    }
}

/// What a run came to.
pub struct Ran {
    /// The exit code.
    pub code: i32,
    /// What went to stdout.
    pub out: String,
    /// What went to stderr.
    pub err: String,
    what: String,
}

impl Ran {
    fn of(command: &mut Command) -> Self {
        let what = format!("{command:?}");
        let output = command.output().unwrap();
        let text = |bytes| String::from_utf8(bytes).expect("everything printed is UTF-8");
        Self {
            code: output.status.code().expect("it ends by itself"),
            out: text(output.stdout),
            err: text(output.stderr),
            what,
        }
    }

    /// Asserts how it ended.
    #[track_caller]
    pub fn ends(self, code: i32) -> Self {
        assert_eq!(self.code, code, "{}\n{}\n{}", self.what, self.out, self.err);
        self
    }

    /// Asserts that it was done.
    #[track_caller]
    pub fn done(self) -> Self {
        self.ends(0)
    }

    /// What it printed, as JSON.
    #[track_caller]
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.out)
            .unwrap_or_else(|e| panic!("{}: {e}\n{}\n{}", self.what, self.out, self.err))
    }

    /// Asserts what it said on stderr.
    #[track_caller]
    pub fn says(self, words: &str) -> Self {
        assert!(self.err.contains(words), "{} does not say `{words}`:\n{}", self.what, self.err);
        self
    }

    /// Asserts what it printed on stdout.
    #[track_caller]
    pub fn prints(self, words: &str) -> Self {
        assert!(self.out.contains(words), "{} does not print `{words}`:\n{}", self.what, self.out);
        self
    }
}

/// Three weeks at Rowan End. Three catches of one visit, one by the mark of the cup, one on the scale,
/// a name, a note, and a record with an id of its own.
pub const CATCHES: &str = "\
at,site,machine,line,state,amount,unit,mark,seconds,doses,measure,by,sequence,id,note
2026-02-02T06:40,rowan-end,counter-1,2,as-found,36.4,g,,7.0,,scale,Ada Brook,1,,
2026-02-02T06:41,rowan-end,counter-1,2,as-found,36.1,g,,7.0,,scale,Ada Brook,2,,
2026-02-02T06:42,rowan-end,counter-1,2,as-found,36.1,g,,7.1,,scale,Ada Brook,3,,
2026-02-09T06:41,rowan-end,counter-1,2,as-found,40.9,g,,7.0,,scale,Ada Brook,1,,
2026-02-16T06:41,rowan-end,counter-1,1,as-found,,,over the 30 mL mark,7,,cup-a,,1,,
2026-02-16T06:45,rowan-end,window-1,1,as-left,,,at the 30 mL mark,,1,cup-a,,1,01964c1e-7a53-7b2e-9d3c-2f1f6a0c4b11,new crew
";

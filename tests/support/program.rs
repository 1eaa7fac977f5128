//! The program as a user runs it, and what it said.

use std::io::Write;
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};

/// Where it lies.
pub(crate) const SEEPLINE: &str = env!("CARGO_BIN_EXE_seepline");

/// In a folder, with colours as on any terminal.
pub(crate) fn seepline(folder: &Path) -> Command {
    let mut command = Command::new(SEEPLINE);
    command
        .current_dir(folder)
        // Else whoever tests has an archive there, which may keep changes back.
        .env("XDG_DATA_HOME", folder)
        .env_remove("SEEPLINE_RULES")
        .env_remove("NO_COLOR")
        .env_remove("CLICOLOR_FORCE");
    command
}

/// In a shop's folder with its archive, and with these words, for pipes.
pub(crate) fn in_shop(shop: &Path, line: &str) -> Command {
    let mut command = seepline(shop);
    command
        .env("SEEPLINE_ARCHIVE", shop.join("archive"))
        .env("NO_COLOR", "1")
        .args(line.split_whitespace())
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

/// These tests started again as another process, for one that is marked `ignored`: its module's path and its
/// name.
pub(crate) fn test_alone(module: &str, name: &str) -> Command {
    let (_, module) = module.split_once("::").unwrap();
    let mut command = Command::new(std::env::current_exe().unwrap());
    command
        .arg(format!("{module}::{name}"))
        .args(["--exact", "--ignored", "--nocapture"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

/// Running the program to its end.
pub(crate) trait Run {
    /// With nobody at the keyboard.
    fn ran(&mut self) -> Ran;
    /// With this typed.
    fn ran_with(&mut self, typed: &str) -> Ran;
}

impl Run for Command {
    fn ran(&mut self) -> Ran {
        self.ran_with("")
    }

    fn ran_with(&mut self, typed: &str) -> Ran {
        let what = format!("{self:?}");
        let piped = self.stdin(Stdio::piped()).stdout(Stdio::piped());
        let mut child = piped.stderr(Stdio::piped()).spawn().unwrap();
        let mut keyboard = child.stdin.take().unwrap();
        // Whoever wants no more has closed its side.
        let _ = keyboard.write_all(typed.as_bytes());
        drop(keyboard);
        let output = child.wait_with_output().unwrap();
        Ran { what, output }
    }
}

/// A run that ended. What is asked of it fails the test where it does not hold.
#[derive(Debug)]
pub(crate) struct Ran {
    what: String,
    pub(crate) output: Output,
}

impl Ran {
    #[track_caller]
    pub(crate) fn success(self) -> Self {
        self.code(0)
    }

    #[track_caller]
    pub(crate) fn failure(self) -> Self {
        assert!(!self.output.status.success(), "{self}");
        self
    }

    #[track_caller]
    pub(crate) fn code(self, status: i32) -> Self {
        assert_eq!(self.output.status.code(), Some(status), "{self}");
        self
    }

    #[track_caller]
    pub(crate) fn stdout(self, expected: impl Into<Expected>) -> Self {
        expected.into().holds(&self.out(), &self);
        self
    }

    #[track_caller]
    pub(crate) fn stderr(self, expected: impl Into<Expected>) -> Self {
        expected.into().holds(&self.err(), &self);
        self
    }

    /// What it said on the standard output.
    pub(crate) fn out(&self) -> String {
        String::from_utf8(self.output.stdout.clone()).expect("UTF-8")
    }

    /// What it said on the standard error.
    pub(crate) fn err(&self) -> String {
        String::from_utf8(self.output.stderr.clone()).expect("UTF-8")
    }

    pub(crate) fn json(&self) -> serde_json::Value {
        serde_json::from_slice(&self.output.stdout).expect("one JSON value on the standard output")
    }
}

impl std::fmt::Display for Ran {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let text = String::from_utf8_lossy;
        let (out, err) = (text(&self.output.stdout), text(&self.output.stderr));
        let status = self.output.status;
        write!(
            f,
            "{}: {status}\n--- output\n{out}\n--- errors\n{err}",
            self.what
        )
    }
}

/// What a stream has to hold.
pub(crate) enum Expected {
    Exactly(String),
    /// Each part, or none of it where it is false.
    Parts(Vec<(String, bool)>),
}

pub(crate) fn contains(part: impl Into<String>) -> Expected {
    Expected::Parts(vec![(part.into(), true)])
}

pub(crate) fn lacks(part: impl Into<String>) -> Expected {
    Expected::Parts(vec![(part.into(), false)])
}

impl Expected {
    pub(crate) fn and(self, other: Self) -> Self {
        let (Self::Parts(mut all), Self::Parts(more)) = (self, other) else {
            panic!("only parts are joined");
        };
        all.extend(more);
        Self::Parts(all)
    }

    #[track_caller]
    fn holds(&self, text: &str, ran: &Ran) {
        match self {
            Self::Exactly(whole) => assert_eq!(text, whole, "{ran}"),
            Self::Parts(parts) => {
                for (part, there) in parts {
                    let not = if *there { "" } else { "not " };
                    assert_eq!(
                        text.contains(part),
                        *there,
                        "should {not}hold “{part}”: {ran}"
                    );
                }
            }
        }
    }
}

impl From<&str> for Expected {
    fn from(whole: &str) -> Self {
        Self::Exactly(whole.to_owned())
    }
}

/// Waits for something that must come within two minutes, which a loaded machine needs.
pub(crate) fn wait_for(what: &str, mut there: impl FnMut() -> bool) {
    let started = Instant::now();
    while !there() {
        assert!(started.elapsed() < Duration::from_mins(2), "{what}");
        std::thread::sleep(Duration::from_millis(40));
    }
}

/// Sends a process a signal, such as `-INT` for Ctrl-C.
pub(crate) fn signal(child: &Child, signal: &str) {
    let pid = child.id().to_string();
    let sent = Command::new("kill").args([signal, &pid]).status().unwrap();
    assert!(sent.success());
}

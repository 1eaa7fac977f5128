//! A folder of photos, and the program at work on it.

use std::fs;
use std::path::PathBuf;
use std::process::{Child, Command, Output};

use serde_json::Value;
use tempfile::TempDir;

use crate::support::program::in_shop;
use crate::support::samples;

/// Photos in `checks`, results beside it.
pub(crate) struct Shop {
    folder: TempDir,
}

/// The photos of two checks of three jaws.
pub(crate) const JAWS: [&str; 2] = ["heron-too-much-taper", "wren-full-length"];

impl Shop {
    pub(crate) fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        fs::create_dir(folder.path().join("checks")).unwrap();
        Self { folder }
    }

    /// With the folders `heron` and `wren` of three photos each.
    pub(crate) fn with_two_checks() -> Self {
        let shop = Self::new();
        for (check, name) in JAWS.iter().zip(["heron", "wren"]) {
            for jaw in 1..=3 {
                shop.put(
                    &format!("{check}/jaw{jaw}.jpg"),
                    &format!("{name}/jaw{jaw}.jpg"),
                );
            }
        }
        shop
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn photo(&self, file: &str) -> PathBuf {
        self.path("checks").join(file)
    }

    /// A copy of a sample below the folder of photos.
    pub(crate) fn put(&self, sample: &str, file: &str) {
        self.write(file, &samples::bytes(sample));
    }

    pub(crate) fn write(&self, file: &str, bytes: &[u8]) {
        let place = self.photo(file);
        fs::create_dir_all(place.parent().unwrap()).unwrap();
        fs::write(place, bytes).unwrap();
    }

    pub(crate) fn command(&self, verb: &str, line: &str) -> Command {
        in_shop(self.folder.path(), &format!("{verb} {line}"))
    }

    pub(crate) fn run(&self, verb: &str, line: &str) -> Output {
        self.command(verb, line).output().unwrap()
    }

    /// `review checks --tip up --into INTO …`, which must end with that status; what it said.
    pub(crate) fn review(&self, into: &str, more: &str, status: i32) -> String {
        let output = self.run("review", &format!("checks --tip up --into {into} {more}"));
        let errors = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(status), "{errors}");
        String::from_utf8(output.stdout).unwrap()
    }

    pub(crate) fn start(&self, into: &str, more: &str) -> Child {
        let line = format!("checks --tip up --into {into} {more}");
        self.command("review", &line).spawn().unwrap()
    }

    pub(crate) fn result(&self, into: &str) -> Vec<u8> {
        fs::read(self.path(into).join("review.jsonl")).unwrap()
    }

    /// The result's lines of one kind.
    pub(crate) fn lines(&self, into: &str, kind: &str) -> Vec<Value> {
        let text = String::from_utf8(self.result(into)).unwrap();
        let lines = text.lines().map(|l| serde_json::from_str(l).unwrap());
        lines.filter(|l: &Value| l["kind"] == kind).collect()
    }

    /// Names of the files of the result's photos.
    pub(crate) fn files(&self, into: &str) -> Vec<String> {
        let photos = self.lines(into, "photo");
        photos.iter().map(|p| text(&p["file"])).collect()
    }

    /// Whole lines of readings kept so far.
    pub(crate) fn kept(&self, into: &str) -> usize {
        let kept = fs::read(self.path(into).join("readings.jsonl")).unwrap_or_default();
        kept.split(|b| *b == b'\n').count() - 1
    }
}

pub(crate) fn text(value: &Value) -> String {
    value.as_str().unwrap().to_owned()
}

/// How many photos a run says that it read.
pub(crate) fn read_now(said: &str) -> usize {
    let before = said.split(" read now").next().unwrap();
    before.rsplit(' ').next().unwrap().parse().unwrap()
}

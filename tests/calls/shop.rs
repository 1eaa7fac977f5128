//! A shop as its people use it: the program, an archive, the photos of `sample-images`.

use std::path::{Path, PathBuf};

use assert_cmd::Command;
use assert_cmd::assert::Assert;
use serde_json::Value;
use tempfile::TempDir;

pub(crate) struct Bench {
    // Removed when dropped.
    pub(crate) folder: TempDir,
}

impl Bench {
    /// Without an archive.
    pub(crate) fn bare() -> Self {
        Self {
            folder: TempDir::new().unwrap(),
        }
    }

    /// With a jaw set called heron.
    pub(crate) fn new() -> Self {
        let bench = Self::bare();
        bench.run("jaws add heron").success();
        bench
    }

    pub(crate) fn archive(&self) -> PathBuf {
        self.folder.path().join("archive")
    }

    pub(crate) fn command(&self) -> Command {
        let mut command = Command::cargo_bin("seepline").expect("the program");
        command
            .env("SEEPLINE_ARCHIVE", self.archive())
            .env("NO_COLOR", "1");
        command
    }

    pub(crate) fn run(&self, line: &str) -> Assert {
        self.command().args(line.split_whitespace()).assert()
    }

    pub(crate) fn json(&self, line: &str) -> Value {
        let output = self.run(&format!("{line} --json")).success();
        serde_json::from_slice(&output.get_output().stdout).expect("JSON on the standard output")
    }

    pub(crate) fn read(&self, photos: &[String], more: &str) -> Assert {
        self.command()
            .arg("read")
            .args(photos)
            .args(["--tip", "up"])
            .args(more.split_whitespace())
            .assert()
    }

    /// The calls in the archive's export.
    pub(crate) fn calls(&self) -> Vec<Value> {
        let archive = seepline::archive::Archive::open(&self.archive()).unwrap();
        let all = archive.export_json().unwrap();
        all["calls"].as_array().unwrap().clone()
    }
}

pub(crate) fn stdout(assert: &Assert) -> String {
    String::from_utf8(assert.get_output().stdout.clone()).expect("UTF-8")
}

pub(crate) fn stderr(assert: &Assert) -> String {
    String::from_utf8(assert.get_output().stderr.clone()).expect("UTF-8")
}

pub(crate) fn sample(name: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-images");
    folder.join(name).display().to_string()
}

/// One jaw of each of the two whole checks: tip-only and full-length by `sample-images/truth.json`.
pub(crate) fn tip_only() -> Vec<String> {
    vec![sample("heron-too-much-taper/jaw1.jpg")]
}

/// See [`tip_only`].
pub(crate) fn full_length() -> Vec<String> {
    vec![sample("wren-full-length/jaw1.jpg")]
}

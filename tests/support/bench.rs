//! A shop as its people use it: the program, an archive, the photos of `sample-images`.

use std::path::PathBuf;
use std::process::Command;

use serde_json::Value;
use tempfile::TempDir;

use super::program::{Ran, Run, in_shop};

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

    /// A file beside the archive.
    pub(crate) fn place(&self, name: &str) -> String {
        self.folder.path().join(name).display().to_string()
    }

    pub(crate) fn command(&self) -> Command {
        in_shop(self.folder.path(), "")
    }

    pub(crate) fn run(&self, line: &str) -> Ran {
        in_shop(self.folder.path(), line).ran()
    }

    pub(crate) fn json(&self, line: &str) -> Value {
        self.run(&format!("{line} --json")).success().json()
    }

    pub(crate) fn read(&self, photos: &[String], more: &str) -> Ran {
        self.command()
            .arg("read")
            .args(photos)
            .args(["--tip", "up"])
            .args(more.split_whitespace())
            .ran()
    }

    /// The checks in the set's history.
    pub(crate) fn checks(&self, set: &str) -> Vec<Value> {
        let history = self.json(&format!("history {set}"));
        let cuts = history["timeline"]["cuts"].as_array().unwrap().clone();
        let of_cut = |cut: Value| cut["checks"].as_array().unwrap().clone();
        cuts.into_iter().flat_map(of_cut).collect()
    }

    /// The calls in the archive's export.
    pub(crate) fn calls(&self) -> Vec<Value> {
        let archive = seepline::archive::Archive::open(&self.archive()).unwrap();
        let all = archive.export_json().unwrap();
        all["calls"].as_array().unwrap().clone()
    }
}

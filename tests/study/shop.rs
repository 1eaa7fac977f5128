//! A folder of photos, a study of it, and readers who fill in their sheets.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

use crate::support::program::{Ran, Run, seepline};
use image::{Rgb, RgbImage};
use tempfile::TempDir;

/// A study in a temporary folder.
pub(crate) struct Study {
    pub(crate) folder: TempDir,
}

/// One line of the key.
pub(crate) struct Place {
    pub(crate) reader: String,
    pub(crate) number: usize,
    pub(crate) photo: String,
    pub(crate) round: u32,
}

/// A folder with so many grey pictures that show no jaw, called `00.png` and so on.
pub(crate) fn greys(count: usize) -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let photos = folder.path().join("photos");
    fs::create_dir(&photos).expect("a folder");
    for at in 0..count {
        let shade = Rgb([at as u8, 90, 120]);
        let picture = RgbImage::from_pixel(48, 64, shade);
        picture
            .save(photos.join(format!("{at:02}.png")))
            .expect("written");
    }
    folder
}

impl Study {
    /// Of grey pictures.
    pub(crate) fn of_greys(count: usize, readers: &str, repeats: u32) -> Self {
        let study = Self {
            folder: greys(count),
        };
        study
            .make(&[
                "--readers",
                readers,
                "--repeats",
                &repeats.to_string(),
                "--seed",
                "3",
            ])
            .code(0);
        study
    }

    pub(crate) fn make(&self, arguments: &[&str]) -> Ran {
        self.make_into("study", arguments)
    }

    pub(crate) fn make_into(&self, folder: &str, arguments: &[&str]) -> Ran {
        let mut command = seepline(self.folder.path());
        command.args(["study", "make", "--photos", "photos", "--into", folder]);
        command.args(arguments).ran()
    }

    pub(crate) fn report(&self, arguments: &[&str]) -> Ran {
        let mut command = seepline(self.folder.path());
        command
            .args(["study", "report", "study"])
            .args(arguments)
            .ran()
    }

    pub(crate) fn report_json(&self, arguments: &[&str], status: i32) -> serde_json::Value {
        let arguments = [arguments, &["--json"]].concat();
        self.report(&arguments).code(status).json()
    }

    pub(crate) fn path(&self, below: &str) -> PathBuf {
        self.folder.path().join("study").join(below)
    }

    /// As a lead would read it.
    pub(crate) fn key(&self) -> Vec<Place> {
        let key = fs::read_to_string(self.path("key-not-for-readers/key.csv")).expect("the key");
        let place = |line: &str| {
            let cells: Vec<&str> = line.split(',').collect();
            Place {
                reader: cells[0].into(),
                number: cells[1].parse().expect("a number"),
                photo: cells[2].into(),
                round: cells[3].parse().expect("a round"),
            }
        };
        key.lines().skip(1).map(place).collect()
    }

    /// Fills in every sheet: what is answered of a reader's photo in a round, pattern and change; nothing
    /// leaves the line empty.
    pub(crate) fn fill(&self, answer: impl Fn(&Place) -> Option<(String, String)>) {
        let mut sheets: BTreeMap<String, String> = BTreeMap::new();
        for place in self.key() {
            let sheet = sheets
                .entry(place.reader.clone())
                .or_insert_with(|| "reader,number,pattern,change_per_side,note\n".into());
            let (pattern, change) = answer(&place).unwrap_or_default();
            let line = format!("{},{:03},{pattern},{change},\n", place.reader, place.number);
            sheet.push_str(&line);
        }
        for (reader, text) in sheets {
            self.write(&format!("reader-{reader}/answers.csv"), &text);
        }
    }

    pub(crate) fn write(&self, below: &str, text: &str) {
        fs::write(self.path(below), text).expect("written");
    }

    /// A table of what was right beside the study.
    pub(crate) fn truth(&self, text: &str) {
        fs::write(self.folder.path().join("right.csv"), text).expect("written");
    }
}

/// Of `00.png`, 0.
pub(crate) fn index(photo: &str) -> usize {
    photo.trim_end_matches(".png").parse().expect("a number")
}

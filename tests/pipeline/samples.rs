//! The sample photos with their truth, and their readings, made once for all tests.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use clap::ValueEnum;
use seepline::{
    Inspection, Method, Pattern, Point, Quad, Reading, Request, TipDirection, inspect, read_photo,
};
use serde::Deserialize;

/// `truth.json`: what was rendered, from the renderer's own geometry; the reading had no part in it.
#[derive(Debug, Deserialize)]
struct File {
    checks: Vec<CheckTruth>,
    photos: Vec<Truth>,
}

/// One whole check.
#[derive(Debug, Deserialize)]
pub(crate) struct CheckTruth {
    pub(crate) folder: String,
    photos: Vec<String>,
    pub(crate) pattern: Pattern,
    pub(crate) action: String,
    /// Taper cut − taper needed, per side, micrometres.
    pub(crate) taper_error_um: f64,
}

impl CheckTruth {
    /// One sample per jaw.
    pub(crate) fn jaws(&self) -> Vec<&'static Sample> {
        let is_of_check = |s: &&Sample| self.photos.contains(&s.truth.file);
        SAMPLES.iter().filter(is_of_check).collect()
    }
}

/// One photo.
#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Truth {
    pub(crate) file: String,
    pub(crate) method: Method,
    pub(crate) readable: bool,
    /// `None` where nothing was painted.
    pub(crate) pattern: Option<Pattern>,
    /// As of the check, of this jaw alone; `None` where nothing was painted.
    pub(crate) taper_error_um: Option<f64>,
    tip: String,
    /// Tip-left, tip-right, base-right, base-left, upright pixels at full size.
    corners_px: Option<[[f64; 2]; 4]>,
    /// Share of the inner width without compound, 64 stations from tip to base.
    pub(crate) clean_profile: Option<Vec<f64>>,
}

impl Truth {
    pub(crate) fn corners(&self) -> Option<Quad> {
        let corners = self.corners_px?;
        Some(Quad(corners.map(|[x, y]| Point::new(x, y))))
    }

    fn tip(&self) -> TipDirection {
        TipDirection::from_str(&self.tip, false).expect("up, down, left or right")
    }

    /// What a user would say about the photo.
    fn request(&self) -> Request {
        Request {
            method: self.method,
            tip: Some(self.tip()),
            corners: None,
        }
    }
}

/// One photo, what it shows, and what was read when only the tip's direction was told.
pub(crate) struct Sample {
    pub(crate) path: PathBuf,
    pub(crate) truth: Truth,
    pub(crate) inspection: Inspection,
}

impl Sample {
    /// Path below `sample-images`.
    pub(crate) fn name(&self) -> &str {
        &self.truth.file
    }

    pub(crate) fn request(&self) -> Request {
        self.truth.request()
    }

    pub(crate) fn reading(&self) -> &Reading {
        &self.inspection.reading
    }
}

static FOLDER: LazyLock<PathBuf> =
    LazyLock::new(|| Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-images"));

static TRUTH: LazyLock<File> = LazyLock::new(|| {
    let text = fs::read_to_string(FOLDER.join("truth.json")).expect("the truth of the samples");
    serde_json::from_str(&text).expect("valid JSON")
});

/// All samples, in the file's order.
pub(crate) static SAMPLES: LazyLock<Vec<Sample>> =
    LazyLock::new(|| TRUTH.photos.iter().cloned().map(load).collect());

fn load(truth: Truth) -> Sample {
    let path = FOLDER.join(&truth.file);
    let bytes = fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", truth.file));
    let photo = read_photo(&bytes).unwrap_or_else(|e| panic!("{}: {e}", truth.file));
    Sample {
        inspection: inspect(photo, &truth.request()),
        path,
        truth,
    }
}

pub(crate) fn checks() -> &'static [CheckTruth] {
    &TRUTH.checks
}

pub(crate) fn all() -> impl Iterator<Item = &'static Sample> {
    SAMPLES.iter()
}

/// Those whose face can be read.
pub(crate) fn readable() -> impl Iterator<Item = &'static Sample> {
    SAMPLES.iter().filter(|s| s.truth.readable)
}

/// The one whose path holds this.
pub(crate) fn sample(part: &str) -> &'static Sample {
    let found = SAMPLES.iter().find(|s| s.name().contains(part));
    found.unwrap_or_else(|| panic!("no sample named {part}"))
}

//! Photos of a check → what is filed of them.

use std::path::Path;

use jiff::civil::DateTime;

use crate::report::{CheckReport, PhotoReport, photos_to_json};
use crate::taper::records::{FiledReading, Seen};

pub(super) fn hashes(photos: &[PhotoReport]) -> Vec<&str> {
    let read = photos.iter().filter_map(PhotoReport::inspection);
    read.map(|i| i.photo.sha256.as_str()).collect()
}

/// A camera's time that is no time is none.
pub(super) fn taken(photo: &PhotoReport) -> Option<DateTime> {
    photo.inspection()?.photo.taken.as_ref()?.parse().ok()
}

pub(super) fn readings(report: &CheckReport) -> anyhow::Result<Vec<FiledReading>> {
    let details = photos_to_json(report)?;
    let pairs = report.photos.iter().zip(details);
    Ok(pairs
        .filter(|(photo, _)| photo.counts())
        .filter_map(|(photo, detail)| reading(photo, detail))
        .collect())
}

fn reading(photo: &PhotoReport, detail: serde_json::Value) -> Option<FiledReading> {
    let inspection = photo.inspection()?;
    let read = &inspection.reading;
    Some(FiledReading {
        sha256: inspection.photo.sha256.clone(),
        // The name alone: the folders are of the machine that filed it.
        file: name_of(Path::new(&photo.file)),
        taken: taken(photo),
        pattern: read.pattern,
        confidence: read.confidence,
        refusal: read.refusal.as_ref().map(|r| r.reason),
        seen: Seen::of_reading(read),
        detail,
    })
}

fn name_of(file: &Path) -> String {
    let name = file.file_name().unwrap_or(file.as_os_str());
    name.to_string_lossy().into_owned()
}

//! Photos of a check → what is filed of them.

use std::path::Path;

use jiff::civil::DateTime;

use super::{new_id, now};
use crate::people::labels::{Label, Labelled};
use crate::people::opinion::Person;
use crate::reading::face::TipDirection;
use crate::reading::outcome::Reading;
use crate::reading::pattern::Pattern;
use crate::report::{CheckReport, PhotoReport, jaws_to_json, photos_to_json};
use crate::taper::records::{FiledReading, SAID, Said, Seen};

pub(super) fn hashes(photos: &[PhotoReport]) -> Vec<&str> {
    let read = photos.iter().filter_map(PhotoReport::inspection);
    read.map(|i| i.photo.sha256.as_str()).collect()
}

/// A camera's time that is no time is none.
pub(super) fn taken(photo: &PhotoReport) -> Option<DateTime> {
    photo.inspection()?.photo.taken.as_ref()?.parse().ok()
}

pub(crate) fn readings(report: &CheckReport) -> anyhow::Result<Vec<FiledReading>> {
    let details = details(report)?;
    let pairs = report.photos.iter().enumerate().zip(details);
    Ok(pairs
        .filter(|((_, photo), _)| photo.counts())
        .filter_map(|((index, photo), detail)| match report.jaw_of(index) {
            None => reading(photo, &photo.inspection()?.reading, detail),
            // The jaw counts once, with its first photo.
            Some(jaw) if jaw.photos[0] == index => reading(photo, &jaw.joined.reading, detail),
            Some(_) => Some(FiledReading {
                pattern: Pattern::Unreadable,
                confidence: 0.0,
                refusal: None,
                seen: None,
                ..reading(photo, &photo.inspection()?.reading, detail)?
            }),
        })
        .collect())
}

/// Of the first photo of a jaw with several: what they say together, as its row holds it, and its own beside that.
fn details(report: &CheckReport) -> anyhow::Result<Vec<serde_json::Value>> {
    let mut details = photos_to_json(report)?;
    for (photo, detail) in report.photos.iter().zip(&mut details) {
        detail[SAID] = serde_json::to_value(photo.inspection().map(Said::of))?;
    }
    for (jaw, together) in report.joined.iter().zip(jaws_to_json(report)?) {
        let first = &mut details[jaw.photos[0]];
        first["alone"] = first.clone();
        for field in OF_A_READING {
            first[field] = together[field].clone();
        }
    }
    Ok(details)
}

/// What a photo and a jaw with several say in the same fields.
const OF_A_READING: [&str; 8] = [
    "profile",
    "bands",
    "contact",
    "pattern",
    "confidence",
    "refusal",
    "warnings",
    "evidence",
];

fn reading(photo: &PhotoReport, read: &Reading, detail: serde_json::Value) -> Option<FiledReading> {
    let inspection = photo.inspection()?;
    Some(FiledReading {
        sha256: inspection.photo.sha256.clone(),
        // The name alone: the folders are of the machine that filed it.
        file: name_of(Path::new(&photo.file)),
        taken: taken(photo),
        phone: inspection.photo.phone.clone(),
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

/// What was corrected of the photos: corners that were given, and a tip that the program by itself would not have taken
/// to be there.
pub(super) fn labels_said(report: &CheckReport, by: Option<&Person>) -> anyhow::Result<Vec<Label>> {
    let mut labels = Vec::new();
    for inspection in report.photos.iter().filter_map(PhotoReport::inspection) {
        let said = Said::of(inspection);
        let corrects = |tip: &TipDirection| {
            *tip != TipDirection::default() || inspection.reading.tip_contradicted
        };
        let tip = said.tip.filter(corrects).map(Labelled::Tip);
        let corners = said.corners_px.map(Labelled::Corners);
        for what in corners.into_iter().chain(tip) {
            labels.push(Label {
                id: new_id()?,
                photo: inspection.photo.sha256.clone(),
                what,
                by: by.cloned(),
                at: now(),
                changed: now(),
            });
        }
    }
    Ok(labels)
}

//! A jaw of which there are several photos.

use serde::Serialize;

use super::{ReadingJson, of_reading, round4};
use crate::reading::inspect::SetAside;
use crate::reading::refusal::Reason;
use crate::report::{CheckReport, JawReport};

/// Of its photos together.
#[derive(Serialize)]
pub(super) struct JawJson<'a> {
    jaw: Option<u8>,
    /// Indices in `photos`.
    photos: &'a [usize],
    /// Photos that took no part.
    left_out: Vec<LeftOutJson>,
    /// Share of the face that is not judged because the photos contradict each other about it.
    contradicted: f64,
    #[serde(flatten)]
    reading: ReadingJson<'a>,
}

#[derive(Serialize)]
struct LeftOutJson {
    /// Index in `photos`.
    photo: usize,
    /// Why it is refused; `null` where only where its tip points is not settled.
    refusal: Option<Reason>,
}

pub(super) fn jaw<'a>(jaw: &'a JawReport, report: &CheckReport) -> JawJson<'a> {
    let reading = &jaw.joined.reading;
    let left_out = jaw.photos.iter().zip(&jaw.joined.left_out);
    JawJson {
        jaw: report.photos[jaw.photos[0]].jaw,
        photos: &jaw.photos,
        left_out: left_out
            .filter_map(|(photo, why)| Some((*photo, (*why)?)))
            .map(|(photo, why)| LeftOutJson {
                photo,
                refusal: match why {
                    SetAside::Refused(reason) => Some(reason),
                    SetAside::Tip => None,
                },
            })
            .collect(),
        contradicted: round4(jaw.joined.contradicted),
        reading: of_reading(reading),
    }
}

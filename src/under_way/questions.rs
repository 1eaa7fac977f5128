//! What a check leaves open that words can settle: no photo need be taken again for it. A review asks the same of its photos, in
//! `review/questions.rs`. What keeps an answer back whatever was read is `calling`, not this.

use serde::Serialize;

use super::{Photo, UnderWay};
use crate::reading::face::TipDirection;
use crate::reading::method::Method;
use crate::reading::outcome::Reading;
use crate::taper::advice::Action;

/// One thing that is open about one jaw.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Question<'a> {
    pub(crate) photo: &'a Photo,
    pub(crate) about: About,
    pub(crate) why: Why,
}

/// What is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum About {
    /// Which end is the tip; with the end that the reading takes for it now.
    Tip(TipDirection),
    /// How the check was made; with what it is read as now.
    Method(Method),
}

/// Why it is open. Kebab-case names in JSON.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Why {
    /// Nobody said it, and the picture does not settle it.
    NotSaid,
    /// The picture shows something else than it is read as.
    PictureDiffers,
}

/// What keeps the answer from being given, in the order in which it is asked: the method, which is one for all jaws,
/// before the tips, as in the advice. Nothing where the answer stands, or waits for something else.
pub(crate) fn open(check: &UnderWay) -> Vec<Question<'_>> {
    let answer = check.answer.as_ref();
    let Some(report) = answer.filter(|a| a.advice.action == Action::Settle) else {
        return Vec::new();
    };
    let counted = report.photos.iter().filter(|p| p.counts());
    let read = counted.filter_map(|p| p.inspection());
    let jaws: Vec<(&Photo, &Reading)> = read
        .filter_map(|i| Some((check.photo(&i.photo.sha256).ok()?, &i.reading)))
        .collect();
    let methods = jaws.iter().filter_map(|jaw| method(*jaw));
    methods
        .chain(jaws.iter().filter_map(|jaw| tip(*jaw)))
        .collect()
}

fn method<'a>((photo, reading): (&'a Photo, &Reading)) -> Option<Question<'a>> {
    reading.method_contradicted.then_some(Question {
        photo,
        about: About::Method(reading.method),
        why: Why::PictureDiffers,
    })
}

fn tip<'a>((photo, reading): (&'a Photo, &Reading)) -> Option<Question<'a>> {
    let face = reading.face.as_ref()?;
    let why = if reading.tip_unsaid {
        Why::NotSaid
    } else {
        Why::PictureDiffers
    };
    reading.tip_in_doubt().then(|| Question {
        photo,
        about: About::Tip(face.tip_direction()),
        why,
    })
}

//! What a check leaves open that words can settle: no photo need be taken again for it. A review asks the same of its photos, in
//! `review/questions.rs`. What keeps an answer back whatever was read is `calling`, not this.

use serde::Serialize;

use super::{Photo, UnderWay};
use crate::reading::face::TipDirection;
use crate::reading::inspect::Inspection;
use crate::reading::method::Method;
use crate::reading::outcome::Reading;
use crate::report::CheckReport;
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
    /// The photos of one jaw agree only once one of them is turned end for end.
    PhotosDiffer,
}

/// What keeps the answer from being given, in the order in which it is asked: the method, which is one for all jaws,
/// before the tips, as in the advice. Nothing where the answer stands, or waits for something else.
pub(crate) fn open(check: &UnderWay) -> Vec<Question<'_>> {
    let answer = check.answer.as_ref();
    let Some(report) = answer.filter(|a| a.advice.action == Action::Settle) else {
        return Vec::new();
    };
    let jaws: Vec<Jaw<'_>> = report
        .jaws()
        .into_iter()
        .map(|(first, reading)| Jaw {
            views: views(check, report, first),
            reading,
        })
        .collect();
    let methods = jaws.iter().filter_map(Jaw::method);
    methods.chain(jaws.iter().flat_map(Jaw::tips)).collect()
}

/// The photos of the jaw whose first has that index.
fn views<'a>(check: &'a UnderWay, report: &'a CheckReport, first: usize) -> Vec<View<'a>> {
    let joined = report.jaw_of(first);
    let indices = joined.map_or_else(|| vec![first], |jaw| jaw.photos.clone());
    let of = |index: usize| {
        let inspection = report.photos[index].inspection()?;
        let photo = check.photo(&inspection.photo.sha256).ok()?;
        Some(View { photo, inspection })
    };
    indices.into_iter().filter_map(of).collect()
}

/// One photo of a jaw.
struct View<'a> {
    photo: &'a Photo,
    inspection: &'a Inspection,
}

/// What is read of a jaw, from one photo or several.
struct Jaw<'a> {
    views: Vec<View<'a>>,
    reading: &'a Reading,
}

impl<'a> Jaw<'a> {
    fn method(&self) -> Option<Question<'a>> {
        let shows = |v: &&View<'_>| v.inspection.reading.method_contradicted;
        let view = self.views.iter().find(shows).or(self.views.first())?;
        self.reading.method_contradicted.then_some(Question {
            photo: view.photo,
            about: About::Method(self.reading.method),
            why: Why::PictureDiffers,
        })
    }

    /// About each photo whose tip is in doubt; where none is by itself, about those of which nobody said it one by one.
    fn tips(&self) -> Vec<Question<'a>> {
        if !self.reading.tip_in_doubt() {
            return Vec::new();
        }
        let doubted: Vec<Question<'_>> = self.views.iter().filter_map(View::doubted).collect();
        if !doubted.is_empty() {
            return doubted;
        }
        let unsaid = self.views.iter().filter(|v| v.photo.tip.is_none());
        unsaid.filter_map(|v| v.tip(Why::PhotosDiffer)).collect()
    }
}

impl<'a> View<'a> {
    fn doubted(&self) -> Option<Question<'a>> {
        self.tip(if self.inspection.tip_unsaid()? {
            Why::NotSaid
        } else {
            Why::PictureDiffers
        })
    }

    fn tip(&self, why: Why) -> Option<Question<'a>> {
        let face = self.inspection.reading.face.as_ref()?;
        Some(Question {
            photo: self.photo,
            about: About::Tip(face.tip_direction()),
            why,
        })
    }
}

//! A photo's bytes → what a check keeps of its reading; the readings of all jaws → the check's answer.

use super::words::without_options;
use super::{Fault, Photo, Pictures, Read, SetFacts, UnderWay};
use crate::reading::face::TipDirection;
use crate::reading::inspect::Request;
use crate::reading::read::{PhotoFault, inspect_bytes};
use crate::reading::threads::beside;
use crate::report::{CallReport, CheckReport, PhotoReport, check, photo_to_jpeg, reading_in_two};
use crate::taper::advice::Setup;
use crate::taper::learning::History;
use crate::taper::rules::Rules;

impl Read {
    /// Reads a photo, and draws what is seen of the reading.
    pub(crate) fn of_bytes(bytes: &[u8], request: &Request) -> Result<Self, Fault> {
        let inspection = inspect_bytes(bytes, request).map_err(|e| unreadable(&e))?;
        // The answer waits for both.
        let (in_two, plain) = beside(
            || reading_in_two(&inspection),
            || photo_to_jpeg(&inspection.photo, TipDirection::Up),
        );
        let (picture, profile) = in_two.map_err(|_| Fault::Defect)?;
        let plain = plain.map_err(|_| Fault::Defect)?;
        let report = PhotoReport {
            file: String::new(),
            // A megabyte a photo would be kept for nothing.
            outcome: Ok(Box::new(inspection.without_pixels())),
            // As the check says when it is answered.
            jaw: None,
            same_as: None,
            picture: None,
        };
        let pictures = Pictures {
            picture,
            profile,
            plain,
        };
        Ok(Self::of(request, report, pictures))
    }
}

impl UnderWay {
    /// What was read of each photo, as it is to be read now.
    pub(crate) fn reports(&self) -> Vec<PhotoReport> {
        // Of one photo each, jaws need no number, as on the command line.
        let by_jaw = self.has_several_of_a_jaw();
        let photos = self.sheet.photos.iter();
        photos
            .filter_map(|p| self.read(p).map(|r| named(r.report.clone(), p, by_jaw)))
            .collect()
    }

    /// The answer without an archive: what is known of the jaw set is its facts.
    pub(crate) fn quick_answer(&self, rules: &Rules) -> CheckReport {
        let settings = &self.sheet.settings;
        let set = self.sheet.set();
        let setup = Setup {
            taper: settings.taper.or(set.and_then(|s| s.taper)),
            ..settings.setup(set.map(SetFacts::jaw_set).as_ref())
        };
        let history = History::default();
        check::report(self.reports(), settings.method, setup, rules, &history)
    }

    /// The check's own call beside an answer of a check without a jaw set.
    pub(crate) fn own_call(&self, report: &CheckReport, rules: &Rules) -> Option<CallReport> {
        let call = self.sheet.call.clone();
        call.map(|call| CallReport::of(call, report, None, rules))
    }
}

fn named(report: PhotoReport, photo: &Photo, by_jaw: bool) -> PhotoReport {
    PhotoReport {
        // A reading knows no name: the same photo may come again under another.
        file: photo.name.clone(),
        jaw: by_jaw.then_some(photo.jaw),
        ..report
    }
}

pub(crate) fn unreadable(error: &PhotoFault) -> Fault {
    Fault::Unfit(without_options(&error.to_string()))
}

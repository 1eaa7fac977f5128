//! A check's photos → one reading per jaw.
//!
//! A review keeps no maps, so photos of one jaw are not laid over each other as `read --jaw` does: the surer one stands
//! for the jaw, and where they name different patterns none does.

use crate::reading::outcome::Reading;
use crate::reading::pattern::Pattern;
use crate::reading::refusal::{Reason, Refusal};
use crate::review::record::PhotoRecord;

/// The readings of a jaw's photos, each with the photo's place in the check.
type Views = Vec<(usize, Reading)>;

/// The jaws' readings, each with the place of its photo in the check (of several, the first), by which the odd jaw is
/// named; and a note on every jaw with several photos. Files without a reading fall out.
pub(super) fn jaws(photos: &[&PhotoRecord]) -> (Views, Vec<String>) {
    let mut jaws: Vec<(Option<u8>, Views)> = Vec::new();
    for (at, photo) in photos
        .iter()
        .enumerate()
        .filter(|(_, p)| !p.told.further_view)
    {
        let Some(reading) = photo.reading() else {
            continue;
        };
        let jaw = photo.told.jaw;
        match jaws
            .iter_mut()
            .find(|(known, _)| jaw.is_some() && *known == jaw)
        {
            Some((_, views)) => views.push((at, reading)),
            None => jaws.push((jaw, vec![(at, reading)])),
        }
    }
    let notes = jaws
        .iter()
        .filter(|(_, views)| views.len() > 1)
        .map(note)
        .collect();
    (
        jaws.into_iter()
            .filter_map(|(_, views)| one(views))
            .collect(),
        notes,
    )
}

fn note((jaw, views): &(Option<u8>, Views)) -> String {
    let jaw = jaw.unwrap_or_default();
    format!(
        "{} photos are said to be of jaw {jaw}, which counts once; `seepline read --jaw` reads them together",
        views.len()
    )
}

fn one(views: Views) -> Option<(usize, Reading)> {
    let at = views.first()?.0;
    let judged = || views.iter().map(|(_, r)| r).filter(|r| r.refusal.is_none());
    let surest = judged().max_by(|a, b| a.confidence.total_cmp(&b.confidence));
    let Some(surest) = surest else {
        return views.into_iter().next();
    };
    let mut jaw = surest.clone();
    // What one of them contradicts must be settled, whichever is surer.
    jaw.tip_contradicted = judged().any(|r| r.tip_contradicted);
    jaw.tip_unsaid = judged().any(|r| r.tip_unsaid);
    jaw.method_contradicted = judged().any(|r| r.method_contradicted);
    if judged().any(|r| r.pattern != jaw.pattern) {
        jaw.pattern = Pattern::Unreadable;
        jaw.confidence = 0.0;
        jaw.refusal = Some(Refusal::of(Reason::Unclear));
    }
    Some((at, jaw))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::method::Method;

    fn photo(jaw: Option<u8>, pattern: Pattern, confidence: f64) -> PhotoRecord {
        let mut record = PhotoRecord::broken("ab".repeat(32), String::new(), Method::Seep);
        record.line.error = None;
        record.line.pattern = pattern;
        record.line.confidence = confidence;
        record.line.refusal = (pattern == Pattern::Unreadable).then_some(Reason::Glare);
        record.told.jaw = jaw;
        record
    }

    fn of(photos: &[PhotoRecord]) -> (Vec<(usize, Pattern)>, usize) {
        let all: Vec<&PhotoRecord> = photos.iter().collect();
        let (jaws, notes) = jaws(&all);
        let patterns = jaws.iter().map(|(at, r)| (*at, r.pattern)).collect();
        (patterns, notes.len())
    }

    #[test]
    fn photos_of_which_nothing_is_said_are_a_jaw_each() {
        let photos = [
            photo(None, Pattern::TipOnly, 0.9),
            photo(None, Pattern::TipOnly, 0.9),
        ];
        assert_eq!(
            of(&photos),
            (vec![(0, Pattern::TipOnly), (1, Pattern::TipOnly)], 0)
        );
    }

    #[test]
    fn a_jaw_with_several_photos_counts_once_and_is_noted() {
        let photos = [
            photo(Some(1), Pattern::Unreadable, 0.0),
            photo(Some(2), Pattern::TipOnly, 0.7),
            photo(Some(1), Pattern::BaseOnly, 0.9),
            photo(Some(2), Pattern::TipOnly, 0.8),
        ];
        assert_eq!(
            of(&photos),
            (vec![(0, Pattern::BaseOnly), (1, Pattern::TipOnly)], 2)
        );
    }

    #[test]
    fn photos_of_a_jaw_that_name_different_patterns_name_none() {
        let photos = [
            photo(Some(1), Pattern::TipOnly, 0.9),
            photo(Some(1), Pattern::FullLength, 0.8),
            photo(Some(1), Pattern::Unreadable, 0.0),
        ];
        assert_eq!(of(&photos), (vec![(0, Pattern::Unreadable)], 1));
    }

    #[test]
    fn a_photo_that_is_filed_with_another_of_its_jaw_does_not_count_again() {
        let mut further = photo(None, Pattern::TipOnly, 0.9);
        further.told.further_view = true;
        let photos = [photo(None, Pattern::TipOnly, 0.9), further];
        assert_eq!(of(&photos), (vec![(0, Pattern::TipOnly)], 0));
    }
}

//! A check's photos → one reading per jaw.
//!
//! Photos that are said to be of one jaw were read together, as `read --jaw` does; what came of it is kept with the result
//! ([`Together`], of one check at a time). Where it is not there, since a file went away meanwhile or there are more photos than are read together,
//! the surest photo stands for the jaw, and where they name different patterns none does: that is said.

use std::collections::HashMap;

use crate::reading::outcome::Reading;
use crate::reading::pattern::Pattern;
use crate::reading::refusal::{Reason, Refusal};
use crate::review::jaw::JawReading;
use crate::review::lines::JawLine;
use crate::review::record::{Key, PhotoRecord};

/// What several photos of a jaw say together, by those photos in the order of their check.
pub(crate) type Together = HashMap<Vec<Key>, JawReading>;

/// So many photos of a jaw are read together at most: each is laid over every other, and a table that gives one number to a
/// whole folder must not fill the memory (choice; a few sides show all of a face).
const MOST_TOGETHER: usize = 12;

/// One jaw of a check.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Jaw {
    /// Its number, where somebody said it.
    pub(super) number: Option<u8>,
    /// Places of its photos in the check, rising; the first names it where it is odd.
    pub(super) photos: Vec<usize>,
}

/// The jaws of a check that are read from several photos together, each as those are read.
pub(crate) fn of_several_photos(photos: &[&PhotoRecord]) -> Vec<Vec<Key>> {
    let jaws = jaws(photos).into_iter().filter(Jaw::is_read_together);
    jaws.map(|jaw| jaw.keys(photos)).collect()
}

/// Whether so many photos of one jaw are.
pub(crate) fn are_read_together(photos: usize) -> bool {
    (2..=MOST_TOGETHER).contains(&photos)
}

/// Whether it may stand for a jaw: a file without a reading falls out.
pub(crate) fn counts(photo: &PhotoRecord) -> bool {
    !photo.told.further_view && photo.line.error.is_none()
}

/// The jaws in the order of their first photo.
pub(super) fn jaws(photos: &[&PhotoRecord]) -> Vec<Jaw> {
    let mut jaws: Vec<Jaw> = Vec::new();
    for (at, photo) in photos.iter().enumerate() {
        if !counts(photo) {
            continue;
        }
        let number = photo.told.jaw;
        match jaws
            .iter_mut()
            .find(|jaw| number.is_some() && jaw.number == number)
        {
            Some(jaw) => jaw.photos.push(at),
            None => jaws.push(Jaw {
                number,
                photos: vec![at],
            }),
        }
    }
    jaws
}

impl Jaw {
    fn is_read_together(&self) -> bool {
        are_read_together(self.photos.len())
    }

    fn keys(&self, photos: &[&PhotoRecord]) -> Vec<Key> {
        self.photos.iter().map(|at| photos[*at].key()).collect()
    }

    /// What its photos say together, where they were read so.
    pub(super) fn line(&self, photos: &[&PhotoRecord], together: &Together) -> Option<JawLine> {
        let reading = together.get(&self.keys(photos))?.clone();
        Some(JawLine {
            jaw: self.number?,
            photos: self.photos.clone(),
            reading,
        })
    }

    pub(super) fn reading(&self, photos: &[&PhotoRecord], together: &Together) -> Option<Reading> {
        match self.line(photos, together) {
            Some(line) => Some(line.reading.reading()),
            None => surest(self.photos.iter().filter_map(|at| photos[*at].reading())),
        }
    }

    /// What is to be said where its photos were not read together.
    pub(super) fn note(&self, photos: &[&PhotoRecord], together: &Together) -> Option<String> {
        let (count, number) = (self.photos.len(), self.number?);
        if count < 2 || together.contains_key(&self.keys(photos)) {
            return None;
        }
        let why = if count > MOST_TOGETHER {
            format!("more than the {MOST_TOGETHER} that are read together")
        } else {
            "which could not be read together, as not all of them are there now".to_owned()
        };
        Some(format!(
            "{count} photos are said to be of jaw {number}, {why}: it counts once, by the surest of them"
        ))
    }
}

/// The surest reading of a jaw, refused where another one names another pattern.
pub(super) fn surest(views: impl Iterator<Item = Reading>) -> Option<Reading> {
    let views: Vec<Reading> = views.collect();
    let judged = || views.iter().filter(|r| r.refusal.is_none());
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
    Some(jaw)
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

    /// Place of its first photo, and what stands for it; how many are noted.
    fn of(photos: &[PhotoRecord], together: &Together) -> (Vec<(usize, Pattern)>, usize) {
        let all: Vec<&PhotoRecord> = photos.iter().collect();
        let jaws = jaws(&all);
        let reading = |jaw: &Jaw| Some((jaw.photos[0], jaw.reading(&all, together)?.pattern));
        let notes = jaws.iter().filter_map(|jaw| jaw.note(&all, together));
        (jaws.iter().filter_map(reading).collect(), notes.count())
    }

    fn alone(photos: &[PhotoRecord]) -> (Vec<(usize, Pattern)>, usize) {
        of(photos, &Together::new())
    }

    #[test]
    fn photos_of_which_nothing_is_said_are_a_jaw_each() {
        let photos = [
            photo(None, Pattern::TipOnly, 0.9),
            photo(None, Pattern::TipOnly, 0.9),
        ];
        assert_eq!(
            alone(&photos),
            (vec![(0, Pattern::TipOnly), (1, Pattern::TipOnly)], 0)
        );
    }

    #[test]
    fn a_jaw_with_several_photos_says_what_they_say_together() {
        let photos = [
            photo(Some(1), Pattern::Unreadable, 0.0),
            photo(Some(2), Pattern::TipOnly, 0.7),
            photo(Some(1), Pattern::Unreadable, 0.0),
        ];
        let said = JawReading::of(&photo(None, Pattern::BaseOnly, 0.9).reading().unwrap());
        let keys = vec![photos[0].key(), photos[2].key()];
        let together = Together::from([(keys.clone(), said)]);
        assert_eq!(
            of(&photos, &together),
            (vec![(0, Pattern::BaseOnly), (1, Pattern::TipOnly)], 0)
        );
        assert_eq!(of_several_photos(&photos.each_ref()), [keys]);
    }

    #[test]
    fn where_they_could_not_be_read_together_the_surest_stands_and_it_is_said() {
        let photos = [
            photo(Some(1), Pattern::Unreadable, 0.0),
            photo(Some(2), Pattern::TipOnly, 0.7),
            photo(Some(1), Pattern::BaseOnly, 0.9),
            photo(Some(2), Pattern::TipOnly, 0.8),
        ];
        assert_eq!(
            alone(&photos),
            (vec![(0, Pattern::BaseOnly), (1, Pattern::TipOnly)], 2)
        );
        let unlike = [
            photo(Some(1), Pattern::TipOnly, 0.9),
            photo(Some(1), Pattern::FullLength, 0.8),
            photo(Some(1), Pattern::Unreadable, 0.0),
        ];
        assert_eq!(alone(&unlike), (vec![(0, Pattern::Unreadable)], 1));
    }

    #[test]
    fn one_number_for_a_whole_folder_is_not_read_together() {
        let photos: Vec<PhotoRecord> = (0..=MOST_TOGETHER)
            .map(|_| photo(Some(1), Pattern::TipOnly, 0.9))
            .collect();
        let all: Vec<&PhotoRecord> = photos.iter().collect();
        assert!(of_several_photos(&all).is_empty());
        assert_eq!(alone(&photos), (vec![(0, Pattern::TipOnly)], 1));
    }

    #[test]
    fn a_photo_that_is_filed_with_another_of_its_jaw_does_not_count_again() {
        let mut further = photo(None, Pattern::TipOnly, 0.9);
        further.told.further_view = true;
        let photos = [photo(None, Pattern::TipOnly, 0.9), further];
        assert_eq!(alone(&photos), (vec![(0, Pattern::TipOnly)], 0));
    }
}

//! Lines that are held in memory.

use std::collections::HashMap;
use std::io;

use super::Survey;
use crate::review::{CheckLine, Lines, PhotoLine};
use crate::taper::rules::Rules;

/// All lines of a small review.
pub(super) struct Held<'a> {
    photos: Vec<&'a PhotoLine>,
    checks: Vec<&'a CheckLine>,
    /// Places of the photos by content.
    places: HashMap<&'a str, usize>,
}

impl<'a> Held<'a> {
    pub(super) fn of(photos: &'a [impl AsRef<PhotoLine>], checks: &'a [CheckLine]) -> Self {
        let photos: Vec<&PhotoLine> = photos.iter().map(AsRef::as_ref).collect();
        let mut checks: Vec<&CheckLine> = checks.iter().collect();
        checks.sort_by_key(|c| (c.jaw_set.is_none(), &c.jaw_set, &c.made, &c.check));
        let places = photos.iter().enumerate().map(|(i, p)| (&*p.sha256, i));
        // A file that could not be opened has none, and all such would be one photo.
        let places = places.filter(|(sha256, _)| !sha256.is_empty()).collect();
        Self {
            photos,
            checks,
            places,
        }
    }

    pub(super) fn survey<'r>(&self, rules: &'r Rules) -> Survey<'r> {
        let mut survey = Survey::by(rules);
        for photo in &self.photos {
            survey.photo(photo);
        }
        for check in &self.checks {
            survey.check(check, self.of_check(check).flatten());
        }
        survey
    }

    fn of_check(&self, check: &CheckLine) -> impl Iterator<Item = Option<&'a PhotoLine>> {
        let photo = |sha256: &String| Some(self.photos[*self.places.get(sha256.as_str())?]);
        check.photos.iter().map(photo)
    }
}

impl Lines for Held<'_> {
    fn photo(&self, at: usize) -> io::Result<PhotoLine> {
        Ok(self.photos[at].clone())
    }

    fn check(&self, at: usize) -> io::Result<CheckLine> {
        Ok(self.checks[at].clone())
    }

    fn photos_of(&self, check: usize) -> io::Result<Vec<Option<PhotoLine>>> {
        let photos = self.of_check(self.checks[check]);
        Ok(photos.map(Option::<&PhotoLine>::cloned).collect())
    }
}

//! Which checks belong to which jaw set, in which order; and where a check's photos are.

use std::collections::{BTreeMap, HashMap};

use crate::review::{CheckLine, PhotoLine};

/// The checks of one jaw set.
#[derive(Debug, Clone)]
pub(crate) struct JawSetChecks<'a> {
    /// `None` for those whose set is not known.
    pub(crate) name: Option<&'a str>,
    /// Oldest first; those without a date last.
    pub(crate) checks: Vec<usize>,
}

/// The order of everything in a review.
#[derive(Debug)]
pub(crate) struct Order<'a> {
    /// By name; the checks without a set are last.
    pub(crate) sets: Vec<JawSetChecks<'a>>,
    /// Set of each check and its place there.
    places: Vec<(usize, usize)>,
    photos: HashMap<&'a str, &'a PhotoLine>,
}

impl JawSetChecks<'_> {
    /// Those with a date, oldest first.
    pub(crate) fn dated(&self, checks: &[CheckLine]) -> impl DoubleEndedIterator<Item = &usize> {
        self.checks.iter().filter(|i| checks[**i].made.is_some())
    }
}

impl<'a> Order<'a> {
    pub(crate) fn of(photos: &[&'a PhotoLine], checks: &'a [CheckLine]) -> Self {
        let mut by_name: BTreeMap<(bool, Option<&str>), Vec<usize>> = BTreeMap::new();
        for (i, check) in checks.iter().enumerate() {
            let name = check.jaw_set.as_deref();
            by_name.entry((name.is_none(), name)).or_default().push(i);
        }
        let mut places = vec![(0, 0); checks.len()];
        let mut sets = Vec::new();
        for ((_, name), mut of_set) in by_name {
            of_set.sort_by_key(|i| {
                let check = &checks[*i];
                // `None` sorts before every time; these are to stand last. The id settles the same second.
                (check.made.is_none(), &check.made, &check.check)
            });
            for (place, check) in of_set.iter().enumerate() {
                places[*check] = (sets.len(), place);
            }
            sets.push(JawSetChecks {
                name,
                checks: of_set,
            });
        }
        // A file that could not be opened has none, and all such would be one photo.
        let known = photos.iter().filter(|p| !p.sha256.is_empty());
        let photos = known.map(|p| (p.sha256.as_str(), *p)).collect();
        Self {
            sets,
            places,
            photos,
        }
    }

    /// The jaw sets that have a name.
    pub(crate) fn named(&self) -> impl Iterator<Item = (usize, &JawSetChecks<'a>)> {
        self.sets
            .iter()
            .enumerate()
            .filter(|(_, s)| s.name.is_some())
    }

    /// Position in [`Self::sets`] of a check's set.
    pub(crate) fn set_of(&self, check: usize) -> usize {
        self.places[check].0
    }

    /// The checks before and after one in its set; `None` at the ends and where the set is not known.
    pub(crate) fn neighbours(&self, check: usize) -> [Option<usize>; 2] {
        let (set, place) = self.places[check];
        let set = &self.sets[set];
        // Checks without a set have nothing to do with each other.
        if set.name.is_none() {
            return [None, None];
        }
        let at = |i: usize| set.checks.get(i).copied();
        [place.checked_sub(1).and_then(at), at(place + 1)]
    }

    /// A check's photos, as far as they are among the photos.
    pub(crate) fn photos_of(&self, check: &CheckLine) -> impl Iterator<Item = &'a PhotoLine> {
        check.photos.iter().filter_map(|sha256| self.photo(sha256))
    }

    /// The photo with this content.
    pub(crate) fn photo(&self, sha256: &str) -> Option<&'a PhotoLine> {
        self.photos.get(sha256).copied()
    }
}

//! What the table, the archive and the folder say about a photo.

use std::collections::HashMap;

use super::record::Told;
use super::table::Row;
use crate::reading::face::TipDirection;
use crate::reading::method::Method;
use crate::taper::advice::Grip;
use crate::taper::records::{FiledReading, Timeline};

/// What the archive says about a photo that is filed in it.
#[derive(Debug, Clone)]
struct Filed {
    told: Told,
    method: Method,
}

/// What the archive knows, by photo and by jaw set.
#[derive(Debug, Clone, Default)]
pub(crate) struct Archived {
    photos: HashMap<String, Filed>,
    /// Names and grips by the name in small letters.
    sets: HashMap<String, (String, Grip)>,
}

impl Archived {
    /// Of all the archive's timelines; a photo that is filed under several sets counts for the first. Which photos are of
    /// one jaw stands in the readings' details.
    pub(crate) fn of(timelines: &[Timeline]) -> Self {
        let mut archive = Self::default();
        for timeline in timelines {
            let set = &timeline.jaw_set;
            let named = (set.name.clone(), set.grip);
            // Folders are typed by hand: their case tells no sets apart.
            archive.sets.insert(set.name.to_lowercase(), named);
            archive.take_in(timeline);
        }
        archive
    }

    fn take_in(&mut self, timeline: &Timeline) {
        for of_cut in &timeline.cuts {
            for check in &of_cut.checks {
                let filed = Filed {
                    told: Told {
                        jaw_set: Some(timeline.jaw_set.name.clone()),
                        check: Some(check.id.to_string()),
                        filed: true,
                        folder: String::new(),
                        jaw: None,
                        further_view: false,
                        grip: timeline.jaw_set.grip,
                        taper: of_cut.cut.taper,
                        done: check.done.clone(),
                    },
                    method: check.method,
                };
                for reading in &check.readings {
                    let place = self.photos.entry(reading.sha256.clone());
                    place.or_insert_with(|| {
                        let mut filed = filed.clone();
                        filed.told.jaw = number(reading);
                        filed.told.further_view =
                            filed.told.jaw.is_none() && reading.is_further_view();
                        filed
                    });
                }
            }
        }
    }

    /// Whether the photo is filed under the set with that name.
    pub(crate) fn holds(&self, sha256: &str, jaw_set: &str) -> bool {
        let name = self
            .photos
            .get(sha256)
            .and_then(|f| f.told.jaw_set.as_ref());
        name.is_some_and(|n| n.to_lowercase() == jaw_set.to_lowercase())
    }

    /// Whether there is such a set.
    pub(crate) fn has_set(&self, jaw_set: &str) -> bool {
        self.sets.contains_key(&jaw_set.to_lowercase())
    }
}

/// All that is asked, the user's own words last.
#[derive(Debug, Clone, Default)]
pub(crate) struct Sources {
    pub(crate) rows: HashMap<String, Row>,
    pub(crate) archive: Archived,
    pub(crate) method: Method,
    pub(crate) tip: Option<TipDirection>,
    pub(crate) grip: Option<Grip>,
}

impl Sources {
    /// About the photo with that content that lies in `file`, in folders of these names, outermost first.
    pub(crate) fn about(&self, file: &str, folders: &[String], sha256: &str) -> (Told, Method) {
        let filed = self.archive.photos.get(sha256);
        let row = self.rows.get(file);
        let told = filed.map_or_else(|| self.by_folder(file, folders), |f| f.told.clone());
        // The same order as for the rest: table, archive, then what holds for the whole review.
        let method = row.and_then(|r| r.method).or(filed.map(|f| f.method));
        let told = row.map_or(told.clone(), |row| self.by_row(row, told));
        (told, method.unwrap_or(self.method))
    }

    /// Where the tip points in the photo that lies in `file`, as the table says, else as holds for all.
    pub(crate) fn tip(&self, file: &str) -> Option<TipDirection> {
        self.rows.get(file).and_then(|row| row.tip).or(self.tip)
    }

    fn by_folder(&self, file: &str, folders: &[String]) -> Told {
        let known = |name: &String| self.archive.sets.get(&name.to_lowercase());
        // A set of the archive in any folder above before a name that only looks like one.
        let set = folders.iter().rev().find_map(known);
        let named = || folders.iter().rev().find(|n| names_a_set(n)).cloned();
        Told {
            jaw_set: set.map(|s| s.0.clone()).or_else(named),
            folder: file.rsplit_once('/').map_or("", |(f, _)| f).to_owned(),
            grip: self.grip_of(set),
            ..Told::default()
        }
    }

    fn grip_of(&self, set: Option<&(String, Grip)>) -> Grip {
        set.map(|s| s.1).or(self.grip).unwrap_or_default()
    }

    /// What the line says stands before what is known otherwise.
    fn by_row(&self, row: &Row, mut told: Told) -> Told {
        let same = |name: &String| {
            let filed_under = told.jaw_set.as_ref().filter(|_| told.filed);
            filed_under.is_some_and(|n| n.to_lowercase() == name.to_lowercase())
        };
        // A line that names the set under which the photo is filed says nothing new, and must not part it from
        // its check and taper there.
        if let Some(name) = row.jaw_set.as_ref().filter(|name| !same(name)) {
            let set = self.archive.sets.get(&name.to_lowercase());
            told = Told {
                jaw_set: Some(set.map_or(name, |s| &s.0).clone()),
                grip: self.grip_of(set),
                done: told.done,
                ..Told::default()
            };
        }
        if row.check.is_some() {
            told.check.clone_from(&row.check);
            // The word is the table's now, not the id of the archive's check.
            told.filed = false;
        }
        Told {
            jaw: row.jaw.or(told.jaw),
            further_view: told.further_view && row.jaw.is_none(),
            taper: row.taper.or(told.taper),
            grip: row.grip.unwrap_or(told.grip),
            done: row.done.clone().or(told.done),
            ..told
        }
    }
}

/// The number that the photo's jaw was given when it was filed; only where the details are there.
fn number(reading: &FiledReading) -> Option<u8> {
    u8::try_from(reading.detail.get("jaw")?.as_u64()?).ok()
}

/// Names like `2026-03-04`, `check 2` or `photos` say what is in a folder, not whose it is.
fn names_a_set(folder: &str) -> bool {
    let letters: String = folder.chars().filter(|c| c.is_alphabetic()).collect();
    let letters = letters.to_lowercase();
    let general = [
        "", "check", "checks", "cut", "cuts", "photo", "photos", "jaw", "jaws",
    ];
    !general.contains(&letters.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::taper::records::{Cut, CutTimeline, FiledAdvice, FiledCheck, Id};
    use crate::taper::records::{JawSet, Mounting};
    use crate::units::{Length, PerSide};

    const PHOTO: &str = "ab";

    /// The set Heron with one check of one photo, at three thousandths of taper.
    fn archive() -> Archived {
        let at = jiff::civil::date(2026, 3, 4).at(10, 0, 0, 0);
        let set = JawSet::named(Id::derived(&["set"]), "Heron", at);
        let mut cut = Cut::of(&set, Id::derived(&["cut"]), at);
        cut.taper = Some(PerSide::of(Length::from_tenths(30)));
        let reading = FiledReading {
            sha256: PHOTO.to_owned(),
            file: "jaw1.jpg".to_owned(),
            taken: None,
            phone: None,
            pattern: crate::reading::pattern::Pattern::TipOnly,
            confidence: 0.9,
            refusal: None,
            seen: None,
            detail: serde_json::Value::Null,
        };
        let check = FiledCheck {
            id: Id::derived(&["check"]),
            cut: cut.id,
            made: at,
            method: Method::Seep,
            compound: None,
            pressure: None,
            mounting: Mounting::default(),
            readings: vec![reading],
            program: String::new(),
            rules: String::new(),
            advice: FiledAdvice::none(),
            done: Some("less taper".to_owned()),
            changed: at,
        };
        let cuts = vec![CutTimeline {
            cut,
            checks: vec![check],
        }];
        Archived::of(&[Timeline { jaw_set: set, cuts }])
    }

    fn told_by(row: Row) -> Told {
        let sources = Sources {
            rows: HashMap::from([("jaw1.jpg".to_owned(), row)]),
            archive: archive(),
            ..Sources::default()
        };
        sources.about("jaw1.jpg", &[], PHOTO).0
    }

    #[test]
    fn a_line_that_names_the_set_of_the_archive_leaves_its_check_and_taper() {
        let row = |set: &str| Row {
            jaw_set: Some(set.to_owned()),
            ..Row::default()
        };
        let same = told_by(row("heron"));
        assert_eq!(same.check, Some(Id::derived(&["check"]).to_string()));
        assert_eq!(same.jaw_set.as_deref(), Some("Heron"));
        assert_eq!(same.taper, Some(PerSide::of(Length::from_tenths(30))));
        assert!(same.filed);
        // Another set's taper and check are not this photo's.
        let other = told_by(row("wren"));
        assert_eq!((other.check, other.taper, other.filed), (None, None, false));
        assert_eq!(other.jaw_set.as_deref(), Some("wren"));
    }

    #[test]
    fn the_folder_names_the_jaw_set() {
        let sources = Sources::default();
        let set = |folders: &[&str]| {
            let folders: Vec<String> = folders.iter().map(|f| (*f).to_owned()).collect();
            sources.about("x/y.jpg", &folders, "").0.jaw_set
        };
        assert_eq!(set(&["share", "heron"]).as_deref(), Some("heron"));
        assert_eq!(
            set(&["share", "heron", "2026-03-04", "Check 2"]).as_deref(),
            Some("heron")
        );
        assert_eq!(set(&["2026", "photos"]), None);
    }
}

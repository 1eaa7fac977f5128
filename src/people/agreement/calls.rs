//! Who called what, and what was right.

use std::collections::{BTreeMap, BTreeSet};

use crate::reading::pattern::Pattern;
use crate::units::PerSide;

/// Who reads photos. People are initials or a shop number, nothing more.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reader {
    /// Initials or a number.
    Person(String),
    /// The program itself.
    Program,
}

impl std::fmt::Display for Reader {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Person(name) => name,
            Self::Program => "seepline",
        })
    }
}

/// One call of one photo.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Call {
    /// Who called.
    pub reader: Reader,
    /// Which photo, by any name that is its own.
    pub item: String,
    /// Which time this reader called this photo: 1 is the first.
    pub repeat: u32,
    /// The pattern called.
    pub pattern: Pattern,
    /// The change of taper called, per side, where one was; positive adds.
    pub change: Option<PerSide>,
}

/// What a statement of what was right rests on, the best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RestsOn {
    /// Later cuts proved it.
    LaterCuts,
    /// A lead ruled.
    LeadsRuling,
    /// A feeler at the open end showed it.
    Feeler,
    /// A table says so, without saying what it rests on.
    Table,
    /// The program's reading stands in for what nobody knows.
    Program,
}

/// What was right about a photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Right {
    /// The right pattern.
    pub pattern: Pattern,
    /// The right change per side, where it is known.
    pub change: Option<PerSide>,
    /// What that rests on.
    pub basis: RestsOn,
}

/// What one reader said of one photo at one time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Said {
    pub(super) repeat: u32,
    pub(super) pattern: Pattern,
    pub(super) change: Option<PerSide>,
}

/// Calls by reader and photo, each reader's calls of a photo in their order. Gaps are simply absent.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Calls {
    said: BTreeMap<Reader, BTreeMap<String, Vec<Said>>>,
    right: BTreeMap<String, Right>,
}

impl Calls {
    /// Takes calls in any order. A second call with the same reader, photo and repeat is not taken: the
    /// first stands, since a call can't be changed; those left out are given back.
    pub fn new(calls: impl IntoIterator<Item = Call>) -> (Self, Vec<Call>) {
        let (mut taken, mut doubles) = (Self::default(), Vec::new());
        for call in calls {
            let of_reader = taken.said.entry(call.reader.clone()).or_default();
            let said = of_reader.entry(call.item.clone()).or_default();
            // Kept in the order of repeats, however they come: the first one is what groups are counted by.
            match said.binary_search_by_key(&call.repeat, |s| s.repeat) {
                Ok(_) => doubles.push(call),
                Err(place) => {
                    let (repeat, pattern, change) = (call.repeat, call.pattern, call.change);
                    said.insert(
                        place,
                        Said {
                            repeat,
                            pattern,
                            change,
                        },
                    );
                }
            }
        }
        (taken, doubles)
    }

    /// Takes calls in the order in which they were made: a reader's first call of a photo is repeat 1, the
    /// next one 2.
    pub fn in_order(
        calls: impl IntoIterator<Item = (Reader, String, Pattern, Option<PerSide>)>,
    ) -> Self {
        let mut taken = Self::default();
        for (reader, item, pattern, change) in calls {
            let said = taken
                .said
                .entry(reader)
                .or_default()
                .entry(item)
                .or_default();
            let repeat = said.len() as u32 + 1;
            said.push(Said {
                repeat,
                pattern,
                change,
            });
        }
        taken
    }

    /// With what was right, by photo.
    #[must_use]
    pub fn with_right(mut self, right: impl IntoIterator<Item = (String, Right)>) -> Self {
        self.right.extend(right);
        self
    }

    /// Where nothing is known to be right, the program's first reading stands in, unless it could not
    /// judge the photo.
    #[must_use]
    pub fn with_the_program_standing_in(mut self) -> Self {
        for (item, said) in self.said.get(&Reader::Program).into_iter().flatten() {
            // That the program could not judge a photo does not make unreadable right.
            let Some(first) = said.first().filter(|s| s.pattern != Pattern::Unreadable) else {
                continue;
            };
            // Only where nothing better is known.
            self.right.entry(item.clone()).or_insert(Right {
                pattern: first.pattern,
                change: first.change,
                basis: RestsOn::Program,
            });
        }
        self
    }

    /// Readers who called anything, people first.
    pub fn readers(&self) -> Vec<Reader> {
        // The map's order is that of the enum: people first.
        self.said.keys().cloned().collect()
    }

    /// Photos that anybody called.
    pub fn items(&self) -> BTreeSet<&str> {
        let by_item = self.said.values();
        by_item
            .flat_map(|of| of.keys().map(String::as_str))
            .collect()
    }

    /// What was right about a photo, where it is known.
    pub fn right(&self, item: &str) -> Option<&Right> {
        self.right.get(item)
    }

    /// A reader's calls by photo.
    pub(super) fn of<'a>(
        &'a self,
        reader: &Reader,
    ) -> impl Iterator<Item = (&'a str, &'a [Said])> + use<'a> {
        let by_item = self.said.get(reader).into_iter().flatten();
        by_item.map(|(item, said)| (item.as_str(), said.as_slice()))
    }

    /// A reader's calls of one photo.
    pub(super) fn of_item(&self, reader: &Reader, item: &str) -> &[Said] {
        let said = self.said.get(reader).and_then(|of| of.get(item));
        said.map_or(&[], Vec::as_slice)
    }
}

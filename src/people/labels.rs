//! What people corrected of a photo, kept as a label of it: for the next version to be held against and to learn from.

use std::collections::HashMap;

use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};

use crate::people::opinion::Person;
use crate::reading::face::TipDirection;
use crate::reading::pattern::Pattern;
use crate::taper::records::Id;

/// One correction of one photo. Of several of a kind the latest stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Label {
    /// Random, since one that followed from the person could be traced back.
    pub id: Id,
    /// SHA-256 of the photo, lower-case hexadecimal.
    pub photo: String,
    /// What is right about it.
    #[serde(flatten)]
    pub what: Labelled,
    /// Who says so, where that is known; always known of a pattern.
    pub by: Option<Person>,
    /// When.
    pub at: DateTime,
    /// See [`crate::JawSet::changed`].
    pub changed: DateTime,
}

/// What is right about a photo.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "what", content = "value", rename_all = "kebab-case")]
pub enum Labelled {
    /// Where the face's corners are, in the order of [`crate::Quad`], full-size upright pixels: somebody gave them or
    /// dragged them there.
    Corners([[f64; 2]; 4]),
    /// Where the tip points, where the program by itself would not have taken it to be.
    Tip(TipDirection),
    /// What can be read in it, as a lead says who looked at it; unreadable where it should have been refused.
    Pattern(Pattern),
}

impl Labelled {
    /// Whether both are of a kind.
    pub(crate) fn is_like(&self, other: &Self) -> bool {
        std::mem::discriminant(self) == std::mem::discriminant(other)
    }
}

/// The labels that stand: of each photo the latest of a kind.
pub(crate) fn standing(labels: &[Label]) -> Vec<&Label> {
    let later = |a: &Label, b: &Label| (b.at, b.id) > (a.at, a.id);
    let replaced = |a: &&Label| {
        let mut others = labels.iter();
        others.any(|b| a.photo == b.photo && a.what.is_like(&b.what) && later(a, b))
    };
    labels.iter().filter(|a| !replaced(a)).collect()
}

/// What leads said can be read in single photos, by SHA-256.
pub(crate) fn patterns(labels: &[Label]) -> HashMap<String, Pattern> {
    let mut said: Vec<(&Label, Pattern)> = labels
        .iter()
        .filter_map(|l| match l.what {
            Labelled::Pattern(pattern) => Some((l, pattern)),
            _ => None,
        })
        .collect();
    // Collecting lets the later one stand; the id breaks ties.
    said.sort_by_key(|(l, _)| (l.at, l.id));
    said.into_iter()
        .map(|(l, p)| (l.photo.clone(), p))
        .collect()
}

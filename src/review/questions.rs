//! What the photos of a review leave open that words can settle: nothing need be taken again for it.

use std::collections::{HashMap, HashSet};

use super::lines::CheckLine;
use super::record::PhotoRecord;
use super::table::{Row, Table, in_a_cell};
use super::written::Written;
use crate::reading::face::TipDirection;
use crate::reading::refusal::Reason;
use crate::taper::advice::Action;

/// All that is open, and the table that the answers go into.
#[derive(Debug, Clone, Default)]
pub struct Questions {
    /// The method first, which is one for a whole check, then the tips, as in the advice; the jaw sets last,
    /// which stop no advice. In the order of the photos each.
    pub asked: Vec<Question>,
    /// What an earlier table says.
    pub written: Written,
}

/// One thing that is open about one photo.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// The photo's place among the review's photos.
    pub photo: usize,
    /// What is open.
    pub about: About,
    /// How a table names the photo.
    pub file: String,
    /// The line of the earlier table that speaks of it.
    pub line: Option<usize>,
}

/// What is open about a photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum About {
    /// How the check was made; whether this photo is one that shows the other method.
    Method {
        /// Else another photo of the same check does.
        shown_otherwise: bool,
    },
    /// Which end is the tip.
    Tip {
        /// Where it was said to point, which the picture contradicts.
        said: Option<TipDirection>,
    },
    /// Whose jaw it is.
    JawSet,
}

type Asks<'a> = &'a dyn Fn(&PhotoRecord) -> Option<About>;

impl Questions {
    /// Of the photos and checks of a result; `rows` are the lines of the table that speak of them.
    pub(crate) fn of(
        photos: &[PhotoRecord],
        checks: &[CheckLine],
        table: &Table,
        rows: &HashMap<String, Row>,
    ) -> Self {
        let answered = checks.iter().filter(|c| c.action != Action::Settle);
        let answered: HashSet<&str> = answered.map(|c| &*c.check).collect();
        let doubted = photos.iter().filter(|p| p.method_contradicted);
        let doubted: HashSet<&str> = doubted.map(|p| p.line.check.as_str()).collect();
        // A photo of a part is of no check, and then stands for itself.
        let method_open = |p: &PhotoRecord| {
            p.method_contradicted || (!p.line.check.is_empty() && doubted.contains(&*p.line.check))
        };
        let method = |p: &PhotoRecord| {
            method_open(p).then_some(About::Method {
                shown_otherwise: p.method_contradicted,
            })
        };
        let tip = |p: &PhotoRecord| {
            // Where the check is answered all the same, nothing hangs on it.
            let hangs_on_it = tip_in_doubt(p) && !answered.contains(&*p.line.check);
            let asked = hangs_on_it || (method_open(p) && p.tip.is_none() && is_judged(p));
            asked.then_some(About::Tip { said: p.tip })
        };
        // In a part it is not known which photos it would be said of together.
        let jaw_set = |p: &PhotoRecord| {
            let asked = p.told.jaw_set.is_none() && !p.line.check.is_empty();
            asked.then_some(About::JawSet)
        };
        let kinds: [Asks<'_>; 3] = [&method, &tip, &jaw_set];
        let mut asked = Vec::new();
        for kind in kinds {
            for (photo, record) in photos.iter().enumerate() {
                // What is no photo has its own list.
                let about = kind(record).filter(|_| record.line.error.is_none());
                asked.extend(about.map(|about| Question {
                    photo,
                    about,
                    file: in_a_cell(&record.line.file),
                    line: rows.get(&record.line.file).map(|row| row.at),
                }));
            }
        }
        Self {
            asked,
            written: table.written().clone(),
        }
    }

    /// How many photos leave anything open.
    pub fn photos(&self) -> usize {
        let photos: HashSet<usize> = self.asked.iter().map(|q| q.photo).collect();
        photos.len()
    }
}

fn tip_in_doubt(photo: &PhotoRecord) -> bool {
    photo.reading().is_some_and(|r| r.tip_in_doubt())
}

/// Whether words about it would change anything: unclear is what a photo is refused for where the tip is a toss-up.
fn is_judged(photo: &PhotoRecord) -> bool {
    photo.line.refusal.is_none_or(|r| r == Reason::Unclear)
}

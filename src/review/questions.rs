//! What the photos of a review leave open that words can settle: nothing need be taken again for it.

use std::collections::{HashMap, HashSet};

use super::lines::{CheckLine, PerhapsOneJaw};
use super::record::PhotoRecord;
use super::table::{Row, Table, in_a_cell};
use super::written::Written;
use crate::reading::face::TipDirection;
use crate::reading::refusal::Reason;
use crate::taper::advice::Action;

/// All that is open, and the table that the answers go into.
#[derive(Debug, Clone, Default)]
pub struct Questions {
    /// The method first, which is one for a whole check, then the tips, as in the advice; then which photos are of one jaw,
    /// and the jaw sets last, which stop no advice. In the order of the photos each.
    pub asked: Vec<Question>,
    /// What an earlier table says.
    pub written: Written,
}

/// One thing that is open about one photo, or about two.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// The photo.
    pub photo: Asked,
    /// What is open.
    pub about: About,
}

/// A photo that is asked about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// Its place among the review's photos.
    pub photo: usize,
    /// How a table names it.
    pub file: String,
    /// The line of the earlier table that speaks of it.
    pub line: Option<usize>,
    /// The number of its jaw, where it is told.
    pub jaw: Option<u8>,
}

/// What is open about a photo.
#[derive(Debug, Clone, PartialEq, Eq)]
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
    /// Whether it is of the same jaw as another one of its check.
    SameJaw {
        /// The later one.
        other: Asked,
        /// Between the two.
        seconds: i64,
        /// A number that no jaw of the check has, nor any after it.
        free: u8,
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
        let of = |photo: usize| {
            let record = &photos[photo];
            Asked {
                photo,
                file: in_a_cell(&record.line.file),
                line: rows.get(&record.line.file).map(|row| row.at),
                jaw: record.told.jaw,
            }
        };
        let ask = |kind: Asks<'_>| -> Vec<Question> {
            // What is no photo has its own list.
            let opened = (0..photos.len()).filter(|i| photos[*i].line.error.is_none());
            let question = |i| Some((kind(&photos[i])?, of(i)));
            let questions = opened.filter_map(question);
            questions
                .map(|(about, photo)| Question { photo, about })
                .collect()
        };
        let asked = [
            ask(&method),
            ask(&tip),
            same_jaw(photos, checks, of),
            ask(&jaw_set),
        ]
        .concat();
        Self {
            asked,
            written: table.written().clone(),
        }
    }

    /// How many photos leave anything open.
    pub fn photos(&self) -> usize {
        let of = |q: &Question| match &q.about {
            About::SameJaw { other, .. } => [q.photo.photo, other.photo],
            _ => [q.photo.photo; 2],
        };
        let photos: HashSet<usize> = self.asked.iter().flat_map(of).collect();
        photos.len()
    }
}

/// The suspected pairs on which something hangs, in the order of their first photos.
fn same_jaw(
    photos: &[PhotoRecord],
    checks: &[CheckLine],
    of: impl Fn(usize) -> Asked,
) -> Vec<Question> {
    let open = |check: &&CheckLine| check.perhaps_one_jaw.iter().any(|pair| pair.matters);
    let open: Vec<&CheckLine> = checks.iter().filter(open).collect();
    if open.is_empty() {
        return Vec::new();
    }
    let places = photos.iter().enumerate();
    let places: HashMap<&str, usize> = places.map(|(i, p)| (&*p.line.sha256, i)).collect();
    let mut questions: Vec<Question> = open
        .into_iter()
        .flat_map(|check| {
            let place = |at: usize| places.get(check.photos.get(at)?.as_str()).copied();
            let told = |at| photos[place(at)?].told.jaw;
            let most = (0..check.photos.len()).filter_map(told).max();
            let free = most.unwrap_or_default().saturating_add(1);
            let pairs = check.perhaps_one_jaw.iter().filter(|pair| pair.matters);
            let question = |pair: &PerhapsOneJaw| {
                let [photo, other] = pair.photos.map(place);
                Some(Question {
                    photo: of(photo?),
                    about: About::SameJaw {
                        other: of(other?),
                        seconds: pair.seconds,
                        free,
                    },
                })
            };
            pairs.filter_map(question).collect::<Vec<_>>()
        })
        .collect();
    questions.sort_by_key(|q| q.photo.photo);
    questions
}

fn tip_in_doubt(photo: &PhotoRecord) -> bool {
    photo.reading().is_some_and(|r| r.tip_in_doubt())
}

/// Whether words about it would change anything: unclear is what a photo is refused for where the tip is a toss-up.
fn is_judged(photo: &PhotoRecord) -> bool {
    photo.line.refusal.is_none_or(|r| r == Reason::Unclear)
}

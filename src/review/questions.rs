//! What the photos of a review leave open that words can settle: nothing need be taken again for it.

use std::collections::{HashMap, HashSet};
use std::io;

use super::lines::CheckLine;
use super::record::PhotoRecord;
use super::table::{Row, Table};
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

/// What is open of all photos, taken in one after the other: a byte of each, and some more of those that may be of one jaw.
#[derive(Debug, Default)]
pub(crate) struct Open {
    photos: Vec<u8>,
    same_jaw: Vec<SameJaw>,
}

/// Photos that may be of one jaw; see [`About::SameJaw`].
#[derive(Debug)]
struct SameJaw {
    photos: [usize; 2],
    seconds: i64,
    free: u8,
}

/// What is no photo has its own list.
const OPENED: u8 = 1;
/// Its method is open: it shows another one, or a photo of its check does.
const METHOD: u8 = 2;
/// It is the one that does.
const SHOWS_IT: u8 = 4;
/// Its tip is in doubt.
const TIP: u8 = 8;
/// With its method the tip would have to be said, too.
const TIP_WITH_METHOD: u8 = 16;
/// Its check is answered all the same, so that nothing hangs on its tip.
const ANSWERED: u8 = 32;
/// Nobody names its jaw set.
const NO_SET: u8 = 64;
/// In a part it is not known which photos it would be said of together.
const IN_A_CHECK: u8 = 128;

impl Open {
    /// Takes in the next photo, by file.
    pub(crate) fn photo(&mut self, photo: &PhotoRecord) {
        let flag = |is: bool, flag: u8| if is { flag } else { 0 };
        self.photos.push(
            flag(photo.line.error.is_none(), OPENED)
                // A photo of a part is of no check, and then stands for itself.
                | flag(photo.method_contradicted, METHOD | SHOWS_IT)
                | flag(tip_in_doubt(photo), TIP)
                | flag(photo.tip.is_none() && is_judged(photo), TIP_WITH_METHOD)
                | flag(photo.told.jaw_set.is_none(), NO_SET),
        );
    }

    /// Takes in a check of photos that were taken in, with their places.
    pub(crate) fn check(&mut self, check: &CheckLine, photos: &[(usize, &PhotoRecord)]) {
        let mut all = IN_A_CHECK;
        if check.action != Action::Settle {
            all |= ANSWERED;
        }
        if photos.iter().any(|(_, p)| p.method_contradicted) {
            all |= METHOD;
        }
        for (at, _) in photos {
            self.photos[*at] |= all;
        }
        let most = photos.iter().filter_map(|(_, p)| p.told.jaw).max();
        let free = most.unwrap_or_default().saturating_add(1);
        let pairs = check.perhaps_one_jaw.iter().filter(|pair| pair.matters);
        self.same_jaw.extend(pairs.map(|pair| SameJaw {
            photos: pair.photos.map(|i| photos[i].0),
            seconds: pair.seconds,
            free,
        }));
    }

    /// All that is open; `rows` are the lines of the table that speak of the photos, which `photo` gives by their places.
    ///
    /// # Errors
    /// Where a photo's line cannot be read back.
    pub(crate) fn questions(
        mut self,
        table: &Table,
        rows: &HashMap<String, Row>,
        photo: impl Fn(usize) -> io::Result<PhotoRecord>,
    ) -> io::Result<Questions> {
        let asked = |photo: usize, record: &PhotoRecord| Asked {
            photo,
            line: rows.get(&record.line.file).map(|row| row.at),
            jaw: record.told.jaw,
        };
        let flags = &self.photos;
        let ask = |open: fn(u8) -> bool, about: fn(u8, &PhotoRecord) -> About| {
            let opened = (0..flags.len()).filter(|at| flags[*at] & OPENED != 0);
            let question = |at: usize| {
                let record = photo(at)?;
                Ok(Question {
                    photo: asked(at, &record),
                    about: about(flags[at], &record),
                })
            };
            let questions = opened.filter(|at| open(flags[*at])).map(question);
            questions.collect::<io::Result<Vec<Question>>>()
        };
        let mut all = ask(
            |flags| flags & METHOD != 0,
            |flags, _| About::Method {
                shown_otherwise: flags & SHOWS_IT != 0,
            },
        )?;
        all.extend(ask(
            |flags| {
                let with_method = METHOD | TIP_WITH_METHOD;
                flags & (TIP | ANSWERED) == TIP || flags & with_method == with_method
            },
            |_, photo| About::Tip { said: photo.tip },
        )?);
        self.same_jaw.sort_by_key(|same| same.photos[0]);
        for same in &self.same_jaw {
            let [one, other] = same.photos;
            all.push(Question {
                photo: asked(one, &photo(one)?),
                about: About::SameJaw {
                    other: asked(other, &photo(other)?),
                    seconds: same.seconds,
                    free: same.free,
                },
            });
        }
        all.extend(ask(
            |flags| flags & (NO_SET | IN_A_CHECK) == NO_SET | IN_A_CHECK,
            |_, _| About::JawSet,
        )?);
        Ok(Questions {
            asked: all,
            written: table.written().clone(),
        })
    }
}

impl Questions {
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

fn tip_in_doubt(photo: &PhotoRecord) -> bool {
    photo.reading().is_some_and(|r| r.tip_in_doubt())
}

/// Whether words about it would change anything: where the tip is a toss-up, a photo is refused as unclear.
fn is_judged(photo: &PhotoRecord) -> bool {
    let refusal = photo.line.refusal;
    refusal.is_none_or(|r| r == Reason::Unclear && tip_in_doubt(photo))
}

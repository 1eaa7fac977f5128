//! Filed photos that were read again, beside what is filed of them and what proved true.
//!
//! Of two readings of one photo the patterns are compared, and whether they may be acted on; of two sets of readings of
//! one check the amount. The amounts are both estimated from the check alone with the same rules, so that neither the
//! rules nor what the shop has learnt since can make a difference that the reading does not make.

use std::cmp::Reverse;
use std::collections::HashMap;

use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};

use crate::people::opinion::{Basis, Truth};
use crate::reading::pattern::{Direction, Pattern, direction, is_taper};
use crate::reading::refusal::Reason;
use crate::taper::estimate::{Observation, estimate};
use crate::taper::records::{FiledCheck, FiledReading, Id};
use crate::taper::rules::EstimateRules;
use crate::text::spreadsheet::cells::{Cells, cell, maybe, table, text, word};
use crate::units::PerSide;
use crate::units::cells::taper;

/// What was read of a check again; one line of a result.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(crate) struct CheckReread {
    pub(crate) check: Id,
    /// Of the check that was read: one that was written anew since is read once more.
    pub(crate) changed: DateTime,
    /// The program and its weights, as [`FiledCheck::program`] has them.
    pub(crate) program: String,
    /// Without details.
    pub(crate) readings: Vec<FiledReading>,
    pub(crate) unopened: Vec<Unopened>,
}

/// A filed photo that could not be read again.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(crate) struct Unopened {
    pub(crate) sha256: String,
    pub(crate) error: String,
}

/// A filed check, and what is known of it.
pub(crate) struct Known<'a> {
    pub(crate) jaw_set: &'a str,
    /// That was cut.
    pub(crate) taper: Option<PerSide>,
    pub(crate) check: &'a FiledCheck,
    /// What proved true, if anything did.
    pub(crate) truth: Option<Truth>,
    /// What leads said of single photos, by SHA-256.
    pub(crate) labelled: &'a HashMap<String, Pattern>,
}

impl Known<'_> {
    /// What was right about one of its jaws: what a lead said of the photo stands against what a lead said of the check.
    fn right(&self, sha256: &str) -> Option<Truth> {
        let said = self.labelled.get(sha256).map(|pattern| Truth {
            pattern: *pattern,
            change: None,
            by: Basis::Ruling,
        });
        match self.truth {
            Some(truth) if truth.by != Basis::Ruling => Some(truth),
            ruled => said.or(ruled),
        }
    }
}

/// In what a reading turned out otherwise, the gravest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Otherwise {
    /// It asks for the opposite change.
    Direction,
    /// Another pattern, neither asking for the opposite of the other.
    Pattern,
    /// Refused, or too little certain to be acted on, where it was not; or the reverse.
    Refusal,
    /// The change of the check.
    Amount,
}

/// One line of the table: a jaw, or of an amount a check.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Turned {
    pub(crate) otherwise: Otherwise,
    /// The filed reading had proven right, and the new one goes another way: the opposite one, a cut where none was
    /// needed, or none where one was.
    pub(crate) was_right: bool,
    pub(crate) jaw_set: String,
    pub(crate) check: Id,
    pub(crate) made: DateTime,
    /// The photo's name, and its SHA-256; `None` of an amount.
    pub(crate) photo: Option<[String; 2]>,
    pub(crate) filed: Side,
    pub(crate) now: Side,
    /// `None` where nothing proved what was right.
    pub(crate) right: Option<Truth>,
}

/// One of the two readings.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct Side {
    pub(crate) pattern: Pattern,
    pub(crate) confidence: f64,
    pub(crate) refusal: Option<Reason>,
    /// Of an amount: what the check by itself asks for.
    #[serde(rename = "change_per_side")]
    pub(crate) change: Option<PerSide>,
}

/// What all checks come to.
#[derive(Debug, Default, Serialize)]
pub(crate) struct Reread {
    /// Program and weights that read now.
    pub(crate) program: String,
    /// Those that the filed readings were made by, with the number of checks of each.
    pub(crate) filed_by: Vec<(String, usize)>,
    pub(crate) checks: usize,
    pub(crate) photos: usize,
    /// Jaws of which something proved what was right; how many of them were filed so, and how many are read so now.
    pub(crate) proved: [usize; 3],
    /// The gravest first; of those, the ones that had proven right.
    pub(crate) turned: Vec<Turned>,
    /// Names of photos, and why they could not be read.
    pub(crate) unopened: Vec<(String, String)>,
}

impl Reread {
    /// Of what is filed (`known`) and what was read again, by check.
    pub(crate) fn of(
        program: &str,
        known: &[Known<'_>],
        again: &HashMap<Id, CheckReread>,
        rules: &EstimateRules,
    ) -> Self {
        let mut all = Self {
            program: program.to_owned(),
            ..Self::default()
        };
        for known in known {
            if let Some(again) = again.get(&known.check.id) {
                all.add(known, again, rules);
            }
        }
        all.filed_by.sort();
        all.turned.sort_by_key(|t| {
            let place = (t.jaw_set.clone(), t.made, t.check, t.photo.clone());
            (t.otherwise, Reverse(t.was_right), place)
        });
        all
    }

    fn add(&mut self, known: &Known<'_>, again: &CheckReread, rules: &EstimateRules) {
        let check = known.check;
        self.checks += 1;
        self.photos += check.readings.len() - again.unopened.len();
        match self
            .filed_by
            .iter_mut()
            .find(|(by, _)| *by == check.program)
        {
            Some((_, checks)) => *checks += 1,
            None => self.filed_by.push((check.program.clone(), 1)),
        }
        let name = |sha256: &str| check.readings.iter().find(|r| r.sha256 == sha256);
        self.unopened.extend(again.unopened.iter().map(|gone| {
            let file = name(&gone.sha256).map_or(gone.sha256.clone(), |r| r.file.clone());
            (format!("{}, {file}", known.jaw_set), gone.error.clone())
        }));
        for filed in check.jaws() {
            let now = again.readings.iter().find(|r| r.sha256 == filed.sha256);
            if let Some(now) = now {
                self.proved(known, [filed, now]);
                self.turned.extend(jaw(known, filed, now, rules));
            }
        }
        self.turned.extend(amount(known, again, rules));
    }

    fn proved(&mut self, known: &Known<'_>, sides: [&FiledReading; 2]) {
        if let Some(truth) = known.right(&sides[0].sha256) {
            let right = sides.map(|r| usize::from(r.pattern == truth.pattern));
            let more = [1, right[0], right[1]];
            self.proved = std::array::from_fn(|i| self.proved[i] + more[i]);
        }
    }

    /// Without any change: what a prove-out holds back is in no output.
    pub(crate) fn hold_changes(&mut self) {
        self.turned.retain(|t| t.otherwise != Otherwise::Amount);
        for truth in self.turned.iter_mut().filter_map(|t| t.right.as_mut()) {
            truth.change = None;
        }
    }

    /// How many lines there are of a kind.
    pub(crate) fn count(&self, otherwise: Otherwise) -> usize {
        let of = self.turned.iter().filter(|t| t.otherwise == otherwise);
        of.count()
    }

    /// How many readings had proven right and go another way now.
    pub(crate) fn lost(&self) -> usize {
        self.turned.iter().filter(|t| t.was_right).count()
    }

    /// The table for a spreadsheet.
    pub(crate) fn to_csv(&self) -> Vec<u8> {
        table(&self.turned, line, Some(&example()))
    }
}

fn jaw(
    known: &Known<'_>,
    filed: &FiledReading,
    now: &FiledReading,
    rules: &EstimateRules,
) -> Option<Turned> {
    let [before, after] = [filed, now].map(|r| direction(r.pattern));
    let [acted, acts] = [filed, now].map(|r| is_acted_on(r, rules));
    let judged = filed.pattern != Pattern::Unreadable && now.pattern != Pattern::Unreadable;
    let otherwise = if before.opposes(after) {
        Otherwise::Direction
    } else if judged && filed.pattern != now.pattern {
        Otherwise::Pattern
    } else if acted != acts {
        Otherwise::Refusal
    } else {
        return None;
    };
    // Of patterns that ask for no change the direction alone proves nothing.
    let right = |t: Truth| {
        before == direction(t.pattern) && (before != Direction::None || filed.pattern == t.pattern)
    };
    let proved = known.right(&filed.sha256);
    let was_right = judged && after != before && proved.is_some_and(right);
    Some(Turned {
        otherwise,
        was_right,
        photo: Some([filed.file.clone(), filed.sha256.clone()]),
        filed: side(filed),
        now: side(now),
        right: proved,
        ..turned(known)
    })
}

fn turned(known: &Known<'_>) -> Turned {
    Turned {
        otherwise: Otherwise::Amount,
        was_right: false,
        jaw_set: known.jaw_set.to_owned(),
        check: known.check.id,
        made: known.check.made,
        photo: None,
        filed: NOTHING,
        now: NOTHING,
        right: known.truth,
    }
}

const NOTHING: Side = Side {
    pattern: Pattern::Unreadable,
    confidence: 0.0,
    refusal: None,
    change: None,
};

fn side(reading: &FiledReading) -> Side {
    Side {
        pattern: reading.pattern,
        confidence: reading.confidence,
        refusal: reading.refusal,
        change: None,
    }
}

/// Whether advice would count it as certain.
fn is_acted_on(reading: &FiledReading, rules: &EstimateRules) -> bool {
    if is_taper(reading.pattern) {
        reading.confidence >= rules.least_confidence && reading.seen.is_some()
    } else {
        reading.pattern != Pattern::Unreadable && reading.confidence >= rules.least_confidence_other
    }
}

/// Where both sides ask for a change the same way, by another step of what a shop can cut.
fn amount(known: &Known<'_>, again: &CheckReread, rules: &EstimateRules) -> Option<Turned> {
    let before = alone(known.check.jaws(), known.taper, rules)?;
    let jaws = again.readings.iter().filter(|r| !r.is_further_view());
    let after = alone(jaws, known.taper, rules)?;
    let same_way = (before.1 < PerSide::ZERO) == (after.1 < PerSide::ZERO);
    (same_way && before.1 != after.1).then(|| Turned {
        filed: of_check(before),
        now: of_check(after),
        ..turned(known)
    })
}

fn of_check((pattern, change): (Pattern, PerSide)) -> Side {
    Side {
        pattern,
        change: Some(change),
        ..NOTHING
    }
}

/// What the readings ask for by themselves, as a shop can cut it; `None` where they do not all ask for it the same way.
fn alone<'a>(
    jaws: impl Iterator<Item = &'a FiledReading>,
    taper: Option<PerSide>,
    rules: &EstimateRules,
) -> Option<(Pattern, PerSide)> {
    let acted_on: Vec<&FiledReading> = jaws.filter(|r| is_acted_on(r, rules)).collect();
    let pattern = acted_on.first()?.pattern;
    let alike = acted_on.iter().all(|r| r.pattern == pattern);
    if !alike || direction(pattern) == Direction::None {
        return None;
    }
    let observed = |r: &&FiledReading| r.seen?.observation(taper);
    let observations: Vec<Observation> = acted_on.iter().filter_map(observed).collect();
    let needed = estimate(&observations, &rules.prior)?.needed_quantile(0.5)?;
    let change = needed - taper.unwrap_or(PerSide::ZERO);
    Some((pattern, change.rounded_to(rules.increment)))
}

fn line(turned: &Turned) -> Cells {
    let right = turned.right;
    let [file, sha256] = match &turned.photo {
        Some([file, sha256]) => [Some(file.as_str()), Some(sha256.as_str())],
        None => [None, None],
    };
    let mut line = vec![
        cell("otherwise", word(&turned.otherwise)),
        cell("was_right", turned.was_right),
        text("jaw_set", Some(&turned.jaw_set)),
        cell("check", turned.check),
        cell("made", turned.made),
        text("file", file),
        text("sha256", sha256),
    ];
    for (name, side) in [("filed", &turned.filed), ("now", &turned.now)] {
        line.push(cell(&format!("{name}_pattern"), word(&side.pattern)));
        line.push(cell(&format!("{name}_confidence"), side.confidence));
        line.push(maybe(
            &format!("{name}_refusal"),
            side.refusal.map(|v| word(&v)),
        ));
        line.extend(taper(&format!("{name}_change"), side.change));
    }
    line.push(maybe("right_pattern", right.map(|t| word(&t.pattern))));
    line.extend(taper(
        "right_change",
        right.and_then(|t| t.change).map(|c| c.median),
    ));
    line.push(maybe("right_by", right.map(|t| word(&t.by))));
    line
}

/// So that a table without lines has its header.
fn example() -> Turned {
    Turned {
        otherwise: Otherwise::Amount,
        was_right: false,
        jaw_set: String::new(),
        check: Id::derived(&[]),
        made: DateTime::ZERO,
        photo: None,
        filed: NOTHING,
        now: NOTHING,
        right: None,
    }
}

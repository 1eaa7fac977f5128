//! Photos that may be of one jaw, though nobody said so: a second one from another side, taken a few seconds later.
//!
//! Whether two are of one jaw a review asks, and never decides: jaws of a check are cut and marked alike. Measured on 20
//! rendered pairs of one jaw, seen from two sides (some with glare on one), and on 105 pairs of different jaws of one check, of
//! which 33 are other renders; no limit was tuned on them:
//!
//! | evidence | one jaw | different jaws |
//! | --- | --- | --- |
//! | profiles at most 0.02 apart, mean over the stations | 18 of 20 | 27 of 105; of two that are full-length, 10 of 12 |
//! | profiles at most 0.1 apart | 18 of 20 | 76 of 105 |
//! | grain of the film, cell by cell, correlated by more than 0.2 | 16 of 20 | 5 of 105 |
//! | grain correlated by more than 0.25 | 15 of 20 | 0 of 105 |
//!
//! So profiles tell nothing that would be worth a jaw. The grain (density less its mean over 9 × 9 cells) tells most, but
//! none of 105 still allows one in 35 (95 %), the films are of one renderer, and to compare it later a map would have to be
//! kept of every photo; a wrong merge hides a bad jaw. Likeness is no reason not to ask either: of the 20, one photo misread
//! for glare was 0.19 apart from the other. What is left is how many photos the check has, and when they were taken.
//!
//! What is *suspected* so only makes a question, and until somebody answers it a change or a *leave* is advised only where
//! the check asks for it with those photos as two jaws and as one; its amount is that of one. In everything else nothing
//! changes: what stops a check stops it as if each photo were a jaw.

use std::collections::HashSet;

use jiff::SignedDuration;
use jiff::civil::DateTime;

use super::jaws::{Jaw, surest};
use crate::reading::outcome::Reading;
use crate::reading::refusal::Reason;
use crate::review::lines::PerhapsOneJaw;
use crate::review::record::PhotoRecord;
use crate::taper::advice::{Action, Advice};

/// A retake is a matter of seconds, the next jaw often too (assumption; one minute, so that none is missed).
const LONGEST: SignedDuration = SignedDuration::from_mins(1);
/// More ways to take a check are not gone through: then it hangs on the answers (choice).
const MOST_WAYS: usize = 64;

/// Neighbours in time that may be of one jaw.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Suspected {
    /// Places of the two photos in the check.
    pub(super) photos: [usize; 2],
    pub(super) seconds: i64,
    /// Their jaws, as indices, the earlier first.
    jaws: [usize; 2],
}

impl Suspected {
    pub(super) fn line(&self, matters: bool) -> PerhapsOneJaw {
        PerhapsOneJaw {
            photos: self.photos,
            seconds: self.seconds,
            matters,
        }
    }
}

/// Those of a check whose jaw set has so many jaws, and how many photos it has beyond one of each jaw. None where there are
/// not more, where the setter filed the check jaw by jaw, or where nothing tells when the photos were taken.
pub(super) fn suspected(
    jaws: &[Jaw],
    photos: &[&PhotoRecord],
    of_the_set: usize,
) -> (Vec<Suspected>, usize) {
    // Places of photos in the order taken, each with its jaw.
    let of = |(jaw, of): (usize, &'_ Jaw)| {
        of.photos
            .iter()
            .map(move |at| (*at, jaw))
            .collect::<Vec<_>>()
    };
    let mut shown: Vec<(usize, usize)> = jaws.iter().enumerate().flat_map(of).collect();
    shown.retain(|(at, _)| shows_a_jaw(photos[*at]));
    shown.sort_unstable();
    let different: HashSet<usize> = shown.iter().map(|(_, jaw)| *jaw).collect();
    let surplus = different.len().saturating_sub(of_the_set);
    if surplus == 0 || photos.iter().any(|p| p.told.filed) {
        return (Vec::new(), 0);
    }
    let pairs = shown.windows(2).filter_map(|pair| {
        let [(a, one), (b, other)] = [pair[0], pair[1]];
        let numbered = jaws[one].number.is_some() && jaws[other].number.is_some();
        let seconds = apart(photos[a], photos[b])?;
        (one != other && !numbered).then_some(Suspected {
            photos: [a, b],
            seconds,
            jaws: [one.min(other), one.max(other)],
        })
    });
    (pairs.collect(), surplus)
}

fn shows_a_jaw(photo: &PhotoRecord) -> bool {
    photo.line.refusal != Some(Reason::NoFace)
}

/// In seconds; `None` where they are too far apart, or it is not known.
fn apart(earlier: &PhotoRecord, later: &PhotoRecord) -> Option<i64> {
    let time = |p: &PhotoRecord| p.line.taken.as_ref()?.parse::<DateTime>().ok();
    let apart = time(later)?.duration_since(time(earlier)?);
    (apart <= LONGEST).then_some(apart.as_secs())
}

/// A reading with the place of its photo in the check, of several the first.
type Placed = (usize, Reading);

/// A check with its advice, as it may be.
pub(super) struct Taken {
    pub(super) readings: Vec<Placed>,
    pub(super) advice: Advice,
    /// Whether it comes to something else with other answers.
    pub(super) matters: bool,
}

/// The advice on these jaws that holds whether the suspected photos are of one jaw or not.
pub(super) fn whichever(
    readings: Vec<Placed>,
    suspected: &[Suspected],
    surplus: usize,
    advise: impl Fn(&[Placed]) -> Advice,
) -> Taken {
    let taken = |readings: Vec<Placed>| (advise(&readings), readings);
    let (advice, readings) = taken(readings);
    // What changes nothing stands as it is; so much for the question, which may still help.
    if advice.taper_change.is_none() || suspected.is_empty() {
        return Taken {
            matters: !suspected.is_empty(),
            readings,
            advice,
        };
    }
    let Some(ways) = ways(readings.len(), suspected, surplus) else {
        return held_back(readings, advice, suspected);
    };
    let others: Vec<(Advice, Vec<Placed>)> = ways
        .iter()
        .map(|jaws| taken(as_one(&readings, jaws)))
        .collect();
    let alike = |other: &Advice| other.action == advice.action && other.pattern == advice.pattern;
    if !others.iter().all(|(other, _)| alike(other)) {
        return held_back(readings, advice, suspected);
    }
    let change = |a: &Advice| a.taper_change.map(|c| c.change);
    let matters = others
        .iter()
        .any(|(other, _)| change(other) != change(&advice));
    // No photo counts twice in those with the fewest jaws; of these the least change, of which the widest interval.
    let careful = others.into_iter().min_by_key(|(advice, readings)| {
        let by = advice
            .taper_change
            .map(|c| (c.change.abs(), c.low - c.high));
        (readings.len(), by)
    });
    let (advice, readings) = careful.unwrap_or((advice, readings));
    Taken {
        readings,
        advice,
        matters,
    }
}

const HANGS_ON_IT: &str = "They were taken shortly after one another, and the check has more photos than jaws. \
                           Taken as one jaw they come to something else than taken as two, so nothing is advised before that is said.";

/// Nothing to change before it is said.
fn held_back(readings: Vec<Placed>, advice: Advice, suspected: &[Suspected]) -> Taken {
    Taken {
        readings,
        advice: Advice {
            action: Action::Settle,
            taper_change: None,
            next_taper: None,
            program: None,
            what_to_do: format!(
                "Say whether {} are of one jaw, then review again.",
                pairs(suspected)
            ),
            why: HANGS_ON_IT.to_owned(),
            posterior: None,
            ..advice
        },
        matters: true,
    }
}

/// What is said of photos that count once until somebody says whether they are of one jaw.
pub(super) fn note(suspected: &[Suspected]) -> String {
    format!(
        "{} may be of one jaw: until that is said, jaws and amount are counted as if they were",
        pairs(suspected)
    )
}

/// `photos 1 and 2, or 2 and 3`: counted from one, as the pages do.
fn pairs(suspected: &[Suspected]) -> String {
    let pair = |s: &Suspected| format!("{} and {}", s.photos[0] + 1, s.photos[1] + 1);
    let all: Vec<String> = suspected.iter().map(pair).collect();
    format!("photos {}", all.join(", or "))
}

/// The readings with each group of jaws as one.
fn as_one(readings: &[Placed], jaws: &[Vec<usize>]) -> Vec<Placed> {
    let one = |jaw: &Vec<usize>| {
        let at = readings[*jaw.first()?].0;
        let of_it = jaw.iter().map(|i| readings[*i].1.clone());
        Some((at, surest(of_it)?))
    };
    jaws.iter().filter_map(one).collect()
}

/// Which of so many jaws are one: each choice of one of the suspected pairs or more, up to `surplus`. `None` where there
/// are too many.
fn ways(jaws: usize, suspected: &[Suspected], surplus: usize) -> Option<Vec<Vec<Vec<usize>>>> {
    let mut chosen: Vec<Vec<[usize; 2]>> = vec![Vec::new()];
    for pair in suspected {
        let more: Vec<Vec<[usize; 2]>> = chosen
            .iter()
            .filter(|of| of.len() < surplus)
            .map(|of| of.iter().copied().chain([pair.jaws]).collect())
            .collect();
        chosen.extend(more);
        if chosen.len() > MOST_WAYS {
            return None;
        }
    }
    Some(
        chosen[1..]
            .iter()
            .map(|pairs| merged(jaws, pairs))
            .collect(),
    )
}

fn merged(jaws: usize, pairs: &[[usize; 2]]) -> Vec<Vec<usize>> {
    // The first of those that each is one with.
    let mut first_of: Vec<usize> = (0..jaws).collect();
    for pair in pairs {
        let [one, other] = pair.map(|jaw| first_of[jaw]);
        let (first, last) = (one.min(other), one.max(other));
        for jaw in first_of.iter_mut().filter(|jaw| **jaw == last) {
            *jaw = first;
        }
    }
    let of = |first: usize| (0..jaws).filter(|jaw| first_of[*jaw] == first).collect();
    let all: Vec<Vec<usize>> = (0..jaws).map(of).collect();
    all.into_iter().filter(|jaw| !jaw.is_empty()).collect()
}

#[cfg(test)]
mod tests;

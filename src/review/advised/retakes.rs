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

use std::collections::{HashMap, HashSet};

use jiff::SignedDuration;
use jiff::civil::DateTime;

use super::jaws::{Jaw, jaws, surest};
use crate::reading::outcome::Reading;
use crate::reading::refusal::Reason;
use crate::review::gather::Gathered;
use crate::review::lines::PerhapsOneJaw;
use crate::review::record::PhotoRecord;
use crate::taper::advice::{Action, Advice};

/// A retake is a matter of seconds, the next jaw often too (assumption; one minute, so that none is missed).
const LONGEST: SignedDuration = SignedDuration::from_mins(1);
/// Jaws of a chuck where the archive or the table tells of no more (common practice).
const USUAL_JAWS: usize = 3;
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

/// How many jaws each set has, as far as that is told: the most of any of its checks, those that count in a filed one or
/// those with a number.
pub(super) fn jaws_of_sets<'a>(
    checks: &[Gathered],
    records: &'a [PhotoRecord],
) -> HashMap<Option<&'a str>, usize> {
    let mut sets: HashMap<Option<&str>, usize> = HashMap::new();
    for check in checks {
        let photos: Vec<&PhotoRecord> = check.photos.iter().map(|i| &records[*i]).collect();
        let told = |jaw: &&Jaw| jaw.number.is_some() || photos[jaw.photos[0]].told.filed;
        let told = jaws(&photos).iter().filter(told).count();
        let set = records[check.photos[0]].told.jaw_set.as_deref();
        let most = sets.entry(set).or_insert(USUAL_JAWS);
        *most = told.max(*most);
    }
    // Of checks of no known set each may be of another.
    sets.insert(None, USUAL_JAWS);
    sets
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::method::Method;
    use crate::reading::pattern::Pattern;
    use crate::reading::profile::STATIONS;
    use crate::review::advised::{Together, check_lines};
    use crate::review::lines::CheckLine;
    use crate::taper::rules::Rules;
    use crate::units::PerSide;

    /// Taken so many seconds after the hour, clean from the tip to that share of the length.
    fn photo(second: i64, clean: f64) -> PhotoRecord {
        let sha256 = format!("{second:0>64}");
        let mut record = PhotoRecord::broken(sha256, String::new(), Method::Seep);
        let line = &mut record.line;
        line.file = format!("{second:0>6}");
        line.error = None;
        line.taken = Some(format!(
            "2026-03-04T10:{:02}:{:02}",
            second / 60,
            second % 60
        ));
        line.confidence = 0.95;
        line.pattern = if clean < 1.0 {
            Pattern::TipOnly
        } else {
            Pattern::FullLength
        };
        let station = |i: usize| {
            if (i as f64 + 0.5) < clean * STATIONS as f64 {
                0.97
            } else {
                0.03
            }
        };
        line.profile = (0..STATIONS).map(|i| Some(station(i))).collect();
        record.along_sd = vec![0.02; STATIONS];
        record
    }

    fn refused(second: i64, reason: Reason) -> PhotoRecord {
        let mut record = photo(second, 1.0);
        record.line.pattern = Pattern::Unreadable;
        record.line.confidence = 0.0;
        record.line.refusal = Some(reason);
        record.line.profile = Vec::new();
        record.along_sd = Vec::new();
        record
    }

    fn line(records: &[PhotoRecord]) -> CheckLine {
        let check = Gathered {
            check: String::new(),
            photos: (0..records.len()).collect(),
        };
        let lines = check_lines(
            &[check],
            records,
            &Together::new(),
            Rules::built_in(),
            false,
        );
        lines.into_iter().next().unwrap()
    }

    fn said(records: &[PhotoRecord], jaws: &[u8]) -> CheckLine {
        let mut records = records.to_vec();
        for (record, jaw) in records.iter_mut().zip(jaws) {
            record.told.jaw = Some(*jaw);
        }
        line(&records)
    }

    fn pairs_of(line: &CheckLine) -> Vec<[usize; 2]> {
        line.perhaps_one_jaw.iter().map(|p| p.photos).collect()
    }

    fn width(line: &CheckLine) -> PerSide {
        line.high.unwrap() - line.low.unwrap()
    }

    /// Two views of a jaw that is open at the base, and two jaws of which one grips along its whole length.
    fn outvoted() -> [PhotoRecord; 4] {
        [
            photo(0, 0.9),
            photo(8, 0.9),
            photo(200, 1.0),
            refused(300, Reason::Glare),
        ]
    }

    #[test]
    fn two_views_of_a_jaw_do_not_outvote_another_jaw() {
        let photos = outvoted();
        let open = line(&photos);
        assert_eq!((open.action, open.change), (Action::Settle, None));
        assert!(
            open.what_to_do.contains("photos 1 and 2"),
            "{}",
            open.what_to_do
        );
        assert_eq!(pairs_of(&open), [[0, 1]]);
        assert!(open.perhaps_one_jaw[0].matters);
        // What each answer comes to.
        assert_eq!(said(&photos, &[1, 1, 2, 3]).action, Action::Leave);
        assert_eq!(said(&photos, &[1, 2, 3, 4]).action, Action::Recut);
    }

    #[test]
    fn two_views_of_a_jaw_do_not_make_a_leave() {
        let photos = [
            photo(0, 1.0),
            photo(8, 1.0),
            photo(200, 0.9),
            photo(300, 0.9),
        ];
        assert_eq!(line(&photos).action, Action::Settle);
        assert_eq!(said(&photos, &[1, 1, 2, 3]).action, Action::Recut);
        assert_eq!(said(&photos, &[1, 2, 3, 4]).action, Action::Leave);
    }

    #[test]
    fn two_views_of_a_jaw_are_not_enough_where_two_jaws_are_asked_for() {
        let photos = [
            photo(0, 0.6),
            photo(8, 0.6),
            refused(200, Reason::Glare),
            refused(300, Reason::Glare),
        ];
        assert_eq!(line(&photos).action, Action::Settle);
        assert_eq!(said(&photos, &[1, 1, 2, 3]).action, Action::Retake);
        assert_eq!(said(&photos, &[1, 2, 3, 4]).action, Action::Recut);
    }

    #[test]
    fn the_amount_of_jaws_that_agree_is_no_surer_for_a_view_more() {
        let photos = [photo(0, 0.6), photo(8, 0.6), photo(30, 0.6), photo(55, 0.6)];
        let open = line(&photos);
        assert_eq!(open.action, Action::Recut);
        assert_eq!(pairs_of(&open), [[0, 1], [1, 2], [2, 3]]);
        let [three, four] = [&photos[..3], &photos[..]].map(|of| said(of, &[1, 2, 3, 4]));
        assert_eq!((open.change, width(&open)), (three.change, width(&three)));
        assert!(width(&open) > width(&four));
        assert!(
            open.look_at_first
                .iter()
                .any(|l| l.contains("photos 1 and 2, or 2 and 3, or 3 and 4"))
        );
        // Nothing hangs on it then.
        assert!(!open.perhaps_one_jaw.iter().any(|p| p.matters) || open.change != four.change);
    }

    #[test]
    fn a_refused_photo_before_a_good_one_stops_nothing() {
        let jaws = [photo(8, 0.6), photo(30, 0.6), photo(55, 0.6)];
        let mut photos = vec![refused(0, Reason::Blurred)];
        photos.extend(jaws.clone());
        let (open, alone) = (line(&photos), line(&jaws));
        assert_eq!((open.action, open.change), (alone.action, alone.change));
        assert!(pairs_of(&open).contains(&[0, 1]));
    }

    #[test]
    fn what_stops_a_check_stops_it_all_the_same() {
        let mut photos = [photo(0, 0.6), photo(8, 0.6), photo(30, 0.6), photo(55, 0.6)];
        photos[1].line.pattern = Pattern::OneSide;
        let open = line(&photos);
        assert_eq!((open.action, open.odd_jaw), (Action::FixFirst, Some(1)));
        assert!(open.perhaps_one_jaw.iter().all(|p| p.matters));
    }

    #[test]
    fn a_check_with_no_more_photos_than_jaws_is_left_as_it_is() {
        let three = [photo(0, 0.6), photo(8, 0.6), photo(20, 0.6)];
        assert!(pairs_of(&line(&three)).is_empty());
        // A picture of no jaw is none.
        let mut four = three.to_vec();
        four.push(refused(30, Reason::NoFace));
        assert!(pairs_of(&line(&four)).is_empty());
    }

    #[test]
    fn what_is_told_or_taken_much_later_is_not_suspected() {
        let four = [
            photo(0, 0.6),
            photo(8, 0.6),
            photo(69, 0.6),
            photo(130, 0.6),
        ];
        assert_eq!(pairs_of(&line(&four)), [[0, 1]]);
        assert!(pairs_of(&said(&four, &[1, 2, 3, 4])).is_empty());
        // One of the two is told: still the question whether the other is of the same.
        assert_eq!(pairs_of(&said(&four, &[1])), [[0, 1]]);
        let mut filed = four.clone();
        for photo in &mut filed {
            photo.told.filed = true;
        }
        assert!(pairs_of(&line(&filed)).is_empty());
        let mut undated = four;
        for photo in &mut undated {
            photo.line.taken = None;
        }
        assert!(pairs_of(&line(&undated)).is_empty());
    }

    #[test]
    fn a_set_that_is_told_to_have_four_jaws_has_four_photos() {
        let mut records: Vec<PhotoRecord> = [0, 8, 20, 30].map(|s| photo(s, 0.6)).to_vec();
        records.extend([1000, 1008, 1020, 1030].map(|s| photo(s, 0.6)));
        for photo in &mut records {
            photo.told.jaw_set = Some("heron".to_owned());
        }
        let check = |photos: [usize; 4]| Gathered {
            check: String::new(),
            photos: photos.to_vec(),
        };
        let checks = [check([0, 1, 2, 3]), check([4, 5, 6, 7])];
        let suspects = |records: &[PhotoRecord]| {
            let lines = check_lines(&checks, records, &Together::new(), Rules::built_in(), false);
            lines.iter().map(|l| l.perhaps_one_jaw.len()).sum::<usize>()
        };
        assert_eq!(suspects(&records), 6);
        for (record, jaw) in records.iter_mut().zip(1..=4) {
            record.told.jaw = Some(jaw);
        }
        assert_eq!(suspects(&records), 0);
    }

    #[test]
    fn a_burst_that_may_be_taken_in_too_many_ways_hangs_on_the_answers() {
        let burst: Vec<PhotoRecord> = (0..12).map(|i| photo(5 * i, 0.6)).collect();
        let open = line(&burst);
        assert_eq!(
            (open.action, open.perhaps_one_jaw.len()),
            (Action::Settle, 11)
        );
    }

    #[test]
    fn pairs_that_share_a_photo_are_one_jaw() {
        assert_eq!(merged(4, &[[0, 1], [1, 2]]), [vec![0, 1, 2], vec![3]]);
        assert_eq!(merged(3, &[[1, 2]]), [vec![0], vec![1, 2]]);
    }
}

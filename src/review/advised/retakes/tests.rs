//! When photos are suspected, and what is advised until somebody says it.

use super::*;
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::reading::profile::STATIONS;
use crate::review::advised::{Together, check_line};
use crate::review::gather::Gathering;
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
    let photos: Vec<&PhotoRecord> = records.iter().collect();
    let rules = Rules::built_in();
    check_line(String::new(), &photos, &Together::new(), 3, rules, false)
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
    // More than half an hour later: another check.
    records.extend([3000, 3008, 3020, 3030].map(|s| photo(s, 0.6)));
    for photo in &mut records {
        photo.told.jaw_set = Some("heron".to_owned());
    }
    let suspects = |records: &[PhotoRecord]| {
        let mut gathering = Gathering::default();
        for record in records {
            gathering.add(record);
        }
        let gathered = gathering.gather();
        let suspects = |check: usize| {
            let photos: Vec<&PhotoRecord> = gathered.photos(check).map(|i| &records[i]).collect();
            let (none, jaws) = (Together::new(), gathered.jaws_of_the_set(check));
            let line = check_line(
                String::new(),
                &photos,
                &none,
                jaws,
                Rules::built_in(),
                false,
            );
            line.perhaps_one_jaw.len()
        };
        assert_eq!(gathered.len(), 2);
        (0..gathered.len()).map(suspects).sum::<usize>()
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

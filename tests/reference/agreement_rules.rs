//! Misses, false alarms and the wrong way, counted by hand. The definitions are the project's own, after
//! the words of attribute agreement studies (`src/agreement/against.rs`); the limits and how few are few
//! follow from outside values.

use seepline::agreement::{
    Call, Calls, Limit, NoFigure, Reader, RestsOn, Right, SMALL_ITEMS, Severity, Share, Standing,
    against_right, agreement, least_to_show, repeatability,
};
use seepline::{Length, Pattern, PerSide};

fn ab() -> Reader {
    Reader::Person("AB".into())
}

fn call(reader: &Reader, item: usize, repeat: u32, pattern: Pattern) -> Call {
    let (reader, item) = (reader.clone(), item.to_string());
    Call {
        reader,
        item,
        repeat,
        pattern,
        change: None,
    }
}

fn right(item: usize, pattern: Pattern) -> (String, Right) {
    let basis = RestsOn::LeadsRuling;
    (
        item.to_string(),
        Right {
            pattern,
            change: None,
            basis,
        },
    )
}

fn thou(tenths: i32) -> PerSide {
    PerSide::of(Length::from_tenths(tenths))
}

/// What was right and what AB called, by hand: of ten judgements four are right; of the two full-length
/// ones one is called one-side; of the seven that need work two are called full-length; of the four
/// that need a change of taper one is called the other way and one is so by its change alone.
fn ten() -> Calls {
    use Pattern::{BaseOnly, EndsOnly, FullLength, OneSide, TipOnly, Unreadable};
    let pairs = [
        (FullLength, FullLength),
        (FullLength, OneSide),
        (TipOnly, TipOnly),
        (TipOnly, BaseOnly),
        (TipOnly, FullLength),
        (BaseOnly, BaseOnly),
        (EndsOnly, FullLength),
        (EndsOnly, TipOnly),
        (OneSide, Unreadable),
        (Unreadable, Unreadable),
    ];
    let called = |(item, (_, p)): (usize, &(Pattern, Pattern))| call(&ab(), item, 1, *p);
    let mut calls: Vec<Call> = pairs.iter().enumerate().map(called).collect();
    calls[5].change = Some(thou(-10));
    calls[2].change = Some(thou(-10));
    let known = pairs
        .iter()
        .enumerate()
        .map(|(item, (r, _))| right(item, *r));
    let mut known: Vec<_> = known.collect();
    known[5].1.change = Some(thou(15));
    known[2].1.change = Some(thou(-15));
    Calls::new(calls).0.with_right(known)
}

fn counted(share: &Result<Share, NoFigure>) -> (u64, u64) {
    let share = share.as_ref().expect("a share");
    (share.count, share.of)
}

#[test]
fn ten_judgements_counted_by_hand() {
    let found = against_right(&ten(), &ab()).expect("figures");
    assert_eq!(counted(&Ok(found.compared.agreement)), (4, 10));
    assert_eq!(counted(&found.wrong_way), (2, 4));
    assert_eq!(counted(&found.misses), (2, 7));
    assert_eq!(counted(&found.false_alarms), (1, 2));
    assert_eq!(counted(&found.refused), (1, 9));
    assert_eq!(counted(&found.judged_the_unreadable), (0, 1));
    let changes = found.changes.expect("changes");
    assert_eq!((changes.compared, changes.wrong_sign), (2, 1));
    // Half a thousandth off once, two and a half the other time.
    assert_eq!(changes.median_off, thou(25));
}

#[test]
fn the_confusion_that_weighs_most_comes_first() {
    let found = against_right(&ten(), &ab()).expect("figures");
    let confusions = found.compared.confusion.confusions();
    assert_eq!(confusions[0], (Pattern::TipOnly, Pattern::BaseOnly, 1));
    assert_eq!(confusions.iter().map(|(_, _, n)| n).sum::<u64>(), 6);
}

#[test]
fn the_program_is_not_held_against_itself() {
    let program = |item, p| call(&Reader::Program, item, 1, p);
    let calls = [
        program(0, Pattern::TipOnly),
        program(1, Pattern::Unreadable),
        call(&ab(), 0, 1, Pattern::TipOnly),
        call(&ab(), 1, 1, Pattern::TipOnly),
    ];
    let calls = Calls::new(calls).0.with_the_program_standing_in();
    let own = against_right(&calls, &Reader::Program);
    assert_eq!(own.err(), Some(NoFigure::RestsOnItself));
    // What the program could not judge, it does not rule on.
    let found = against_right(&calls, &ab()).expect("figures");
    assert_eq!(counted(&Ok(found.compared.agreement)), (1, 1));
    let found = agreement(&calls);
    assert_eq!((found.right[&RestsOn::Program], found.not_known()), (1, 1));
}

#[test]
fn a_photo_called_both_ways_is_turned() {
    use Pattern::{BaseOnly, FullLength, TipOnly};
    let calls = [
        (0, TipOnly, TipOnly),
        (1, TipOnly, BaseOnly),
        (2, FullLength, TipOnly),
    ];
    let twice = |(item, first, second)| [call(&ab(), item, 1, first), call(&ab(), item, 2, second)];
    let mut calls: Vec<Call> = calls.into_iter().flat_map(twice).collect();
    calls.push(call(&ab(), 3, 1, TipOnly));
    let found = repeatability(&Calls::new(calls).0, &ab()).expect("figures");
    assert_eq!((found.same.count, found.same.of), (1, 3));
    assert_eq!((found.turned.count, found.turned.of), (1, 3));
    assert_eq!(found.compared.items, 3);
}

#[test]
fn calls_in_their_order_are_numbered_by_reader_and_photo() {
    use Pattern::{BaseOnly, TipOnly};
    let made = [
        (0, TipOnly),
        (1, TipOnly),
        (0, BaseOnly),
        (1, TipOnly),
        (0, TipOnly),
    ];
    let rows = made.map(|(item, p)| (ab(), item.to_string(), p, None));
    let numbered = [(0, 1), (1, 1), (0, 2), (1, 2), (0, 3)];
    let calls = made
        .iter()
        .zip(numbered)
        .map(|((_, p), (item, repeat))| call(&ab(), item, repeat, *p));
    assert_eq!(Calls::in_order(rows), Calls::new(calls).0);
}

/// Two people are held against each other round by round, and a gap leaves the round out; the program's one
/// reading stands for every round.
#[test]
fn rounds_are_paired_with_their_own() {
    use Pattern::{BaseOnly, FullLength, TipOnly};
    let cd = Reader::Person("CD".into());
    let calls = [
        call(&ab(), 0, 1, TipOnly),
        call(&ab(), 0, 2, BaseOnly),
        call(&cd, 0, 2, BaseOnly),
        call(&ab(), 1, 1, FullLength),
        call(&cd, 1, 2, TipOnly),
        call(&Reader::Program, 0, 1, TipOnly),
        call(&Reader::Program, 1, 1, FullLength),
    ];
    let found = agreement(&Calls::new(calls).0);
    let same = |at: usize| {
        let compared = found.pairs[at].compared.as_ref().expect("pairs");
        (compared.agreement.count, compared.agreement.of)
    };
    // AB and CD, AB and the program, CD and the program.
    assert_eq!([same(0), same(1), same(2)], [(1, 1), (2, 3), (0, 2)]);
}

#[test]
fn the_photos_that_divide_come_with_the_worst_first() {
    use Pattern::{BaseOnly, EndsOnly, MiddleOnly, TipOnly};
    let calls = [
        call(&ab(), 0, 1, EndsOnly),
        call(&Reader::Program, 0, 1, MiddleOnly),
        call(&ab(), 1, 1, TipOnly),
        call(&Reader::Program, 1, 1, TipOnly),
        call(&ab(), 2, 1, TipOnly),
        call(&ab(), 3, 1, TipOnly),
    ];
    let known = [right(1, TipOnly), right(2, BaseOnly)];
    let found = agreement(&Calls::new(calls).0.with_right(known)).divided;
    let seen: Vec<_> = found.iter().map(|d| (d.item.as_str(), d.worst)).collect();
    assert_eq!(
        seen,
        [("2", Severity::WrongWay), ("0", Severity::AnotherLook)]
    );
}

/// Measurement-systems manuals, 3rd ed., second-hand: effectiveness at least 90 %, misses at most 2 %,
/// false alarms at most 5 %. By Wilson's interval 0 of 189, of 73, and 35 of 35 are the fewest that show
/// it: z² (1 − p)/p rounded up with z² = 3.8415 (the chi-squared point at 0.95, one degree of freedom).
#[test]
fn how_many_judgements_it_takes() {
    for (limit, fewest, bad_share) in [
        (Limit::MISSES, 189, 0.02),
        (Limit::FALSE_ALARMS, 73, 0.05),
        (Limit::EFFECTIVENESS, 35, 0.10),
    ] {
        let by_hand: f64 = 3.841_459 * (1.0 - bad_share) / bad_share;
        assert_eq!(least_to_show(limit), fewest);
        assert_eq!(by_hand.ceil() as u64, fewest);
    }
    assert_eq!(SMALL_ITEMS, 35);
    let share = |count, of| Share::new(count, of).expect("a share");
    assert_eq!(
        Limit::EFFECTIVENESS.standing(&share(20, 20)),
        Standing::Open
    );
    assert_eq!(
        Limit::EFFECTIVENESS.standing(&share(10, 20)),
        Standing::Missed
    );
    assert_eq!(Limit::FALSE_ALARMS.standing(&share(0, 100)), Standing::Kept);
    assert_eq!(Limit::MISSES.standing(&share(5, 40)), Standing::Missed);
}

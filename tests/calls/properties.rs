//! What must hold of every call and answer.

use proptest::prelude::*;
use seepline::{
    Answer, Call, CalledChange, Direction, Interval, Length, MixedUp, Outcome, Pattern, PerSide,
    Person, compare,
};

fn tenths(n: i32) -> PerSide {
    PerSide::of(Length::from_tenths(n))
}

fn call(change: i32) -> Call {
    let change = CalledChange::Change(tenths(change));
    let at = jiff::civil::date(2026, 3, 4).at(10, 0, 0, 0);
    Call::new(Pattern::TipOnly, change, Person::parse("AB").unwrap(), at).unwrap()
}

fn answer(median: i32, spread: i32) -> Answer {
    Answer {
        pattern: Pattern::TipOnly,
        change: Some(Interval {
            low: tenths(median - spread),
            median: tenths(median),
            high: tenths(median + spread),
        }),
    }
}

fn not_zero() -> impl Strategy<Value = i32> {
    (1..=500_i32, any::<bool>()).prop_map(|(n, less)| if less { -n } else { n })
}

proptest! {
    /// The grave one is never anything else, and nothing else is it.
    #[test]
    fn the_wrong_way_is_the_wrong_way(called in not_zero(), right in not_zero(), spread in 0..600_i32) {
        let found = compare(&call(called), &answer(right, spread));
        let opposite = called.signum() != right.signum();
        prop_assert_eq!(found.outcome == Outcome::WrongWay, opposite);
        prop_assert_eq!(found.amount.is_none(), opposite);
    }

    /// “Exactly twice wrong” means that per side and on the diameter were mixed up (trade pages). Twice and a little more stays
    /// below the largest change that may be called.
    #[test]
    fn exactly_twice_or_half_is_seen(right in 1..=240_i32, less in any::<bool>(), off in 1..20_i32) {
        let right = if less { -right } else { right };
        let mixed = |called| compare(&call(called), &answer(right, 0)).amount.unwrap().mixed_up;
        prop_assert_eq!(mixed(2 * right), Some(MixedUp::Twice));
        prop_assert_eq!(mixed(2 * right + off * right.signum()), None);
        if right % 2 == 0 {
            prop_assert_eq!(mixed(right / 2), Some(MixedUp::Half));
        }
        prop_assert_eq!(mixed(right), None);
    }

    #[test]
    fn the_amount_off_is_the_difference_per_side(called in 1..=500_i32, right in 1..=500_i32, spread in 0..50_i32) {
        let found = compare(&call(called), &answer(right, spread));
        let amount = found.amount.unwrap();
        prop_assert_eq!(amount.by, tenths(called - right));
        prop_assert_eq!(amount.larger, called > right);
        let within = (called - right).abs() <= spread;
        prop_assert_eq!((amount.within, found.outcome == Outcome::Agrees), (within, within));
    }

    /// Twice the number, said to be on the diameter, is the same change; and what is kept reads back.
    #[test]
    fn a_change_reads_the_same_per_side_and_on_the_diameter(n in not_zero()) {
        let text = |n: i32, where_: &str| format!("{:+}thou{where_}", f64::from(n) / 10.0);
        let read = |text: String| text.parse::<CalledChange>().unwrap();
        let per_side = read(text(n, ""));
        prop_assert_eq!(per_side, CalledChange::Change(tenths(n)));
        if n.abs() <= 250 {
            prop_assert_eq!(read(text(2 * n, " on diameter")), per_side);
        }
        prop_assert_eq!(read(per_side.to_string()), per_side);
        prop_assert_eq!(per_side.direction(), if n < 0 { Direction::Less } else { Direction::More });
    }

    /// Whatever is typed is an answer or an error in words, never a panic.
    #[test]
    fn any_text_is_answered(text in ".{0,40}") {
        let _ = text.parse::<CalledChange>().map_err(|e| e.to_string());
        let _ = Person::parse(&text).map_err(|e| e.to_string());
    }
}

//! Judged checks without photos.

use jiff::ToSpan;
use jiff::civil::{DateTime, date};
use seepline::prove::{Ended, Judged, Plan, ProveOut, Under, Verdict};
use seepline::{Id, Person};

/// So many minutes after the beginning.
pub(super) fn at(minute: usize) -> DateTime {
    let begun = date(2026, 3, 4).at(8, 0, 0, 0);
    begun + (minute as i64).minutes()
}

pub(super) fn lead() -> Person {
    Person::parse("JK").unwrap()
}

pub(super) fn prove_out(plan: Plan) -> ProveOut {
    ProveOut {
        id: Id::derived(&["prove-out"]),
        by: lead(),
        begun: at(0),
        plan,
        program: env!("CARGO_PKG_VERSION").to_owned(),
        ended: None,
        changed: at(0),
    }
}

/// Ended with these checks.
pub(super) fn ended(one: &ProveOut, counted: &[Judged]) -> ProveOut {
    let answered = counted.iter().filter(|j| j.verdict != Verdict::Unanswered);
    ProveOut {
        ended: Some(Ended {
            by: lead(),
            at: at(100_000),
            counted: answered.map(|j| j.check).collect(),
        }),
        ..one.clone()
    }
}

/// The check with that number.
pub(super) fn judged(number: usize, verdict: Verdict) -> Judged {
    Judged {
        check: Id::derived(&["check", &number.to_string()]),
        made: at(number),
        at: at(number),
        under: Under::default(),
        verdict,
        asked_change: !matches!(verdict, Verdict::Unanswered | Verdict::Missed),
        amount_off: None,
    }
}

pub(super) fn all_right(number: usize) -> Vec<Judged> {
    (1..=number).map(|n| judged(n, Verdict::Right)).collect()
}

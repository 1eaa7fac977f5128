//! How a round went, and what was taken for what.

use std::collections::HashMap;

use super::super::compare::Outcome;
use super::Try;
use crate::reading::pattern::Pattern;
use crate::reading::pattern::is_taper;
use crate::taper::rules::name;

/// How a round went.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Score {
    /// Questions answered.
    pub asked: usize,
    /// With the right pattern.
    pub patterns: usize,
    /// With a change that goes the right way, or none where none was right.
    pub ways: usize,
    /// With a change of the right amount, too; of those where the taper was to be changed and the way was
    /// right.
    pub amounts: usize,
    /// Where the way was right and there was an amount to call.
    pub with_amount: usize,
    /// Changes the wrong way.
    pub wrong_ways: usize,
    /// What was taken for what, the gravest first.
    pub confusions: Vec<Confusion>,
}

/// Something that was missed, in words.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Confusion {
    /// `calls edges-only a taper matter`.
    pub what: String,
    /// How often.
    pub times: usize,
    /// How often the pattern that was right was asked.
    pub of: usize,
    #[serde(skip)]
    gravity: Outcome,
}

/// Of the answers of a round.
pub fn score(tries: &[Try]) -> Score {
    let all: Vec<_> = tries.iter().map(|t| (t, t.comparison())).collect();
    let count = |is: &dyn Fn(&Outcome) -> bool| all.iter().filter(|(_, c)| is(&c.outcome)).count();
    let with_amount = all.iter().filter(|(_, c)| c.amount.is_some());
    Score {
        asked: tries.len(),
        patterns: all.iter().filter(|(_, c)| c.same_pattern).count(),
        ways: count(&|o| o.is_right_way()),
        amounts: with_amount
            .clone()
            .filter(|(_, c)| c.outcome == Outcome::Agrees)
            .count(),
        with_amount: with_amount.count(),
        wrong_ways: count(&|o| *o == Outcome::WrongWay),
        confusions: confusions(tries),
    }
}

fn confusions(tries: &[Try]) -> Vec<Confusion> {
    let mut asked: HashMap<Pattern, usize> = HashMap::new();
    for one in tries {
        *asked.entry(one.truth.pattern).or_default() += 1;
    }
    let mut found: Vec<Confusion> = Vec::new();
    // An amount that is off is counted apart and is no confusion.
    for one in tries.iter().filter(|t| !t.is_known()) {
        let (what, gravity) = (what(one), one.comparison().outcome);
        match found.iter_mut().find(|c| c.what == what) {
            Some(known) => {
                known.times += 1;
                // The same confusion may have cost a change once and nothing another time.
                known.gravity = known.gravity.max(gravity);
            }
            None => found.push(Confusion {
                what,
                times: 1,
                of: asked[&one.truth.pattern],
                gravity,
            }),
        }
    }
    // Gravest and most frequent first; the words only break ties, so that the list is the same each time.
    found.sort_by(|a, b| (b.gravity, b.times, &a.what).cmp(&(a.gravity, a.times, &b.what)));
    found
}

/// What went wrong, by its name.
fn what(one: &Try) -> String {
    let (right, called) = (name(one.truth.pattern), name(one.call.pattern));
    match one.comparison().outcome {
        // By what it does to the jaws before what it was taken for: a cut is worse than a wrong name.
        Outcome::WrongWay => format!("turns {right} the wrong way"),
        Outcome::ChangeForNothing if !is_taper(one.truth.pattern) => {
            format!("calls {right} a taper matter")
        }
        Outcome::ChangeForNothing => format!("cuts again where it is {right} already"),
        // Who sees another pattern need not be told of the change that follows from it, too.
        _ if right != called => format!("takes {right} for {called}"),
        Outcome::ChangeMissed => format!("calls no change for {right}"),
        _ => format!("sees {right}, but asks for the wrong thing"),
    }
}

impl Confusion {
    /// `calls edges-only a taper matter (2 of 3)`.
    pub fn in_words(&self) -> String {
        format!("{} ({} of {})", self.what, self.times, self.of)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::people::opinion::{Basis, Call, CalledChange, Person, Truth};
    use crate::taper::learning::Interval;
    use crate::units::{Length, PerSide};

    fn one(right: Pattern, amount: PerSide, pattern: Pattern, change: CalledChange) -> Try {
        let interval = Interval {
            low: amount,
            median: amount,
            high: amount,
        };
        Try {
            call: Call {
                pattern,
                change,
                by: Person::parse("AB").unwrap(),
                at: jiff::civil::date(2026, 3, 4).at(10, 0, 0, 0),
            },
            truth: Truth {
                pattern: right,
                change: (right != Pattern::OneSide).then_some(interval),
                by: Basis::Table,
            },
        }
    }

    #[test]
    fn a_confusion_is_as_grave_as_the_worst_of_its_times() {
        let less = -PerSide::of(Length::from_tenths(10));
        let taken = |change| one(Pattern::TipOnly, less, Pattern::BaseOnly, change);
        let left = one(
            Pattern::OneSide,
            PerSide::ZERO,
            Pattern::FullLength,
            CalledChange::Leave,
        );
        // Once with the right change all the same, once with none; the other ran jaws that had to be mended.
        let found = score(&[
            taken(CalledChange::Change(less)),
            left,
            taken(CalledChange::NoChange),
        ]);
        let words: Vec<String> = found.confusions.iter().map(Confusion::in_words).collect();
        assert_eq!(
            words,
            [
                "takes tip-only for base-only (2 of 2)",
                "takes one-side for full-length (1 of 1)"
            ]
        );
    }
}

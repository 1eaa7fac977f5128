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
    let right_way = |o: &Outcome| matches!(o, Outcome::Agrees | Outcome::OtherAmount);
    let with_amount = all.iter().filter(|(_, c)| c.amount.is_some());
    Score {
        asked: tries.len(),
        patterns: all.iter().filter(|(_, c)| c.same_pattern).count(),
        ways: count(&right_way),
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
    for one in tries.iter().filter(|t| !t.is_known()) {
        let what = what(one);
        match found.iter_mut().find(|c| c.what == what) {
            Some(known) => known.times += 1,
            None => found.push(Confusion {
                what,
                times: 1,
                of: asked[&one.truth.pattern],
                gravity: one.comparison().outcome,
            }),
        }
    }
    found.sort_by(|a, b| (b.gravity, b.times, &a.what).cmp(&(a.gravity, a.times, &b.what)));
    found
}

/// What went wrong, by its name.
fn what(one: &Try) -> String {
    let (right, called) = (name(one.truth.pattern), name(one.call.pattern));
    match one.comparison().outcome {
        Outcome::WrongWay => format!("turns {right} the wrong way"),
        Outcome::ChangeForNothing if !is_taper(one.truth.pattern) => {
            format!("calls {right} a taper matter")
        }
        Outcome::ChangeForNothing => format!("cuts again where it is {right} already"),
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

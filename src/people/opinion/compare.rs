//! A call held against an answer.

use super::call::Call;
use super::change::CalledChange;
use crate::people::records::Answer;
use crate::reading::pattern::Direction;
use crate::units::PerSide;

/// How a call stands to an answer. Made by [`compare`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Comparison {
    /// Whether the patterns are the same.
    pub same_pattern: bool,
    /// How the changes stand to each other.
    pub outcome: Outcome,
    /// Where both change the taper the same way.
    pub amount: Option<AmountOff>,
}

/// How the change that was called stands to the one that was right. Kebab-case names in JSON.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// The same: no change by both, or a change within the interval of the right one.
    Agrees,
    /// The same way by another amount.
    OtherAmount,
    /// Neither changes the taper, but one leaves it as right and the other mends something first.
    NoChangeOtherwise,
    /// No change was called where one was right.
    ChangeMissed,
    /// A change was called where none was right: jaws cut for nothing.
    ChangeForNothing,
    /// The other way: the grave one, since the jaws are worse after the cut than before.
    WrongWay,
}

/// Two amounts the same way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AmountOff {
    /// Called less right, signed, per side.
    pub by: PerSide,
    /// Whether the call changes more than was right.
    pub larger: bool,
    /// Whether the call lies within the interval.
    pub within: bool,
    /// Where one is exactly twice the other.
    pub mixed_up: Option<MixedUp>,
}

/// Exactly twice or half: per side and on the diameter were probably mixed up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum MixedUp {
    /// Called twice the amount: the number on the diameter, given per side.
    Twice,
    /// Called half of it: a number per side, halved as if it were on the diameter.
    Half,
}

/// Holds the call against what was right, or what the program reads.
pub fn compare(call: &Call, answer: &Answer) -> Comparison {
    let amount = amount_off(call.change, answer);
    Comparison {
        same_pattern: call.pattern == answer.pattern,
        outcome: outcome(call.change, answer, amount),
        amount,
    }
}

/// Which way an answer goes.
pub(super) fn direction(answer: &Answer) -> Direction {
    match answer.change {
        Some(c) if c.median < PerSide::ZERO => Direction::Less,
        Some(c) if c.median > PerSide::ZERO => Direction::More,
        _ => Direction::None,
    }
}

fn outcome(called: CalledChange, answer: &Answer, amount: Option<AmountOff>) -> Outcome {
    match (called.direction(), direction(answer)) {
        (Direction::None, Direction::None) => {
            let (leaves, right) = (called == CalledChange::Leave, answer.change.is_some());
            if leaves == right {
                Outcome::Agrees
            } else {
                Outcome::NoChangeOtherwise
            }
        }
        (Direction::None, _) => Outcome::ChangeMissed,
        (_, Direction::None) => Outcome::ChangeForNothing,
        (a, b) if a != b => Outcome::WrongWay,
        _ if amount.is_some_and(|a| a.within) => Outcome::Agrees,
        _ => Outcome::OtherAmount,
    }
}

fn amount_off(called: CalledChange, answer: &Answer) -> Option<AmountOff> {
    let (CalledChange::Change(called), Some(right)) = (called, answer.change) else {
        return None;
    };
    let twice = |a: PerSide, b: PerSide| a == b + b;
    let same_way = (called > PerSide::ZERO) == (right.median > PerSide::ZERO);
    (same_way && right.median != PerSide::ZERO).then(|| AmountOff {
        by: called - right.median,
        larger: called.abs() > right.median.abs(),
        within: called == right.median || (right.low..=right.high).contains(&called),
        mixed_up: match () {
            () if twice(called, right.median) => Some(MixedUp::Twice),
            () if twice(right.median, called) => Some(MixedUp::Half),
            () => None,
        },
    })
}

impl Comparison {
    /// Whether pattern and change were both right.
    pub fn is_right(&self) -> bool {
        self.same_pattern && self.outcome == Outcome::Agrees
    }
}

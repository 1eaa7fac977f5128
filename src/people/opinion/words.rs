//! Where a call and an answer differ, and why the answer is what it is, in plain words.

use super::call::Call;
use super::change::CalledChange;
use super::compare::{AmountOff, Comparison, MixedUp, Outcome, direction};
use super::signs::signs;
use crate::people::records::Answer;
use crate::reading::method::Method;
use crate::reading::pattern::is_taper;
use crate::reading::pattern::{self, Direction, Pattern};
use crate::taper::rules::{Rules, name};
use crate::units::PerSide;

/// Where the call and the answer differ, the gravest first; one sentence or two each. Where they do not,
/// one that says so.
pub fn differences(
    call: &Call,
    answer: &Answer,
    comparison: &Comparison,
    method: Method,
) -> Vec<String> {
    if comparison.is_right() && comparison.amount.is_none_or(|a| a.by == PerSide::ZERO) {
        return vec!["Nowhere: pattern and change are the same.".to_owned()];
    }
    let mut all = vec![change_words(call, answer, comparison)];
    all.extend(comparison.amount.and_then(mixed_up_words));
    if !comparison.same_pattern {
        all.push(pattern_words(call.pattern, answer.pattern, method));
    }
    if contradicts_itself(call) {
        all.push(self_words(call));
    }
    all.retain(|s| !s.is_empty());
    all
}

fn change_words(call: &Call, answer: &Answer, comparison: &Comparison) -> String {
    let way = |d: Direction| match d {
        Direction::Less => "takes taper off",
        Direction::None => "leaves the taper alone",
        Direction::More => "adds taper",
    };
    let (called, right) = (way(call.change.direction()), way(direction(answer)));
    match comparison.outcome {
        Outcome::WrongWay => format!(
            "The wrong way: the call {called} where the answer {right}. Cut like this, the jaws would grip \
             on less of their length than before."
        ),
        Outcome::ChangeForNothing if answer.change.is_some() => format!(
            "A cut for nothing: the call {called}, and the jaws grip along their whole length already."
        ),
        Outcome::ChangeForNothing if waits(answer) => {
            format!("A cut for nothing: the call {called}. {WAITS}")
        }
        Outcome::ChangeForNothing => format!(
            "A cut for nothing: the call {called}, and {} is no matter of taper; something else comes first.",
            name(answer.pattern)
        ),
        Outcome::ChangeMissed => format!("No change is called where the answer {right}."),
        Outcome::NoChangeOtherwise if call.change == CalledChange::Leave => {
            "The call leaves the jaws as they are, and something has to be mended first.".to_owned()
        }
        Outcome::NoChangeOtherwise => {
            "The call mends something first, and the jaws may be left as they are.".to_owned()
        }
        Outcome::OtherAmount | Outcome::Agrees => {
            comparison.amount.map(amount_words).unwrap_or_default()
        }
    }
}

fn amount_words(off: AmountOff) -> String {
    if off.by == PerSide::ZERO {
        return "The same change.".to_owned();
    }
    let by = off.by.abs().as_taper();
    let than = if off.larger { "more" } else { "less" };
    if off.within {
        format!("The same way, by {by} {than} than the answer, which is within its interval.")
    } else {
        format!("The same way, but by {by} {than} than the answer, outside its interval.")
    }
}

fn mixed_up_words(off: AmountOff) -> Option<String> {
    let words = match off.mixed_up? {
        MixedUp::Twice => {
            "The call is exactly twice the answer: that is the number on the diameter. Was it given per side?"
        }
        MixedUp::Half => {
            "The call is exactly half of the answer: a number per side that was halved as if it were on the \
             diameter?"
        }
    };
    Some(words.to_owned())
}

fn pattern_words(called: Pattern, right: Pattern, method: Method) -> String {
    format!(
        "Called {}, which shows {}; the answer is {}, which shows {}.",
        name(called),
        signs(called, method),
        name(right),
        signs(right, method)
    )
}

fn contradicts_itself(call: &Call) -> bool {
    call.change.direction() != pattern::direction(call.pattern)
}

fn self_words(call: &Call) -> String {
    let asks = match pattern::direction(call.pattern) {
        Direction::Less => "for less taper",
        Direction::None => "for no change of taper",
        Direction::More => "for more taper",
    };
    format!(
        "The call does not agree with itself: {} asks {asks}.",
        name(call.pattern)
    )
}

/// Why an answer's pattern asks for what it does, in the rules' words.
pub fn reason(answer: &Answer, method: Method, rules: &Rules) -> String {
    let row = rules.pattern(answer.pattern, method);
    if waits(answer) {
        return format!("{} {WAITS}", row.meaning);
    }
    format!("{} {} {}", row.meaning, row.why, row.advice)
}

/// A matter of taper, but one for later.
fn waits(answer: &Answer) -> bool {
    answer.change.is_none() && is_taper(answer.pattern)
}

const WAITS: &str = "Something else comes first here, whatever the taper.";

/// What the pattern that was called would have asked for, where it is another than the answer's; else empty.
pub fn asked_instead(call: &Call, answer: &Answer, method: Method, rules: &Rules) -> String {
    if call.pattern == answer.pattern {
        return String::new();
    }
    let called = rules.pattern(call.pattern, method);
    format!(
        "What was called, {}, means: {} {}",
        name(call.pattern),
        called.meaning,
        called.advice
    )
}

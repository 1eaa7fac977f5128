//! An answer, held against what was right.

use std::collections::BTreeSet;

use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};

use crate::people::opinion::{Basis, Call, CalledChange, Outcome, Person, Truth, compare};
use crate::people::records::Answer;
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::taper::learning::Interval;
use crate::taper::records::{Cut, FiledCheck, Id, JawSet};
use crate::units::PerSide;

/// What was answered at a check while a prove-out is kept; where advice is held, the only place that has it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Advised {
    /// The check.
    pub check: Id,
    /// Under which prove-out.
    pub prove_out: Id,
    /// When it was filed, or filed with more photos.
    pub at: DateTime,
    /// `None` where the program would have the photos taken again, or asks for a word.
    pub answer: Option<Answer>,
    /// See [`crate::JawSet::changed`].
    pub changed: DateTime,
}

/// How an answer turned out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// The pattern, and which way to change: the amount is judged apart.
    Right,
    /// It would have been worse after the cut than before.
    WrongWay,
    /// A cut where none was to be made.
    ForNothing,
    /// No cut where one was to be made.
    Missed,
    /// The right way for another pattern, or no change for another reason.
    OtherPattern,
    /// No answer.
    Unanswered,
}

/// What a check was made with; `None` where nobody wrote it.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Under {
    /// The compound.
    pub compound: Option<String>,
    /// Of the jaws.
    pub material: Option<String>,
    /// How the check was made.
    pub method: Method,
    /// The lathe.
    pub machine: Option<String>,
    /// Kinds of phone that took its photos, each once.
    pub phones: Vec<String>,
}

/// A check of which it is known what was right.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Judged {
    /// The check.
    pub check: Id,
    /// When it was made.
    pub made: DateTime,
    /// When it was answered.
    pub at: DateTime,
    /// What it was made with.
    pub under: Under,
    /// How it turned out.
    pub verdict: Verdict,
    /// Whether the answer asked for a change.
    pub asked_change: bool,
    /// The amount answered less the right one, per side, where later cuts showed it and both go the same way.
    pub amount_off: Option<PerSide>,
}

impl Under {
    /// What a check of the set would be made with now, as far as that is known.
    pub(crate) fn of_set(set: &JawSet) -> Self {
        Self {
            material: set.material.clone(),
            machine: set.mounting.machine.clone(),
            ..Self::default()
        }
    }

    /// Of a filed check.
    pub(crate) fn of(set: &JawSet, cut: &Cut, check: &FiledCheck) -> Self {
        let at_check = check.mounting.machine.clone();
        Self {
            compound: check.compound.clone(),
            material: set.material.clone(),
            method: check.method,
            machine: at_check.or_else(|| cut.mounting.machine.clone()),
            phones: Self::phones(check.readings.iter().map(|r| r.phone.as_deref())),
        }
    }

    /// Each once, by name.
    pub(crate) fn phones<'a>(of_photos: impl Iterator<Item = Option<&'a str>>) -> Vec<String> {
        let all: BTreeSet<&str> = of_photos.flatten().collect();
        all.into_iter().map(str::to_owned).collect()
    }
}

/// Holds what was answered against what was right.
pub(crate) fn judge(advised: &Advised, check: &FiledCheck, under: Under, truth: &Truth) -> Judged {
    // That the program can't tell is no answer.
    let answer = advised.answer.filter(|a| a.pattern != Pattern::Unreadable);
    let said = answer.map(|a| as_call(&a, check.made));
    let comparison = said.as_ref().map(|s| compare(s, &truth.answer()));
    let verdict = comparison.map_or(Verdict::Unanswered, |c| match c.outcome {
        Outcome::WrongWay => Verdict::WrongWay,
        Outcome::ChangeForNothing => Verdict::ForNothing,
        Outcome::ChangeMissed => Verdict::Missed,
        Outcome::Agrees | Outcome::OtherAmount if c.same_pattern => Verdict::Right,
        _ => Verdict::OtherPattern,
    });
    Judged {
        check: check.id,
        made: check.made,
        at: advised.at,
        under,
        verdict,
        asked_change: answer.is_some_and(|a| change_of(&a) != PerSide::ZERO),
        amount_off: comparison
            .and_then(|c| c.amount)
            .filter(|_| truth.by == Basis::Outcome)
            .map(|a| a.by),
    }
}

fn change_of(answer: &Answer) -> PerSide {
    answer.change.map_or(PerSide::ZERO, |c: Interval| c.median)
}

/// So that one function says how two answers stand to each other.
fn as_call(answer: &Answer, at: DateTime) -> Call {
    let change = match answer.change {
        None => CalledChange::NoChange,
        Some(c) if c.median == PerSide::ZERO => CalledChange::Leave,
        Some(c) => CalledChange::Change(c.median),
    };
    Call {
        pattern: answer.pattern,
        change,
        // Nobody: whose it is has no part in the comparison.
        by: Person::erased(0),
        at,
    }
}

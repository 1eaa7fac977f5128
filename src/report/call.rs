//! A call beside the reading that it was made before.

use super::{CheckReport, words};
use crate::people::opinion::{self, Call, Comparison, Outcome, Truth};
use crate::people::records::Answer;
use crate::reading::pattern::Pattern;
use crate::taper::advice::{Action, Advice};
use crate::taper::learning::Interval;
use crate::taper::records::FiledAdvice;
use crate::taper::rules::Rules;
use crate::units::PerSide;
use crate::units::amount::{Amount, likely_thou};

/// A call and the reading, side by side, with what decides and where they differ.
#[derive(Debug, Clone, PartialEq)]
pub struct CallReport {
    /// As called.
    pub call: Call,
    /// What stands beside it: `Read by the program`.
    pub beside: &'static str,
    /// What the program reads; `None` where it would have the photos taken again.
    pub answer: Option<Answer>,
    /// How the two stand to each other, where there is an answer.
    pub comparison: Option<Comparison>,
    /// Per jaw that counts, the places in the picture that decide its reading.
    pub decides: Vec<String>,
    /// Why that asks for what it does.
    pub why: String,
    /// Where the two differ, the gravest first.
    pub differences: Vec<String>,
    /// What was right, where more is known of it than the reading.
    pub truth: Option<Truth>,
}

impl CallReport {
    /// The call beside what the report says.
    pub fn of(call: Call, report: &CheckReport, truth: Option<Truth>, rules: &Rules) -> Self {
        let answer = opinion::answer(&FiledAdvice::of(&report.advice));
        // That the program can't tell says nothing against somebody who saw the jaws.
        let answer = answer
            .filter(|a| a.pattern != Pattern::Unreadable || call.pattern == Pattern::Unreadable);
        let comparison = answer.map(|a| opinion::compare(&call, &a));
        let differences = match answer.zip(comparison) {
            Some((a, c)) => opinion::differences(&call, &a, &c, report.method),
            None if report.advice.action == Action::Held => vec![KEPT_BACK.to_owned()],
            None => vec![UNSETTLED.to_owned()],
        };
        let advice = &report.advice;
        let asked = answer.map_or_else(String::new, |a| {
            opinion::asked_instead(&call, &a, report.method, rules)
        });
        Self {
            why: format!("{} {} {asked}", advice.why, advice.what_to_do)
                .trim_end()
                .to_owned(),
            decides: Self::decides(report),
            differences,
            answer,
            comparison,
            beside: "Read by the program",
            // The program's reading stands beside the call already.
            truth: truth.filter(|t| t.by != opinion::Basis::Program),
            call,
        }
    }
}

/// One thing as it was called and as it stands beside it.
pub(crate) struct SideBySide {
    pub(crate) label: &'static str,
    pub(crate) called: String,
    pub(crate) beside: String,
}

impl CallReport {
    /// What the call comes to.
    pub(crate) fn headline(&self) -> &'static str {
        let Some(comparison) = &self.comparison else {
            return "The call beside the reading: nothing to hold it against yet";
        };
        match (comparison.outcome, comparison.same_pattern) {
            (Outcome::WrongWay, _) => "The call goes the wrong way",
            (Outcome::ChangeForNothing, _) => "The call would cut for nothing",
            (Outcome::ChangeMissed, _) => "The call misses a change",
            (Outcome::NoChangeOtherwise, _) => "No change by both, for another reason",
            (Outcome::OtherAmount, true) => "The same way, another amount",
            (Outcome::OtherAmount, false) => "Another pattern and another amount",
            (Outcome::Agrees, true) => "Call and reading agree",
            (Outcome::Agrees, false) => "The same change, another pattern",
        }
    }

    /// Pattern and change, as called and as they stand beside it.
    pub(crate) fn rows(&self) -> Vec<SideBySide> {
        let (call, read) = (&self.call, self.answer.as_ref());
        let nothing = if self.differences == [KEPT_BACK] {
            "kept back"
        } else {
            "nothing yet"
        };
        let pattern = read.map_or(nothing, |a| words::name(a.pattern));
        let called = change(Some((call.pattern, call.change.per_side())));
        let answered = change(read.map(|a| (a.pattern, a.change.map(|c| c.median))));
        let row = |label, called: &str, beside: &str| SideBySide {
            label,
            called: called.to_owned(),
            beside: beside.to_owned(),
        };
        let mut rows = vec![row("Pattern", words::name(call.pattern), pattern)];
        let labels = ["Taper", "Per side", "On diameter"];
        let changes = labels.into_iter().zip(called.iter().zip(&answered));
        rows.extend(changes.map(|(label, (called, read))| row(label, called, read)));
        // A change that is known exactly has no interval to state.
        let likely = read.and_then(|a| a.change).filter(|c| c.low != c.high);
        rows.extend(likely.map(|likely| row("Likely", "", &interval(&likely))));
        rows
    }

    /// Without what the advice keeps back.
    pub(super) fn held(self, advice: &Advice) -> Self {
        if advice.action != Action::Held {
            return self;
        }
        Self {
            why: format!("{} {}", advice.why, advice.what_to_do),
            differences: vec![KEPT_BACK.to_owned()],
            answer: None,
            comparison: None,
            ..self
        }
    }

    /// Per photo that counts, the places in the picture that decide its reading.
    pub(crate) fn decides(report: &CheckReport) -> Vec<String> {
        let jaws = report.jaws().into_iter().enumerate();
        jaws.map(|(jaw, (_, reading))| format!("Jaw {}: {}.", jaw + 1, opinion::places(reading)))
            .collect()
    }
}

const UNSETTLED: &str = "That cannot be said yet: the program would have the photos taken again, so there is \
                         nothing to hold the call against.";

const KEPT_BACK: &str = "That is kept back until the program is proven in this shop; the call is kept, and what it is \
                         worth shows later.";

fn interval(likely: &Interval) -> String {
    let [per_side, on_diameter] = likely_thou(likely.low, likely.high);
    format!("{per_side} thou per side, {on_diameter} on the diameter")
}

/// What is done to the taper, per side and on the diameter.
fn change(of: Option<(Pattern, Option<PerSide>)>) -> [String; 3] {
    let none = || "–".to_owned();
    let Some((pattern, change)) = of else {
        return [none(), none(), none()];
    };
    let stated =
        |amount: Amount| format!("{} thou ({} mm)", amount.signed_thou(), amount.signed_mm());
    match change {
        None if pattern == Pattern::Unreadable => ["take the photos again".into(), none(), none()],
        None => ["no change, mend first".into(), none(), none()],
        Some(PerSide::ZERO) => ["leave".into(), none(), none()],
        Some(by) => [
            if by < PerSide::ZERO {
                "take off"
            } else {
                "add"
            }
            .to_owned(),
            stated(by.into()),
            stated(by.on_diameter().into()),
        ],
    }
}

/// `tip-only, take off: -2.0 thou per side (…), as later cuts of the set proved`.
pub(crate) fn right(truth: &Truth) -> String {
    let change = truth.change_called();
    format!(
        "{}, {}, {}.",
        words::name(truth.pattern),
        change.in_words(),
        truth.by.in_words()
    )
}

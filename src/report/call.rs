//! A call beside the reading that it was made before.

use super::CheckReport;
use crate::opinion::{self, Call, Comparison, Truth};
use crate::pattern::Pattern;
use crate::records::{Answer, FiledAdvice};
use crate::rules::Rules;

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
    /// Per photo that counts, the places in the picture that decide its reading.
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
            truth: truth.filter(|t| t.by != opinion::Basis::Program),
            call,
        }
    }
}

impl CallReport {
    /// Per photo that counts, the places in the picture that decide its reading.
    pub(crate) fn decides(report: &CheckReport) -> Vec<String> {
        let one = |(index, photo): (usize, &super::PhotoReport)| {
            let places = opinion::places(&photo.inspection()?.reading);
            Some(format!("Jaw {}: {places}.", index + 1))
        };
        let photos = report.photos.iter().enumerate();
        photos.filter(|(_, p)| p.counts()).filter_map(one).collect()
    }
}

const UNSETTLED: &str = "That cannot be said yet: the program would have the photos taken again, so there is \
                         nothing to hold the call against.";

//! A question of practice and its answer, as every surface says them.

use super::{CallReport, CheckReport, PhotoReport, ProofNote, check, words};
use crate::people::opinion::{self, Call, Question, Score, compare, differences};
use crate::people::records::Answer;
use crate::reading::method::Method;
use crate::taper::advice::{Grip, Setup};
use crate::taper::learning::History;
use crate::taper::records::FiledAdvice;
use crate::taper::rules::Rules;

/// How the check was made, and whether the pictures stand tip up: two sentences.
pub(crate) fn practice_in_words(question: &Question, tips_known: bool) -> String {
    let method = match question.method {
        Method::Seep => "seep-in check: compound where it is open",
        Method::Transfer => "transfer check: compound where it touches",
    };
    let grip = match question.grip {
        Grip::Outside => "outside grip",
        Grip::Inside => "inside grip",
    };
    let tip = if tips_known {
        "Tip up"
    } else {
        "Where the tip points is not known"
    };
    format!("{method}, {grip}. {tip}.")
}

/// What the program sees in the photos of a question.
pub(crate) struct Seen {
    /// What it reads; `None` where it would have the photos taken again.
    pub(crate) program: Option<Answer>,
    /// Per jaw, the places that decide it.
    pub(crate) decides: Vec<String>,
}

impl Seen {
    /// What it reads is filed with the answer, so it is kept back where the advice is.
    pub(crate) fn of_photos(
        photos: Vec<PhotoReport>,
        question: &Question,
        rules: &Rules,
        proof: Option<ProofNote>,
    ) -> Self {
        let setup = Setup {
            grip: question.grip,
            ..Setup::default()
        };
        let report: CheckReport =
            check::report(photos, question.method, setup, rules, &History::default())
                .with_proof(proof);
        Self {
            program: opinion::answer(&FiledAdvice::of(&report.advice)),
            decides: CallReport::decides(&report),
        }
    }
}

impl CallReport {
    /// A call of practice beside what was right; `decides` as the reading says it ([`Seen`]).
    pub(crate) fn of_practice(
        call: Call,
        question: &Question,
        decides: Vec<String>,
        rules: &Rules,
    ) -> Self {
        let (truth, method) = (question.truth, question.method);
        let answer = truth.answer();
        let comparison = compare(&call, &answer);
        let right = opinion::reason(&answer, method, rules);
        let asked = opinion::asked_instead(&call, &answer, method, rules);
        Self {
            beside: "What was right",
            differences: differences(&call, &answer, &comparison, method),
            why: format!("{right} {asked}").trim_end().to_owned(),
            decides,
            answer: Some(answer),
            comparison: Some(comparison),
            truth: Some(truth),
            call,
        }
    }
}

/// A round in figures, and what was taken for what: names and what stands beside them.
pub(crate) fn score_rows(score: &Score) -> Vec<(&'static str, String)> {
    let share = |n: usize, of: usize| format!("{n} of {of}");
    let mut rows = vec![
        ("Pattern right:", share(score.patterns, score.asked)),
        ("Way right:", share(score.ways, score.asked)),
    ];
    if score.with_amount > 0 {
        rows.push(("Amount right:", share(score.amounts, score.with_amount)));
    }
    rows.push(("Wrong way:", share(score.wrong_ways, score.asked)));
    for (index, confusion) in score.confusions.iter().enumerate() {
        let name = if index == 0 { "To practise:" } else { "" };
        rows.push((name, words::capitalised(&confusion.in_words())));
    }
    rows
}

/// Said where a round is too short to say much.
pub(crate) fn few_answers(score: &Score) -> Option<String> {
    let asked = score.asked;
    (asked < FEW)
        .then(|| format!("So few answers ({asked}) show little of how well somebody reads."))
}

/// At even odds the 95 % Wilson interval of a share is wider than a third below this (Newcombe, Stat. Med.
/// 17:857, 1998, method 3: 15 of 30 gives 0.33 to 0.67).
const FEW: usize = 30;

//! The line that stands under every answer while a prove-out is kept, and the state of one in words, JSON and a
//! picture.

mod curve;
mod json;
mod rows;
mod text;

use crate::people::prove::{Progress, Proof, Under, new_here};

pub use curve::operating_curve;
pub use json::proof_to_json;
pub(crate) use rows::proof_rows;
pub use text::proof_to_text;

/// What stands under an answer.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct ProofNote {
    /// As it is said, a few sentences.
    pub line: String,
    /// Whether the program is proven in this shop.
    pub proven: bool,
    /// Whether what to change is kept back.
    pub held: bool,
    /// The line without what is new of one check.
    #[serde(skip)]
    pub of_the_shop: String,
}

impl ProofNote {
    /// `under` is what the check was made with, where there is one.
    pub fn of(proof: &Proof, under: Option<&Under>) -> Self {
        let new = under.map_or_else(Vec::new, |u| new_here(u, &proof.judged));
        Self {
            line: line(proof, &new),
            proven: proof.is_proven(),
            held: proof.holds(),
            of_the_shop: line(proof, &[]),
        }
    }

    /// Where the shop's archive can't be asked: it may keep changes back.
    pub(crate) fn unknown() -> Self {
        let line = "The archive cannot be read, so whether the program is proven in this shop is not known: mend \
                    that, or name another folder with --archive.";
        Self {
            line: line.to_owned(),
            proven: false,
            held: true,
            of_the_shop: line.to_owned(),
        }
    }
}

fn line(proof: &Proof, new: &[String]) -> String {
    let mut sentences = vec![standing(proof)];
    if proof.is_proven() {
        sentences.push(since(proof));
        if !new.is_empty() {
            sentences.push(format!("New here: {}.", new.join(", ")));
        }
    }
    let (then, now) = (&proof.prove_out.program, env!("CARGO_PKG_VERSION"));
    if then != now {
        sentences.push(format!("Begun with version {then}; this is {now}."));
    }
    if proof.attempt > 1 {
        sentences.push(format!("Prove-out number {} of this shop.", proof.attempt));
    }
    sentences.join(" ")
}

fn standing(proof: &Proof) -> String {
    let (counts, plan) = (&proof.counts, &proof.prove_out.plan);
    let (done, of) = (counts.answered, plan.checks);
    let came_to = format!("{} right, {} the wrong way", counts.right, counts.wrong_way);
    match proof.progress {
        Progress::UnderWay => {
            format!("Not proven in this shop: {done} of {of} checks so far, {came_to}.")
        }
        Progress::Fulfilled => format!(
            "Not proven in this shop: {done} of {of} checks, {came_to}; a lead has to end the prove-out."
        ),
        Progress::WentWrong(check) => format!(
            "Not proven in this shop: check {} went the wrong way; {done} of {of} checks, {came_to}.",
            &check.to_string()[..8]
        ),
        Progress::EndedEarly => {
            format!("Not proven in this shop: ended after {done} of {of} checks, {came_to}.")
        }
        Progress::Proven => format!(
            "Proven in this shop on {}, {came_to}: of its answers at most {} go it ({} confidence).",
            checks(done),
            at_most(counts.wrong_way_at_most(plan.confidence)),
            super::words::percent(plan.confidence)
        ),
    }
}

fn since(proof: &Proof) -> String {
    let day = proof.prove_out.ended.as_ref().map(|e| e.at.date());
    let day = day.map_or_else(String::new, |d| format!(" {d}"));
    let counts = &proof.since;
    let mut said = format!(
        "Since{day}: {}, {} right, {} the wrong way.",
        checks(counts.answered),
        counts.right,
        counts.wrong_way
    );
    if proof.watch.signalled_after.is_some() {
        said += " Answers and outcomes have drifted apart: prove it out again.";
    }
    said
}

fn checks(number: u32) -> String {
    match number {
        1 => "1 check".to_owned(),
        n => format!("{n} checks"),
    }
}

/// A bound in per cent, never below itself: `14.0 %`.
fn at_most(share: f64) -> String {
    // What rounding leaves of a whole tenth is no tenth more.
    format!("{:.1} %", (share * 1000.0 - 1e-9).ceil() / 10.0)
}

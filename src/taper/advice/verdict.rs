//! What the check comes to, before it is put in words.

use super::change::{self, Amount};
use super::jaws::{self, Agreement, Jaw, Standing};
use super::{Action, Setup};
use crate::reading::pattern::{Pattern, is_taper};
use crate::taper::estimate::Observation;
use crate::taper::learning::History;
use crate::taper::rules::{Rules, Situation};

/// What the check comes to.
#[derive(Debug)]
pub(super) enum Verdict {
    /// The pattern alone says what to do; no change of taper.
    Pattern { pattern: Pattern, action: Action },
    /// The check as a whole is the matter; no change of taper.
    Situation {
        situation: Situation,
        pattern: Pattern,
        action: Action,
        odd_jaw: Option<usize>,
    },
    /// The jaws agree on the taper.
    Taper {
        pattern: Pattern,
        amount: Box<Amount>,
    },
}

pub(super) fn reach(jaws: &[Jaw<'_>], setup: &Setup, history: &History, rules: &Rules) -> Verdict {
    let firm: Vec<&Jaw<'_>> = jaws.iter().filter(|j| j.is_firm()).collect();
    let weak: Vec<&Jaw<'_>> = jaws
        .iter()
        .filter(|j| j.standing == Standing::Weak)
        .collect();
    if jaws.is_empty() {
        return retake(Situation::NoPhotos, Pattern::Unreadable);
    }
    if let Some(situation) = contradicted(jaws) {
        let judged = jaws.iter().filter(|j| j.standing != Standing::Unjudged);
        return retake(situation, jaws::common_pattern(judged));
    }
    if firm.iter().any(|j| !is_taper(j.pattern())) {
        return seat_first(&firm);
    }
    let seen: Vec<&Jaw<'_>> = firm.iter().chain(&weak).copied().collect();
    if firm.is_empty() || seen.len() * 2 < jaws.len() {
        return too_few(jaws.len(), &seen, !weak.is_empty());
    }
    match agreement(&firm, rules) {
        Agreement::Disagree(odd_jaw) => disagree(&firm, odd_jaw),
        // A weak reading that says otherwise may be right.
        Agreement::Agree if agreement(&seen, rules) != Agreement::Agree => retake(
            Situation::LowConfidence,
            jaws::common_pattern(seen.into_iter()),
        ),
        Agreement::Agree => taper(&firm, setup, history, rules),
    }
}

/// What was said that a picture contradicts. The method first: a print has no seam to tell the tip by. The
/// method is one for the whole check, so it counts even where a picture's own pattern is not judged.
fn contradicted(jaws: &[Jaw<'_>]) -> Option<Situation> {
    if jaws.iter().any(|j| j.reading.method_contradicted) {
        return Some(Situation::MethodContradicted);
    }
    jaws.iter()
        .any(|j| j.standing != Standing::Unjudged && j.reading.tip_contradicted)
        .then_some(Situation::TipContradicted)
}

fn agreement(jaws: &[&Jaw<'_>], rules: &Rules) -> Agreement {
    let of = |j: &&Jaw<'_>| Some((j.index, j.observation?));
    let seen: Vec<(usize, Observation)> = jaws.iter().filter_map(of).collect();
    jaws::agreement(&seen, rules.estimate())
}

fn retake(situation: Situation, pattern: Pattern) -> Verdict {
    Verdict::Situation {
        situation,
        pattern,
        action: Action::Retake,
        odd_jaw: None,
    }
}

/// At least one firm reading is a matter of seat or shape.
fn seat_first(firm: &[&Jaw<'_>]) -> Verdict {
    let pattern = jaws::common_pattern(firm.iter().copied());
    let alike = firm.iter().all(|j| j.pattern() == pattern);
    if alike {
        return Verdict::Pattern {
            pattern,
            action: Action::FixFirst,
        };
    }
    disagree(firm, jaws::odd_pattern(firm))
}

fn disagree(firm: &[&Jaw<'_>], odd_jaw: Option<usize>) -> Verdict {
    Verdict::Situation {
        situation: Situation::JawsDisagree,
        pattern: jaws::common_pattern(firm.iter().copied()),
        action: Action::FixFirst,
        odd_jaw,
    }
}

fn too_few(photos: usize, seen: &[&Jaw<'_>], some_weak: bool) -> Verdict {
    let pattern = jaws::common_pattern(seen.iter().copied());
    match (seen.is_empty(), some_weak) {
        (true, _) if photos == 1 => Verdict::Pattern {
            pattern,
            action: Action::Retake,
        },
        (_, true) => retake(Situation::LowConfidence, pattern),
        (_, false) => retake(Situation::TooFewJaws, pattern),
    }
}

/// The jaws agree; those with an open end must outnumber those without to ask for a cut.
fn taper(firm: &[&Jaw<'_>], setup: &Setup, history: &History, rules: &Rules) -> Verdict {
    let (full, open): (Vec<&Jaw<'_>>, Vec<&Jaw<'_>>) = firm
        .iter()
        .copied()
        .partition(|j| j.pattern() == Pattern::FullLength);
    let (pattern, jaws) = if open.len() > full.len() {
        (jaws::common_pattern(open.iter().copied()), firm.to_vec())
    } else {
        (Pattern::FullLength, full)
    };
    let observations: Vec<_> = jaws.iter().filter_map(|j| j.observation).collect();
    let rules = rules.estimate();
    match change::amount(pattern, &observations, setup.taper, history, rules) {
        Ok(amount) => Verdict::Taper {
            pattern,
            amount: Box::new(amount),
        },
        Err(situation) => Verdict::Situation {
            situation,
            pattern,
            action: if situation == Situation::LowConfidence {
                Action::Retake
            } else {
                Action::FixFirst
            },
            odd_jaw: None,
        },
    }
}

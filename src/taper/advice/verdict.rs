//! What the check comes to, before it is put in words.

use super::change::{self, Amount};
use super::jaws::{self, Jaw, JawsAgree, Standing};
use super::{Action, Check, Setup, ends};
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
    if jaws.is_empty() {
        return retake(Situation::NoPhotos, Pattern::Unreadable);
    }
    // Before the patterns: with the other method or the other tip, each means the opposite.
    match contradicted(jaws) {
        None => weigh(jaws, setup, history, rules),
        Some(Situation::TipUnsaid) if ends::are_borne_out(jaws) => {
            weigh(jaws, setup, history, rules)
        }
        Some(Situation::TipUnsaid) => whichever_end(jaws, setup, history, rules)
            .unwrap_or_else(|| settle(Situation::TipUnsaid, jaws)),
        Some(situation) => settle(situation, jaws),
    }
}

fn settle(situation: Situation, jaws: &[Jaw<'_>]) -> Verdict {
    let judged = jaws.iter().filter(|j| j.standing != Standing::Unjudged);
    Verdict::Situation {
        situation,
        pattern: jaws::common_pattern(judged),
        action: Action::Settle,
        odd_jaw: None,
    }
}

/// What is to be seen to first whichever end of the jaws in doubt is the tip: then nothing hangs on it, and it is not asked.
fn whichever_end(
    jaws: &[Jaw<'_>],
    setup: &Setup,
    history: &History,
    rules: &Rules,
) -> Option<Verdict> {
    let ways = ends::either_way(jaws)?;
    let mut verdicts = ways.iter().map(|readings| {
        let check = Check {
            readings: readings.iter().collect(),
            setup: setup.clone(),
        };
        weigh(
            &jaws::sorted(&check, rules.estimate()),
            setup,
            history,
            rules,
        )
    });
    let as_shown = verdicts.next()?;
    verdicts.try_fold(as_shown, in_common)
}

/// What two verdicts say alike, where both say what to see to first.
fn in_common(one: Verdict, other: Verdict) -> Option<Verdict> {
    use Verdict::{Pattern as Of, Situation as In};
    match (one, other) {
        (Of { pattern, action }, Of { pattern: same, .. })
            if action == Action::FixFirst && pattern == same =>
        {
            Some(Of { pattern, action })
        }
        (
            In {
                situation,
                pattern,
                action,
                odd_jaw,
            },
            In {
                situation: same,
                odd_jaw: odd,
                ..
            },
        ) if action == Action::FixFirst && situation == same => Some(In {
            situation,
            pattern,
            action,
            odd_jaw: odd_jaw.filter(|jaw| odd == Some(*jaw)),
        }),
        _ => None,
    }
}

/// With every end as it is read.
fn weigh(jaws: &[Jaw<'_>], setup: &Setup, history: &History, rules: &Rules) -> Verdict {
    let firm: Vec<&Jaw<'_>> = jaws.iter().filter(|j| j.is_firm()).collect();
    let weak: Vec<&Jaw<'_>> = jaws
        .iter()
        .filter(|j| j.standing == Standing::Weak)
        .collect();
    // Before the taper: it is cut into all jaws at once, so none of them may sit wrong.
    if firm.iter().any(|j| !is_taper(j.pattern())) {
        return seat_first(&firm);
    }
    let seen: Vec<&Jaw<'_>> = firm.iter().chain(&weak).copied().collect();
    // Weak ones count here, as they may support; but they decide nothing.
    if firm.is_empty() || seen.len() * 2 < jaws.len() {
        return too_few(jaws.len(), &seen, !weak.is_empty());
    }
    let readable: Vec<&Jaw<'_>> = jaws.iter().filter(|j| j.observation.is_some()).collect();
    match jaws_agree(&firm, rules) {
        JawsAgree::No(odd_jaw) => disagree(&firm, odd_jaw),
        // A jaw that is read with little certainty and says otherwise may be right: it is never outvoted.
        JawsAgree::Yes => match jaws_agree(&readable, rules) {
            JawsAgree::No(odd_jaw) => disagree(&readable, odd_jaw),
            JawsAgree::Yes => taper(&firm, setup, history, rules),
        },
    }
}

/// What was said that a picture contradicts. The method first: a print has no seam to tell the tip by. The
/// method is one for the whole check, so it counts even where a picture's own pattern is not judged.
fn contradicted(jaws: &[Jaw<'_>]) -> Option<Situation> {
    if jaws.iter().any(|j| j.reading.method_contradicted) {
        return Some(Situation::MethodContradicted);
    }
    let mut in_doubt = jaws.iter().filter(|j| j.tip_in_doubt()).peekable();
    in_doubt.peek()?;
    let only_unsaid = in_doubt.all(|j| j.reading.tip_unsaid);
    Some(if only_unsaid {
        Situation::TipUnsaid
    } else {
        Situation::TipContradicted
    })
}

fn jaws_agree(jaws: &[&Jaw<'_>], rules: &Rules) -> JawsAgree {
    let of = |j: &&Jaw<'_>| Some((j.index, j.observation?));
    let seen: Vec<(usize, Observation)> = jaws.iter().filter_map(of).collect();
    jaws::jaws_agree(&seen, rules.estimate())
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
        // Of a photo by itself its own refusal says more than that there are too few.
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
    // A tie leaves the taper: a cut that was not needed costs more than another check.
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

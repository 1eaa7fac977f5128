//! A verdict in the rules' words.

use super::change::Amount;
use super::jaws::{Jaw, Standing};
use super::program::program;
use super::verdict::Verdict;
use super::{Action, Advice, Setup};
use crate::reading::method::Method;
use crate::reading::pattern::{Pattern, is_taper};
use crate::taper::estimate::OpenEnd;
use crate::taper::learning::History;
use crate::taper::rules::{self, Rules, Situation, Words};
use crate::units::Length;

pub(super) fn put(
    verdict: &Verdict,
    jaws: &[Jaw<'_>],
    setup: &Setup,
    history: &History,
    rules: &Rules,
) -> Advice {
    let mut advice = match verdict {
        Verdict::Pattern { pattern, action } => of_pattern(*pattern, *action, jaws, rules),
        Verdict::Situation {
            situation,
            pattern,
            action,
            odd_jaw,
        } => {
            let advice = of_pattern(*pattern, *action, jaws, rules);
            of_situation(advice, rules.situation(*situation), *odd_jaw, jaws, rules)
        }
        Verdict::Taper { pattern, amount } => {
            let leave = *pattern == Pattern::FullLength;
            let action = if leave { Action::Leave } else { Action::Recut };
            of_taper(
                of_pattern(*pattern, action, jaws, rules),
                amount,
                jaws,
                setup,
            )
        }
    };
    advice.why = sentences([advice.why, of_history(verdict, history), uncovered(jaws)]);
    // A picture's own doubt comes before what the pattern asks to look at.
    advice.look_at_first.splice(0..0, warnings(jaws));
    dedup(&mut advice.look_at_first);
    advice
}

/// What the earlier checks add.
fn of_history(verdict: &Verdict, history: &History) -> String {
    match verdict {
        Verdict::Taper { amount, .. } if amount.with_history => history.in_words(),
        Verdict::Situation {
            situation: Situation::HistoryContradicts,
            ..
        } => history.in_words(),
        _ => String::new(),
    }
}

fn of_situation(
    advice: Advice,
    words: &Words,
    odd_jaw: Option<usize>,
    jaws: &[Jaw<'_>],
    rules: &Rules,
) -> Advice {
    let mut look_at_first = odd_first(odd_jaw, jaws, rules);
    look_at_first.extend(words.look_at_first.iter().cloned());
    Advice {
        what_to_do: words.advice.replace("{jaws}", &in_doubt(jaws)),
        why: sentences([each_jaw(jaws), odd_words(odd_jaw), words.why.clone()]),
        look_at_first,
        odd_jaw,
        ..advice
    }
}

fn of_taper(advice: Advice, amount: &Amount, jaws: &[Jaw<'_>], setup: &Setup) -> Advice {
    let alike = jaws.iter().all(|j| j.pattern() == advice.pattern);
    let each = if alike { String::new() } else { each_jaw(jaws) };
    let clearance = setup.clearance.unwrap_or(Length::ZERO);
    let planned = amount.next_taper.zip(setup.length);
    Advice {
        why: sentences([advice.why, each, open_words(jaws), held_words(amount)]),
        taper_change: Some(amount.change),
        next_taper: amount.next_taper,
        program: planned.and_then(|(t, length)| program(t, length, clearance, setup.grip)),
        posterior: Some(amount.posterior.clone()),
        ..advice
    }
}

fn of_pattern(pattern: Pattern, action: Action, jaws: &[Jaw<'_>], rules: &Rules) -> Advice {
    // A check has one method.
    let method = jaws.first().map_or(Method::default(), |j| j.reading.method);
    let row = rules.pattern(pattern, method);
    Advice {
        pattern,
        action,
        taper_change: None,
        next_taper: None,
        program: None,
        what_to_do: row.advice.clone(),
        why: sentences([row.meaning.clone(), row.why.clone()]),
        look_at_first: row.look_at_first.clone(),
        cautions: rules.cautions().to_vec(),
        odd_jaw: None,
        posterior: None,
    }
}

/// Joined by spaces, the empty ones left out.
fn sentences<const N: usize>(parts: [String; N]) -> String {
    parts
        .into_iter()
        .filter(|p| !p.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

/// `jaw 2`, `jaws 1 and 3`: those whose tip is in doubt. A photo by itself is `the jaw`.
fn in_doubt(jaws: &[Jaw<'_>]) -> String {
    let doubtful = jaws.iter().filter(|j| j.tip_in_doubt());
    let numbers: Vec<String> = doubtful.map(|j| (j.index + 1).to_string()).collect();
    match &numbers[..] {
        _ if jaws.len() == 1 => "the jaw".to_owned(),
        [] | [_] => format!("jaw {}", numbers.concat()),
        [all_but_last @ .., last] => format!("jaws {} and {last}", all_but_last.join(", ")),
    }
}

/// `Jaw 1: tip-only; jaw 2: base-only.` Nothing for a single jaw.
fn each_jaw(jaws: &[Jaw<'_>]) -> String {
    if jaws.len() < 2 {
        return String::new();
    }
    let one = |j: &Jaw<'_>| format!("jaw {}: {}", j.index + 1, rules::name(j.pattern()));
    let all = jaws.iter().map(one).collect::<Vec<_>>().join("; ");
    // The letter that goes is the j of “jaw”, one byte.
    format!("J{}.", &all[1..])
}

fn odd_words(odd_jaw: Option<usize>) -> String {
    odd_jaw.map_or(String::new(), |i| {
        format!("Jaw {} differs from the others.", i + 1)
    })
}

/// What the odd jaw's own pattern asks to look at, where it is no taper matter.
fn odd_first(odd_jaw: Option<usize>, jaws: &[Jaw<'_>], rules: &Rules) -> Vec<String> {
    let Some(jaw) = odd_jaw.and_then(|i| jaws.iter().find(|j| j.index == i)) else {
        return Vec::new();
    };
    if is_taper(jaw.pattern()) {
        return vec![format!(
            "Jaw {}: its seat before the others'.",
            jaw.index + 1
        )];
    }
    let row = rules.pattern(jaw.pattern(), jaw.reading.method);
    row.look_at_first
        .iter()
        .map(|look| format!("Jaw {}: {look}", jaw.index + 1))
        .collect()
}

/// How much of the length stands open, over the jaws that count.
fn open_words(jaws: &[Jaw<'_>]) -> String {
    let firm = jaws
        .iter()
        .filter(|j| j.is_firm())
        .filter_map(|j| j.observation);
    let (open, full): (Vec<_>, Vec<_>) = firm.partition(|o| o.open_end() != OpenEnd::Neither);
    let Some(first) = open.first() else {
        return String::new();
    };
    let percent = open
        .iter()
        .map(|o| (o.open_fraction() * 100.0).round() as u32);
    let low = percent.clone().min().unwrap_or(0);
    let high = percent.max().unwrap_or(0);
    let range = if low == high {
        format!("{low}")
    } else {
        format!("{low} to {high}")
    };
    let end = if first.open_end() == OpenEnd::Base {
        "base"
    } else {
        "tip"
    };
    let on = if full.is_empty() {
        ""
    } else {
        " where it is open at all"
    };
    format!("Open over {range} % of the length from the {end}{on}.")
}

fn held_words(amount: &Amount) -> String {
    if !amount.held_to_step {
        return String::new();
    }
    format!(
        "The estimate is {}; the change is held to the largest step, so check again after the cut.",
        amount.median.as_change()
    )
}

/// What the answer does not cover.
fn uncovered(jaws: &[Jaw<'_>]) -> String {
    if let [only] = jaws {
        let one = "This is one jaw only: photograph all jaws before cutting.";
        return if only.is_firm() {
            one.to_owned()
        } else {
            String::new()
        };
    }
    let of = |standing, what: &str| {
        let these: Vec<String> = jaws
            .iter()
            // A tip in doubt is asked for; that makes no photo worth taking again.
            .filter(|j| j.standing == standing && !j.tip_in_doubt())
            .map(|j| (j.index + 1).to_string())
            .collect();
        match &these[..] {
            [] => String::new(),
            [one] => format!("Jaw {one} was {what}: take its photo again."),
            more => format!(
                "Jaws {} were {what}: take their photos again.",
                more.join(", ")
            ),
        }
    };
    sentences([
        of(Standing::Unjudged, "not judged"),
        of(Standing::Weak, "read with little certainty"),
    ])
}

fn warnings(jaws: &[Jaw<'_>]) -> Vec<String> {
    let of = |j: &Jaw<'_>| {
        let number = j.index + 1;
        let numbered = move |w: &String| format!("Jaw {number}: {w}");
        j.reading.warnings.iter().map(numbered).collect::<Vec<_>>()
    };
    jaws.iter().flat_map(of).collect()
}

fn dedup(lines: &mut Vec<String>) {
    let mut seen = std::collections::HashSet::new();
    lines.retain(|line| seen.insert(line.clone()));
}

//! Filed calls → rows for the statistics.

use std::collections::{HashMap, HashSet};

use super::truth::{Basis, Outcomes, Truth, Word, answer};
use crate::people::records::{Answer, CallKind, CallRow, FiledCall, Item};
use crate::taper::advice::Action;
use crate::taper::records::{Id, Timeline};
use crate::taper::rules::EstimateRules;

/// Every call but rulings and measurements, oldest first, each with what was right and what the program reads. Calls of
/// checks that are in none of the timelines, because they are hidden, are left out; of photos what was told
/// stands, since they need not be in the archive.
pub fn rows(calls: &[FiledCall], timelines: &[Timeline], rules: &EstimateRules) -> Vec<CallRow> {
    let known = Known::of(calls, timelines, rules);
    let mut rows: Vec<CallRow> = calls
        .iter()
        // These are what calls are held against.
        .filter(|c| basis(c.kind).is_none())
        .filter_map(|c| row(c, &known))
        .collect();
    // Repeats are numbered in this order (`Calls::in_order`).
    rows.sort_by(|a, b| (a.at, &a.person).cmp(&(b.at, &b.person)));
    rows
}

/// What stands on each check that was ruled on or measured: the latest ruling, else the latest measurement.
pub(crate) fn rulings(calls: &[FiledCall]) -> HashMap<Id, Word<'_>> {
    words(calls, |c| basis(c.kind))
}

/// The latest word on each check, a ruling before a measurement; `basis` says what a call goes by, where it
/// says anything of what was right.
pub(crate) fn words(
    calls: &[FiledCall],
    basis: impl Fn(&FiledCall) -> Option<Basis>,
) -> HashMap<Id, Word<'_>> {
    let word = |c: &FiledCall| Some((check_of(&c.item)?, basis(c)?));
    let mut found: Vec<_> = calls
        .iter()
        .filter_map(|c| word(c).map(|(check, by)| (check, c, by)))
        .collect();
    // Collecting into the map below lets the last one stand; the id breaks ties.
    found.sort_by_key(|(_, c, by)| (*by == Basis::Ruling, c.call.at, c.id));
    found
        .into_iter()
        .map(|(check, c, by)| (check, Word { call: &c.call, by }))
        .collect()
}

fn basis(kind: CallKind) -> Option<Basis> {
    match kind {
        CallKind::Ruling => Some(Basis::Ruling),
        CallKind::Measured => Some(Basis::Measured),
        CallKind::Check | CallKind::Practice | CallKind::Study => None,
    }
}

/// What is known of the checks that were called: what was right, what the program answered, and whether that is
/// kept back.
struct Known(HashMap<Id, (Option<Truth>, Option<Answer>, bool)>);

impl Known {
    fn of(calls: &[FiledCall], timelines: &[Timeline], rules: &EstimateRules) -> Self {
        let called: HashSet<Id> = calls.iter().filter_map(|c| check_of(&c.item)).collect();
        let rulings = rulings(calls);
        let mut known = HashMap::new();
        for timeline in timelines {
            let checks = timeline.checks();
            let mut checks = checks.filter(|c| called.contains(&c.id)).peekable();
            // The estimate costs about a millisecond a check, so it is made only of sets that somebody
            // called.
            if checks.peek().is_none() {
                continue;
            }
            let outcomes = Outcomes::of(timeline, rules);
            for check in checks {
                let truth = outcomes.truth(check.id, rulings.get(&check.id).copied());
                let kept_back = check.advice.action == Action::Held;
                known.insert(check.id, (truth, answer(&check.advice), kept_back));
            }
        }
        Self(known)
    }
}

fn check_of(item: &Item) -> Option<Id> {
    match item {
        Item::Check(id) => Some(*id),
        Item::Photo(_) => None,
    }
}

fn row(filed: &FiledCall, known: &Known) -> Option<CallRow> {
    let told = filed.told.map(|t| (Some(t.truth), t.program, false));
    let (truth, program, kept_back) = match &filed.item {
        // What is known of a check may have become better since it was told; of a photo nothing else is
        // kept.
        Item::Check(id) => *known.0.get(id)?,
        Item::Photo(_) => told.unwrap_or_default(),
    };
    Some(CallRow {
        person: filed.call.by.clone(),
        item: filed.item.clone(),
        pattern: filed.call.pattern,
        change: filed.call.change,
        at: filed.call.at,
        kind: filed.kind,
        session: filed.session,
        truth,
        program,
        kept_back,
    })
}

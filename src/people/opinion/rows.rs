//! Filed calls → rows for the statistics.

use std::collections::{HashMap, HashSet};

use super::call::Call;
use super::truth::{Outcomes, Truth, answer};
use crate::people::records::{Answer, CallKind, CallRow, FiledCall, Item};
use crate::taper::records::{Id, Timeline};
use crate::taper::rules::EstimateRules;

/// Every call but rulings, oldest first, each with what was right and what the program reads. Calls of
/// checks that are in none of the timelines, because they are hidden, are left out; of photos what was told
/// stands, since they need not be in the archive.
pub fn rows(calls: &[FiledCall], timelines: &[Timeline], rules: &EstimateRules) -> Vec<CallRow> {
    let known = Known::of(calls, timelines, rules);
    let mut rows: Vec<CallRow> = calls
        .iter()
        // A ruling is what calls are held against.
        .filter(|c| c.kind != CallKind::Ruling)
        .filter_map(|c| row(c, &known))
        .collect();
    // Repeats are numbered in this order (`Calls::in_order`).
    rows.sort_by(|a, b| (a.at, &a.person).cmp(&(b.at, &b.person)));
    rows
}

/// The ruling that stands on each check that was ruled on: the latest.
pub(crate) fn rulings(calls: &[FiledCall]) -> HashMap<Id, &Call> {
    let mut ruled: Vec<&FiledCall> = calls
        .iter()
        .filter(|c| c.kind == CallKind::Ruling)
        .collect();
    // Collecting into the map below lets the later one stand; the id breaks ties.
    ruled.sort_by_key(|c| (c.call.at, c.id));
    let on = |c: &'_ FiledCall| check_of(&c.item);
    ruled
        .into_iter()
        .filter_map(|c| Some((on(c)?, &c.call)))
        .collect()
}

/// What is known of the checks that were called.
struct Known(HashMap<Id, (Option<Truth>, Option<Answer>)>);

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
                known.insert(check.id, (truth, answer(&check.advice)));
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
    let told = filed.told.map(|t| (Some(t.truth), t.program));
    let (truth, program) = match &filed.item {
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
    })
}

//! Filed calls → rows for the statistics.

use std::collections::HashMap;

use super::truth::{Truth, answer, truth};
use crate::records::{Answer, CallKind, CallRow, FiledCall, FiledCheck, Id, Item, Timeline};
use crate::rules::EstimateRules;

/// Every call but rulings, oldest first, each with what was right and what the program reads. Calls of
/// checks that are in none of the timelines, because they are hidden, are left out; of practice and studies
/// what was told stands, since the photos need not be in the archive.
pub fn rows(calls: &[FiledCall], timelines: &[Timeline], rules: &EstimateRules) -> Vec<CallRow> {
    let known = Known::of(calls, timelines, rules);
    let mut rows: Vec<CallRow> = calls
        .iter()
        .filter(|c| c.kind != CallKind::Ruling)
        .filter_map(|c| row(c, &known))
        .collect();
    rows.sort_by(|a, b| (a.at, &a.person).cmp(&(b.at, &b.person)));
    rows
}

/// The ruling on a check that stands: the latest.
pub(crate) fn ruling_on(check: Id, calls: &[FiledCall]) -> Option<&FiledCall> {
    let on = |c: &&FiledCall| c.kind == CallKind::Ruling && c.item == Item::Check(check);
    calls.iter().filter(on).max_by_key(|c| (c.call.at, c.id))
}

/// What is known of the checks that were called.
struct Known(HashMap<Id, (Option<Truth>, Option<Answer>)>);

impl Known {
    fn of(calls: &[FiledCall], timelines: &[Timeline], rules: &EstimateRules) -> Self {
        let places: HashMap<Id, (&Timeline, &FiledCheck)> = timelines
            .iter()
            .flat_map(|t| {
                t.cuts
                    .iter()
                    .flat_map(move |c| c.checks.iter().map(move |k| (t, k)))
            })
            .map(|(t, check)| (check.id, (t, check)))
            .collect();
        let mut known = HashMap::new();
        for call in calls {
            let Item::Check(id) = call.item else { continue };
            if let Some((timeline, check)) = places.get(&id) {
                known.entry(id).or_insert_with(|| {
                    let ruling = ruling_on(id, calls).map(|r| &r.call);
                    (truth(id, timeline, ruling, rules), answer(&check.advice))
                });
            }
        }
        Self(known)
    }
}

fn row(filed: &FiledCall, known: &Known) -> Option<CallRow> {
    let told = filed.told.map(|t| (Some(t.truth), t.program));
    let (truth, program) = match &filed.item {
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

//! How many cuts a jaw set took until it could be left.

use super::{JawSetChecks, ManyPasses, Order};
use crate::review::CheckLine;
use crate::taper::advice::Action;

/// A taper that is not right after three passes is not found by cutting again (common practice).
pub(crate) const PASSES_EXPECTED: usize = 3;

/// The worst episode of each set that took more passes than expected.
pub(super) fn many(checks: &[CheckLine], order: &Order<'_>) -> Vec<ManyPasses> {
    let mut found: Vec<ManyPasses> = order
        .named()
        .filter_map(|(i, set)| worst(i, set, checks))
        .collect();
    found.sort_by_key(|m| std::cmp::Reverse(m.passes));
    found
}

fn worst(set: usize, of: &JawSetChecks<'_>, checks: &[CheckLine]) -> Option<ManyPasses> {
    let mut worst: Option<ManyPasses> = None;
    for episode in episodes(set, of, checks) {
        let more = worst.as_ref().is_none_or(|w| episode.passes >= w.passes);
        if more && episode.passes > PASSES_EXPECTED {
            worst = Some(episode);
        }
    }
    worst
}

/// From the first check, or the one after a check that left the taper, up to the next such check. A pass
/// is a cut that was checked; the cut that was left belongs to the episode before.
fn episodes(set: usize, of: &JawSetChecks<'_>, checks: &[CheckLine]) -> Vec<ManyPasses> {
    let empty = |passes| ManyPasses {
        set,
        passes,
        tapers_known: true,
        checks: Vec::new(),
    };
    let mut all = Vec::new();
    let mut now = empty(1);
    let mut last: Option<&CheckLine> = None;
    for &i in of.dated(checks) {
        let check = &checks[i];
        if check.action == Action::Retake {
            continue;
        }
        if last.is_some_and(|l| is_new_cut(l, check)) {
            now.passes += 1;
        }
        now.tapers_known &= check.taper.is_some();
        now.checks.push(i);
        last = Some(check);
        if check.action == Action::Leave {
            all.push(std::mem::replace(&mut now, empty(0)));
        }
    }
    all.push(now);
    all
}

/// Where both tapers are noted they tell; else a cut follows a check that asked for one.
fn is_new_cut(last: &CheckLine, check: &CheckLine) -> bool {
    match (last.taper, check.taper) {
        (Some(before), Some(now)) => before != now,
        _ => last.action == Action::Recut,
    }
}

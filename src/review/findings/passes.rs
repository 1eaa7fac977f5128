//! How many cuts a jaw set took until it could be left.

use super::{ManyPasses, Seen};
use crate::taper::advice::Action;

/// A taper that is not right after three passes is not found by cutting again (common practice).
pub(crate) const PASSES_EXPECTED: usize = 3;

/// The worst episode of a set, of its checks with a date, oldest first, where it took more passes than expected.
pub(super) fn worst(set: usize, dated: &[Seen]) -> Option<ManyPasses> {
    let mut worst: Option<ManyPasses> = None;
    for episode in episodes(set, dated) {
        // Of equally bad ones the later, as in the other lists.
        let more = worst.as_ref().is_none_or(|w| episode.passes >= w.passes);
        if more && episode.passes > PASSES_EXPECTED {
            worst = Some(episode);
        }
    }
    worst
}

/// From the first check, or the one after a check that left the taper, up to the next such check. A pass
/// is a cut that was checked; the cut that was left belongs to the episode before.
fn episodes(set: usize, dated: &[Seen]) -> Vec<ManyPasses> {
    let empty = |passes| ManyPasses {
        set,
        passes,
        tapers_known: true,
        checks: Vec::new(),
    };
    let mut all = Vec::new();
    // The cut before the first check is a pass, too; after a taper was left the next cut has yet to come.
    let mut now = empty(1);
    let mut last: Option<&Seen> = None;
    for check in dated {
        // The photo was taken again, or read again after a word, so the same cut is looked at twice.
        if matches!(check.action, Action::Retake | Action::Settle) {
            continue;
        }
        if last.is_some_and(|l| is_new_cut(l, check)) {
            now.passes += 1;
        }
        now.tapers_known &= check.taper.is_some();
        now.checks.push(check.at);
        last = Some(check);
        if check.action == Action::Leave {
            all.push(std::mem::replace(&mut now, empty(0)));
        }
    }
    all.push(now);
    all
}

/// Where both tapers are noted they tell; else a cut follows a check that asked for one.
fn is_new_cut(last: &Seen, check: &Seen) -> bool {
    match (last.taper, check.taper) {
        (Some(before), Some(now)) => before != now,
        _ => last.action == Action::Recut,
    }
}

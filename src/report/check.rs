//! The photos of one check → what a report tells about it: for the command line and for the page alike.

use crate::reading::method::Method;
use crate::report::{CheckReport, PhotoReport};
use crate::taper::advice::{Check, Setup, advise_with};
use crate::taper::learning::History;
use crate::taper::rules::Rules;

/// Advice over the photos that could be opened, each picture counted once.
pub(crate) fn report(
    mut photos: Vec<PhotoReport>,
    method: Method,
    setup: Setup,
    rules: &Rules,
    history: &History,
) -> CheckReport {
    mark_doubles(&mut photos);
    for inspection in photos.iter_mut().filter_map(|p| p.outcome.as_mut().ok()) {
        // A stage says only the reason; what to do about it is in the shop's rules.
        rules.fill_refusal(&mut inspection.reading);
    }
    let counted = photos.iter().filter(|p| p.counts());
    let readings = counted
        .filter_map(|p| p.inspection().map(|i| &i.reading))
        .collect();
    let check = Check { readings, setup };
    let advice = advise_with(&check, history, rules);
    let (setup, rules) = (check.setup, rules.version().to_owned());
    CheckReport {
        photos,
        method,
        setup,
        rules,
        advice,
        filed: None,
        call: None,
    }
}

/// The same file twice would weigh one jaw double.
fn mark_doubles(photos: &mut [PhotoReport]) {
    for later in 1..photos.len() {
        let (before, rest) = photos.split_at_mut(later);
        let Ok(inspection) = &mut rest[0].outcome else {
            continue;
        };
        let same = |p: &PhotoReport| {
            p.inspection()
                .is_some_and(|i| i.photo.sha256 == inspection.photo.sha256)
        };
        if let Some(first) = before.iter().position(same) {
            inspection.reading.warnings.push(format!(
                "the same picture as {}: counted once; give one photo of each jaw",
                before[first].file
            ));
            rest[0].same_as = Some(first);
        }
    }
}

//! The photos of one check → what a report tells about it: for the command line and for the page alike.

use super::outcome::jaws;
use crate::reading::inspect::join;
use crate::reading::method::Method;
use crate::report::{CheckReport, JawReport, PhotoReport};
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
    let mut joined = joined(&photos);
    for jaw in &mut joined {
        rules.fill_refusal(&mut jaw.joined.reading);
    }
    let jaws = jaws(&photos, &joined);
    let readings = jaws.iter().map(|(_, reading)| *reading).collect();
    let check = Check { readings, setup };
    let advice = advise_with(&check, history, rules);
    let (setup, rules) = (check.setup, rules.version().to_owned());
    CheckReport {
        photos,
        joined,
        method,
        setup,
        rules,
        advice,
        filed: None,
        call: None,
        proof: None,
    }
}

/// The photos of each jaw that has several, read together.
fn joined(photos: &[PhotoReport]) -> Vec<JawReport> {
    let mut jaws: Vec<(u8, Vec<usize>)> = Vec::new();
    for (index, photo) in photos.iter().enumerate().filter(|(_, p)| p.counts()) {
        let Some(number) = photo.jaw else { continue };
        match jaws.iter_mut().find(|(known, _)| *known == number) {
            Some((_, photos)) => photos.push(index),
            None => jaws.push((number, vec![index])),
        }
    }
    let several = jaws.into_iter().map(|(_, of)| of).filter(|of| of.len() > 1);
    several
        .map(|of| {
            let views: Vec<_> = of.iter().filter_map(|i| photos[*i].inspection()).collect();
            JawReport {
                joined: join(&views),
                photos: of,
            }
        })
        .collect()
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

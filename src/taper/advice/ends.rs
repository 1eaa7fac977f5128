//! Jaws of which nobody said which end is the tip: whether the answer of the check hangs on it.
//!
//! Of 135 such readings of rendered photos that the guard of a photo by itself lets through (`reading/inspect/limits`), none had
//! its tip at the other end, so that at most one in 45 has (95 %). Jaws of one check are bored together, so that one that is
//! truly opposite to the others is rare (one in twenty, assumption): where it shows what a settled jaw shows, its end is wrong
//! in one of 900. And the change then still goes the way that the settled jaw asks for. That several jaws in doubt agree with
//! each other settles nothing: of jaws that look alike the pictures may mislead alike.

use super::jaws::Jaw;
use crate::reading::outcome::Reading;
use crate::reading::pattern::{Direction, Pattern, direction};

/// Most jaws in doubt of which every way round is tried: chucks have up to six.
const MOST: usize = 6;

/// Whether a jaw by which the taper may be changed, whose end is settled, says what all those in doubt show.
pub(super) fn are_borne_out(jaws: &[Jaw<'_>]) -> bool {
    let mut settled = jaws.iter().filter(|j| j.is_firm() && !j.tip_in_doubt());
    let Some(settled) = settled.find(|j| turns(j)) else {
        return false;
    };
    let mut in_doubt = jaws.iter().filter(|j| j.tip_in_doubt());
    in_doubt.all(|j| j.observation.is_some() && j.pattern() == settled.pattern())
}

/// The readings of all jaws with each end in doubt either way round, first as the pictures show it. `None` where that is too
/// much, or where a jaw in doubt is not judged, and so may be anything.
pub(super) fn either_way(jaws: &[Jaw<'_>]) -> Option<Vec<Vec<Reading>>> {
    let in_doubt: Vec<&Jaw<'_>> = jaws.iter().filter(|j| j.tip_in_doubt()).collect();
    let known = |j: &&Jaw<'_>| j.observation.is_some() && turns(j);
    if in_doubt.len() > MOST || !in_doubt.iter().all(known) {
        return None;
    }
    let way = |number: usize| -> Vec<Reading> {
        let is_turned = |jaw: &Jaw<'_>| {
            let place = in_doubt.iter().position(|j| j.index == jaw.index);
            place.is_some_and(|place| number >> place & 1 == 1)
        };
        let reading = |jaw: &Jaw<'_>| {
            if is_turned(jaw) {
                turned(jaw.reading)
            } else {
                jaw.reading.clone()
            }
        };
        jaws.iter().map(reading).collect()
    };
    Some((0..1 << in_doubt.len()).map(way).collect())
}

fn turns(jaw: &Jaw<'_>) -> bool {
    direction(jaw.pattern()) != Direction::None
}

/// As it would read with the tip at the other end.
fn turned(reading: &Reading) -> Reading {
    let mut turned = reading.clone();
    turned.pattern = match reading.pattern {
        Pattern::TipOnly => Pattern::BaseOnly,
        Pattern::BaseOnly => Pattern::TipOnly,
        same => same,
    };
    if let Some(profile) = &mut turned.profile {
        profile.along.reverse();
        profile.along_sd.reverse();
        profile.across.reverse();
        profile.thirds.reverse();
    }
    turned
}

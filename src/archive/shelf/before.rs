//! What a jaw set's records say before a check: of its first taper, and of boring it again.

use crate::archive::shelf::lessons;
use crate::archive::{Archive, Details};
use crate::taper::records::JawSet;
use crate::taper::recut::{Present, Recut, RecutAdvice, recut};
use crate::taper::rules::Rules;
use crate::taper::start::{Given, GivenError, StartingTaper};

/// What a shop with an archive has besides.
const OR_NAME_A_SET: &str = ", or name a jaw set with finished checks";

/// From what is given; where that is neither a feeler nor a rating, from finished checks of the set and of sets like it.
pub(crate) fn first_taper(
    given: &Given,
    named: Option<(&mut Archive, &JawSet)>,
    rules: &Rules,
) -> anyhow::Result<StartingTaper> {
    let set = named.as_ref().map(|(_, set)| *set);
    if let Some(start) = given.start(set, rules)? {
        return Ok(start);
    }
    let (archive, set) = named.ok_or(GivenError::Nothing(OR_NAME_A_SET))?;
    let timeline = archive.timeline(set.id, Details::LeftOut)?;
    let others = lessons(archive, set.id, rules)?;
    Ok(given.by_history(&timeline, &others, rules)?)
}

/// Whether the set must be bored again, and how.
pub(crate) fn mounted_again(
    archive: &Archive,
    set: &JawSet,
    present: Present,
    rules: &Rules,
) -> anyhow::Result<RecutAdvice> {
    let timeline = archive.timeline(set.id, Details::LeftOut)?;
    let present = present.or_as(set);
    Ok(recut(&Recut::of(&timeline, &present), rules))
}

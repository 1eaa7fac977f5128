//! What a jaw set's earlier checks, and other sets, teach.

use crate::archive::{Archive, Details};
use crate::taper::learning::{Lesson, Step, knowledge, steps};
use crate::taper::records::{Id, Timeline};
use crate::taper::rules::Rules;

/// A jaw set's cuts and checks, and what was known after each check.
pub(crate) fn history_of(
    archive: &mut Archive,
    set: Id,
    rules: &Rules,
) -> anyhow::Result<(Timeline, Vec<Step>)> {
    let timeline = archive.timeline(set, Details::LeftOut)?;
    let others = lessons(archive, set, rules)?;
    let known = knowledge(&timeline, &others, None, rules.estimate());
    let steps = steps(&timeline, &known, rules.estimate());
    Ok((timeline, steps))
}

/// What the shop's other sets teach.
pub(crate) fn lessons(
    archive: &mut Archive,
    except: Id,
    rules: &Rules,
) -> anyhow::Result<Vec<Lesson>> {
    let version = format!("{} {}", env!("CARGO_PKG_VERSION"), rules.version());
    let teach = |timeline: &Timeline| Lesson::of(timeline, rules.estimate());
    Ok(archive.lessons(except, &version, teach)?)
}

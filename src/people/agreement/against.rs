//! One reader against what was right: effectiveness, misses, false alarms, the wrong way.
//!
//! Words as in attribute agreement studies (measurement-systems manuals, second-hand), for this case:
//!
//! - *effectiveness*: right patterns, of all judgements.
//! - *miss*: full-length was called where something had to be changed, of the judgements where something
//!   had to be (every right pattern but full-length and unreadable). Someone runs bad jaws.
//! - *false alarm*: something to change was called where the jaws grip along their whole length, of the
//!   judgements where full-length is right. Someone cuts or looks for nothing.
//! - *wrong way*: less taper was called where more was right, or the other way round, by the pattern or by
//!   the sign of the change; of the judgements where a change of taper was right. It is neither a miss nor
//!   a false alarm and worse than both.
//! - *refused*: unreadable was called where the photo could be judged. It costs a photo, so it is no miss
//!   and no false alarm, but it is not effective either.

use super::calls::Said;
use super::changes::way;
use super::{Calls, ChangesCalled, Compared, NoFigure, Reader, Right, Share};
use crate::reading::pattern::{Direction, Pattern, direction};

/// What a reader's calls come to where it is known what was right.
#[derive(Debug, Clone, PartialEq)]
pub struct AgainstRight {
    /// Calls against what was right; rows of the confusion table are what was right. Its agreement is the
    /// effectiveness.
    pub compared: Compared,
    /// The wrong way, of the judgements where a change of taper was right.
    pub wrong_way: Result<Share, NoFigure>,
    /// Misses.
    pub misses: Result<Share, NoFigure>,
    /// False alarms.
    pub false_alarms: Result<Share, NoFigure>,
    /// Unreadable called of a photo that could be judged.
    pub refused: Result<Share, NoFigure>,
    /// A pattern called of a photo that can't be judged.
    pub judged_the_unreadable: Result<Share, NoFigure>,
    /// The changes called, where any can be compared.
    pub changes: Option<ChangesCalled>,
}

/// Holds a reader's calls, repeats included, against what was right.
///
/// # Errors
/// [`NoFigure::RestsOnItself`] for the program where only its own reading stands for what was right,
/// [`NoFigure::NothingRight`] where that is not known of any photo called, [`NoFigure::NoCalls`].
pub fn against_right(calls: &Calls, reader: &Reader) -> Result<AgainstRight, NoFigure> {
    let judged = judged(calls, reader)?;
    let pairs: Vec<_> = judged
        .iter()
        .map(|(right, said)| said.iter().map(|s| (right.pattern, s.pattern)).collect())
        .collect();
    let single = || {
        judged
            .iter()
            .flat_map(|(r, said)| said.iter().map(move |s| (*r, s)))
    };
    let share = |case: fn(&Right) -> bool, hit: fn(&Right, &Said) -> bool| {
        let of: Vec<_> = single().filter(|(r, _)| case(r)).collect();
        let hits = of.iter().filter(|(r, s)| hit(r, s)).count();
        Share::new(hits as u64, of.len() as u64).map_err(|_| NoFigure::NoSuchCase)
    };
    Ok(AgainstRight {
        compared: Compared::of(&pairs)?,
        wrong_way: share(asks_for_taper, wrong_way),
        misses: share(needs_work, |_, s| s.pattern == Pattern::FullLength),
        false_alarms: share(is_full, |_, s| asks_for_work(s.pattern)),
        refused: share(is_readable, |_, s| s.pattern == Pattern::Unreadable),
        judged_the_unreadable: share(|r| !is_readable(r), |_, s| s.pattern != Pattern::Unreadable),
        changes: ChangesCalled::of(single()),
    })
}

/// The reader's calls of each photo of which it is known what was right.
fn judged<'a>(calls: &'a Calls, reader: &Reader) -> Result<Vec<(&'a Right, &'a [Said])>, NoFigure> {
    let known: Vec<_> = calls
        .of(reader)
        .filter_map(|(item, said)| Some((calls.right(item)?, said)))
        .collect();
    let own = |r: &Right| *reader == Reader::Program && r.basis == super::RestsOn::Program;
    let judged: Vec<_> = known.iter().copied().filter(|(r, _)| !own(r)).collect();
    if !judged.is_empty() {
        return Ok(judged);
    }
    Err(match (known.is_empty(), calls.of(reader).next()) {
        (false, _) => NoFigure::RestsOnItself,
        (true, Some(_)) => NoFigure::NothingRight,
        (true, None) => NoFigure::NoCalls,
    })
}

fn asks_for_work(pattern: Pattern) -> bool {
    !matches!(pattern, Pattern::FullLength | Pattern::Unreadable)
}

fn asks_for_taper(right: &Right) -> bool {
    direction(right.pattern) != Direction::None
}

fn needs_work(right: &Right) -> bool {
    asks_for_work(right.pattern)
}

fn is_full(right: &Right) -> bool {
    right.pattern == Pattern::FullLength
}

fn is_readable(right: &Right) -> bool {
    right.pattern != Pattern::Unreadable
}

/// By the pattern or by the change: either would have been cut.
fn wrong_way(right: &Right, said: &Said) -> bool {
    let due = direction(right.pattern);
    let by_change = said.change.map_or(Direction::None, way);
    due.opposes(direction(said.pattern)) || due.opposes(by_change)
}

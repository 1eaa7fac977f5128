//! A reader against himself: the same photo called twice.

use super::estimate::ItemPairs;
use super::{Calls, Compared, NoFigure, Reader, Share};
use crate::reading::pattern::direction;

/// What calling the same photos again comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Repeatability {
    /// Photos called the same each time, of those called twice or more.
    pub same: Share,
    /// Photos called less taper one time and more another, of the same.
    pub turned: Share,
    /// The first call (rows) against each later one (columns).
    pub compared: Compared,
}

/// Over the photos that the reader called twice or more.
///
/// # Errors
/// [`NoFigure::NoRepeats`] where there are none.
pub fn repeatability(calls: &Calls, reader: &Reader) -> Result<Repeatability, NoFigure> {
    let again = || {
        calls
            .of(reader)
            .map(|(_, said)| said)
            .filter(|said| said.len() > 1)
    };
    let of = again().count() as u64;
    let same = again().filter(|said| said.iter().all(|s| s.pattern == said[0].pattern));
    let turned = again().filter(|said| {
        let ways = || said.iter().map(|s| direction(s.pattern));
        ways().any(|w| ways().any(|other| w.opposes(other)))
    });
    let pairs: Vec<ItemPairs> = again()
        .map(|said| {
            said[1..]
                .iter()
                .map(|s| (said[0].pattern, s.pattern))
                .collect()
        })
        .collect();
    let share = |count: usize| Share::new(count as u64, of).map_err(|_| NoFigure::NoRepeats);
    Ok(Repeatability {
        same: share(same.count())?,
        turned: share(turned.count())?,
        compared: Compared::of(&pairs)?,
    })
}

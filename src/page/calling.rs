//! Calling before the reading is shown: who has to, and what is kept back until then. What a reading itself leaves open is asked
//! by `questions`.

use super::answer;
use super::checks;
use super::desk::Desk;
use super::fault::{Fault, tell_terminal};
use super::reading;
use crate::archive::shelf;
use crate::under_way::{KeptBack, UnderWay};

/// What keeps the reading back; `None` where it is shown.
pub(super) fn kept_back(desk: &Desk, check: &UnderWay) -> Result<Option<KeptBack>, Fault> {
    Ok(shelf::kept_back(&desk.open_archive()?, &check.sheet)?)
}

/// Whether the reading is kept back; notes that it is not, where there is something to see. Nobody is shown a
/// problem that is gone.
pub(super) fn before_showing(desk: &Desk, check: &mut UnderWay) -> Result<Option<KeptBack>, Fault> {
    reading::once_more(desk, check);
    answer::proven_meanwhile(desk, check)?;
    let kept = kept_back(desk, check)?;
    // Without a photo that was read there was nothing to see, and a call may still come.
    let seen = kept.is_none() && check.sheet.photos.iter().any(|p| check.read(p).is_some());
    if seen && !check.sheet.shown {
        check.sheet.shown = true;
        // A full disk is no reason to keep a reading from somebody who may see it.
        if let Err(fault) = checks::write(check) {
            tell_terminal(&fault.to_string());
        }
    }
    Ok(kept)
}

/// For what can only be done, or seen, where the reading is not kept back.
pub(super) fn not_kept_back(desk: &Desk, check: &UnderWay) -> Result<(), Fault> {
    match kept_back(desk, check)? {
        None => Ok(()),
        Some(kept) => Err(kept.into()),
    }
}

//! Calling before the reading is shown: who has to, and what is kept back until then. What a reading itself leaves open is asked
//! by `questions`.

use super::answer;
use super::checks;
use super::desk::Desk;
use super::fault::{Fault, tell_terminal};
use super::reading;
use crate::under_way::{KeptBack, UnderWay};

/// What keeps the reading back; `None` where it is shown. What was shown once cannot be called any more.
pub(super) fn kept_back(desk: &Desk, check: &UnderWay) -> Result<Option<KeptBack>, Fault> {
    let sheet = &check.sheet;
    if sheet.shown || sheet.call.is_some() {
        return Ok(None);
    }
    let archive = desk.open_archive()?;
    let Some(by) = &sheet.settings.by else {
        let asked = sheet.settings.call_first || archive.anybody_calls_first()?;
        return Ok(asked.then_some(KeptBack::Who));
    };
    if !sheet.settings.call_first && !archive.person_rules(by)?.call_first {
        return Ok(None);
    }
    let hashes: Vec<&str> = sheet.photos.iter().map(|p| p.sha256.as_str()).collect();
    let earlier = match sheet.settings.jaw_set {
        Some(set) => archive.call_with(set, &hashes, by)?,
        None => None,
    };
    Ok(earlier.is_none().then(|| KeptBack::CallOf(by.clone())))
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

//! Calls on the checks of a jaw set.

use super::{Shelf, new_id, now};
use crate::archive::{Archive, ArchiveError};
use crate::people::opinion::{Call, Person, Truth};
use crate::people::records::{CallKind, FiledCall, Item};
use crate::taper::records::Id;
use crate::taper::rules::Rules;
use crate::under_way::{KeptBack, Sheet};

/// What keeps the reading of a check back, that of its photos and all that follows from them; `None` where it may be shown.
/// What was shown once cannot be called any more.
pub(crate) fn kept_back(
    archive: &Archive,
    sheet: &Sheet,
) -> Result<Option<KeptBack>, ArchiveError> {
    if sheet.shown || sheet.call.is_some() {
        return Ok(None);
    }
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

impl Shelf {
    /// What the person called at the check that holds any of these photos.
    pub(crate) fn called(&self, hashes: &[&str], by: &Person) -> anyhow::Result<Option<FiledCall>> {
        Ok(self.archive.call_with(self.set.id, hashes, by)?)
    }

    /// Whether a call is in the archive, and not hidden.
    pub(crate) fn holds_call(&self, id: Id) -> anyhow::Result<bool> {
        Ok(self.archive.holds_call(id)?)
    }

    /// What was right about a filed check of the set.
    pub(crate) fn right(&self, check: Id, rules: &Rules) -> anyhow::Result<Option<Truth>> {
        Ok(self.archive.right(check, self.set.id, rules.estimate())?)
    }

    /// Whether the shop's rule is that this person calls before a reading is shown.
    pub(crate) fn must_call(&self, who: &Person) -> anyhow::Result<bool> {
        Ok(self.archive.person_rules(who)?.call_first)
    }

    /// Before anything is shown, so that a call that cannot be kept is not followed by a reading.
    pub(super) fn file_call(&mut self, check: Id, call: &Call) -> anyhow::Result<()> {
        Ok(self.archive.file_call(&FiledCall {
            id: new_id()?,
            kind: CallKind::Check,
            item: Item::Check(check),
            session: None,
            call: call.clone(),
            revealed: Some(now()),
            told: None,
            changed: now(),
        })?)
    }
}

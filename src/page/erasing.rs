//! Initials that are erased from an archive go out of its checks under way, too.

use std::fs::File;
use std::path::Path;

use anyhow::{Context, bail};

use super::checks::{self, Checks, hold};
use crate::people::opinion::Person;
use crate::under_way::Sheet;

/// The checks under way of an archive that no server has, nor gets while this is held.
pub(crate) struct Unserved {
    checks: Checks,
    _lock: File,
}

impl Unserved {
    /// # Errors
    /// Where a server runs: it has the checks in memory, and would write the initials again.
    pub(crate) fn of(archive: &Path) -> anyhow::Result<Self> {
        let Some(lock) = super::lock(archive)? else {
            bail!(
                "`seepline serve` runs on {} and would write the initials again; end it, erase, and start it \
                 again",
                archive.display()
            );
        };
        let checks = Checks::open(archive).with_context(|| {
            format!(
                "the checks under way in {} could not be read, so nothing was erased",
                archive.display()
            )
        })?;
        Ok(Self {
            checks,
            _lock: lock,
        })
    }

    /// Whether a check names the person.
    pub(crate) fn names(&self, whom: &Person) -> bool {
        let all = self.checks.list();
        all.iter().any(|check| names(&hold(check).sheet, whom))
    }

    /// Puts the number in place of the person at calls; nobody is noted as the reader any more.
    ///
    /// # Errors
    /// Where a check cannot be written; done again it goes on.
    pub(crate) fn erase(&self, whom: &Person, number: &Person) -> anyhow::Result<()> {
        for check in self.checks.list() {
            let mut check = hold(&check);
            if !names(&check.sheet, whom) {
                continue;
            }
            let sheet = &mut check.sheet;
            sheet.settings.by.take_if(|by| by == whom);
            if let Some(call) = sheet.call.as_mut().filter(|c| c.by == *whom) {
                call.by = number.clone();
            }
            checks::write(&check).context(
                "the initials are still in a check under way of the page for phones; erase them again",
            )?;
        }
        Ok(())
    }
}

fn names(sheet: &Sheet, whom: &Person) -> bool {
    let by = sheet.settings.by.as_ref();
    by == Some(whom) || sheet.call.as_ref().is_some_and(|c| c.by == *whom)
}

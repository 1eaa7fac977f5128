//! As much of a photo as gathering asks for.

use std::collections::HashMap;

use jiff::civil::DateTime;

use crate::reading::method::Method;
use crate::review::advised::counts;
use crate::review::record::PhotoRecord;
use crate::taper::records::Id;

/// As much of a photo as gathering asks for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Mark {
    /// Photos with the same one may be of one check.
    pub(super) group: Id,
    /// Of the check that begins with it.
    pub(super) id: Id,
    pub(super) taken: Taken,
    /// Its place among the photos.
    pub(super) at: u32,
    /// See [`Sets`].
    pub(super) set: u32,
    pub(super) jaw: Option<u8>,
    flags: u8,
}

/// It says when it was taken.
pub(super) const DATED: u8 = 1;
/// The table or the archive names its check.
pub(super) const NAMED: u8 = 2;
/// Filed in the archive.
pub(super) const FILED: u8 = 4;
/// Compound means a gap in one method and contact in the other: never read together.
pub(super) const TRANSFER: u8 = 8;
/// See [`counts`].
pub(super) const COUNTS: u8 = 16;

/// The camera's time as text, which sorts as the time does. What is longer than a reading ever gives was changed by
/// somebody, and is cut off here.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Taken([u8; 19]);

/// Numbers of jaw sets by name, from 1; those without a name are 0.
#[derive(Debug, Default)]
pub(super) struct Sets(HashMap<String, u32>);

impl Mark {
    /// `at` is the photo's place, `id` that of a check which begins with it.
    pub(super) fn of(photo: &PhotoRecord, at: usize, set: u32, id: Id) -> Self {
        let told = &photo.told;
        let taken = Taken::of(photo.line.taken.as_deref());
        let transfer = photo.line.method == Method::Transfer;
        let flag = |is: bool, flag: u8| if is { flag } else { 0 };
        Self {
            group: group(photo, transfer),
            id,
            taken,
            at: at as u32,
            set,
            jaw: told.jaw,
            flags: flag(taken.time().is_some(), DATED)
                | flag(told.check.is_some(), NAMED)
                | flag(told.filed, FILED)
                | flag(transfer, TRANSFER)
                | flag(counts(photo), COUNTS),
        }
    }

    pub(super) fn is(&self, flag: u8) -> bool {
        self.flags & flag != 0
    }

    /// A camera's time that is no time is none.
    pub(super) fn dated(&self) -> Taken {
        if self.is(DATED) {
            self.taken
        } else {
            Taken::default()
        }
    }
}

impl Taken {
    fn of(text: Option<&str>) -> Self {
        let mut taken = Self::default();
        for (to, from) in taken.0.iter_mut().zip(text.unwrap_or_default().bytes()) {
            *to = from;
        }
        taken
    }

    pub(super) fn time(self) -> Option<DateTime> {
        let text = std::str::from_utf8(&self.0).ok()?;
        text.trim_end_matches('\0').parse().ok()
    }
}

impl Sets {
    pub(super) fn number(&mut self, name: Option<&str>) -> u32 {
        let Some(name) = name else { return 0 };
        let next = self.0.len() as u32 + 1;
        match self.0.get(name) {
            Some(number) => *number,
            None => *self.0.entry(name.to_owned()).or_insert(next),
        }
    }

    /// By number, the place among the names; those without one are last.
    pub(super) fn ranks(&self) -> Vec<u32> {
        let mut names: Vec<(&String, u32)> = self.0.iter().map(|(n, i)| (n, *i)).collect();
        names.sort();
        let mut ranks = vec![u32::MAX; names.len() + 1];
        for (rank, (_, number)) in names.into_iter().enumerate() {
            ranks[number as usize] = rank as u32;
        }
        ranks
    }
}

/// Whether it is of a check.
pub(super) fn has_place(record: &PhotoRecord) -> bool {
    let line = &record.line;
    // Of a broken file without a time only the folder would say where it belongs.
    let somewhere = line.error.is_none() || line.taken.is_some() || record.told.check.is_some();
    !line.sha256.is_empty() && somewhere
}

/// Of what photos of one check have in common.
fn group(photo: &PhotoRecord, transfer: bool) -> Id {
    let told = &photo.told;
    let said = |text: &Option<String>| text.as_ref().map_or(String::new(), |t| format!("={t}"));
    // A named check may have its photos anywhere; the others belong together only within a folder.
    let folder = told.check.as_ref().map_or(told.folder.as_str(), |_| "");
    let method = if transfer { "transfer" } else { "seep" };
    Id::derived(&[&said(&told.jaw_set), folder, &said(&told.check), method])
}

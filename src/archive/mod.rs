//! The shop's archive: jaw sets, cuts, checks, calls and photos in one folder. The only room that knows SQL.
//!
//! - *Comes in*: records and photos' bytes, to file, change, hide, find, load, merge, export, back up.
//! - *Goes out*: the same records, as they came; what could not be done, with the remedy.
//! - *May not know*: HTTP, HTML, the command line.
//!
//! A write goes `Archive`'s method → [`write`](Archive::write), the one transaction → [`rows`] → SQLite; reading goes
//! [`read`](Archive::read) → [`load`] → records. Begin with this file, then [`filing`], which is what the archive is for.
//!
//! | module | what |
//! | --- | --- |
//! | [`open`], [`schema`] | a folder → a connection; the layout, and how an older one becomes the newest |
//! | [`columns`], [`rows`], [`load`] | values ↔ cells, records ↔ rows, rows → whole records in order |
//! | [`photos`] | photos by their SHA-256 |
//! | [`filing`], [`sets`], [`hide`] | filing checks; adding, changing and hiding records |
//! | [`find`] | lists of jaw sets, records by name or id |
//! | [`calls`], [`people`], [`erase`] | what people called, what holds for each, and how they are forgotten |
//! | [`prove`] | prove-outs, and the answers that are held against what was right |
//! | [`lessons`] | what each set teaches the others, kept until one of its records changes |
//! | [`labels`] | what people corrected of single photos |
//! | [`merge`], [`exchange`] | another archive; JSON and CSV out, a table of jaw sets in |
//! | [`backup`], [`verify`] | a copy while others write; whether all is there, byte for byte |
//! | [`shelf`] | on top of all these, for `commands` and `page` alike: a check among the others of its jaw set |
//! | [`from_phone`] | likewise: checks that a phone made alone, and answers of practice that it kept, out of their file and into the archive |
//! | [`in_use`] | files that another program holds open |
//! | [`error`] | what went wrong, with the remedy |
//!
//! The folder holds `archive.sqlite` (write-ahead log, foreign keys, `synchronous = FULL`) and `photos/<first two digits>/<SHA-256>`,
//! the photos byte for byte as they were given.
//!
//! | table | holds |
//! | --- | --- |
//! | `jaw_sets`, `jaw_set_photos` | a set; `name_key`, `words` and `workpiece_diameter_um` are derived from the other columns, for finding |
//! | `cuts` | one boring of a set |
//! | `checks` | one check with its advice; `(cut, jaw_set)` refers to the cut, so that a check cannot stand under another set's cut |
//! | `readings` | one photo of a check |
//! | `reading_details` | the reading as JSON, apart because it is most of the size |
//! | `lessons` | what a set teaches the others; only kept here, and forgotten by triggers when one of its records changes |
//! | `calls` | one call: of a check (`kind` `check`), in practice, in a study, or a lead's ruling; of a check of the archive or of a photo by its SHA-256 |
//! | `labels` | what people corrected of a photo: its corners, its tip, what can be read in it |
//! | `people` | who must call first, who is a lead |
//! | `settings` | who sees others' records |
//! | `prove_outs`, `advised` | what a shop fixed to prove the program out; the answers given under it, those that are kept back nowhere else |
//!
//! Lengths and pressures are exact text with their unit, times local ISO 8601, enumerations the words of the JSON. What
//! each column holds stands in [`schema`].
//!
//! # What always holds
//!
//! - `Archive::read` and `Archive::write` are the only transactions: a write takes its turn (`BEGIN IMMEDIATE`, 20 s of patience)
//!   before it reads, so that two processes neither lose nor double a record.
//! - Photos reach the disk (own temporary name, flushed, renamed, folder flushed) before the check that speaks of them is committed. A
//!   kill leaves at most a photo that no check speaks of, or a file in `photos/incoming`, which is removed after a day.
//! - A photo is in at most one check of a jaw set, hidden ones and those of hidden cuts not counted. Filing keeps it so, `hide` refuses
//!   to break it, `merge` unites.
//! - Nothing is deleted but what was set for a person who is erased: `hidden` is part of a record, and hiding is stamped later than what it hides, so that it stands when archives
//!   are merged. Only `readings` of a check are written anew as a whole.
//! - `file_check_without` files a check without photos that were taken out: under another id, with its calls, the one with them hidden,
//!   so that merging does not bring them back. Where all photos of a check of the same cut are left out, the new one takes its place.
//! - A check's id follows from the jaw set and its first photo, and is numbered on where a hidden check has it. Ids of sets and cuts are
//!   random.
//! - `merge` decides by `changed`, ties by the records' text, so that both archives choose alike; after merging both ways they hold the
//!   same.
//! - What is no archive, or one of a newer layout, is never written to: `application_id` and `user_version` are read first. A damaged
//!   one is not changed by opening it.
//!
//! # To change the layout
//!
//! Add a file to `schema/` and a line to `STEPS` in `schema.rs`; never touch an earlier one. Before that, put the dump of an archive
//! with the present layout beside the others in `tests/archive/layouts/`: a test takes every one of them to the newest layout.

#![allow(
    rustdoc::private_intra_doc_links,
    reason = "the links to files lead on where private items are documented, too"
)]

mod backup;
mod calls;
mod columns;
mod erase;
mod error;
mod exchange;
mod filing;
mod find;
#[cfg(feature = "page")]
pub(crate) mod from_phone;
mod hide;
pub(crate) mod in_use;
mod labels;
mod lessons;
mod load;
mod merge;
mod open;
mod people;
mod photos;
mod prove;
mod rows;
mod schema;
mod sets;
pub(crate) mod shelf;
mod verify;

use std::path::{Path, PathBuf};

use jiff::ToSpan;
use jiff::civil::DateTime;
use rusqlite::{Connection, Transaction, TransactionBehavior};

pub use crate::taper::records::{JawSetSummary, LastCheck, LastCut};
pub use crate::text::spreadsheet::Problem;
pub use backup::BackedUp;
pub(crate) use calls::called_already;
pub use erase::Erased;
pub use error::ArchiveError;
pub use exchange::{CsvFile, Imported};
pub(crate) use filing::fill_in;
pub use filing::{Elsewhere, Filed, Filing};
pub use find::Find;
pub use load::{Details, Kept};
pub use merge::{Merged, Renamed, United};
pub use verify::Damage;

use crate::taper::records::{FiledCheck, Id, Timeline};
use error::Fault;
use photos::Photos;

/// An open archive.
pub struct Archive {
    folder: PathBuf,
    file: PathBuf,
    db: Connection,
    read_only: bool,
    photos: Photos,
}

impl std::fmt::Debug for Archive {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Archive")
            .field("folder", &self.folder)
            .field("read_only", &self.read_only)
            .finish_non_exhaustive()
    }
}

impl Archive {
    /// Opens the archive in `folder`; folder and archive are made where they are missing, and an older
    /// layout becomes the newest.
    ///
    /// # Errors
    /// Where the folder cannot be made or holds something that is no archive of this or an older
    /// version; what is there is left as it is.
    pub fn create_or_open(folder: &Path) -> Result<Self, ArchiveError> {
        open::create_or_open(folder).map(|opened| Self::with(folder, opened))
    }

    /// Opens the archive in `folder`. In a folder that may not be written to, it can only be read.
    ///
    /// # Errors
    /// As for [`Self::create_or_open`], and where there is none.
    pub fn open(folder: &Path) -> Result<Self, ArchiveError> {
        open::open(folder).map(|opened| Self::with(folder, opened))
    }

    fn with(folder: &Path, opened: open::Opened) -> Self {
        let photos = Photos::of(folder.join(open::PHOTOS));
        // Nothing else looks into `incoming`: what a killed command left there would stay for ever.
        if !opened.read_only {
            photos.tidy();
        }
        Self {
            folder: folder.to_path_buf(),
            file: folder.join(open::DATABASE),
            db: opened.db,
            read_only: opened.read_only,
            photos,
        }
    }

    /// The folder that was opened.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Whether it can only be read.
    pub fn is_read_only(&self) -> bool {
        self.read_only
    }

    /// Where the photo lies, or would.
    ///
    /// # Errors
    /// Where the text is no hash.
    pub fn photo_path(&self, sha256: &str) -> Result<PathBuf, ArchiveError> {
        self.photos.path(sha256)
    }

    /// Stores a photo as it is, once, and gives its SHA-256.
    ///
    /// # Errors
    /// Where it cannot be written whole.
    pub fn store_photo(&self, bytes: &[u8]) -> Result<String, ArchiveError> {
        self.writable()?;
        self.photos.store(bytes)
    }

    /// A jaw set with its cuts and checks, all that is not hidden.
    ///
    /// # Errors
    /// Where there is no such set.
    pub fn timeline(&self, jaw_set: Id, details: Details) -> Result<Timeline, ArchiveError> {
        self.read(|db| load::timeline(db, jaw_set, details))
    }

    /// All timelines, by the jaw sets' names.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn every_timeline(&self, details: Details) -> Result<Vec<Timeline>, ArchiveError> {
        self.read(|db| load::every_timeline(db, details))
    }

    /// The check of this set that holds any of these photos and is not hidden, with the cut's id in it;
    /// the one that holds the first of them where several do. To be asked before advising on photos that
    /// may have been filed: advice is about all photos of a check.
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub fn filed_with(
        &self,
        jaw_set: Id,
        photos: &[&str],
    ) -> Result<Option<FiledCheck>, ArchiveError> {
        self.read(|db| {
            let mut holding = filing::holding(db, jaw_set, photos)?;
            Ok((!holding.is_empty()).then(|| holding.swap_remove(0)))
        })
    }

    /// The check of this cut whose photos are all among those left out, and which new photos of it stand in
    /// place of; see [`Self::file_check_without`].
    ///
    /// # Errors
    /// Where the archive is damaged.
    pub(crate) fn replaced(
        &self,
        jaw_set: Id,
        cut: Id,
        left_out: &[&str],
    ) -> Result<Option<FiledCheck>, ArchiveError> {
        self.read(|db| filing::replaced(db, jaw_set, cut, left_out))
    }

    fn writable(&self) -> Result<(), ArchiveError> {
        if self.read_only {
            return Err(ArchiveError::ReadOnly(self.file.clone()));
        }
        Ok(())
    }

    /// One moment's state, however many queries it takes.
    fn read<T>(
        &self,
        work: impl FnOnce(&Connection) -> Result<T, Fault>,
    ) -> Result<T, ArchiveError> {
        let all = || {
            // Unchecked, as `&self` cannot show that none is open: none is, since only `write` begins others.
            let transaction = self.db.unchecked_transaction()?;
            work(&transaction)
        };
        all().map_err(|fault: Fault| fault.about(&self.file))
    }

    /// Outside of any transaction: within one, SQLite does not empty its log.
    fn read_plain<T>(
        &self,
        work: impl FnOnce(&Connection) -> Result<T, Fault>,
    ) -> Result<T, ArchiveError> {
        work(&self.db).map_err(|fault| fault.about(&self.file))
    }

    /// All or nothing; takes the turn to write before it reads, so that nothing changes in between.
    fn write<T>(
        &mut self,
        work: impl FnOnce(&Transaction<'_>) -> Result<T, Fault>,
    ) -> Result<T, ArchiveError> {
        self.writable()?;
        let all = || {
            let transaction = self
                .db
                .transaction_with_behavior(TransactionBehavior::Immediate)?;
            let result = work(&transaction)?;
            transaction.commit()?;
            Ok(result)
        };
        let result: Result<T, Fault> = all();
        result.map_err(|fault| fault.about(&self.file))
    }

    /// Holds the database to as many pages as it has and `more`, so that tests meet a full disk.
    #[doc(hidden)]
    pub fn hold_to_pages(&self, more: u32) -> Result<(), ArchiveError> {
        self.read(|db| {
            let has: u32 = db.pragma_query_value(None, "page_count", |row| row.get(0))?;
            db.pragma_update_and_check(None, "max_page_count", has + more, |_| Ok(()))?;
            Ok(())
        })
    }

    /// Gives up so soon where another process is in the way, so that tests need not wait for it.
    #[doc(hidden)]
    pub fn wait_at_most(&self, patience: std::time::Duration) -> Result<(), ArchiveError> {
        self.read_plain(|db| Ok(db.busy_timeout(patience)?))
    }
}

/// A time for a change made `now` that stands against one made at `earlier`, even where that one's
/// clock was ahead.
pub(crate) fn stamp(now: DateTime, earlier: DateTime) -> DateTime {
    // A second, as times are kept to the second.
    let after = earlier.checked_add(1.second()).unwrap_or(earlier);
    if now > earlier { now } else { after }
}

//! Checks that a phone made alone, and answers of practice that it kept ([`practice`]) → the archive, whether their file is named on the command line or handed over to a server.
//! Nothing in it is trusted: photos are read again, and the sheet goes no further than a form would.
//!
//! [`saved`] → the checks of a file, by their sheets → [`Saved::set`], the jaw set each goes to → [`Saved::read`] → [`Taken::file`].

mod practice;

use std::fs::File;
use std::path::PathBuf;
use std::sync::Arc;

use anyhow::{Context, bail, ensure};
use sha2::{Digest, Sha256};

use super::shelf::{self, Shelf};
use super::{Archive, ArchiveError};
use crate::phone::tar::{self, Part};
use crate::report::{CheckReport, shown};
use crate::taper::records::JawSet;
use crate::taper::rules::Rules;
use crate::under_way::{Fault, Read, Sheet, UnderWay};

pub(crate) use practice::{practised, take};

/// Largest sheet: a hundred times what a check of twelve photos and the longest texts writes.
const LARGEST_SHEET_BYTES: u64 = 4 << 20;

/// A check of a file, with the photos that lie beside it there.
pub(crate) struct Saved {
    pub(crate) sheet: Sheet,
    photos: Vec<Part>,
}

/// A check whose photos are read, of a jaw set.
pub(crate) struct Taken {
    check: UnderWay,
    set: JawSet,
    /// In the order of the check.
    photos: Vec<Part>,
}

/// All checks of a file of at most so many parts. Each has a folder of its own, with its sheet before its photos.
pub(crate) fn saved(file: &File, most_parts: usize) -> anyhow::Result<Vec<Saved>> {
    let mut all: Vec<Saved> = Vec::new();
    let parts = tar::parts(&mut &*file, most_parts)?.context(
        "this is no file of checks, or not all of it came; save it on the phone again, or hand it over again",
    )?;
    for mut part in parts {
        let (folder, name) = part.name.split_once('/').unwrap_or_default();
        let (folder, name) = (folder.to_owned(), name.to_owned());
        if name == "check.json" {
            let sheet = sheet(&part, file).with_context(|| {
                let folder = shown::name(&folder);
                format!("the check {folder} cannot be read; a newer version of seepline may have made it")
            })?;
            let photos = Vec::new();
            all.push(Saved { sheet, photos });
        } else if let Some(check) = all.last_mut().filter(|c| c.sheet.id.to_string() == folder) {
            part.name = name;
            check.photos.push(part);
        }
    }
    Ok(all)
}

fn sheet(part: &Part, file: &File) -> anyhow::Result<Sheet> {
    ensure!(part.bytes <= LARGEST_SHEET_BYTES, "it is too large");
    Ok(serde_json::from_slice(&part.read(&mut &*file)?)?)
}

impl Saved {
    /// The jaw set that was named, or the one that the phone began the check with.
    ///
    /// # Errors
    /// Where neither is said, or in this archive, or the two are not the same.
    pub(crate) fn set(&self, archive: &Archive, named: Option<&str>) -> anyhow::Result<JawSet> {
        let begun = self.sheet.set();
        let Some(named) = named else {
            let begun =
                begun.context("it was begun without a jaw set; name the one that it is of")?;
            return match archive.jaw_set(&begun.id.to_string()) {
                // An archive that was begun anew has other ids.
                Err(ArchiveError::UnknownJawSet { .. }) => archive.jaw_set(&begun.name),
                set => set,
            }
            .with_context(|| {
                let name = shown::name(&begun.name);
                format!("it was begun with the jaw set {name}, which is not in this archive; name the one that it is of")
            });
        };
        let set = archive.jaw_set(named)?;
        let same = |name: &str| name.trim().to_lowercase() == set.name.trim().to_lowercase();
        if let Some(begun) = begun.filter(|b| b.id != set.id && !same(&b.name)) {
            let begun = shown::name(&begun.name);
            bail!(
                "it was begun with the jaw set {begun}, not with {}; where that was wrong, take the set off it on the phone first",
                shown::name(&set.name)
            );
        }
        Ok(set)
    }

    /// Reads its photos.
    ///
    /// # Errors
    /// Where one is damaged or no photo, where the sheet says what no form takes, and where somebody must call before anything is
    /// shown of it.
    pub(crate) fn read(
        mut self,
        archive: &Archive,
        set: JawSet,
        file: &File,
    ) -> anyhow::Result<Taken> {
        let mut sheet = self.sheet.taken_over()?;
        sheet.settings.jaw_set = Some(set.id);
        if let Some(kept) = shelf::kept_back(archive, &sheet)? {
            return Err(Fault::from(kept).into());
        }
        let mut check = UnderWay::of(sheet, PathBuf::new());
        let mut photos = Vec::new();
        for photo in &check.sheet.photos {
            let missing = "one of its photos is not in the file, or damaged; save it on the phone again, or hand it over again";
            let at = self.photos.iter().position(|p| p.name == photo.sha256);
            let part = self.photos.swap_remove(at.context(missing)?);
            let bytes = part.read(&mut &*file)?;
            // Also where it is there under its name: a file may be damaged on its way.
            let sha256 = format!("{:x}", Sha256::digest(&bytes));
            ensure!(sha256 == photo.sha256, missing);
            let read = Read::of_bytes(&bytes, &check.request(photo));
            let read = read.map_err(|fault| Fault::Unfit(format!("{}: {fault}", photo.name)))?;
            check.reads.insert(sha256, Arc::new(read));
            photos.push(part);
        }
        Ok(Taken { check, set, photos })
    }
}

impl Taken {
    /// Files it as a whole or not at all, and once, however often it comes.
    pub(crate) fn file(
        self,
        archive: Archive,
        file: &File,
        rules: &Rules,
    ) -> anyhow::Result<CheckReport> {
        let sheet = &self.check.sheet;
        let shelf = Shelf::of(archive, &self.set.id.to_string())?;
        let mut shelf = shelf.leaving_out(sheet.left_out.iter().cloned().collect());
        let setup = sheet.settings.setup(Some(&shelf.set));
        let (draft, mut report) = shelf.advise(
            self.check.reports(),
            &(&sheet.settings).into(),
            setup,
            rules,
        )?;
        let cut = draft.cut.taper;
        let hashes: Vec<&str> = sheet.photos.iter().map(|p| p.sha256.as_str()).collect();
        let mut call = sheet.call.clone();
        if let Some(own) = &call
            && shelf.called(&hashes, &own.by)?.is_some()
        {
            call = None;
        }
        let bytes = |i: usize| Ok(self.photos[i].read(&mut &*file)?);
        shelf.file(draft, &mut report, bytes, call.as_ref())?;
        let took = sheet
            .set()
            .filter(|_| sheet.settings.taper.is_none())
            .and_then(|s| s.taper);
        if let (Some(took), Some(cut), Some(note)) = (took, cut, &mut report.filed)
            && took != cut
        {
            note.notes.push(format!(
                "on the phone the taper cut was taken for {}, as the set stood when it was given to the phone; here it is {}: \
                 what the phone said of the next taper does not hold",
                took.as_taper(),
                cut.as_taper()
            ));
        }
        Ok(report)
    }
}

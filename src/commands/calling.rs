//! `read --call` and `--by`: who calls what, before any photo is read.

use std::path::PathBuf;

use anyhow::bail;
use sha2::{Digest, Sha256};

use super::archive::{folder, now};
use super::load;
use crate::archive::shelf::Shelf;
use crate::archive::{Archive, ArchiveError, called_already};
use crate::commands::cli::ReadArgs;
use crate::people::opinion::{Call, Person, all_patterns};
use crate::people::records::FiledCall;

/// What was said with the photos.
pub(super) enum Said {
    /// Nothing: the reading alone is shown.
    Nothing,
    /// A call, made now.
    Now(Call),
    /// A call of the same person on the same check, made earlier and filed.
    Earlier(Box<FiledCall>),
}

impl Said {
    /// The call that is still to be filed.
    pub(super) fn now(&self) -> Option<&Call> {
        match self {
            Self::Now(call) => Some(call),
            Self::Nothing | Self::Earlier(_) => None,
        }
    }

    /// The call to put beside the answer, whenever it was made.
    pub(super) fn call(self) -> Option<Call> {
        match self {
            Self::Nothing => None,
            Self::Now(call) => Some(call),
            Self::Earlier(filed) => Some(filed.call),
        }
    }
}

/// The call, where one was made; before any photo is read.
///
/// # Errors
/// Where pattern and change cannot stand together, where the person called the check already, and where
/// the person has to call first and did not.
pub(super) fn said(args: &ReadArgs, shelf: Option<&Shelf>) -> anyhow::Result<Said> {
    let Some(by) = &args.by else {
        return Ok(Said::Nothing);
    };
    let earlier = shelf
        .map(|s| earlier(s, &args.photos, by))
        .transpose()?
        .flatten();
    match (args.call.zip(args.change), earlier) {
        (Some(_), Some(first)) => Err(called_already(&first.call).into()),
        (Some((pattern, change)), None) => {
            Ok(Said::Now(Call::new(pattern, change, by.clone(), now())?))
        }
        (None, Some(first)) => Ok(Said::Earlier(Box::new(first))),
        (None, None) if must_call(args, shelf, by)? => bail!(
            "{by} calls before the reading is shown here; give --call PATTERN and --change AMOUNT, as in \
             --call tip-only --change -1thou (the patterns are {})",
            all_patterns()
        ),
        (None, None) => Ok(Said::Nothing),
    }
}

/// What the person called at the check that holds any of these files. Files that cannot be read are said
/// to be so when the photos are read.
fn earlier(shelf: &Shelf, files: &[PathBuf], by: &Person) -> anyhow::Result<Option<FiledCall>> {
    let hash = |file: &PathBuf| {
        // Hashed, not decoded: whether a call may come is settled before any photo is read.
        let bytes = load::bytes_of(file).ok()?;
        Some(format!("{:x}", Sha256::digest(bytes)))
    };
    let hashes: Vec<String> = files.iter().filter_map(hash).collect();
    let hashes: Vec<&str> = hashes.iter().map(String::as_str).collect();
    shelf.called(&hashes, by)
}

/// Whether it is the rule for this person. Without an archive there are no rules.
fn must_call(args: &ReadArgs, shelf: Option<&Shelf>, by: &Person) -> anyhow::Result<bool> {
    if let Some(shelf) = shelf {
        return shelf.must_call(by);
    }
    let Ok(folder) = folder(&args.archive) else {
        return Ok(false);
    };
    match Archive::open(&folder) {
        Ok(archive) => Ok(archive.person_rules(by)?.call_first),
        Err(ArchiveError::Missing(_)) => Ok(false),
        Err(error) => Err(error.into()),
    }
}

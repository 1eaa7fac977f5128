//! What all verbs of the archive share: its folder, the time, asking before a deletion, printing.

use std::io::{self, BufRead, IsTerminal, Write};
use std::path::{Path, PathBuf};

use anyhow::{Context, bail};
use etcetera::{BaseStrategy, choose_base_strategy};

use super::{complain, print};
pub(super) use crate::archive::shelf::now;
use crate::archive::{Archive, ArchiveError};
use crate::commands::cli::ArchiveFolder;
use crate::report::ProofNote;
use crate::taper::rules::Rules;

/// Where the archive lies: as given, else where the platform keeps a program's data.
pub(super) fn folder(given: &ArchiveFolder) -> anyhow::Result<PathBuf> {
    if let Some(folder) = &given.folder {
        return Ok(folder.clone());
    }
    let platform = choose_base_strategy()
        .context("this machine names no home folder; name the archive's folder with --archive")?;
    let data = if cfg!(windows) {
        // `AppData\Local`: the other one is copied over the network wherever its owner logs in.
        platform.cache_dir()
    } else {
        platform.data_dir()
    };
    Ok(data.join("seepline"))
}

/// For verbs that look something up.
pub(super) fn open(given: &ArchiveFolder) -> anyhow::Result<Archive> {
    Ok(Archive::open(&folder(given)?)?)
}

/// For verbs that begin an archive where there is none.
pub(super) fn create_or_open(given: &ArchiveFolder) -> anyhow::Result<Archive> {
    Ok(Archive::create_or_open(&folder(given)?)?)
}

/// How far the program is proven in this shop; a shop without an archive proves nothing. An archive that can't be read
/// is complained of and stops no reading, but what to change is kept back: a lead may have had it so, and to read
/// once more costs less than jaws that were cut against that.
pub(super) fn proof(given: &ArchiveFolder, rules: &Rules) -> Option<ProofNote> {
    let folder = folder(given).ok()?;
    let open = Archive::open(&folder);
    let proof = open.and_then(|archive| archive.proof(rules.estimate()));
    match proof {
        Ok(proof) => proof.map(|p| ProofNote::of(&p, None)),
        Err(ArchiveError::Missing(_)) if never_began(&folder, given) => None,
        Err(error) => {
            complain(&[format!(
                "how far the program is proven in this shop is not known: {error}"
            )]);
            Some(ProofNote::unknown())
        }
    }
}

/// Whether there is no archive because nobody began one. A folder without its database was one, or is where a share
/// shows up; a place that was named and has not even the folder around it is on a disk that is not there now.
fn never_began(folder: &Path, given: &ArchiveFolder) -> bool {
    let around = folder.parent().filter(|p| !p.as_os_str().is_empty());
    let out_of_reach = given.folder.is_some() && around.is_some_and(|p| !p.exists());
    !folder.exists() && !out_of_reach
}

/// Asks on the terminal unless `yes`; false where the answer is no.
pub(super) fn agreed(question: &str, yes: bool) -> anyhow::Result<bool> {
    if yes {
        return Ok(true);
    }
    if !io::stdin().is_terminal() {
        bail!("nobody is there to be asked; give --yes to delete without asking");
    }
    // The question is no part of what the verb prints.
    let mut stderr = anstream::stderr().lock();
    write!(stderr, "{} [y/N] ", crate::report::printable(question))?;
    stderr.flush()?;
    let mut answer = String::new();
    io::stdin().lock().read_line(&mut answer)?;
    Ok(matches!(answer.trim().to_lowercase().as_str(), "y" | "yes"))
}

/// Text, or the value as JSON.
pub(super) fn show(
    json: bool,
    value: &impl serde::Serialize,
    text: impl FnOnce() -> String,
) -> anyhow::Result<()> {
    if !json {
        return print(text().as_bytes());
    }
    let mut bytes = serde_json::to_vec_pretty(value)?;
    bytes.push(b'\n');
    print(&bytes)
}

/// A line of plain words to the standard output.
pub(super) fn say(line: &str) -> anyhow::Result<()> {
    print(format!("{}\n", crate::report::printable(line)).as_bytes())
}

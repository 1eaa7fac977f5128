//! `seepline doctor`: what this machine lacks, in plain words.

use std::path::{Path, PathBuf};
use std::{env, fs};

use anyhow::Context;

use super::archive::{folder, say};
use super::{Outcome, text_options};
use crate::archive::{Archive, ArchiveError};
use crate::commands::cli::ArchiveFolder;
use crate::page;
use crate::reading::network;

/// A hundred checks of three photos of 5 MB (assumption: phones' 12 megapixels take 3 to 5 MB).
const ENOUGH_BYTES: u64 = 1_500_000_000;

/// One thing that was looked at.
struct Finding {
    what: &'static str,
    says: String,
    lacks: bool,
}

impl Finding {
    fn good(what: &'static str, says: impl Into<String>) -> Self {
        Self {
            what,
            says: says.into(),
            lacks: false,
        }
    }

    fn lack(what: &'static str, says: impl Into<String>) -> Self {
        Self {
            lacks: true,
            ..Self::good(what, says)
        }
    }
}

/// Nothing is written or changed, but for a file that is removed at once.
pub(super) fn run(args: &ArchiveFolder) -> anyhow::Result<Outcome> {
    // A relative place has no folder above it to look at.
    let place = std::path::absolute(folder(args)?).context("the folder you are in is gone")?;
    let findings: Vec<Finding> = [archive(&place), space(&place)]
        .into_iter()
        .chain(set_aside(&place))
        .chain(reread_due(&place))
        .chain([heic(), network(), pictures()])
        .collect();
    for finding in &findings {
        let mark = if finding.lacks { "LACKS" } else { "good " };
        say(&format!("{mark}  {}: {}", finding.what, finding.says))?;
    }
    Ok(if findings.iter().any(|f| f.lacks) {
        Outcome::Unjudged
    } else {
        Outcome::Done
    })
}

fn archive(place: &Path) -> Finding {
    const WHAT: &str = "archive";
    let name = place.display();
    if place.exists() && !place.is_dir() {
        return Finding::lack(
            WHAT,
            format!("{name} is no folder; name another place with --archive"),
        );
    }
    match Archive::open(place) {
        Ok(archive) if archive.is_read_only() => Finding::lack(
            WHAT,
            format!(
                "{name} can be read, not written: nothing can be filed; change its permissions"
            ),
        ),
        Ok(_) if writable(place) => Finding::good(WHAT, format!("{name} can be read and written")),
        Ok(_) => Finding::lack(
            WHAT,
            format!("photos cannot be written into {name}; change the folder's permissions"),
        ),
        Err(ArchiveError::Missing(_)) if writable(existing(place)) => Finding::good(
            WHAT,
            format!("there is none in {name} yet; `seepline jaws add` begins one"),
        ),
        Err(ArchiveError::Missing(_)) => Finding::lack(
            WHAT,
            format!(
                "none can be begun in {name}; change the folder's permissions, or name another with --archive"
            ),
        ),
        Err(error) => Finding::lack(WHAT, error.to_string()),
    }
}

/// Checks of the page that a server could not read when it started; each holds photos that are filed nowhere.
fn set_aside(place: &Path) -> Option<Finding> {
    let all = page::set_aside_in(place);
    let names: Vec<String> = all.iter().map(|p| p.display().to_string()).collect();
    (!names.is_empty()).then(|| {
        Finding::lack(
            "checks under way",
            format!(
                "what could not be read was set aside in {}; take the photos out, then delete it",
                names.join(", ")
            ),
        )
    })
}

/// Filed readings of another version or other weights: what this one would answer otherwise is to be known before it is
/// relied on. Nothing to say of an archive that could not be opened, which is said already.
fn reread_due(place: &Path) -> Option<Finding> {
    const WHAT: &str = "filed readings";
    let archive = Archive::open(place).ok()?;
    let (read_by, reread_with) = (archive.read_by().ok()?, archive.reread_with().ok()?);
    let others = read_by.iter().filter(|(by, _)| *by != *network::VERSION);
    let (others, checks): (Vec<&str>, Vec<u32>) = others.map(|(by, n)| (by.as_str(), n)).unzip();
    let checks: u32 = checks.iter().sum();
    if checks == 0 || reread_with.as_ref() == Some(&*network::VERSION) {
        return None;
    }
    Some(Finding::lack(
        WHAT,
        format!(
            "{checks} checks were read by version {}, and this is {}; before you rely on it, see what it reads \
             otherwise with `seepline reread --into DIR`",
            others.join(", "),
            *network::VERSION
        ),
    ))
}

/// The innermost folder above a place that is there.
fn existing(place: &Path) -> &Path {
    place.ancestors().find(|p| p.is_dir()).unwrap_or(place)
}

/// Tried, as permissions alone do not tell (a full disk, a share mounted read-only).
fn writable(folder: &Path) -> bool {
    // With the process's number, so that two at once do not remove each other's file.
    let trial: PathBuf = folder.join(format!(".seepline-doctor-{}", std::process::id()));
    let written = fs::write(&trial, b"trial").is_ok();
    // Where it could not be written there is nothing to remove.
    let _ = fs::remove_file(&trial);
    written
}

fn space(place: &Path) -> Finding {
    const WHAT: &str = "free space";
    match fs4::available_space(existing(place)) {
        Err(error) => Finding::lack(WHAT, format!("could not be asked for ({error})")),
        Ok(bytes) => {
            let says = format!("{:.1} GB where the archive lies", bytes as f64 / 1e9);
            if bytes < ENOUGH_BYTES {
                Finding::lack(
                    WHAT,
                    format!("only {says}; make room before filing more checks"),
                )
            } else {
                Finding::good(WHAT, says)
            }
        }
    }
}

fn heic() -> Finding {
    const WHAT: &str = "HEIC photos";
    if cfg!(feature = "heic") {
        Finding::good(WHAT, "can be read")
    } else {
        Finding::lack(
            WHAT,
            "this program was built without them; set the phones to take JPEG (“most compatible”)",
        )
    }
}

fn network() -> Finding {
    const WHAT: &str = "network";
    match page::network_addresses() {
        Ok(all) if !all.is_empty() => {
            let all: Vec<String> = all.iter().map(ToString::to_string).collect();
            Finding::good(
                WHAT,
                format!("phones reach this machine at {}", all.join(", ")),
            )
        }
        _ => Finding::lack(
            WHAT,
            "this machine has no address in a network, so `seepline serve --network` reaches no phone; connect it",
        ),
    }
}

/// Whether bars and pictures of the text report can be shown as meant.
fn pictures() -> Finding {
    const WHAT: &str = "terminal";
    if text_options().unicode {
        Finding::good(WHAT, "shows block characters")
    } else {
        let why = if cfg!(windows) {
            "this is no console".to_owned()
        } else {
            let locale = env::var("LANG").unwrap_or_else(|_| "not set".to_owned());
            format!("LANG is {locale}")
        };
        let says = format!("plain characters only ({why}); reports are drawn with those");
        Finding::good(WHAT, says)
    }
}

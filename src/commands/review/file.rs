//! `--file`: the checks of a review into the archive, each once.

use std::collections::BTreeMap;
use std::io;
use std::path::PathBuf;

use super::results::Reviewed;
use super::walk::{Places, Walked};
use crate::archive::shelf::{CheckFacts, Shelf};
use crate::commands::archive::{now, open, say};
use crate::commands::cli::ReviewArgs;
use crate::commands::read::{ToFile, read_and_file};
use crate::commands::{complain, load};
use crate::report::SETTLE_PAGE;
use crate::review::{CheckLine, Lines, PhotoRecord, Sources};
use crate::taper::advice::Setup;
use crate::taper::rules::Rules;

/// Files every check whose jaw set is in the archive and of whose photos it is clear which are of one jaw, oldest first, and
/// says which were left.
pub(super) fn file(
    result: &Reviewed<'_>,
    walked: &Walked,
    args: &ReviewArgs,
    sources: &Sources,
    rules: &Rules,
) -> anyhow::Result<()> {
    let filing = Filing {
        places: walked.places(),
        args,
        rules,
    };
    let lines = &result;
    let when = |at: usize| lines.check(at).map(|check| (check.made, check.check, at));
    let mut checks = (0..result.counts.checks)
        .map(when)
        .collect::<io::Result<Vec<_>>>()?;
    // Oldest first: each check learns from those before it.
    checks.sort();
    let (mut filed, mut already, mut unsaid) = (0, 0, 0);
    let mut left = BTreeMap::<String, usize>::new();
    for (_, _, at) in checks {
        let check = &lines.check(at)?;
        let mut photos = result.records_of(at)?;
        // Those that could be opened.
        photos.retain(|photo| photo.line.error.is_none());
        let name = check.jaw_set.as_deref().unwrap_or_default();
        let holds = |photo: &PhotoRecord| sources.archive.holds(&photo.line.sha256, name);
        if !sources.archive.has_set(name) {
            *left.entry(name.to_owned()).or_default() += 1;
        } else if photos.iter().all(holds) {
            already += 1;
        } else if check.perhaps_one_jaw.iter().any(|pair| pair.matters) {
            // Filed, each photo would be a jaw for good.
            unsaid += 1;
        } else {
            match filing.one(check, &photos, name) {
                Ok(()) => filed += 1,
                Err(error) => complain(&[format!("a check of {name} was not filed: {error:#}")]),
            }
        }
    }
    say(&format!("{filed} checks filed, {already} filed already."))?;
    if unsaid > 0 {
        say(&format!(
            "{unsaid} checks in which photos may be of one jaw: say it on the page {SETTLE_PAGE}, and file them with its table."
        ))?;
    }
    for (name, count) in left {
        say(&match name.as_str() {
            "" => format!("{count} checks of no known jaw set: say which with --groups."),
            name => format!(
                "{count} checks of {name}, which is not in the archive: add it with `seepline jaws add`."
            ),
        })?;
    }
    Ok(())
}

struct Filing<'a> {
    /// By the name in the result.
    places: Places<'a>,
    args: &'a ReviewArgs,
    rules: &'a Rules,
}

impl Filing<'_> {
    /// Reads the check's photos once more and files it as `read --jaws` does.
    fn one(&self, check: &CheckLine, photos: &[PhotoRecord], name: &str) -> anyhow::Result<()> {
        let place = |p: &PhotoRecord| {
            let place = (*self.places.get(p.line.file.as_str())?).clone();
            Some((place, (p.tip, p.told.jaw)))
        };
        let placed = photos.iter().filter_map(place);
        let (files, said): (Vec<PathBuf>, Vec<_>) = placed.unzip();
        let (tips, jaws): (Vec<_>, Vec<_>) = said.into_iter().unzip();
        let method = photos.first().map(|p| p.line.method).unwrap_or_default();
        let common = load::Common {
            method,
            tips: &tips,
            corners: &[],
            jaws: &jaws,
        };
        let shelf = Shelf::of(open(&self.args.archive)?, name)?;
        let setup = Setup {
            grip: shelf.set.grip,
            taper: check.taper,
            length: shelf.set.face_length,
            clearance: None,
        };
        let to_file = ToFile {
            facts: CheckFacts {
                method,
                taper: check.taper,
                ..CheckFacts::default()
            },
            photos: load::read_all(&files, common),
            files,
            setup,
            call: None,
        };
        let report = read_and_file(shelf, to_file, common, self.rules)?;
        let id = report.filed.and_then(|note| note.check);
        if let (Some(id), Some(done)) = (id, &check.done) {
            let mut archive = open(&self.args.archive)?;
            // What was noted by hand stands against the table.
            if archive.check(&id.to_string())?.record.done.is_none() {
                archive.note_done(id, Some(done), now())?;
            }
        }
        Ok(())
    }
}

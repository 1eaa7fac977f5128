//! `seepline export --labelled`: a pack of photos with their labels, to give away. Nothing is ever sent anywhere.
//!
//! A photo is decoded and encoded anew, so that nothing but its pixels goes along. Numbers stand in place of names, in the
//! order of the photos' SHA-256, which follows neither time nor name. `index.html` is written last: a folder without it
//! is not whole.

use std::collections::HashMap;
use std::fs;
use std::path::Path;

use anyhow::{Context, ensure};

use super::archive::{open, say};
use super::{Outcome, complain, load, settings};
use crate::archive::{Archive, Details};
use crate::commands::cli::ExportArgs;
use crate::people::labels::{Label, Labelled, patterns};
use crate::people::opinion::{Basis, Outcomes, Truth, rulings};
use crate::reading::face::{FoundBy, TipDirection};
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::reading::photo::{UprightPhoto, read_photo};
use crate::report::{
    Licence, PackPhoto, RightBy, pack_page, pack_table, photo_file, photo_to_jpeg,
};
use crate::taper::records::{FiledCheck, FiledReading, Id, JawSet, Timeline};

/// One photo that is to go into the pack.
struct Chosen<'a> {
    set: &'a JawSet,
    check: Id,
    /// Whole.
    reading: FiledReading,
    jaw: usize,
    /// How the check was made.
    method: Method,
    /// That stand.
    labels: Vec<Label>,
    right: Option<(Pattern, RightBy)>,
}

pub(super) fn export(args: &ExportArgs, into: &Path, licence: Licence) -> anyhow::Result<Outcome> {
    let archive = open(&args.archive)?;
    let timelines = archive.every_timeline(Details::LeftOut)?;
    let mut chosen = chosen(&archive, &timelines, args)?;
    ensure!(
        !chosen.is_empty(),
        "no photo has a label yet: corners that were given, a tip that was said, a lead's word (`seepline check label`, \
         `check rule`), or later cuts that proved it; or choose photos with --check or --jaws"
    );
    chosen.sort_by(|a, b| a.reading.sha256.cmp(&b.reading.sha256));
    let told = || {
        format!(
            "the pack could not be written to {}; name another folder",
            into.display()
        )
    };
    fs::create_dir_all(into).with_context(told)?;
    ensure!(
        fs::read_dir(into).with_context(told)?.next().is_none(),
        "{} holds something already; name an empty folder, or one that is not there yet",
        into.display()
    );
    fs::create_dir(into.join("photos")).with_context(told)?;
    let mut numbers = Numbers::default();
    let (mut photos, mut faults) = (Vec::new(), Vec::new());
    for (number, one) in (1..)
        .zip(&chosen)
        .filter(|(n, _)| !args.without.contains(n))
    {
        let photo = match decoded(&archive, one) {
            Ok(photo) => photo,
            Err(error) => {
                faults.push(format!("{}: {error:#}", one.reading.file));
                continue;
            }
        };
        let jpeg = photo_to_jpeg(&photo, TipDirection::Up)?;
        fs::write(into.join(photo_file(number)), jpeg).with_context(told)?;
        photos.push(in_pack(number, one, &photo, numbers.of(one)));
    }
    fs::write(into.join("labels.csv"), pack_table(&photos)).with_context(told)?;
    fs::write(into.join("LICENSE.txt"), licence.text()).with_context(told)?;
    fs::write(into.join("index.html"), pack_page(&photos, licence)).with_context(told)?;
    complain(&faults);
    say(&format!(
        "{} photos with their labels are in {}. Look at every one in {} before you give the folder away: what can be \
         seen in a photo goes along.",
        photos.len(),
        into.display(),
        into.join("index.html").display()
    ))?;
    Ok(if faults.is_empty() {
        Outcome::Done
    } else {
        Outcome::Wrong
    })
}

/// Those that were named, else all of which anything is known.
fn chosen<'a>(
    archive: &Archive,
    timelines: &'a [Timeline],
    args: &ExportArgs,
) -> anyhow::Result<Vec<Chosen<'a>>> {
    let rules = settings::rules(&args.rules)?;
    let (calls, labels) = (archive.calls()?, archive.labels()?);
    let (rulings, said) = (rulings(&calls), patterns(&labels));
    let sets = args.jaws.iter().map(|name| Ok(archive.jaw_set(name)?.id));
    let sets = sets.collect::<anyhow::Result<Vec<Id>>>()?;
    let checks = args.check.iter().map(|id| Ok(archive.check(id)?.record.id));
    let checks = checks.collect::<anyhow::Result<Vec<Id>>>()?;
    let named = !sets.is_empty() || !checks.is_empty();
    let mut all = Vec::new();
    for timeline in timelines {
        let outcomes = Outcomes::of(timeline, rules.estimate());
        let set = &timeline.jaw_set;
        for check in timeline.checks() {
            let is_named = sets.contains(&set.id) || checks.contains(&check.id);
            if named && !is_named {
                continue;
            }
            let truth = outcomes.truth(check.id, rulings.get(&check.id).copied());
            let truth = truth.filter(Truth::proves);
            let whole = archive.check(&check.id.to_string())?.record;
            for reading in &whole.readings {
                let labels = archive.labels_of(&[&reading.sha256])?;
                let by_photo = said.get(&reading.sha256).map(|p| (*p, RightBy::Photo));
                let of_check = truth.map(|t: Truth| (t.pattern, RightBy::Check(t.by)));
                // What a lead said of the photo stands against what a lead said of the check, not against what proved it.
                let ruled = truth.is_none_or(|t| t.by == Basis::Ruling);
                let right = by_photo.filter(|_| ruled).or(of_check);
                if is_named || right.is_some() || !labels.is_empty() {
                    all.push(Chosen {
                        set,
                        check: check.id,
                        jaw: jaw(&whole, reading),
                        method: check.method,
                        reading: reading.clone(),
                        labels,
                        right,
                    });
                }
            }
        }
    }
    Ok(all)
}

/// By the number that was said, else the photo's place.
fn jaw(check: &FiledCheck, reading: &FiledReading) -> usize {
    let place = check
        .readings
        .iter()
        .position(|r| r.sha256 == reading.sha256);
    reading
        .jaw()
        .map_or(place.unwrap_or_default() + 1, usize::from)
}

fn decoded(archive: &Archive, one: &Chosen<'_>) -> anyhow::Result<UprightPhoto> {
    let bytes = load::bytes_of(&archive.photo_path(&one.reading.sha256)?)?;
    Ok(read_photo(&bytes)?)
}

/// Numbers in place of names.
#[derive(Default)]
struct Numbers {
    sets: HashMap<Id, usize>,
    checks: HashMap<Id, usize>,
}

impl Numbers {
    fn of(&mut self, one: &Chosen<'_>) -> [usize; 3] {
        let next = self.sets.len() + 1;
        let set = *self.sets.entry(one.set.id).or_insert(next);
        let next = self.checks.len() + 1;
        [set, *self.checks.entry(one.check).or_insert(next), one.jaw]
    }
}

fn in_pack(
    number: usize,
    one: &Chosen<'_>,
    photo: &UprightPhoto,
    numbers: [usize; 3],
) -> PackPhoto {
    let reading = &one.reading;
    let given = one.labels.iter().find_map(|l| match l.what {
        Labelled::Corners(corners) => Some((corners, true)),
        _ => None,
    });
    let found = || {
        Some((
            reading.corners_read()?,
            reading.found_by() == Some(FoundBy::Given),
        ))
    };
    let scale = photo.scale();
    let corners = given.or_else(found);
    let labelled = one.labels.iter().find_map(|l| match l.what {
        Labelled::Tip(tip) => Some(tip),
        _ => None,
    });
    let said = || reading.said().and_then(|said| said.tip);
    PackPhoto {
        number,
        size_px: photo.pixels.dimensions().into(),
        numbers,
        method: one.method,
        grip: one.set.grip,
        tip: labelled.or_else(said),
        corners: corners.map(|(of, by)| (of.map(|p| p.map(|v| v * scale)), by)),
        right: one.right,
        read: (reading.pattern, reading.refusal),
    }
}

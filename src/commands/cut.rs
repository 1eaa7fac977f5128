//! `seepline cut`: note, change, show, delete and restore the cuts of jaw sets.

use anyhow::bail;
use jiff::civil::DateTime;

use super::archive::{agreed, now, open, say, show};
use super::jaws::{apply_mounted, clear_mounted, take};
use super::settings;
use super::{Outcome, text_options};
use crate::archive::shelf::{new_id, short};
use crate::archive::{Archive, Details, stamp};
use crate::commands::cli::{CutFields, CutVerb, RecordArgs};
use crate::report::cut_to_text;
use crate::taper::records::{Cut, JawSet};

pub(super) fn run(verb: &CutVerb) -> anyhow::Result<Outcome> {
    match verb {
        CutVerb::Add {
            jaws,
            fields,
            common,
        } => add(jaws, fields, common),
        CutVerb::Change {
            id,
            fields,
            forget,
            common,
        } => change(id, fields, forget, common),
        CutVerb::Show { id, common } => {
            let archive = open(&common.archive)?;
            let cut = archive.cut(id)?.record;
            print_cut(&archive, &cut, common)
        }
        CutVerb::Delete { id, yes, common } => delete(id, *yes, common),
        CutVerb::Restore { id, common } => {
            let mut archive = open(&common.archive)?;
            let cut = archive.cut(id)?.record;
            archive.unhide_cut(cut.id, now())?;
            print_cut(&archive, &cut, common)
        }
    }?;
    Ok(Outcome::Done)
}

fn print_cut(archive: &Archive, cut: &Cut, common: &RecordArgs) -> anyhow::Result<()> {
    let set = name_of(archive, cut);
    show(common.json, cut, || cut_to_text(cut, &set, text_options()))
}

fn name_of(archive: &Archive, cut: &Cut) -> String {
    let set = archive.jaw_set_or_hidden(cut.jaw_set);
    set.map_or_else(|_| cut.jaw_set.to_string(), |set| set.name)
}

fn add(jaws: &str, fields: &CutFields, common: &RecordArgs) -> anyhow::Result<()> {
    let mut archive = open(&common.archive)?;
    let set = archive.jaw_set(jaws)?;
    let now = now();
    let last = last_cut(&archive, &set)?;
    if fields.made.is_none() {
        after_the_others(last.as_ref(), &set, now)?;
    }
    let cut = new_cut(&set, fields, now)?;
    sound(&cut)?;
    archive.put_cut(&cut)?;
    // What the set says of its present state follows its newest cut.
    if last.is_none_or(|last| last.made <= cut.made) {
        archive.edit_jaw_set(set.id, |set| {
            take(&mut set.bored_diameter, cut.diameter.as_ref());
            take(&mut set.stock, cut.stock_left.as_ref());
            set.changed = stamp(cut.changed, set.changed);
        })?;
    }
    print_cut(&archive, &cut, common)
}

fn last_cut(archive: &Archive, set: &JawSet) -> anyhow::Result<Option<Cut>> {
    let mut timeline = archive.timeline(set.id, Details::LeftOut)?;
    Ok(timeline.cuts.pop().map(|c| c.cut))
}

/// The taper as `read` takes it: a slip of the unit would become the next taper.
fn sound(cut: &Cut) -> anyhow::Result<()> {
    cut.taper.map_or(Ok(()), |t| settings::taper(t).map(drop))
}

/// A cut that is noted as made before the last one would not count as the last: checks would be taken for
/// those of another taper.
fn after_the_others(last: Option<&Cut>, set: &JawSet, now: DateTime) -> anyhow::Result<()> {
    let Some(last) = last.filter(|c| c.made > now) else {
        return Ok(());
    };
    bail!(
        "the clock says {now}, but the last cut of {} is noted for {}: set the clock, say with --made when \
         this cut was made, or correct that one with `seepline cut change {} --made TIME`",
        set.name,
        last.made,
        short(last.id)
    )
}

/// A cut of `set` as it is mounted now.
fn new_cut(set: &JawSet, fields: &CutFields, now: DateTime) -> anyhow::Result<Cut> {
    let mut cut = Cut::of(set, new_id()?, now);
    apply(&mut cut, fields);
    Ok(cut)
}

fn apply(cut: &mut Cut, given: &CutFields) {
    cut.made = given.made.unwrap_or(cut.made);
    take(&mut cut.taper, given.taper.as_ref());
    take(&mut cut.diameter, given.diameter.as_ref());
    take(&mut cut.depth, given.depth.as_ref());
    take(&mut cut.boring_pressure, given.boring_pressure.as_ref());
    take(&mut cut.skimmed, given.skimmed.as_ref());
    take(&mut cut.stock_left, given.stock_left.as_ref());
    apply_mounted(&mut cut.mounting, &given.mounted);
    take(&mut cut.notes, given.notes.as_ref());
}

fn change(
    id: &str,
    fields: &CutFields,
    forget: &[String],
    common: &RecordArgs,
) -> anyhow::Result<()> {
    let mut archive = open(&common.archive)?;
    // Tried on a copy: a name that is no field, or a slip of the unit, changes nothing.
    let mut tried = archive.cut(id)?.record;
    for field in forget {
        clear(&mut tried, field)?;
    }
    apply(&mut tried, fields);
    sound(&tried)?;
    let changed = now();
    let cut = archive.edit_cut(tried.id, |cut| {
        for field in forget {
            // Each name was tried above.
            let _ = clear(cut, field);
        }
        apply(cut, fields);
        cut.changed = stamp(changed, cut.changed);
    })?;
    print_cut(&archive, &cut, common)
}

fn clear(cut: &mut Cut, field: &str) -> anyhow::Result<()> {
    match field {
        "taper" => cut.taper = None,
        "diameter" => cut.diameter = None,
        "depth" => cut.depth = None,
        "boring-pressure" => cut.boring_pressure = None,
        "skimmed" => cut.skimmed = None,
        "stock-left" => cut.stock_left = None,
        "notes" => cut.notes = None,
        other if clear_mounted(&mut cut.mounting, other) => {}
        other => bail!(
            "“{other}” is no field that can be cleared; name an option of `cut change` without its dashes, such as taper or notes"
        ),
    }
    Ok(())
}

fn delete(id: &str, yes: bool, common: &RecordArgs) -> anyhow::Result<()> {
    let mut archive = open(&common.archive)?;
    let cut = archive.cut(id)?.record;
    let question = format!(
        "Delete the cut of {} on {} with its checks?",
        name_of(&archive, &cut),
        cut.made.date()
    );
    if !agreed(&question, yes)? {
        return say("Nothing was deleted.");
    }
    archive.hide_cut(cut.id, now())?;
    say(&format!(
        "The cut is deleted; `seepline cut restore {}` brings it back.",
        short(cut.id)
    ))
}

//! `seepline jaws`: add, change, show, list, delete and restore jaw sets.

use std::fs;
use std::path::PathBuf;

use anyhow::{Context, bail};

use super::archive::{agreed, create_or_open, now, open, say, show};
use super::{Outcome, text_options};
use crate::archive::shelf::{new_id, short};
use crate::archive::{Archive, Details, Find, stamp};
use crate::commands::cli::{JawSetFields, JawsVerb, ListArgs, Mounted, RecordArgs};
use crate::report::{jaw_set_to_text, list_to_text, summaries_to_json};
use crate::taper::records::{Id, JawSet, Mounting};
use crate::under_way::JawSets;

pub(super) fn run(verb: &JawsVerb) -> anyhow::Result<Outcome> {
    match verb {
        JawsVerb::Add {
            name,
            fields,
            common,
        } => add(name, fields, common),
        JawsVerb::Change {
            name,
            rename,
            fields,
            forget,
            common,
        } => change(name, rename.as_deref(), fields, forget, common),
        JawsVerb::Show { name, common } => {
            let set = open(&common.archive)?.jaw_set(name)?;
            print_set(&set, common)
        }
        JawsVerb::List(args) => list(args),
        JawsVerb::Delete { name, yes, common } => delete(name, *yes, common),
        JawsVerb::Restore { name, common } => restore(name, common),
    }?;
    Ok(Outcome::Done)
}

fn print_set(set: &JawSet, common: &RecordArgs) -> anyhow::Result<()> {
    show(common.json, set, || jaw_set_to_text(set, text_options()))
}

fn add(name: &str, fields: &JawSetFields, common: &RecordArgs) -> anyhow::Result<()> {
    let mut archive = create_or_open(&common.archive)?;
    let id = new_id()?;
    let mut set = JawSet::named(id, name.trim(), now());
    apply(&mut set, fields);
    set.photos = store(&archive, &fields.photo)?;
    archive.put_jaw_set(&set)?;
    print_set(&set, common)
}

fn change(
    name: &str,
    rename: Option<&str>,
    fields: &JawSetFields,
    forget: &[String],
    common: &RecordArgs,
) -> anyhow::Result<()> {
    for field in forget {
        // On a set that is nobody's: a name that is no field changes nothing.
        clear(&mut JawSet::named(Id::derived(&[]), "", now()), field)?;
    }
    let mut archive = open(&common.archive)?;
    let id = archive.jaw_set(name)?.id;
    // Before the set speaks of them, as when a check is filed.
    let photos = store(&archive, &fields.photo)?;
    let changed = now();
    let set = archive.edit_jaw_set(id, |set| {
        for field in forget {
            // Each name was tried above.
            let _ = clear(set, field);
        }
        apply(set, fields);
        if let Some(name) = rename {
            name.trim().clone_into(&mut set.name);
        }
        for photo in photos {
            if !set.photos.contains(&photo) {
                set.photos.push(photo);
            }
        }
        set.changed = stamp(changed, set.changed);
    })?;
    print_set(&set, common)
}

/// The photos' hashes, once they are in the archive.
fn store(archive: &Archive, files: &[PathBuf]) -> anyhow::Result<Vec<String>> {
    let mut hashes = Vec::new();
    for file in files {
        let bytes = fs::read(file).with_context(|| {
            let file = file.display();
            format!("the photo {file} could not be read; check its name and permissions")
        })?;
        let hash = archive.store_photo(&bytes)?;
        if !hashes.contains(&hash) {
            hashes.push(hash);
        }
    }
    Ok(hashes)
}

/// Takes over what was given.
fn apply(set: &mut JawSet, given: &JawSetFields) {
    set.grip = given.grip.unwrap_or(set.grip);
    take(&mut set.material, given.material.as_ref());
    take(&mut set.jaw_height, given.jaw_height.as_ref());
    take(&mut set.face_length, given.face_length.as_ref());
    take(&mut set.face_width, given.face_width.as_ref());
    take(&mut set.bored_diameter, given.bored_diameter.as_ref());
    take(&mut set.workpiece, given.workpiece.as_ref());
    take(
        &mut set.workpiece_diameter,
        given.workpiece_diameter.as_ref(),
    );
    apply_mounted(&mut set.mounting, &given.mounted);
    take(&mut set.boring_pressure, given.boring_pressure.as_ref());
    take(
        &mut set.production_pressure,
        given.production_pressure.as_ref(),
    );
    take(&mut set.bolt_torque, given.bolt_torque.as_ref());
    take(&mut set.bored_on, given.bored_on.as_ref());
    take(&mut set.stock, given.stock.as_ref());
    take(&mut set.notes, given.notes.as_ref());
}

pub(super) fn apply_mounted(mounting: &mut Mounting, given: &Mounted) {
    take(&mut mounting.machine, given.machine.as_ref());
    take(&mut mounting.chuck, given.chuck.as_ref());
    take(&mut mounting.master_jaws, given.master_jaws.as_ref());
    take(&mut mounting.serration, given.serration.as_ref());
}

pub(super) fn take<T: Clone>(field: &mut Option<T>, given: Option<&T>) {
    if let Some(given) = given {
        *field = Some(given.clone());
    }
}

/// Clears the field of an option's name.
fn clear(set: &mut JawSet, field: &str) -> anyhow::Result<()> {
    match field {
        "material" => set.material = None,
        "jaw-height" => set.jaw_height = None,
        "face-length" => set.face_length = None,
        "face-width" => set.face_width = None,
        "bored-diameter" => set.bored_diameter = None,
        "workpiece" => set.workpiece = None,
        "workpiece-diameter" => set.workpiece_diameter = None,
        "boring-pressure" => set.boring_pressure = None,
        "production-pressure" => set.production_pressure = None,
        "bolt-torque" => set.bolt_torque = None,
        "bored-on" => set.bored_on = None,
        "stock" => set.stock = None,
        "notes" => set.notes = None,
        "photo" => set.photos.clear(),
        other if clear_mounted(&mut set.mounting, other) => {}
        other => bail!(
            "“{other}” is no field that can be cleared; name an option of `jaws change` without its dashes, such as material or stock"
        ),
    }
    Ok(())
}

/// False where the field is none of these.
pub(super) fn clear_mounted(mounting: &mut Mounting, field: &str) -> bool {
    let place = match field {
        "machine" => &mut mounting.machine,
        "chuck" => &mut mounting.chuck,
        "master-jaws" => &mut mounting.master_jaws,
        "serration" => &mut mounting.serration,
        _ => return false,
    };
    *place = None;
    true
}

fn list(args: &ListArgs) -> anyhow::Result<()> {
    let find = Find {
        text: args.words.join(" "),
        grip: args.grip,
        material: args.material.clone(),
        machine: args.machine.clone(),
        chuck: args.chuck.clone(),
        workpiece_from: args.diameter_from,
        workpiece_to: args.diameter_to,
        hidden: args.deleted,
    };
    let found = open(&args.common.archive)?.jaw_sets(&find)?;
    if args.for_phone {
        return show(true, &JawSets::of(&found, now()), String::new);
    }
    show(args.common.json, &summaries_to_json(&found), || {
        list_to_text(&found, text_options())
    })
}

fn delete(name: &str, yes: bool, common: &RecordArgs) -> anyhow::Result<()> {
    let mut archive = open(&common.archive)?;
    let set = archive.jaw_set(name)?;
    let timeline = archive.timeline(set.id, Details::LeftOut)?;
    let checks: usize = timeline.cuts.iter().map(|c| c.checks.len()).sum();
    let question = format!(
        "Delete jaw set {} with {} cuts and {checks} checks?",
        set.name,
        timeline.cuts.len()
    );
    if !agreed(&question, yes)? {
        return say("Nothing was deleted.");
    }
    archive.hide_jaw_set(set.id, now())?;
    say(&format!(
        "{} is deleted; `seepline jaws restore {}` brings it back.",
        set.name,
        short(set.id)
    ))
}

fn restore(name: &str, common: &RecordArgs) -> anyhow::Result<()> {
    let mut archive = open(&common.archive)?;
    let set = archive.hidden_jaw_set(name)?;
    archive.unhide_jaw_set(set.id, now())?;
    print_set(&set, common)
}

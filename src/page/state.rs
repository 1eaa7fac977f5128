//! A check under way as JSON, for programs and for the page's script.

use serde_json::{Value, json};

use super::calling;
use super::desk::Desk;
use super::fault::Fault;
use crate::report;
use crate::taper::records::JawSet;
use crate::under_way::addresses::{picture_address, plain_address};
use crate::under_way::questions::{self, About, Question};
use crate::under_way::{Photo, Settings, UnderWay};

const SCHEMA: u32 = 1;

/// The whole check; under `report` what `read --json` prints for the same photos, unless a call comes first.
pub(super) fn of_check(desk: &Desk, check: &mut UnderWay) -> Result<Value, Fault> {
    let kept = calling::before_showing(desk, check)?;
    let set = set_of(desk, check)?;
    // Formed already, but not shown before the call.
    let answer = check.answer.as_ref().filter(|_| kept.is_none());
    let report: Option<Value> = match answer {
        Some(report) => {
            serde_json::from_slice(&report::to_json(report).map_err(|_| Fault::Defect)?).ok()
        }
        None => None,
    };
    let photos = check.sheet.photos.iter();
    let photos: Vec<Value> = photos.map(|p| photo(check, p, kept.is_none())).collect();
    let questions = answer.map_or_else(Vec::new, |_| questions::open(check));
    let questions: Vec<Value> = questions.iter().map(question).collect();
    Ok(json!({
        "schema": SCHEMA,
        "id": check.sheet.id,
        "begun": check.sheet.begun,
        "jaw_set": set.as_ref().map(|s| json!({ "id": s.id, "name": s.name })),
        "settings": settings(&check.sheet.settings, set.as_ref()),
        "photos": photos,
        "notices": check.notices,
        "problem": check.problem,
        "call": check.sheet.call,
        "questions": questions,
        "kept_back": kept.map(|k| k.waits_for()),
        "report": report,
        "filed": check.sheet.filed,
    }))
}

/// What a list of checks says of one.
pub(super) fn in_short(desk: &Desk, check: &UnderWay) -> Result<Value, Fault> {
    let set = set_of(desk, check)?;
    Ok(json!({
        "id": check.sheet.id,
        "begun": check.sheet.begun,
        "jaw_set": set.map(|s| json!({ "id": s.id, "name": s.name })),
        "photos": check.sheet.photos.len(),
        "filed": check.sheet.filed,
    }))
}

/// The check's jaw set; `None` for a quick check, and where it was deleted since.
pub(super) fn set_of(desk: &Desk, check: &UnderWay) -> Result<Option<JawSet>, Fault> {
    let Some(set) = check.sheet.settings.jaw_set else {
        return Ok(None);
    };
    Ok(desk.open_archive()?.jaw_set(&set.to_string()).ok())
}

fn settings(settings: &Settings, set: Option<&JawSet>) -> Value {
    let mut value = json!(settings);
    // A jaw set says which way it grips.
    value["grip"] = json!(set.map_or(settings.grip, |s| s.grip));
    value
}

fn question(question: &Question<'_>) -> Value {
    let (about, tip_read_as) = match question.about {
        About::Tip(read_as) => ("tip", Some(read_as)),
        About::Method(_) => ("method", None),
    };
    json!({
        "jaw": question.photo.jaw,
        "sha256": question.photo.sha256,
        "about": about,
        "why": question.why,
        "tip_read_as": tip_read_as,
    })
}

fn photo(check: &UnderWay, photo: &Photo, shown: bool) -> Value {
    let read = check.read(photo).is_some();
    json!({
        "sha256": photo.sha256,
        "name": photo.name,
        "jaw": photo.jaw,
        "state": if read { "read" } else { "waiting" },
        "tip": photo.tip,
        "corners_px": photo.corners,
        "picture": (read && shown).then(|| picture_address(check, photo)),
        "photo": read.then(|| plain_address(check, photo)),
    })
}

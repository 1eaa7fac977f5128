//! A check under way → its answer, by the same code as the command line's.

use std::collections::HashMap;
use std::fs;
use std::sync::Arc;

use anyhow::Context;

use super::calling;
use super::checks;
use super::desk::Desk;
use super::fault::Fault;
use crate::archive::Archive;
use crate::archive::shelf::{Draft, Shelf};
use crate::report::{CallReport, CheckReport, ProofNote};
use crate::taper::records::Id;
use crate::under_way::UnderWay;

/// Forms the answer anew where every photo is read.
pub(super) fn refresh(desk: &Desk, check: &mut UnderWay) {
    check.answer = None;
    check.problem = None;
    if check.sheet.photos.is_empty() || !check.waiting().is_empty() {
        return;
    }
    let answer = answer(desk, check).map(|(report, _)| report);
    check.answered(answer);
}

/// What was proven, or kept back, since the answer was formed.
pub(super) fn proven_meanwhile(desk: &Desk, check: &mut UnderWay) -> Result<(), Fault> {
    let Some(answer) = check.answer.take() else {
        return Ok(());
    };
    let now = desk.proof()?;
    let shop = |note: &Option<ProofNote>| note.as_ref().map(|n| n.of_the_shop.clone());
    let held = |note: &Option<ProofNote>| note.as_ref().is_some_and(|n| n.held);
    let (same, released) = (
        shop(&answer.proof) == shop(&now),
        held(&answer.proof) && !held(&now),
    );
    check.answer = Some(if same {
        answer
    } else {
        Arc::new(CheckReport::clone(&answer).with_proof(now))
    });
    // What was kept back of a filed check stays so: the archive has it so.
    if released && check.sheet.filed.is_none() {
        refresh(desk, check);
    }
    Ok(())
}

fn shelf(desk: &Desk, check: &UnderWay, set: Id) -> Result<Shelf, Fault> {
    let shelf = Shelf::of(Archive::open(&desk.archive)?, &set.to_string());
    let left_out = check.sheet.left_out.iter().cloned().collect();
    let shelf = shelf.map(|shelf| shelf.leaving_out(left_out));
    shelf.map_err(|error| match Fault::from(error) {
        Fault::NotHere => Fault::Conflict(
            "the jaw set of this check was deleted; choose another, or bring it back with `seepline jaws restore`"
                .into(),
        ),
        fault => fault,
    })
}

/// The id of the check's own call, where it is filed. It may be in the archive without its id here, when a
/// kill came before that was noted.
fn call_filed(check: &UnderWay, shelf: &Shelf) -> Result<Option<Id>, Fault> {
    let Some(call) = &check.sheet.call else {
        return Ok(None);
    };
    if let Some(id) = check.sheet.call_filed
        && shelf.holds_call(id)?
    {
        return Ok(Some(id));
    }
    Ok(shelf.called(&hashes(check), &call.by)?.map(|c| c.id))
}

fn hashes(check: &UnderWay) -> Vec<&str> {
    let photos = check.sheet.photos.iter();
    photos.map(|p| p.sha256.as_str()).collect()
}

fn answer(desk: &Desk, check: &UnderWay) -> Result<(CheckReport, Option<(Shelf, Draft)>), Fault> {
    let settings = &check.sheet.settings;
    let Some(set) = settings.jaw_set else {
        let mut report = check.quick_answer(&desk.rules).with_proof(desk.proof()?);
        report.call = check.own_call(&report, &desk.rules);
        return Ok((report, None));
    };
    let mut shelf = shelf(desk, check, set)?;
    let setup = settings.setup(Some(&shelf.set));
    let mut photos = check.reports();
    shelf.say_jaws(&mut photos)?;
    let (draft, mut report) = shelf.advise(photos, &settings.into(), setup, &desk.rules)?;
    report.filed = Some(shelf.not_filed_yet(&draft));
    let call = match (&check.sheet.call, &settings.by) {
        (Some(call), _) => Some(call.clone()),
        (None, Some(by)) => shelf.called(&hashes(check), by)?.map(|filed| filed.call),
        (None, None) => None,
    };
    // Later checks of the archive tell what was right, and only about one that is in it.
    let right = match &check.sheet.filed {
        Some(filed) if call.is_some() => shelf.right(filed.check, &desk.rules)?,
        _ => None,
    };
    report.call = call.map(|call| CallReport::of(call, &report, right, &desk.rules));
    Ok((report, Some((shelf, draft))))
}

/// What the archive holds of a check beside the photos that are here.
#[derive(Default)]
pub(super) struct Missing {
    /// The photos' bytes.
    pub(super) photos: Vec<Vec<u8>>,
    /// The jaws' numbers as they were filed, by SHA-256, also of the photos that are here.
    pub(super) jaws: HashMap<String, u8>,
}

/// Photos that the archive holds in one check with some of these, and that are not among these: advice is
/// about all photos of a check.
pub(super) fn missing(desk: &Desk, check: &UnderWay) -> Result<Missing, Fault> {
    let Some(set) = check.sheet.settings.jaw_set else {
        return Ok(Missing::default());
    };
    let shelf = shelf(desk, check, set)?;
    let here = check.reports();
    let paths = shelf.missing_photos(&here)?;
    let photos: Result<_, Fault> = paths.iter().map(|path| Ok(fs::read(path)?)).collect();
    Ok(Missing {
        photos: photos?,
        jaws: shelf.jaws_filed(&here)?,
    })
}

/// Files the check as it stands; says so only once it is in the archive. The same again changes nothing.
pub(super) fn file(desk: &Desk, check: &mut UnderWay) -> Result<Id, Fault> {
    if !check.waiting().is_empty() {
        return Err(Fault::Conflict(
            "photos are still being read; wait a moment and file it then".into(),
        ));
    }
    calling::not_kept_back(desk, check)?;
    // Two checks of one set must not both note the same new cut.
    let _turn = desk.filing.lock();
    let (mut report, place) = answer(desk, check)?;
    let (mut shelf, draft) = place.ok_or_else(|| {
        Fault::Conflict(
            "a quick check belongs to no jaw set; choose its jaw set first, then file it".into(),
        )
    })?;
    let paths: Vec<_> = check
        .sheet
        .photos
        .iter()
        .map(|p| check.folder.join(&p.sha256))
        .collect();
    // Filing again must not file the call again.
    let own_is_new = check.sheet.call.is_some() && call_filed(check, &shelf)?.is_none();
    let bytes = |photo: usize| {
        fs::read(&paths[photo]).context(
            "a photo of the check could not be read again, so nothing was filed; take it again",
        )
    };
    let call = report.call.as_ref().map(|c| c.call.clone());
    let call = call.filter(|_| own_is_new);
    shelf.file(draft, &mut report, bytes, call.as_ref())?;
    let id = report
        .filed
        .as_ref()
        .and_then(|note| note.check)
        .ok_or(Fault::NoPhoto)?;
    // Before the sheet is written with `filed`, so that both are in it or neither.
    check.sheet.call_filed = call_filed(check, &shelf)?;
    check.answered(Ok(report));
    checks::note_filed(check, id)?;
    Ok(id)
}

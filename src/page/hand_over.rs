//! What a phone alone and the server that it finds give each other: jaw sets, and checks into the archive.

use std::fs::File;
use std::sync::Arc;

use axum::Json;
use axum::body::{Body, Bytes};
use axum::extract::{Query, State};
use serde::Deserialize;
use serde_json::{Value, json};

use super::alone::says_changes;
use super::checks::MOST_BYTES;
use super::desk::Desk;
use super::fault::Fault;
use super::receive::{Pace, Received, Source, receive_up_to};
use super::routes::PHOTOS_BYTES;
use super::upload::to_the_end;
use crate::archive::from_phone::{self, saved};
use crate::archive::shelf::now;
use crate::archive::{ArchiveError, Find};
use crate::under_way::words::without_options;
use crate::under_way::{JawSets, MOST_PHOTOS};

/// Together they take no more of the disk than photos under way may.
pub(super) const AT_ONCE: usize = MOST_BYTES as usize / PHOTOS_BYTES;
/// Of a check: its sheet, and each photo with the one before it.
const MOST_PARTS: usize = 1 + 2 * MOST_PHOTOS;

/// As `jaws list --for-phone` prints them.
pub(super) async fn sets(State(desk): State<Arc<Desk>>) -> Result<Json<JawSets>, Fault> {
    let sets = desk.work(|desk| {
        says_changes(desk)?;
        Ok(JawSets::of(
            &desk.open_archive()?.jaw_sets(&Find::default())?,
            now(),
        ))
    });
    Ok(Json(sets.await?))
}

/// What is said about a check that is handed over.
#[derive(Debug, Deserialize)]
pub(super) struct Said {
    /// By id or name; the one that the check was begun with where it is not said.
    jaw_set: Option<String>,
}

/// Says that it is filed once it is in the archive, and nothing of what it shows.
pub(super) async fn take(
    State(desk): State<Arc<Desk>>,
    Query(said): Query<Said>,
    body: Body,
) -> Result<Json<Value>, Fault> {
    let _turn = desk.handed_over.try_acquire().map_err(|_| Fault::Busy)?;
    let folder = desk.work(|desk| {
        // Whoever hands over has seen a change that is to be kept back here.
        says_changes(desk)?;
        desk.queue.look()?;
        desk.checks.arriving()
    });
    let (most, pace) = (PHOTOS_BYTES as u64, &mut Pace::start());
    let too_large = Fault::Unfit(format!(
        "the check is larger than {} MB; take photos out of it, or save it as a file for `seepline import phone`",
        PHOTOS_BYTES >> 20
    ));
    let received = receive_up_to(most, too_large, &folder.await?, Source::Body(body), pace).await?;
    let place = desk.queue.place()?;
    let desk = Arc::clone(&desk);
    // The phone may go away: what came whole is filed.
    let filed = to_the_end(async move {
        let turn = place.turn().await?;
        desk.work(move |desk| {
            let filed = file(desk, &received, said.jaw_set.as_deref());
            drop(turn);
            filed
        })
        .await
    });
    filed.await.map(Json).map_err(|fault| match fault {
        Fault::Conflict(why) => Fault::Conflict(without_options(&why)),
        fault => fault,
    })
}

/// Answers of practice that a phone kept, each filed once.
pub(super) async fn practice(
    State(desk): State<Arc<Desk>>,
    body: Bytes,
) -> Result<Json<Value>, Fault> {
    let took = desk.work(move |desk| {
        says_changes(desk)?;
        let took = from_phone::take(&mut desk.open_archive()?, &body, &desk.rules)?;
        match took.refused.first() {
            // The others are filed; it says so.
            Some(why) => Err(Fault::Unfit(why.clone())),
            None => Ok(took.to_json()),
        }
    });
    Ok(Json(took.await?))
}

fn file(desk: &Desk, received: &Received, named: Option<&str>) -> Result<Value, Fault> {
    let file = File::open(&received.file)?;
    let all = saved(&file, MOST_PARTS)?;
    let Ok([check]) = <[_; 1]>::try_from(all) else {
        return Err(Fault::Unfit("hand over one check at a time".into()));
    };
    let archive = desk.open_archive()?;
    let set = check
        .set(&archive, named)
        .map_err(|e| which_set(e, named.is_some()))?;
    let (id, jaw_set) = (check.sheet.id, json!({ "id": set.id, "name": set.name }));
    let taken = check.read(&archive, set, &file)?;
    // Two checks of one set must not both note the same new cut.
    let _turn = desk.filing.lock();
    let report = taken.file(archive, &file, &desk.rules)?;
    let note = report.filed.ok_or(Fault::Defect)?;
    let filed = note.check.ok_or(Fault::NoPhoto)?;
    Ok(json!({ "schema": 1, "id": id, "jaw_set": jaw_set, "filed": filed, "notes": note.notes }))
}

/// Here it is no address that is wrong.
fn which_set(error: anyhow::Error, named: bool) -> Fault {
    match error.downcast_ref() {
        // A page names it by its id, which says nothing to anybody.
        Some(ArchiveError::UnknownJawSet { .. }) if named => Fault::Conflict(
            "this archive has no such jaw set, or no longer; choose another, or bring it back with `seepline jaws restore`".into(),
        ),
        Some(ArchiveError::UnknownJawSet { .. } | ArchiveError::Ambiguous { .. }) => {
            Fault::Conflict(error.to_string())
        }
        _ => error.into(),
    }
}

//! Putting photos into a check and changing how they are read: what forms and the interface for programs
//! have in common.

use std::fs;
use std::future::Future;
use std::path::PathBuf;
use std::sync::Arc;

use tokio::task::JoinHandle;

use super::answer;
use super::checks::{self, Shared, hold};
use super::desk::Desk;
use super::fault::Fault;
use super::queue::Place;
use super::reading;
use super::receive::Received;
use crate::under_way::{Change, Fields, Goes, Photo, Settings, UnderWay};

/// What came of a photo that arrived.
enum Put {
    /// It is to be read.
    New,
    /// The check has it already.
    Already,
}

/// A photo that is being read, or was already.
pub(super) type Reading = JoinHandle<Result<(), Fault>>;

/// Takes a photo that arrived whole into the check, and begins to read it.
pub(super) async fn take_in(
    desk: &Arc<Desk>,
    check: &Shared,
    received: Received,
    name: &str,
    goes: Goes,
) -> Result<Reading, Fault> {
    // Before the photo is put into the check: where there is no place, the check stays as it was.
    let place = desk.queue.place()?;
    let (desk, check) = (Arc::clone(desk), Arc::clone(check));
    let name = name.to_owned();
    to_the_end(async move {
        let (sha256, of) = (received.sha256.clone(), Arc::clone(&check));
        let put = desk.work(move |desk| {
            desk.checks.room()?;
            put(&mut hold(&of), &received, name, goes)
        });
        Ok(match put.await? {
            Put::New => read(&desk, &check, sha256, place),
            Put::Already => tokio::spawn(async { Ok(()) }),
        })
    })
    .await
}

/// On a task of its own, so that it ends where the phone that asked for it goes away: what was changed is
/// read, too.
pub(super) async fn to_the_end<T: Send + 'static>(
    work: impl Future<Output = Result<T, Fault>> + Send + 'static,
) -> Result<T, Fault> {
    tokio::spawn(work).await?
}

/// On a task of its own: the phone may go away, the reading goes on.
fn read(desk: &Arc<Desk>, check: &Shared, sha256: String, place: Place) -> Reading {
    tokio::spawn(reading::read(
        Arc::clone(desk),
        Arc::clone(check),
        sha256,
        place,
    ))
}

fn put(check: &mut UnderWay, received: &Received, name: String, goes: Goes) -> Result<Put, Fault> {
    let Some(jaw) = check.place(&received.sha256, goes)? else {
        return Ok(Put::Already);
    };
    // The file before the sheet names it: a kill in between leaves a file that the next start removes.
    checks::keep(check, received)?;
    let kept = checks::change(check, |check| {
        let photo = Photo::new(received.sha256.clone(), received.bytes, &name, jaw);
        check.put_as(photo, goes);
        Ok(())
    });
    if kept.is_err() {
        // What stays is removed when the server starts again.
        let _ = fs::remove_file(check.folder.join(&received.sha256));
    }
    kept.map(|()| Put::New)
}

/// Takes a photo out of the check.
pub(super) fn remove(desk: &Desk, check: &mut UnderWay, sha256: &str) -> Result<(), Fault> {
    checks::change(check, |check| check.take_out(sha256))?;
    checks::forget_others(check);
    answer::refresh(desk, check);
    Ok(())
}

/// Changes how one photo is read, and reads it again.
pub(super) async fn change(
    desk: &Arc<Desk>,
    id: &str,
    sha256: String,
    change: Change,
) -> Result<(), Fault> {
    let check = desk.checks.get(id)?;
    let place = desk.queue.place()?;
    let desk = Arc::clone(desk);
    to_the_end(async move {
        let (of, hash) = (Arc::clone(&check), sha256.clone());
        desk.work(move |_| {
            let mut check = hold(&of);
            checks::change(&mut check, |check| check.apply(&hash, change))?;
            check.notices.clear();
            Ok(())
        })
        .await?;
        read(&desk, &check, sha256, place).await?
    })
    .await
}

/// Changes what is said about the check, and reads again what reads otherwise now.
pub(super) async fn settings(desk: &Arc<Desk>, id: &str, fields: Fields) -> Result<(), Fault> {
    let check = desk.checks.get(id)?;
    to_the_end(set(Arc::clone(desk), check, fields)).await
}

async fn set(desk: Arc<Desk>, check: Shared, fields: Fields) -> Result<(), Fault> {
    let of = Arc::clone(&check);
    let waiting = desk
        .work(move |desk| {
            let mut check = hold(&of);
            let settings = check.sheet.settings.with(&fields)?;
            known_set(desk, &settings)?;
            if settings != check.sheet.settings {
                checks::change(&mut check, |check| {
                    check.sheet.settings = settings;
                    Ok(())
                })?;
            }
            check.notices.clear();
            answer::refresh(desk, &mut check);
            Ok(check.waiting())
        })
        .await?;
    let mut all = Ok(());
    for sha256 in waiting {
        let place = desk.queue.wait_for_place().await?;
        // One that cannot be read keeps none of the others waiting.
        let one = read(&desk, &check, sha256, place).await;
        all = all.and(one.unwrap_or_else(|error| Err(error.into())));
    }
    all
}

/// A set that is not in the archive is refused before anything is begun under it.
pub(super) fn known_set(desk: &Desk, settings: &Settings) -> Result<(), Fault> {
    if let Some(set) = settings.jaw_set {
        desk.open_archive()?.jaw_set(&set.to_string())?;
    }
    Ok(())
}

/// Where uploads of this check are written.
pub(super) async fn folder(desk: &Arc<Desk>, check: &Shared) -> Result<PathBuf, Fault> {
    let of = Arc::clone(check);
    desk.work(move |desk| {
        desk.queue.look()?;
        desk.checks.room()?;
        let mut check = hold(&of);
        check.notices.clear();
        if check.gone {
            Err(Fault::NoSuchCheck)
        } else {
            Ok(check.folder.clone())
        }
    })
    .await
}

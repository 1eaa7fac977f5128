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
use super::settings::Fields;
use super::under_way::{MOST_PHOTOS, Photo, UnderWay, quad};
use crate::reading::corners;
use crate::reading::face::{Face, TipDirection};
use crate::report::shown;

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
    jaw: Option<u8>,
) -> Result<Reading, Fault> {
    // Before the photo is put into the check: where there is no place, the check stays as it was.
    let place = desk.queue.place()?;
    let (desk, check) = (Arc::clone(desk), Arc::clone(check));
    // The name alone, should a whole path come.
    let name = shown::name(name.rsplit(['/', '\\']).next().unwrap_or(name));
    to_the_end(async move {
        let (sha256, of) = (received.sha256.clone(), Arc::clone(&check));
        let put = desk.work(move |desk| {
            desk.checks.room()?;
            put(&mut hold(&of), &received, name, jaw)
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
async fn to_the_end<T: Send + 'static>(
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

fn put(
    check: &mut UnderWay,
    received: &Received,
    name: String,
    jaw: Option<u8>,
) -> Result<Put, Fault> {
    if check.holds(&received.sha256) {
        same_again(check, received, jaw);
        return Ok(Put::Already);
    }
    if check.sheet.photos.len() >= MOST_PHOTOS {
        let text = format!("a check has at most {MOST_PHOTOS} photos; take one out first");
        return Err(Fault::Conflict(text));
    }
    // The file before the sheet names it: a kill in between leaves a file that the next start removes.
    checks::keep(check, received)?;
    let kept = checks::change(check, |check| {
        check.put(photo(check, received, name, jaw));
        Ok(())
    });
    if kept.is_err() {
        // What stays is removed when the server starts again.
        let _ = fs::remove_file(check.folder.join(&received.sha256));
    }
    kept.map(|()| Put::New)
}

fn photo(check: &UnderWay, received: &Received, name: String, jaw: Option<u8>) -> Photo {
    let jaw = jaw.unwrap_or_else(|| check.free_jaw());
    let name = if name.trim().is_empty() {
        format!("jaw {jaw}")
    } else {
        name
    };
    Photo {
        sha256: received.sha256.clone(),
        name,
        jaw,
        bytes: received.bytes,
        tip: None,
        corners: None,
        before: None,
    }
}

/// A photo that is sent again counts once; for another jaw it was probably chosen by mistake.
fn same_again(check: &mut UnderWay, received: &Received, jaw: Option<u8>) {
    let other = check.photo(&received.sha256).map(|p| p.jaw).ok();
    if let (Some(jaw), Some(other)) = (jaw, other)
        && jaw != other
    {
        check.notices.push(format!(
            "the photo sent for jaw {jaw} is the one of jaw {other}: it counts once; take one of each jaw"
        ));
    }
}

/// Takes a photo out of the check.
pub(super) fn remove(desk: &Desk, check: &mut UnderWay, sha256: &str) -> Result<(), Fault> {
    checks::change(check, |check| {
        let before = check.photo_mut(sha256)?.before.take();
        check.take_back(sha256);
        let before = before.map(|b| b.sha256);
        for gone in before.into_iter().chain([sha256.to_owned()]) {
            check.leave_out(gone);
        }
        Ok(())
    })?;
    checks::forget_others(check);
    answer::refresh(desk, check);
    Ok(())
}

/// How a photo is to be read from now on.
pub(super) enum Change {
    /// The other end is the tip.
    Swap,
    /// The tip points there; `None` as in the other photos.
    Tip(Option<TipDirection>),
    /// The face's corners, full-size upright pixels; `None` to search for them.
    Corners(Option<[[f64; 2]; 4]>),
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
            checks::change(&mut check, |check| apply(check, &hash, change))?;
            check.notices.clear();
            Ok(())
        })
        .await?;
        read(&desk, &check, sha256, place).await?
    })
    .await
}

fn apply(check: &mut UnderWay, sha256: &str, change: Change) -> Result<(), Fault> {
    let assumed = check
        .sheet
        .settings
        .tip
        .unwrap_or_else(|| marked(check, sha256));
    if let Change::Corners(Some(corners)) = &change {
        fits(check, sha256, corners)?;
    }
    let photo = check.photo_mut(sha256)?;
    match change {
        Change::Swap => match &mut photo.corners {
            // Given corners say which end is the tip; half a turn gives it to the other.
            Some(corners) => corners.rotate_left(2),
            None => photo.tip = Some(opposite(photo.tip.unwrap_or(assumed))),
        },
        Change::Tip(tip) => {
            photo.tip = tip;
            // Corners outline the face; which end is the tip is what was said last.
            if let (Some(tip), Some(corners)) = (tip, &mut photo.corners)
                && tip.is_turned_from(&quad(*corners))
            {
                corners.rotate_left(2);
            }
        }
        Change::Corners(corners) => photo.corners = corners,
    }
    Ok(())
}

/// Where the page marks the tip, where nobody said it.
fn marked(check: &UnderWay, sha256: &str) -> TipDirection {
    let read = check.reads.get(sha256).and_then(|r| r.report.inspection());
    let face = read.and_then(|inspection| inspection.reading.face.as_ref());
    face.map_or_else(TipDirection::default, Face::tip_direction)
}

/// Said before anything is changed.
fn fits(check: &UnderWay, sha256: &str, corners: &[[f64; 2]; 4]) -> Result<(), Fault> {
    check.photo(sha256)?;
    let read = check.reads.get(sha256).and_then(|r| r.report.inspection());
    let wait = || Fault::Conflict("the photo is still being read; wait a moment".into());
    let size_px = read.ok_or_else(wait)?.photo.size_px;
    corners::check(&quad(*corners), size_px).map_err(|e| reading::unreadable(&e.into()))
}

fn opposite(tip: TipDirection) -> TipDirection {
    match tip {
        TipDirection::Up => TipDirection::Down,
        TipDirection::Down => TipDirection::Up,
        TipDirection::Left => TipDirection::Right,
        TipDirection::Right => TipDirection::Left,
    }
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
pub(super) fn known_set(desk: &Desk, settings: &super::settings::Settings) -> Result<(), Fault> {
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

/// A jaw's number as it came.
pub(super) fn jaw(given: Option<u8>) -> Result<Option<u8>, Fault> {
    let most = MOST_PHOTOS as u8;
    match given {
        Some(jaw) if !(1..=most).contains(&jaw) => {
            Err(Fault::Unfit(format!("jaws are numbered from 1 to {most}")))
        }
        given => Ok(given),
    }
}

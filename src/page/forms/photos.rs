//! Forms about photos: sending, swapping ends, corners, taking out; and their pictures.

use std::path::Path as Folder;
use std::sync::Arc;

use axum::extract::multipart::Field;
use axum::extract::{Form, Multipart, Path, Query, State};
use axum::http::header;
use axum::response::IntoResponse;

use super::super::calling;
use super::super::checks::Shared;
use super::super::desk::Desk;
use super::super::receive::{self, Pace, Source, receive};
use super::super::upload::{self, Reading};
use super::{DeskState, Page, to_check};
use crate::under_way::{self, Change, Fault, Fields, Goes, Pictures, UnderWay};

/// One photo or several. What is no photo is named on the page, and keeps none of the others out.
pub(in super::super) async fn photos(
    State(desk): DeskState,
    Path(id): Path<String>,
    mut form: Multipart,
) -> Page {
    let check = desk.checks.get(&id)?;
    let folder = upload::folder(&desk, &check).await?;
    let (mut pace, mut jaw, mut readings) = (Pace::start(), None, Vec::new());
    let mut another = false;
    while let Some(field) = pace.field(&mut form).await? {
        match field.name() {
            // A form sends its fields in order: the number stands before its photo.
            Some("jaw") => jaw = receive::text(field, &pace).await?.parse().ok(),
            Some("another") => another = receive::text(field, &pace).await? == "true",
            Some("photo") => {
                // The number is for one photo; others go where there is a place.
                let goes = under_way::goes(jaw.take(), std::mem::take(&mut another))?;
                let reading = one(&desk, &check, &folder, field, &mut pace, goes).await?;
                readings.extend(reading);
            }
            _ => {
                return Err(Fault::Unfit(
                    "the form has a field that is not known here".into(),
                ));
            }
        }
    }
    if readings.is_empty() {
        return Err(Fault::NoPhoto);
    }
    // Only now, so that photos are read while others still come.
    for reading in readings {
        match reading.await? {
            // Named on the page.
            Ok(()) | Err(Fault::Unfit(_)) => {}
            Err(fault) => return Err(fault),
        }
    }
    Ok(to_check(&id, "#photos"))
}

/// An input without a file sends an empty one.
async fn one(
    desk: &Arc<Desk>,
    check: &Shared,
    folder: &Folder,
    field: Field<'_>,
    pace: &mut Pace,
    goes: Goes,
) -> Result<Option<Reading>, Fault> {
    let name = field.file_name().unwrap_or_default().to_owned();
    let received = receive(folder, Source::Field(Box::new(field)), pace).await?;
    if received.bytes == 0 {
        return Ok(None);
    }
    upload::take_in(desk, check, received, &name, goes)
        .await
        .map(Some)
}

pub(in super::super) async fn swap(
    State(desk): DeskState,
    Path((id, sha256)): Path<(String, String)>,
) -> Page {
    changed(&desk, &id, sha256, "swap", &Fields::new()).await
}

pub(in super::super) async fn tip(
    State(desk): DeskState,
    Path((id, sha256)): Path<(String, String)>,
    Query(asked): Query<Fields>,
    Form(fields): Form<Fields>,
) -> Page {
    let page = changed(&desk, &id, sha256, "tip", &fields).await?;
    // Asked in the answer's place, where the next question or the answer then stands.
    let from_answer = asked.get("back").is_some_and(|place| place == "answer");
    Ok(if from_answer {
        to_check(&id, "#answer")
    } else {
        page
    })
}

pub(in super::super) async fn corners(
    State(desk): DeskState,
    Path((id, sha256)): Path<(String, String)>,
    Form(fields): Form<Fields>,
) -> Page {
    changed(&desk, &id, sha256, "corners", &fields).await
}

async fn changed(desk: &Arc<Desk>, id: &str, sha256: String, form: &str, fields: &Fields) -> Page {
    let of = sha256.clone();
    let change = Change::of_form(form, fields)?.ok_or(Fault::NotHere)?;
    upload::change(desk, id, sha256, change).await?;
    let jaw = desk
        .on_check(id, move |_, check| Ok(check.photo(&of)?.jaw))
        .await?;
    Ok(to_check(id, &format!("#jaw-{jaw}")))
}

pub(in super::super) async fn remove(
    State(desk): DeskState,
    Path((id, sha256)): Path<(String, String)>,
) -> Page {
    desk.on_check(&id, move |desk, check| upload::remove(desk, check, &sha256))
        .await?;
    Ok(to_check(&id, "#photos"))
}

/// The reading's picture.
pub(in super::super) async fn picture(
    State(desk): DeskState,
    Path((id, sha256)): Path<(String, String)>,
) -> Page {
    shown(&desk, &id, sha256, Showing::Reading, |p| {
        Some(p.picture.clone())
    })
    .await
}

/// The reading's profile.
pub(in super::super) async fn profile(
    State(desk): DeskState,
    Path((id, sha256)): Path<(String, String)>,
) -> Page {
    shown(&desk, &id, sha256, Showing::Reading, |p| p.profile.clone()).await
}

/// The photo alone.
pub(in super::super) async fn plain(
    State(desk): DeskState,
    Path((id, sha256)): Path<(String, String)>,
) -> Page {
    shown(&desk, &id, sha256, Showing::Photo, |p| {
        Some(p.plain.clone())
    })
    .await
}

/// What a picture tells.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Showing {
    Photo,
    Reading,
}

async fn shown(
    desk: &Arc<Desk>,
    id: &str,
    sha256: String,
    what: Showing,
    of: impl Fn(&Pictures) -> Option<Vec<u8>> + Send + 'static,
) -> Page {
    let bytes = desk.on_check(id, move |desk, check: &mut UnderWay| {
        if what == Showing::Reading {
            calling::not_kept_back(desk, check)?;
        }
        let read = check.reads.get(&sha256).ok_or(Fault::NoSuchPhoto)?;
        of(&read.pictures).ok_or(Fault::NoSuchPhoto)
    });
    Ok(([(header::CONTENT_TYPE, "image/jpeg")], bytes.await?).into_response())
}

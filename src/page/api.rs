//! The interface for programs; `openapi.json` describes it.

use std::sync::Arc;

use axum::Json;
use axum::body::Body;
use axum::extract::{Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::{Value, json};

use super::answer;
use super::call;
use super::calling;
use super::checks::hold;
use super::desk::Desk;
use super::fault::Fault;
use super::receive::{Pace, Source, receive};
use super::state;
use super::upload;
use crate::archive::Find;
use crate::archive::shelf::{history_of, now};
use crate::report;
use crate::under_way::{Change, Settings, goes, settings};

type Shared = State<Arc<Desk>>;
type Answered<T = Json<Value>> = Result<T, Fault>;

const DESCRIPTION: &str = include_str!("openapi.json");

pub(super) async fn description() -> Response {
    ([(header::CONTENT_TYPE, "application/json")], DESCRIPTION).into_response()
}

pub(super) async fn sets(State(desk): Shared) -> Answered {
    let sets = desk.work(|desk| Ok(desk.open_archive()?.jaw_sets(&Find::default())?));
    Ok(Json(report::summaries_to_json(&sets.await?)))
}

pub(super) async fn history(State(desk): Shared, Path(id): Path<String>) -> Answered {
    let history = desk.work(move |desk| {
        let mut archive = desk.open_archive()?;
        let id = archive.jaw_set(&id)?.id;
        let known = history_of(&mut archive, id, &desk.rules)?;
        Ok(report::history_to_json(&known.report()))
    });
    Ok(Json(history.await?))
}

pub(super) async fn list(State(desk): Shared) -> Answered {
    let all = desk.work(|desk| {
        let checks = desk.checks.list();
        let all = checks.iter().map(|c| state::in_short(desk, &hold(c)));
        all.collect::<Result<Vec<Value>, Fault>>()
    });
    Ok(Json(Value::Array(all.await?)))
}

pub(super) async fn begin(State(desk): Shared, Json(given): Json<Value>) -> Answered<Response> {
    let begun = desk.work(move |desk| {
        let settings = Settings::default().with(&settings::of_json(&given)?)?;
        upload::known_set(desk, &settings)?;
        let (id, check) = desk.checks.begin(settings)?;
        Ok((id, state::of_check(desk, &mut hold(&check))?))
    });
    let (id, state) = begun.await?;
    let place = [(header::LOCATION, format!("/api/checks/{id}"))];
    Ok((StatusCode::CREATED, place, Json(state)).into_response())
}

pub(super) async fn check(State(desk): Shared, Path(id): Path<String>) -> Answered {
    let state = desk.on_check(&id, state::of_check);
    Ok(Json(state.await?))
}

pub(super) async fn discard(State(desk): Shared, Path(id): Path<String>) -> Answered<StatusCode> {
    let check = desk.checks.get(&id)?;
    let done = desk.work(move |desk| {
        let id = hold(&check).sheet.id;
        desk.checks.discard(id);
        Ok(StatusCode::NO_CONTENT)
    });
    done.await
}

/// Byte for byte what `read --json` prints.
pub(super) async fn report(State(desk): Shared, Path(id): Path<String>) -> Answered<Response> {
    let bytes = desk.on_check(&id, |desk, check| {
        if let Some(kept) = calling::before_showing(desk, check)? {
            return Err(kept.into());
        }
        let none = || {
            Fault::Conflict(
                "there is no answer yet; send the photos, and wait until they are read".into(),
            )
        };
        let report = check.answer.as_ref().ok_or_else(none)?;
        report::to_json(report).map_err(|_| Fault::Defect)
    });
    let kind = [(header::CONTENT_TYPE, "application/json")];
    Ok((kind, bytes.await?).into_response())
}

/// What is said about a photo that is sent.
#[derive(Debug, Deserialize)]
pub(super) struct Sent {
    /// The first free one where it is not said.
    jaw: Option<u8>,
    /// Beside what the jaw has.
    #[serde(default)]
    another: bool,
    #[serde(default)]
    name: String,
}

pub(super) async fn photo(
    State(desk): Shared,
    Path(id): Path<String>,
    Query(sent): Query<Sent>,
    body: Body,
) -> Answered {
    let check = desk.checks.get(&id)?;
    let goes = goes(sent.jaw, sent.another)?;
    let folder = upload::folder(&desk, &check).await?;
    let received = receive(&folder, Source::Body(body), &mut Pace::start()).await?;
    if received.bytes == 0 {
        return Err(Fault::NoPhoto);
    }
    // Until it is read: a program has no page that asks again.
    upload::take_in(&desk, &check, received, &sent.name, goes)
        .await?
        .await??;
    self::check(State(desk), Path(id)).await
}

pub(super) async fn settings(
    State(desk): Shared,
    Path(id): Path<String>,
    Json(given): Json<Value>,
) -> Answered {
    upload::settings(&desk, &id, settings::of_json(&given)?).await?;
    check(State(desk), Path(id)).await
}

pub(super) async fn change_photo(
    State(desk): Shared,
    Path((id, sha256)): Path<(String, String)>,
    Json(given): Json<Value>,
) -> Answered {
    upload::change(&desk, &id, sha256, change_of(&given)?).await?;
    check(State(desk), Path(id)).await
}

/// One of `{"swap": true}`, `{"tip": "down"}` and `{"corners_px": [[x, y], …]}`.
fn change_of(given: &Value) -> Answered<Change> {
    let unfit = || {
        Fault::Unfit("send {\"swap\": true}, {\"tip\": \"up\"} or {\"corners_px\": [[x, y], [x, y], [x, y], [x, y]]}".into())
    };
    let object = given
        .as_object()
        .filter(|o| o.len() == 1)
        .ok_or_else(unfit)?;
    let change = object
        .iter()
        .next()
        .and_then(|(name, value)| match name.as_str() {
            "swap" => value.as_bool().filter(|s| *s).map(|_| Change::Swap),
            "tip" => serde_json::from_value(value.clone()).ok().map(Change::Tip),
            "corners_px" => serde_json::from_value(value.clone())
                .ok()
                .map(Change::Corners),
            _ => None,
        });
    change.ok_or_else(unfit)
}

pub(super) async fn remove(
    State(desk): Shared,
    Path((id, sha256)): Path<(String, String)>,
) -> Answered {
    let state = desk.on_check(&id, move |desk, check| {
        upload::remove(desk, check, &sha256)?;
        state::of_check(desk, check)
    });
    Ok(Json(state.await?))
}

pub(super) async fn call(
    State(desk): Shared,
    Path(id): Path<String>,
    Json(given): Json<Value>,
) -> Answered {
    let fields = settings::of_json(&given)?;
    let state = desk.on_check(&id, move |desk, check| {
        call::take(desk, check, &fields)?;
        state::of_check(desk, check)
    });
    Ok(Json(state.await?))
}

pub(super) async fn file(State(desk): Shared, Path(id): Path<String>) -> Answered {
    let state = desk.on_check(&id, |desk, check| {
        answer::file(desk, check)?;
        state::of_check(desk, check)
    });
    Ok(Json(state.await?))
}

pub(super) async fn filed(State(desk): Shared, Path(id): Path<String>) -> Answered {
    let check = desk.work(move |desk| {
        let mut check = json!(desk.open_archive()?.check(&id)?.record);
        if let Some(proof) = desk.proof()? {
            check["proof"] = json!(proof);
        }
        Ok(check)
    });
    Ok(Json(check.await?))
}

pub(super) async fn done(
    State(desk): Shared,
    Path(id): Path<String>,
    Json(given): Json<Value>,
) -> Answered {
    let unfit = || Fault::Unfit("send {\"done\": \"what was done\"}".into());
    let text = given
        .get("done")
        .and_then(Value::as_str)
        .ok_or_else(unfit)?;
    let text = settings::free_text(text)?;
    note_done(&desk, id.clone(), text).await?;
    filed(State(desk), Path(id)).await
}

/// Writes down what was done about a filed check.
pub(super) async fn note_done(desk: &Arc<Desk>, id: String, text: String) -> Result<(), Fault> {
    desk.work(move |desk| {
        let mut archive = desk.open_archive()?;
        let check = archive.check(&id)?.record.id;
        Ok(archive.note_done(check, Some(&text), now())?)
    })
    .await
}

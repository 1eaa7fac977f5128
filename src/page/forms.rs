//! The pages, and what their forms do. Every form leads back to a page, so that reloading one does nothing
//! twice.

pub(super) mod before;
pub(super) mod photos;
pub(super) mod prove;

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Extension, Form, Path, Query, State};
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{Html, IntoResponse, Redirect, Response};

use super::answer;
use super::api::note_done;
use super::call;
use super::checks::hold;
use super::desk::Desk;
use super::fault::Fault;
use super::guard::Host;
use super::pages;
use super::pairing::{cookies, set_cookie};
use super::upload;
use crate::taper::records::Id;
use crate::under_way::pages::SCRIPT;
use crate::under_way::{Fields, SetFacts, Settings, settings};

type DeskState = State<Arc<Desk>>;
type Page = Result<Response, Fault>;

/// What was chosen last, so that a quick check begins with it.
const LAST: &str = "seepline-last";

/// Exchanges the code for a cookie; the plain address is then all that a browser keeps.
pub(super) async fn pair(
    State(desk): DeskState,
    Extension(Host(host)): Extension<Host>,
    Query(given): Query<BTreeMap<String, String>>,
) -> Page {
    let key = given.get("key").map(String::as_str).unwrap_or_default();
    if !desk.pairing.is_code(key) {
        return Err(Fault::WrongCode);
    }
    let cookie = desk.pairing.set_cookie(desk.hosts.is_tls(&host));
    let mut response = Redirect::to("/").into_response();
    put_cookie(&mut response, &cookie);
    Ok(response)
}

fn put_cookie(response: &mut Response, cookie: &str) {
    if let Ok(value) = HeaderValue::from_str(cookie) {
        response.headers_mut().append(header::SET_COOKIE, value);
    }
}

/// Under an address that changes with its content, and so may be kept.
pub(super) async fn script() -> Response {
    let headers = [
        (header::CONTENT_TYPE, "text/javascript; charset=utf-8"),
        (
            header::CACHE_CONTROL,
            "private, max-age=31536000, immutable",
        ),
    ];
    (headers, SCRIPT).into_response()
}

pub(super) async fn first_page(State(desk): DeskState, headers: HeaderMap) -> Page {
    let last = remembered(&headers);
    let page = desk.work(move |desk| pages::first::page(desk, &last));
    Ok(Html(page.await?).into_response())
}

fn remembered(headers: &HeaderMap) -> Settings {
    let line = cookies(headers).find(|(name, _)| *name == LAST);
    // Written as an address's query is, and read by the same parser.
    let line = format!("/?{}", line.map_or("", |(_, value)| value));
    let fields = line
        .parse()
        .ok()
        .and_then(|uri| Query::<Fields>::try_from_uri(&uri).ok());
    let fields = fields.map(|Query(fields)| fields).unwrap_or_default();
    // A browser may send what an older version wrote, or anything.
    Settings::default().with(&fields).unwrap_or_default()
}

fn remember(response: &mut Response, settings: &Settings, tls: bool) {
    let line = settings.to_remember();
    put_cookie(response, &set_cookie(LAST, &line, tls));
}

/// A check of the jaw set that was tapped, or a quick one.
pub(super) async fn begin(
    State(desk): DeskState,
    Extension(Host(host)): Extension<Host>,
    headers: HeaderMap,
    Form(fields): Form<Fields>,
) -> Page {
    let last = remembered(&headers);
    let begun = desk.work(move |desk| {
        let settings = of_set(desk, last.with(&fields)?)?;
        let (id, _) = desk.checks.begin(settings.clone())?;
        Ok((id, settings))
    });
    let (id, settings) = begun.await?;
    let mut response = to_check(&id.to_string(), "");
    remember(&mut response, &settings, desk.hosts.is_tls(&host));
    Ok(response)
}

/// What the set's last check says about how it is checked.
fn of_set(desk: &Desk, settings: Settings) -> Result<Settings, Fault> {
    let Some(set) = settings.jaw_set else {
        return Ok(settings);
    };
    let summary = desk.open_archive()?.summary_of(set)?;
    Ok(SetFacts::of(&summary).begins(settings))
}

pub(super) async fn check(State(desk): DeskState, Path(id): Path<String>) -> Page {
    let page = desk.on_check(&id, pages::check::page);
    Ok(Html(page.await?).into_response())
}

fn to_check(id: &str, place: &str) -> Response {
    // Only a check's own id stands in an address.
    let id = id
        .parse::<Id>()
        .map(|id| id.to_string())
        .unwrap_or_default();
    Redirect::to(&format!("/checks/{id}{place}")).into_response()
}

pub(super) async fn settings(
    State(desk): DeskState,
    Extension(Host(host)): Extension<Host>,
    Path(id): Path<String>,
    Form(fields): Form<Fields>,
) -> Page {
    upload::settings(&desk, &id, fields).await?;
    let settings = desk
        .on_check(&id, |_, check| Ok(check.sheet.settings.clone()))
        .await?;
    let mut response = to_check(&id, "");
    remember(&mut response, &settings, desk.hosts.is_tls(&host));
    Ok(response)
}

pub(super) async fn call(
    State(desk): DeskState,
    Path(id): Path<String>,
    Form(fields): Form<Fields>,
) -> Page {
    desk.on_check(&id, move |desk, check| call::take(desk, check, &fields))
        .await?;
    Ok(to_check(&id, "#answer"))
}

pub(super) async fn file(State(desk): DeskState, Path(id): Path<String>) -> Page {
    desk.on_check(&id, answer::file).await?;
    Ok(to_check(&id, "#filed"))
}

pub(super) async fn discard(State(desk): DeskState, Path(id): Path<String>) -> Page {
    let check = desk.checks.get(&id)?;
    desk.work(move |desk| {
        let id = hold(&check).sheet.id;
        desk.checks.discard(id);
        Ok(())
    })
    .await?;
    Ok(Redirect::to("/").into_response())
}

pub(super) async fn history(State(desk): DeskState, Path(id): Path<String>) -> Page {
    let page = desk.work(move |desk| pages::set::page(desk, &id));
    Ok(Html(page.await?).into_response())
}

pub(super) async fn plot(State(desk): DeskState, Path(id): Path<String>) -> Page {
    let svg = desk.work(move |desk| pages::set::plot(desk, &id));
    Ok(([(header::CONTENT_TYPE, "image/svg+xml")], svg.await?).into_response())
}

pub(super) async fn filed(State(desk): DeskState, Path(id): Path<String>) -> Page {
    let page = desk.work(move |desk| pages::filed::page(desk, &id));
    Ok(Html(page.await?).into_response())
}

pub(super) async fn done(
    State(desk): DeskState,
    Path(id): Path<String>,
    Form(fields): Form<Fields>,
) -> Page {
    let text = fields.get("done").map(String::as_str).unwrap_or_default();
    let text = settings::free_text(text)?;
    note_done(&desk, id.clone(), text).await?;
    let id = desk
        .work(move |desk| Ok(desk.open_archive()?.check(&id)?.record.id))
        .await?;
    Ok(Redirect::to(&format!("/filed/{id}#done")).into_response())
}

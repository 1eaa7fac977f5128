//! Addresses → handlers.

use std::sync::Arc;

use axum::extract::DefaultBodyLimit;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::routing::{get, patch, post};
use axum::{Router, response::IntoResponse};

use super::desk::Desk;
use super::fault::Fault;
use super::{alone, api, forms, guard, hand_over};

/// Largest form or JSON without photos.
const FORM_BYTES: usize = 64 * 1024;
/// Largest form with photos: a whole check at the size that phones write.
pub(super) const PHOTOS_BYTES: usize = 512 << 20;

pub(super) fn router(desk: Arc<Desk>) -> Router {
    let quick = Router::new().merge(pages()).merge(programs());
    let quick = quick
        .layer(DefaultBodyLimit::max(FORM_BYTES))
        .layer(from_fn(guard::soon));
    Router::new()
        .merge(quick)
        .merge(readings())
        .fallback(nothing_here)
        .method_not_allowed_fallback(not_that_way)
        // After the fallbacks, so that what finds no handler passes the guard, too.
        .layer(from_fn_with_state(Arc::clone(&desk), guard::guard))
        .with_state(desk)
}

async fn nothing_here() -> impl IntoResponse {
    Fault::NotHere
}

async fn not_that_way() -> impl IntoResponse {
    Fault::NotThatWay
}

fn pages() -> Router<Arc<Desk>> {
    Router::new()
        .route("/", get(forms::first_page))
        .route("/pair", get(forms::pair))
        .route("/phone", get(alone::folder))
        .route("/phone/", get(alone::index))
        .route("/phone/{file}", get(alone::file))
        .route("/page.js", get(forms::script))
        .route("/checks", post(forms::begin))
        .route("/checks/{id}", get(forms::check))
        .route("/checks/{id}/call", post(forms::call))
        .route("/checks/{id}/file", post(forms::file))
        .route("/checks/{id}/discard", post(forms::discard))
        .route(
            "/checks/{id}/photos/{sha256}/remove",
            post(forms::photos::remove),
        )
        .route(
            "/checks/{id}/photos/{sha256}/picture",
            get(forms::photos::picture),
        )
        .route(
            "/checks/{id}/photos/{sha256}/profile",
            get(forms::photos::profile),
        )
        .route(
            "/checks/{id}/photos/{sha256}/photo",
            get(forms::photos::plain),
        )
        .route("/sets/{id}", get(forms::history))
        .route("/sets/{id}/history.svg", get(forms::plot))
        .route("/filed/{id}", get(forms::filed))
        .route("/filed/{id}/done", post(forms::done))
        .route("/start", get(forms::before::start))
        .route("/recut", get(forms::before::recut))
        .route("/prove-out", get(forms::prove::page))
        .route("/prove-out/begin", post(forms::prove::begin))
        .route("/prove-out/end", post(forms::prove::end))
}

fn programs() -> Router<Arc<Desk>> {
    Router::new()
        .route("/api/openapi.json", get(api::description))
        .route("/api/sets", get(api::sets))
        .route("/api/sets/{id}/history", get(api::history))
        .route("/api/checks", get(api::list).post(api::begin))
        .route("/api/checks/{id}", get(api::check).delete(api::discard))
        .route("/api/checks/{id}/report", get(api::report))
        .route("/api/checks/{id}/call", post(api::call))
        .route("/api/checks/{id}/file", post(api::file))
        .route("/api/phone/sets", get(hand_over::sets))
        .route("/api/phone/practice", post(hand_over::practice))
        .route("/api/filed/{id}", get(api::filed))
        .route("/api/filed/{id}/done", post(api::done))
}

/// What waits for a photo to be read has limits of its own.
fn readings() -> Router<Arc<Desk>> {
    let photos = Router::new()
        .route("/checks/{id}/photos", post(forms::photos::photos))
        .layer(DefaultBodyLimit::max(PHOTOS_BYTES));
    let one = Router::new()
        .route("/api/checks/{id}/photos", post(api::photo))
        .route("/api/phone/checks", post(hand_over::take))
        // `receive` counts the bytes as they come, and says how large a photo may be.
        .layer(DefaultBodyLimit::disable());
    let again = Router::new()
        .route("/checks/{id}/settings", post(forms::settings))
        .route(
            "/checks/{id}/photos/{sha256}/swap",
            post(forms::photos::swap),
        )
        .route("/checks/{id}/photos/{sha256}/tip", post(forms::photos::tip))
        .route(
            "/checks/{id}/photos/{sha256}/corners",
            post(forms::photos::corners),
        )
        .route("/api/checks/{id}/settings", patch(api::settings))
        .route(
            "/api/checks/{id}/photos/{sha256}",
            patch(api::change_photo).delete(api::remove),
        )
        .layer(from_fn(guard::whole))
        .layer(DefaultBodyLimit::max(FORM_BYTES));
    photos.merge(one).merge(again)
}

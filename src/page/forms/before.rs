//! What is asked before a check. Nothing is changed by it, so that what was asked stands in the address.

use axum::extract::{Query, State};
use axum::response::{Html, IntoResponse};

use super::super::pages;
use super::{DeskState, Page};
use crate::under_way::Fields;

pub(in super::super) async fn start(State(desk): DeskState, Query(fields): Query<Fields>) -> Page {
    let page = desk.work(move |desk| pages::before::start(desk, fields));
    Ok(Html(page.await?).into_response())
}

pub(in super::super) async fn recut(State(desk): DeskState, Query(fields): Query<Fields>) -> Page {
    let page = desk.work(move |desk| pages::before::recut(desk, fields));
    Ok(Html(page.await?).into_response())
}

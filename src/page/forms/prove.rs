//! The page for a lead: a prove-out begun and ended.

use axum::extract::{Form, State};
use axum::response::{Html, IntoResponse, Redirect};

use super::super::fault::Fault;
use super::super::pages;
use super::{DeskState, Page};
use crate::archive::shelf::now;
use crate::people::opinion::Person;
use crate::people::prove::Plan;
use crate::under_way::Fields;

pub(in super::super) async fn page(State(desk): DeskState) -> Page {
    let page = desk.work(pages::prove::page).await?;
    Ok(Html(page).into_response())
}

fn field<'a>(fields: &'a Fields, name: &str) -> &'a str {
    fields.get(name).map_or("", |text| text.trim())
}

fn lead(fields: &Fields) -> Result<Person, Fault> {
    Person::parse(field(fields, "by")).map_err(|e| Fault::Unfit(e.to_string()))
}

pub(in super::super) async fn begin(State(desk): DeskState, Form(fields): Form<Fields>) -> Page {
    let by = lead(&fields)?;
    let checks = field(&fields, "checks")
        .parse()
        .map_err(|_| Fault::Unfit("write the number of checks in figures, as in 20".to_owned()))?;
    let held = match field(&fields, "change") {
        "said" => false,
        "held" => true,
        _ => return Err(Fault::Unfit("the change is “said” or “held”".to_owned())),
    };
    let plan = Plan::of_checks(checks, held).map_err(|e| Fault::Unfit(e.to_string()))?;
    desk.work(move |desk| {
        let mut archive = desk.open_archive()?;
        archive.begin_prove_out(plan, &by, now())?;
        Ok(())
    })
    .await?;
    Ok(Redirect::to("/prove-out").into_response())
}

pub(in super::super) async fn end(State(desk): DeskState, Form(fields): Form<Fields>) -> Page {
    let by = lead(&fields)?;
    desk.work(move |desk| {
        let mut archive = desk.open_archive()?;
        Ok(archive.end_prove_out(&by, now(), desk.rules.estimate())?)
    })
    .await?;
    Ok(Redirect::to("/prove-out").into_response())
}

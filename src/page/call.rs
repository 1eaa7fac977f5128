//! Taking a call, as a form or a program sends it.

use super::answer;
use super::calling::{KeptBack, kept_back};
use super::checks;
use super::desk::Desk;
use super::fault::Fault;
use super::settings::{self, Fields};
use super::under_way::UnderWay;
use super::words;
use crate::archive::shelf::now;
use crate::people::opinion::{Call, CalledChange, Person, pattern_called};

/// Takes a call, and files the check with it, where it has a jaw set; only then is the reading shown.
pub(super) fn take(desk: &Desk, check: &mut UnderWay, fields: &Fields) -> Result<(), Fault> {
    // A field that is spelt otherwise would make another call than was meant, and a call stands.
    known(fields)?;
    let by = who(desk, check)?;
    let (pattern, change) = (said(fields, "pattern")?, said_change(fields)?);
    let pattern = pattern_called(pattern).map_err(unfit)?;
    let call = Call::new(pattern, change, by, now()).map_err(unfit)?;
    if check.sheet.photos.is_empty() {
        return Err(Fault::NoPhoto);
    }
    if !check.waiting().is_empty() {
        return Err(Fault::Conflict(
            "photos are still being read; wait a moment and call then".into(),
        ));
    }
    check.sheet.call = Some(call);
    let kept = if check.sheet.settings.jaw_set.is_some() {
        answer::file(desk, check).map(drop)
    } else {
        answer::refresh(desk, check);
        checks::write(check)
    };
    // A call that is not kept is followed by no reading.
    if kept.is_err() {
        check.sheet.call = None;
        answer::refresh(desk, check);
    }
    kept
}

fn who(desk: &Desk, check: &UnderWay) -> Result<Person, Fault> {
    let late = |text: String| Err(Fault::Conflict(text));
    if let Some(call) = &check.sheet.call {
        return late(format!("the call stands: {}", call.in_words()));
    }
    match kept_back(desk, check)? {
        Some(KeptBack::CallOf(by)) => Ok(by),
        Some(KeptBack::Who) => late("say first who reads".into()),
        None if check.sheet.shown => {
            late("the reading was shown already; a call comes before it".into())
        }
        None => match &check.sheet.settings.by {
            None => late("say first who reads, and that you call first".into()),
            Some(by) => late(format!(
                "no call of {by} is waited for; say first that you call first"
            )),
        },
    }
}

fn said<'a>(fields: &'a Fields, name: &str) -> Result<&'a str, Fault> {
    let text = fields.get(name).map_or("", |t| t.trim());
    if text.is_empty() {
        let name = if name == "way" { "change" } else { name };
        return Err(Fault::Unfit(format!("the call has no {name}; choose one")));
    }
    Ok(text)
}

/// In one field, as on the command line, or as way, amount, unit and where it is stated.
fn said_change(fields: &Fields) -> Result<CalledChange, Fault> {
    let text = match fields.get("change") {
        Some(_) if fields.contains_key("way") || fields.contains_key("amount") => {
            return Err(said_twice());
        }
        Some(whole) => whole.clone(),
        None => in_one(fields)?,
    };
    text.parse::<CalledChange>().map_err(unfit)
}

fn unfit(error: impl std::fmt::Display) -> Fault {
    Fault::Unfit(words::without_options(&error.to_string()))
}

fn in_one(fields: &Fields) -> Result<String, Fault> {
    let way = said(fields, "way")?;
    let part = |name: &str| fields.get(name).map_or("", |t| t.trim());
    let amount = part("amount");
    if !matches!(way, "less" | "more") {
        // A call stands: an amount beside it may be what was meant.
        return if amount.is_empty() {
            Ok(way.to_owned())
        } else {
            Err(said_twice())
        };
    }
    if amount.is_empty() {
        return Err(Fault::Unfit(
            "the call does not say by how much; write the amount, per side or on the diameter"
                .into(),
        ));
    }
    let bare = amount.ends_with(|c: char| c.is_ascii_digit() || c == '.');
    // An amount with a unit of its own is taken as it was typed.
    let unit = if bare { part("unit") } else { "" };
    Ok(format!("{way} {amount}{unit} {}", part("stated"))
        .trim()
        .to_owned())
}

fn said_twice() -> Fault {
    Fault::Unfit(
        "the call says more than one change; say which way and by how much, or that there is none and no amount"
            .into(),
    )
}

/// What a call form may hold, and nothing else.
fn known(fields: &Fields) -> Result<(), Fault> {
    const FIELDS: [&str; 6] = ["pattern", "change", "way", "amount", "unit", "stated"];
    match fields.keys().find(|name| !FIELDS.contains(&name.as_str())) {
        Some(other) => Err(settings::unknown(other)),
        None => Ok(()),
    }
}

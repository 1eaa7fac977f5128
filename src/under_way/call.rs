//! A call before the reading is shown: what keeps the reading back, and the call as a form or a program sends it.

use jiff::civil::DateTime;

use super::settings::{unknown, with_unit};
use super::words::without_options;
use super::{Fault, Fields, UnderWay};
use crate::people::opinion::{Call, CalledChange, Person, pattern_called};

/// What the reading of a check waits for before it is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum KeptBack {
    /// In this shop some people call first, so it must be said who reads.
    Who,
    /// This person's call.
    CallOf(Person),
}

impl KeptBack {
    /// As JSON has it.
    pub(crate) fn waits_for(&self) -> &'static str {
        match self {
            Self::Who => "who",
            Self::CallOf(_) => "call",
        }
    }
}

impl From<KeptBack> for Fault {
    fn from(kept: KeptBack) -> Self {
        Self::Conflict(match kept {
            KeptBack::Who => "some people call first in this shop; say first who reads".into(),
            KeptBack::CallOf(by) => {
                format!("{by} calls before the reading is shown; say first what you see")
            }
        })
    }
}

impl UnderWay {
    /// The call that these fields make, once every photo is read.
    pub(crate) fn call(&self, fields: &Fields, by: Person, now: DateTime) -> Result<Call, Fault> {
        let call = called(fields, by, now)?;
        if self.sheet.photos.is_empty() {
            return Err(Fault::NoPhoto);
        }
        if !self.waiting().is_empty() {
            return Err(Fault::Conflict(
                "photos are still being read; wait a moment and call then".into(),
            ));
        }
        Ok(call)
    }
}

/// The call that these fields make, of whatever it is.
pub(crate) fn called(fields: &Fields, by: Person, now: DateTime) -> Result<Call, Fault> {
    // A field that is spelt otherwise would make another call than was meant, and a call stands.
    known(fields)?;
    let (pattern, change) = (said(fields, "pattern")?, said_change(fields)?);
    let pattern = pattern_called(pattern).map_err(unfit)?;
    Call::new(pattern, change, by, now).map_err(unfit)
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
    Fault::Unfit(without_options(&error.to_string()))
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
    let amount = with_unit(amount, Some(part("unit")));
    Ok(format!("{way} {amount} {}", part("stated"))
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
        Some(other) => Err(unknown(other)),
        None => Ok(()),
    }
}

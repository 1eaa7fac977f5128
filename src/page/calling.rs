//! Calling before the reading is shown: who has to, what is kept back until then, and the call itself.

use super::answer;
use super::checks;
use super::desk::Desk;
use super::fault::{Fault, tell_terminal};
use super::reading;
use super::settings::{self, Fields};
use super::under_way::UnderWay;
use super::words;
use crate::archive::shelf::now;
use crate::people::opinion::{Call, CalledChange, Person, pattern_called};

/// What the reading of a check waits for before it is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum KeptBack {
    /// In this shop some people call first, so it must be said who reads.
    Who,
    /// This person's call.
    CallOf(Person),
}

impl KeptBack {
    /// As JSON has it.
    pub(super) fn waits_for(&self) -> &'static str {
        match self {
            Self::Who => "who",
            Self::CallOf(_) => "call",
        }
    }
}

/// What keeps the reading back; `None` where it is shown. What was shown once cannot be called any more.
pub(super) fn kept_back(desk: &Desk, check: &UnderWay) -> Result<Option<KeptBack>, Fault> {
    let sheet = &check.sheet;
    if sheet.shown || sheet.call.is_some() {
        return Ok(None);
    }
    let archive = desk.open_archive()?;
    let Some(by) = &sheet.settings.by else {
        let asked = sheet.settings.call_first || archive.anybody_calls_first()?;
        return Ok(asked.then_some(KeptBack::Who));
    };
    if !sheet.settings.call_first && !archive.person_rules(by)?.call_first {
        return Ok(None);
    }
    let hashes: Vec<&str> = sheet.photos.iter().map(|p| p.sha256.as_str()).collect();
    let earlier = match sheet.settings.jaw_set {
        Some(set) => archive.call_with(set, &hashes, by)?,
        None => None,
    };
    Ok(earlier.is_none().then(|| KeptBack::CallOf(by.clone())))
}

/// Whether the reading is kept back; notes that it is not, where there is something to see. Nobody is shown a
/// problem that is gone.
pub(super) fn before_showing(desk: &Desk, check: &mut UnderWay) -> Result<Option<KeptBack>, Fault> {
    reading::once_more(desk, check);
    let kept = kept_back(desk, check)?;
    let seen = kept.is_none() && check.sheet.photos.iter().any(|p| check.read(p).is_some());
    if seen && !check.sheet.shown {
        check.sheet.shown = true;
        // A full disk is no reason to keep a reading from somebody who may see it.
        if let Err(fault) = checks::write(check) {
            tell_terminal(&fault.to_string());
        }
    }
    Ok(kept)
}

/// For what can only be done, or seen, where the reading is not kept back.
pub(super) fn not_kept_back(desk: &Desk, check: &UnderWay) -> Result<(), Fault> {
    match kept_back(desk, check)? {
        None => Ok(()),
        Some(kept) => Err(kept.into()),
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

/// Takes a call, and files the check with it, where it has a jaw set; only then is the reading shown.
pub(super) fn call(desk: &Desk, check: &mut UnderWay, fields: &Fields) -> Result<(), Fault> {
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

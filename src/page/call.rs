//! Taking a call, as a form or a program sends it.

use super::answer;
use super::calling::kept_back;
use super::checks;
use super::desk::Desk;
use super::fault::Fault;
use crate::archive::shelf::now;
use crate::people::opinion::Person;
use crate::under_way::{Fields, KeptBack, UnderWay};

/// Takes a call, and files the check with it, where it has a jaw set; only then is the reading shown.
pub(super) fn take(desk: &Desk, check: &mut UnderWay, fields: &Fields) -> Result<(), Fault> {
    check.sheet.call = Some(check.call(fields, who(desk, check)?, now())?);
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

//! Answers of practice that a phone kept → the archive, as calls of kind practice.

use std::fs::File;

use anyhow::Context;
use serde_json::{Value, json};

use crate::archive::Archive;
use crate::people::records::FiledCall;
use crate::phone::tar;
use crate::taper::rules::Rules;
use crate::under_way::practised::{PART, parsed};

/// What became of the answers.
#[derive(Debug)]
pub(crate) struct Took {
    /// New in the archive.
    pub(crate) filed: usize,
    /// There already.
    pub(crate) there: usize,
    /// Why others were not taken.
    pub(crate) refused: Vec<String>,
}

/// The answers of a file, where it has any.
pub(crate) fn practised(file: &File) -> anyhow::Result<Option<Vec<u8>>> {
    let parts = tar::parts(&mut &*file, usize::MAX)?.unwrap_or_default();
    let part = parts.iter().find(|part| part.name == PART);
    Ok(part.map(|part| part.read(&mut &*file)).transpose()?)
}

/// Files them, each once. What the program read in the photos goes nowhere while the archive keeps changes back.
///
/// # Errors
/// Where the bytes are no such answers, and where the archive cannot be read or written.
pub(crate) fn take(archive: &mut Archive, answers: &[u8], rules: &Rules) -> anyhow::Result<Took> {
    let text = str::from_utf8(answers).context("the answers of practice are no text")?;
    let held = archive
        .proof(rules.estimate())?
        .is_some_and(|proof| proof.holds());
    let (mut calls, mut refused): (Vec<FiledCall>, Vec<String>) = (Vec::new(), Vec::new());
    for answer in parsed(text)? {
        match answer {
            Ok(call) => calls.push(call),
            Err(fault) => refused.push(fault.to_string()),
        }
    }
    for told in calls.iter_mut().filter_map(|call| call.told.as_mut()) {
        told.program = told.program.filter(|_| !held);
    }
    let [filed, there] = archive.file_practice(&calls)?;
    Ok(Took {
        filed,
        there,
        refused,
    })
}

impl Took {
    pub(crate) fn in_words(&self) -> String {
        let (filed, there) = (self.filed, self.there);
        format!("Answers of practice: {filed} filed, {there} filed already.")
    }

    pub(crate) fn to_json(&self) -> Value {
        json!({ "schema": 1, "practice": { "filed": self.filed, "there": self.there } })
    }
}

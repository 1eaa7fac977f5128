//! What can be asked, whoever asks it: a check or photos with what is right about them, and what comes of an answer.

use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};

use super::boxes::Answered;
use super::draw::Candidate;
use super::table::Drill;
use super::{Call, Truth, Try};
use crate::people::records::{Answer, CallKind, FiledCall, Item, Told};
use crate::reading::method::Method;
use crate::taper::advice::Grip;
use crate::taper::records::Id;

/// One check or photo, with what is right about it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Question {
    pub(crate) item: Item,
    pub(crate) truth: Truth,
    pub(crate) method: Method,
    pub(crate) grip: Grip,
    /// See [`Candidate::quality`].
    pub(crate) quality: f64,
}

impl Question {
    /// Photos of a table; SHA-256 and size are those of the first one's file.
    #[cfg_attr(not(feature = "program"), allow(dead_code))]
    pub(crate) fn of_drill(drill: &Drill, sha256: String, bytes: usize) -> Self {
        Self {
            item: Item::Photo(sha256),
            truth: drill.truth,
            method: drill.method,
            grip: drill.grip,
            // A smaller file holds less of the face.
            quality: bytes as f64,
        }
    }

    pub(crate) fn candidate(&self) -> Candidate {
        Candidate {
            item: self.item.clone(),
            pattern: self.truth.pattern,
            quality: self.quality,
        }
    }

    /// An answer as it is filed, before anything is shown of what was right. `program` is what the program reads, `id` a random one.
    pub(crate) fn answered(
        &self,
        call: Call,
        round: Id,
        program: Option<Answer>,
        (id, now): (Id, DateTime),
    ) -> FiledCall {
        FiledCall {
            id,
            kind: CallKind::Practice,
            item: self.item.clone(),
            session: Some(round),
            call,
            revealed: Some(now),
            told: Some(Told {
                truth: self.truth,
                program,
            }),
            changed: now,
        }
    }
}

impl Try {
    /// An answer that was filed; `None` where it is none of practice.
    pub(crate) fn of(filed: &FiledCall) -> Option<Self> {
        let told = filed.told.filter(|_| filed.kind == CallKind::Practice)?;
        Some(Self {
            call: filed.call.clone(),
            truth: told.truth,
        })
    }
}

/// A person's answers, as the boxes take them, in the order in which they come.
pub(crate) fn answered<'a>(calls: impl IntoIterator<Item = &'a FiledCall>) -> Vec<Answered> {
    let one = |filed: &FiledCall| {
        Some(Answered {
            known: Try::of(filed)?.is_known(),
            round: filed.session?,
            item: filed.item.clone(),
        })
    };
    calls.into_iter().filter_map(one).collect()
}

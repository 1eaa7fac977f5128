//! An agreement study: who sees which photo when, the filled-in answer sheets, what was right. No I/O.
//!
//! In a study's folder `key-not-for-readers/study.json` holds seed, orders, photos with SHA-256 and the
//! program's readings; `key.csv` says the same for people. A reader's folder has pictures re-encoded at the
//! working size (long side 1000 to 1600 px), so nothing of the original file is left. Every round holds all
//! photos in a new order, and none follows itself. A study is never changed: `make` with the same photos
//! and settings completes it, anything else is refused. The first answer to a number stands.
//!
//! The program's call is its reading of the original, one photo at a time; where it would not act, because
//! the tip is in doubt, that is unreadable.
//!
//! Files are `commands/study`'s matter, pages and texts `report/study` and `report/agreement`'s.

mod answers;
mod change;
mod key;
mod lines;
mod plan;
mod truth;

pub(crate) use answers::read_sheet;
pub(crate) use key::{Asked, Photo, Study, key_csv};
pub(crate) use lines::Fault;
pub(crate) use plan::{Order, numbered, orders, written};
pub(crate) use truth::read_truth;

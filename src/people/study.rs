//! An agreement study: who sees which photo when, the filled-in answer sheets, what was right. No I/O.

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

//! Folders of photos → one line per photo and one per check. Plain values, no I/O: files are the
//! command's matter.

mod advised;
mod findings;
mod gather;
mod lines;
mod output;
mod record;
mod table;
mod told;

pub(crate) use advised::check_lines;
pub(crate) use findings::{
    Drift, Findings, Flag, ODD_LOOKED_AT, Order, PASSES_EXPECTED, WhyAgainst,
};
pub(crate) use gather::{PAUSE, gather};
pub use lines::{CheckLine, Contact, PhotoLine};
pub(crate) use output::{checks_csv, photos_csv, to_jsonl};
pub(crate) use record::{PhotoRecord, ResultLine};
pub(crate) use table::Table;
pub(crate) use told::{Sources, Standing};

//! A folder of archived checks, reviewed in one go: which photos make a check, what each says, and what
//! would be advised today. Plain values; reading files is the command's matter.

mod findings;
mod lines;

pub(crate) use findings::{
    Drift, Findings, Flag, ODD_LOOKED_AT, Order, PASSES_EXPECTED, WhyAgainst,
};
pub use lines::{CheckLine, Contact, PhotoLine};

//! `seepline manual`: the manual page of all verbs, or the whole manual as one HTML page.
//!
//! The chapters are Markdown files beside this one, for whoever reads them in the source; the reference of
//! the commands comes from their definitions, so that it can't be behind them.

mod chapters;
mod man;
mod markdown;
mod page;
mod reference;

use super::{Outcome, print};
use crate::commands::cli::ManualArgs;

pub(super) fn run(args: &ManualArgs) -> anyhow::Result<Outcome> {
    let manual = if args.html {
        page::manual().into_bytes()
    } else {
        man::page()?
    };
    print(&manual)?;
    Ok(Outcome::Done)
}

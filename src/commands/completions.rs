//! `seepline completions SHELL`.

use clap::CommandFactory;

use super::{Outcome, print};
use crate::commands::cli::{Cli, CompletionsArgs};

pub(super) fn run(args: &CompletionsArgs) -> anyhow::Result<Outcome> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), "seepline", &mut script);
    print(&script)?;
    Ok(Outcome::Done)
}

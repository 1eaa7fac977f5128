//! The manual page for `man`, all verbs in one.

use clap::{Command, CommandFactory};
use clap_mangen::Man;

use crate::commands::cli::Cli;

pub(super) fn page() -> anyhow::Result<Vec<u8>> {
    let mut page = Vec::new();
    let command = Cli::command();
    Man::new(command.clone()).render(&mut page)?;
    for verb in command.get_subcommands() {
        render_verb(verb, &mut page)?;
    }
    Ok(page)
}

/// The verb's own options and examples, under a heading of its own.
fn render_verb(verb: &Command, page: &mut Vec<u8>) -> anyhow::Result<()> {
    let name = format!("seepline {}", verb.get_name());
    page.extend_from_slice(format!(".SH \"{}\"\n", name.to_uppercase()).as_bytes());
    let man = Man::new(verb.clone().bin_name(name));
    man.render_description_section(page)?;
    man.render_synopsis_section(page)?;
    man.render_options_section(page)?;
    man.render_extra_section(page)?;
    Ok(())
}

//! `seepline serve`: the page for phones.

use super::{Outcome, archive, settings};
use crate::commands::cli::ServeArgs;
use crate::page::{self, Listen};

pub(super) fn run(args: &ServeArgs) -> anyhow::Result<Outcome> {
    let rules = settings::rules(&args.rules)?;
    // Made where it is missing, so that a first evening's checks have a place.
    let folder = archive::create_or_open(&args.archive)?
        .folder()
        .to_path_buf();
    let listen = Listen {
        network: args.network,
        addresses: args.address.clone(),
        port: args.port,
        name: args.name.clone(),
        unpair: args.unpair,
        open: args.open,
    };
    page::serve(folder, rules, &listen, super::print)?;
    Ok(Outcome::Done)
}

//! `seepline page`: the page that reads on the phone itself, as a folder for any web server.

use std::fs;

use anyhow::Context;

use super::Outcome;
use super::archive::say;
use crate::commands::cli::PageArgs;
use crate::phone::folder;

pub(super) fn run(args: &PageArgs) -> anyhow::Result<Outcome> {
    let files = folder::files().context(
        "this program was built without the page for phones alone; take a released one, or build it with .ci/release-page",
    )?;
    let into = &args.into;
    let told = || {
        let into = into.display();
        format!("the page could not be written to {into}; check the folder and its free space")
    };
    fs::create_dir_all(into).with_context(told)?;
    // The service worker comes last: a browser that sees a new one fetches all others.
    for file in &files {
        fs::write(into.join(&file.name), &file.bytes).with_context(told)?;
    }
    let (number, place) = (files.len(), into.display());
    say(&format!(
        "{number} files written to {place}. Let a web server hand them out, over HTTPS for use without a network."
    ))?;
    Ok(Outcome::Done)
}

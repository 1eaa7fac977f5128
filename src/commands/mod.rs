//! The command line: one file a verb. With `archive` and `page`, the only rooms that touch files.
//!
//! - *Comes in*: arguments, which `cli` defines and checks by their spelling alone; files and folders that they name.
//! - *Goes out*: reports, written to the standard output or into the files that were named; complaints on the error stream; an
//!   exit status ([`Outcome`]).
//! - *May not know*: nothing is hidden from it; but it computes nothing itself. Whatever a second caller could want, the page among
//!   them, belongs into a room below.
//!
//! A verb goes from [`cli`] (what may be typed) through [`run`] to its file; `settings` turns raw arguments into checked ones, `load`
//! files into readings, side by side. Begin with `read`, which is the program's purpose, then `review`, which is the same for folders.
//!
//! | file | verbs, or what it does for several |
//! | --- | --- |
//! | `read`, `calling`, `pictures` | `read`; the call that comes before the reading; `--picture` |
//! | `jaws`, `cut`, `check`, `import`, `import_phone` | the archive's records: added, changed, shown, deleted, restored; what a shop has already |
//! | `history`, `start`, `recut` | what is known of a set: its history, its first taper, boring it again (`recut`, `sheet`) |
//! | `exchange`, `pack`, `doctor` | `export`, `backup`, `merge`; a pack of labelled photos to give away; what this machine lacks |
//! | `people`, `practice`, `study`, `agreement` | those who call, and how well they agree |
//! | `prove` | `prove-out`: how far the program is proven in this shop |
//! | `review`, `reread` | `review`, `join`; all filed photos again with this version |
//! | `serve`, `page` | the page for phones; the one that reads on the phone itself |
//! | `started` | the arguments, or what a double click stands for |
//! | `manual`, `completions` | the manual page and the shells' completions |
//! | `archive` | its folder, the time, asking before a deletion, printing |
//! | `kept`, `progress` | the folder of a long run, line by line; how far it is |
//!
//! One bad file never stops the others: it is a complaint, and the exit status tells of it. `manual` holds the chapters of the manual beside the
//! reference that clap's definitions give.

mod agreement;
mod archive;
mod calling;
mod check;
pub mod cli;
mod completions;
mod cut;
mod doctor;
mod exchange;
mod history;
mod import;
mod import_phone;
mod jaws;
mod kept;
mod load;
mod manual;
mod pack;
mod page;
mod people;
mod pictures;
mod practice;
mod progress;
mod prove;
mod read;
mod recut;
mod reread;
mod review;
mod serve;
mod settings;
mod start;
pub mod started;
mod study;

use std::io::{self, ErrorKind, IsTerminal, Write};
use std::process::ExitCode;

use anyhow::Context;

use crate::commands::cli::{Cli, ImportVerb, Verb};
use crate::report::{self, TextOptions};

/// How a command ended; the program's exit status. Later ones win over earlier ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// Status 0: everything was read.
    Done,
    /// Status 1: at least one photo could not be judged.
    Unjudged,
    /// Status 2: the command or a file is wrong.
    Wrong,
    /// Status 130: stopped by Ctrl-C or SIGTERM before all was read; what was read is in the result.
    Stopped = 130,
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        ExitCode::from(outcome as u8)
    }
}

/// Runs the verb that was asked for.
///
/// # Errors
/// Where nothing could be done: contradictory arguments, a broken rules file, no output.
pub fn run(cli: &Cli) -> anyhow::Result<Outcome> {
    match &cli.verb {
        Verb::Read(args) => read::run(args),
        Verb::Jaws(verb) => jaws::run(verb),
        Verb::Cut(verb) => cut::run(verb),
        Verb::Check(verb) => check::run(verb),
        Verb::History(args) => history::run(args),
        Verb::Start(args) => start::run(args),
        Verb::Recut(args) => recut::run(args),
        Verb::Sheet(args) => recut::sheet(args),
        Verb::Review(args) => review::run(args),
        Verb::Join(args) => review::join(args),
        Verb::Reread(args) => reread::run(args),
        Verb::Study(verb) => study::run(verb),
        Verb::Practice(args) => practice::run(args),
        Verb::People(verb) => people::run(verb),
        Verb::ProveOut(verb) => prove::run(verb),
        Verb::Serve(args) => serve::run(args),
        Verb::Page(args) => page::run(args),
        Verb::Import(ImportVerb::Sets(args)) => import::sets(args),
        Verb::Import(ImportVerb::Photos(args)) => import::photos(args),
        Verb::Import(ImportVerb::Phone(args)) => import_phone::run(args),
        Verb::Export(args) => exchange::export(args),
        Verb::Backup(args) => exchange::backup(args),
        Verb::Merge(args) => exchange::merge(args),
        Verb::Doctor(args) => doctor::run(args),
        Verb::Completions(args) => completions::run(args),
        Verb::Manual(args) => manual::run(args),
    }
}

/// Writes a report to the standard output; a reader that has gone away (`| head`) is no error.
pub(crate) fn print(bytes: &[u8]) -> anyhow::Result<()> {
    let mut stdout = anstream::stdout().lock();
    match stdout.write_all(bytes).and_then(|()| stdout.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(error).context("the report could not be written to the standard output")
        }
        _ => Ok(()),
    }
}

/// What the standard output can show.
fn text_options() -> TextOptions {
    let stdout = io::stdout();
    let colour = anstream::AutoStream::choice(&stdout) != anstream::ColorChoice::Never;
    let columns = terminal_size::terminal_size().map(|(width, _)| usize::from(width.0));
    TextOptions {
        colour,
        unicode: crate::page::draws_blocks(),
        width: columns.filter(|_| stdout.is_terminal()),
    }
}

/// One line each to the error stream.
fn complain(faults: &[String]) {
    let mut stderr = anstream::stderr().lock();
    for fault in faults {
        // Nothing is left to be told when even the error stream is gone.
        let _ = writeln!(stderr, "seepline: {}", report::printable(fault));
    }
}

//! The `seepline` program: parse, dispatch, print the error chain, exit status.

use std::io::Write;
use std::process::ExitCode;

use clap::Parser;
use seepline::cli::Cli;
use seepline::commands::{self, Outcome};

fn main() -> ExitCode {
    let cli = Cli::parse();
    match commands::run(&cli) {
        Ok(outcome) => outcome.into(),
        Err(error) => {
            print_chain(&error);
            Outcome::Wrong.into()
        }
    }
}

/// One line per cause, so that the file and the reason both show.
fn print_chain(error: &anyhow::Error) {
    let mut stderr = anstream::stderr().lock();
    // Nothing is left to be told when even the error stream is gone.
    let _ = writeln!(stderr, "seepline: {error}");
    for cause in error.chain().skip(1) {
        let _ = writeln!(stderr, "  because {cause}");
    }
}

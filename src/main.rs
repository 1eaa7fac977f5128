//! The `seepline` program: parse, dispatch, print the error chain, exit status.

use std::io::Write;
use std::process::ExitCode;

use clap::Parser;
use seepline::cli::Cli;
use seepline::commands::{self, Outcome, started};

fn main() -> ExitCode {
    let own_window = started::by_double_click();
    let cli = Cli::parse_from(started::arguments());
    match commands::run(&cli) {
        Ok(outcome) => outcome.into(),
        Err(error) => {
            print_chain(&error);
            if own_window {
                wait_until_read();
            }
            Outcome::Wrong.into()
        }
    }
}

/// The window closes with the program.
fn wait_until_read() {
    let mut stderr = anstream::stderr().lock();
    let _ = writeln!(stderr, "Press Enter to close this window.");
    let _ = std::io::stdin().read_line(&mut String::new());
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

//! The question on the screen, and the answer from the keyboard or a pipe.

use std::io::{self, IsTerminal};

use super::ready::Ready;
use crate::commands::archive::now;
use crate::commands::print;
use crate::people::opinion::{Call, CalledChange, Person, pattern_called};
use crate::report::{practice_in_words, printable};

/// What came of asking.
pub(super) enum Asked {
    /// An answer.
    Call(Call),
    /// No more answers: the end of the input.
    End,
}

/// `place`: the question's number, and of how many.
pub(super) fn question(ready: &Ready<'_>, shown: &[String], place: (usize, usize)) -> String {
    let (number, of) = place;
    let told = practice_in_words(
        ready.question,
        ready.photos.iter().all(|(_, tip)| tip.is_some()),
    );
    let pictures = shown.join("\n  ");
    format!("\n{number} of {of}. {told} Open:\n  {pictures}\n")
}

/// Asks for a pattern and a change until they can stand together, or nothing more comes.
///
/// # Errors
/// Where the input cannot be read.
pub(super) fn call(
    lines: &mut impl Iterator<Item = io::Result<String>>,
    by: &Person,
) -> anyhow::Result<Asked> {
    loop {
        let Some(pattern) = until(lines, "Pattern? ", |line| {
            pattern_called(line).map_err(|e| e.to_string())
        })?
        else {
            return Ok(Asked::End);
        };
        let Some(change) = until(lines, "Change? ", |line| {
            line.parse::<CalledChange>().map_err(|e| e.to_string())
        })?
        else {
            return Ok(Asked::End);
        };
        match Call::new(pattern, change, by.clone(), now()) {
            Ok(call) => return Ok(Asked::Call(call)),
            Err(error) => print(format!("  {error}\n").as_bytes())?,
        }
    }
}

/// Asks until the answer is understood; what is wrong with one that is not is said.
fn until<T>(
    lines: &mut impl Iterator<Item = io::Result<String>>,
    prompt: &str,
    parse: impl Fn(&str) -> Result<T, String>,
) -> anyhow::Result<Option<T>> {
    loop {
        print(prompt.as_bytes())?;
        let Some(line) = lines.next() else {
            print(b"\n")?;
            return Ok(None);
        };
        let line = line?;
        if !io::stdin().is_terminal() {
            // Where nobody types it, the answer is not on the screen yet.
            print(format!("{}\n", printable(&line)).as_bytes())?;
        }
        match parse(&line) {
            Ok(value) => return Ok(Some(value)),
            Err(error) => print(format!("  {error}\n").as_bytes())?,
        }
    }
}

//! Files that another program holds open. Windows refuses to read, replace or remove them, if only for the moment
//! in which a virus scanner looks at what was just written; elsewhere nothing of this happens.

use std::fs;
use std::io;
use std::path::Path;
use std::thread;
use std::time::Duration;

/// Between two attempts to give a file its name.
const PAUSE: Duration = Duration::from_millis(50);
/// Two seconds in all: a scanner takes some hundred milliseconds for a photo (assumption).
const ATTEMPTS: u32 = 40;
// Of Windows' system error codes, <https://learn.microsoft.com/windows/win32/debug/system-error-codes>.
const ERROR_ACCESS_DENIED: i32 = 5;
const ERROR_SHARING_VIOLATION: i32 = 32;
const ERROR_LOCK_VIOLATION: i32 = 33;

/// Whether an error says that another program has the file.
pub(crate) fn is_in_use(error: &io::Error) -> bool {
    let code = error.raw_os_error().filter(|_| cfg!(windows));
    matches!(code, Some(ERROR_SHARING_VIOLATION | ERROR_LOCK_VIOLATION))
}

/// Gives a file its name, over one that is there, as soon as no other program holds either.
///
/// # Errors
/// As [`fs::rename`] last said.
pub(crate) fn rename(from: &Path, to: &Path) -> io::Result<()> {
    for _ in 1..ATTEMPTS {
        match fs::rename(from, to) {
            Err(error) if may_pass(&error) => thread::sleep(PAUSE),
            other => return other,
        }
    }
    fs::rename(from, to)
}

/// Of a name that is held, Windows says now the one, now the other.
fn may_pass(error: &io::Error) -> bool {
    is_in_use(error) || (cfg!(windows) && error.raw_os_error() == Some(ERROR_ACCESS_DENIED))
}

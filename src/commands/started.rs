//! How the program was started: the arguments, or a double click.

use std::ffi::OsString;

/// What was typed, first the program's own name; after a double click, which brings no arguments, what it stands for:
/// the page, in the browser.
pub fn arguments() -> Vec<OsString> {
    let mut typed = typed();
    if typed.len() < 2 && by_double_click() {
        typed.truncate(1);
        typed.extend(["serve", "--open"].map(OsString::from));
    }
    typed
}

/// On Windows a shell leaves it to the program to find the photos that `*.jpg` means.
#[cfg(windows)]
fn typed() -> Vec<OsString> {
    wild::args_os().collect()
}

#[cfg(not(windows))]
fn typed() -> Vec<OsString> {
    std::env::args_os().collect()
}

/// Whether the window is the program's own and closes with it. A shell has written its prompt and the command into
/// its window before; one that Windows makes for a program is still empty, its cursor in the corner.
#[cfg(windows)]
pub fn by_double_click() -> bool {
    use winapi_util::{HandleRef, console::screen_buffer_info};
    let window = screen_buffer_info(HandleRef::stdout());
    window.is_ok_and(|w| w.cursor_position() == (0, 0))
}

/// Elsewhere nothing is started so: a menu's entry names its arguments.
#[cfg(not(windows))]
pub fn by_double_click() -> bool {
    false
}

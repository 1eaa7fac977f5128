//! The page in this machine's own browser: that of this server, or of the one that runs already.

use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;
use std::{env, fs, io, thread};

use anyhow::Context;

use super::pairing::Pairing;

/// In the archive's folder while a server runs: its address on this machine. Apart from the lock, which on Windows
/// nobody else can read.
const FILE: &str = "serve.address";
/// How long a second start looks for the address of the first, which may be starting, too.
const PATIENCE: Duration = Duration::from_secs(5);
const PAUSE: Duration = Duration::from_millis(50);

/// Says where the server is. Where it can't be written, a second start only finds less.
pub(super) fn note(archive: &Path, address: SocketAddr) {
    let _ = fs::write(archive.join(FILE), format!("http://{address}"));
}

/// One that was killed left its address.
pub(super) fn forget(archive: &Path) {
    let _ = fs::remove_file(archive.join(FILE));
}

/// Opens the page of the server that runs on the archive; what to say about it.
///
/// # Errors
/// Where it does not say its address.
pub(super) fn open_first(archive: &Path) -> anyhow::Result<String> {
    let address = running(archive).with_context(|| {
        let archive = archive.display();
        format!("`seepline serve` runs on {archive} already; the window that it runs in shows its address")
    })?;
    let page = in_browser(&address, &Pairing::of(archive, false)?);
    Ok(format!(
        "The page runs already, at {address}\n{page}To let phones in, or to end it, go to the window that it runs in.\n"
    ))
}

fn running(archive: &Path) -> io::Result<String> {
    let attempts = PATIENCE.as_millis() / PAUSE.as_millis();
    for _ in 0..attempts {
        match fs::read_to_string(archive.join(FILE)) {
            Ok(address) if !address.is_empty() => return Ok(address),
            _ => thread::sleep(PAUSE),
        }
    }
    fs::read_to_string(archive.join(FILE))
}

/// Opens the page, paired; the line to say about it.
pub(super) fn in_browser(address: &str, pairing: &Pairing) -> String {
    let page = format!("{address}/pair?key={}", pairing.code());
    let (program, first) = opener();
    let mut command = Command::new(program);
    command.args(first).arg(&page);
    command.stdin(Stdio::null());
    command.stdout(Stdio::null()).stderr(Stdio::null());
    match command.spawn() {
        Ok(mut child) => {
            // Some end only with the browser.
            thread::spawn(move || child.wait());
            "The page opens in this machine's browser.\n".to_owned()
        }
        Err(error) => format!("No browser could be started here ({error}); open\n  {page}\n"),
    }
}

/// What opens an address in the browser that the user has chosen, and what it is told first.
fn opener() -> (PathBuf, &'static [&'static str]) {
    if cfg!(windows) {
        // Where it is of the system: one that lies beside a downloaded program could be anybody's.
        let system = env::var_os("SystemRoot").unwrap_or_else(|| r"C:\Windows".into());
        let program = Path::new(&system).join(r"System32\rundll32.exe");
        (program, &["url.dll,FileProtocolHandler"])
    } else if cfg!(target_os = "macos") {
        ("/usr/bin/open".into(), &[])
    } else {
        ("xdg-open".into(), &[])
    }
}

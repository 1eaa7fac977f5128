//! The page for phones, and the interface for programs under the same address: an HTTP server for a network that is trusted, with
//! everything that it serves inside the program.
//!
//! - *Comes in*: requests of phones and programs, none of them trusted.
//! - *Goes out*: pages that work without the script, JSON as `openapi.json` says, pictures without EXIF data; checks filed.
//! - *May not know*: the command line's arguments. What is answered is made by the rooms below, as for `read` and `read --jaws`.
//!
//! ```text
//! connection → guard (host, rate, origin, pairing) → handler → check under way → the code of `read` and `read --jaws`
//! connections  guard, hosts, rate, pairing           forms, api  under_way, checks  reading, answer
//! ```
//!
//! axum's router on hyper's HTTP/1 connections; HTML by maud in `pages`, and in [`under_way`] where a phone alone shows it, too, as it does the one style sheet and the one script. Begin with [`routes`], which
//! lists every address with its handler, then follow a photo: `forms::photos`, `receive`, `upload`, `reading`, `answer`.
//!
//! | module | what |
//! | --- | --- |
//! | [`connections`] | accepts up to a limit; time and size limits of a request's head; ends requests under way on Ctrl-C and SIGTERM |
//! | [`guard`], [`hosts`], [`pairing`], [`rate`] | the `Host` header against the addresses listened on (DNS rebinding); `Origin` and `Sec-Fetch-Site` of what changes something; cookie or key, compared in constant time; security headers; every fault's text ([`fault`]) |
//! | [`receive`], [`upload`], [`queue`], [`reading`] | a photo to a file of its own as it comes, hashed; its place in the check; as many read at once as there are cores, 24 waiting, beyond that 503 |
//! | [`checks`] | checks under way ([`under_way`]), in memory and in `under-way/<id>/` of the archive's folder: `check.json` and the photos by SHA-256; a folder that can't be read is set aside as `<id>.unreadable` |
//! | [`erasing`] | takes initials out of checks under way; needs `serve.lock`, so that no page runs |
//! | [`answer`], [`calling`], [`call`] | the check's answer, and filing; what is kept back until a call; taking the call |
//! | [`desk`], [`resume`] | what all requests share; photos that wait when the server starts |
//! | [`forms`] and [`pages`], [`api`] and [`state`] | the pages, which work without the script, and the interface for programs, `openapi.json` |
//! | `forms::before`, `pages::before` | the first taper, and a set that is mounted again, as `start` and `recut` say them |
//! | `forms::prove`, `pages::prove` | for a lead: a prove-out begun, its state, its end |
//! | [`alone`], [`hand_over`] | the page that reads on the phone itself ([`phone`]), handed out; jaw sets for it, and its checks, taken into the archive |
//! | [`terminal`], [`opening`] | the greeting with its code; the page in this machine's browser, also of a server that runs already |
//!
//! # What always holds
//!
//! - The answer is that of the command line: there is no other way to it, and `tests/phone/answers.rs` compares bytes.
//! - Nothing that a phone sends becomes a path: photos are named by their SHA-256, checks by an id made here; names are text.
//! - `calling` keeps a reading back: where somebody who must call reads, or whoever reads is not named though some people must call,
//!   pages, pictures, the interface and filing give nothing of it until the call. `Sheet::shown` notes the first time that a reading was
//!   shown, after which there is no call. A call is filed with the check before the reading is shown; a quick check keeps it in its sheet
//!   until it gets a jaw set.
//! - The photos of a jaw that has several are read together where the answer is formed, never before: each is kept as it reads by
//!   itself, with the map that joining takes and without pixels.
//! - A photo that turns out to be none leaves the check as it was: the jaw's photo before it stays until the new one is read.
//! - Whatever may wait (disk, archive, a reading, a check's lock) runs on the blocking threads, never on the server's two own. A reading
//!   goes on when its phone goes away, and so does a change of settings, tip or corners: it is read to its end on a task of its own.
//! - What is sent before photos are read again comes as a whole within 30 s (`guard::whole`), like every other form.
//! - `Sheet::left_out` remembers photos that were replaced or taken out: they are not fetched from the archive again, and filing leaves
//!   them out.
//! - `filed` is said after the archive's commit. Killed in between, the check is still under way, and filing again finds it filed.
//! - Pictures that are served are encoded from decoded pixels and so hold no EXIF. Inspections are kept without pixels: the pictures as
//!   JPEG and the reading.
//! - The referrer policy is `same-origin`, not `no-referrer`: with that a browser sends `Origin: null` with a form (Fetch standard), and
//!   over plain HTTP to a shop's address it sends no `Sec-Fetch-Site`, so that nothing would tell the page's own forms from another
//!   site's.
//! - One server per archive: `serve.lock`. `pairing.key` (mode 0600) holds the key that code and cookie are derived from, apart from each
//!   other.
//! - Photos come as the camera wrote them: shrinking on the phone would change a reading now and then (`benches/README.md`).

mod alone;
mod answer;
mod api;
mod call;
mod calling;
mod checks;
mod connections;
mod desk;
mod erasing;
mod fault;
mod forms;
#[cfg(fuzzing)]
mod fuzzing;
mod guard;
mod hand_over;
mod hosts;
mod opening;
mod pages;
mod pairing;
mod queue;
mod rate;
mod reading;
mod receive;
mod resume;
mod routes;
mod state;
mod terminal;
mod upload;

use std::collections::HashSet;
use std::fs::File;
use std::net::{IpAddr, SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use anyhow::{Context, bail};
use tokio::runtime;

use crate::taper::rules::Rules;
#[cfg(doc)]
use crate::{phone, under_way};
pub(crate) use checks::set_aside_in;
use desk::Desk;
pub(crate) use erasing::Unserved;
#[cfg(fuzzing)]
pub use fuzzing::{Answered, Page};
pub(crate) use terminal::draws_blocks;

/// Where to listen, and who may come in.
#[derive(Debug, Clone)]
pub(crate) struct Listen {
    pub(crate) network: bool,
    pub(crate) addresses: Vec<IpAddr>,
    pub(crate) port: u16,
    pub(crate) name: Option<String>,
    pub(crate) unpair: bool,
    /// In this machine's browser.
    pub(crate) open: bool,
}

/// Held while a server runs on an archive.
const LOCK: &str = "serve.lock";
/// Threads that may wait for a disk, the archive or a reading.
const WAITING_THREADS: usize = 64;
/// How long what is under way may take to end after Ctrl-C.
const LAST_MOMENT: Duration = Duration::from_mins(1);

/// Serves until Ctrl-C or SIGTERM, then ends what is under way. `greet` is given what to say once the page can be
/// reached: its address and code.
pub(crate) fn serve(
    archive: PathBuf,
    rules: Rules,
    listen: &Listen,
    greet: impl FnOnce(&[u8]) -> anyhow::Result<()>,
) -> anyhow::Result<()> {
    let Some(_lock) = lock(&archive)? else {
        if listen.open {
            return greet(opening::open_first(&archive)?.as_bytes());
        }
        bail!(
            "another `seepline serve` runs on {}; end it first, or name another archive",
            archive.display()
        );
    };
    opening::forget(&archive);
    let listeners = listeners(listen)?;
    let addresses = listeners
        .iter()
        .map(TcpListener::local_addr)
        .collect::<Result<Vec<SocketAddr>, _>>()?;
    let desk = Arc::new(Desk::open(archive.clone(), rules, listen, &addresses)?);
    let stop = connections::stopped_by_signals()?;
    let runtime = runtime::Builder::new_multi_thread()
        // They only pass on what comes; whatever waits runs on the blocking threads.
        .worker_threads(2)
        .max_blocking_threads(WAITING_THREADS)
        .enable_all()
        .build()
        .context("the server could not be started; start it again")?;
    // The first is always this machine's own.
    opening::note(&archive, addresses[0]);
    let mut said = String::new();
    if listen.open {
        said += &opening::in_browser(&format!("http://{}", addresses[0]), &desk.pairing);
    }
    said += &terminal::greeting(&desk, listen, &addresses);
    greet(said.as_bytes())?;
    runtime.block_on(connections::run(desk, listeners, stop, LAST_MOMENT))?;
    // A reading under way may end; what is cut off waits in its check and is read at the next start.
    runtime.shutdown_timeout(LAST_MOMENT);
    opening::forget(&archive);
    Ok(())
}

/// Two servers would not see each other's checks under way. `None` where one runs.
fn lock(archive: &Path) -> anyhow::Result<Option<File>> {
    let place = archive.join(LOCK);
    // Never cut short: another server may hold it.
    let mut options = File::options();
    let file = options
        .write(true)
        .create(true)
        .truncate(false)
        .open(&place)
        .with_context(|| {
            format!(
                "{} could not be written; check the folder's permissions",
                place.display()
            )
        })?;
    Ok(file.try_lock().is_ok().then_some(file))
}

fn listeners(listen: &Listen) -> anyhow::Result<Vec<TcpListener>> {
    let mut addresses = vec![IpAddr::from([127, 0, 0, 1])];
    if !listen.addresses.is_empty() {
        addresses.extend(&listen.addresses);
    } else if listen.network {
        addresses.extend(network_addresses()?);
    }
    // One that is given twice could not be listened on the second time.
    let mut seen = HashSet::new();
    addresses.retain(|address| seen.insert(*address));
    let (mut port, mut all) = (listen.port, Vec::new());
    for address in addresses {
        let opened = TcpListener::bind((address, port)).with_context(|| {
            format!("{address} port {port} cannot be listened on; another program may use it: give another --port")
        })?;
        opened.set_nonblocking(true)?;
        // All addresses share the port, also where the system chose it.
        port = opened.local_addr()?.port();
        all.push(opened);
    }
    Ok(all)
}

/// This machine's addresses in private networks (RFC 1918): never one that the internet could reach.
pub(crate) fn network_addresses() -> anyhow::Result<Vec<IpAddr>> {
    let all = if_addrs::get_if_addrs()
        .context("this machine's addresses are not known; give one with --address")?;
    let addresses = all.iter().map(if_addrs::Interface::ip);
    let private: Vec<IpAddr> = addresses
        .filter(|ip| matches!(ip, IpAddr::V4(v4) if v4.is_private()))
        .collect();
    if private.is_empty() {
        bail!(
            "this machine has no address in a private network; connect it, or give one with --network --address"
        );
    }
    Ok(private)
}

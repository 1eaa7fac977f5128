//! The page for phones, and the interface for programs under the same address: an HTTP server for a
//! network that is trusted, with everything it serves inside the program.
//!
//! ```text
//! connection → guard (host, rate, origin, pairing) → handler → check under way → the code of `read` and `read --jaws`
//! connections  guard, hosts, rate, pairing           forms, api  under_way, checks  reading, answer
//! ```
//!
//! What may wait runs outside the server's own threads. Every fault becomes a response in one place
//! ([`fault`], [`guard`]).

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
mod hosts;
mod pages;
mod pairing;
mod queue;
mod rate;
mod reading;
mod receive;
mod resume;
mod routes;
mod settings;
mod state;
mod terminal;
mod under_way;
mod upload;
mod words;

use std::collections::HashSet;
use std::fs::File;
use std::net::{IpAddr, SocketAddr, TcpListener};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use anyhow::{Context, bail};
use tokio::runtime;

use crate::taper::rules::Rules;
use desk::Desk;
pub(crate) use erasing::Unserved;
#[cfg(fuzzing)]
pub use fuzzing::{Answered, Page};

/// Where to listen, and who may come in.
#[derive(Debug, Clone)]
pub(crate) struct Listen {
    pub(crate) network: bool,
    pub(crate) addresses: Vec<IpAddr>,
    pub(crate) port: u16,
    pub(crate) name: Option<String>,
    pub(crate) unpair: bool,
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
        bail!(
            "another `seepline serve` runs on {}; end it first, or name another archive",
            archive.display()
        );
    };
    let listeners = listeners(listen)?;
    let addresses = listeners
        .iter()
        .map(TcpListener::local_addr)
        .collect::<Result<Vec<SocketAddr>, _>>()?;
    let desk = Arc::new(Desk::open(archive, rules, listen, &addresses)?);
    let stop = connections::stopped_by_signals()?;
    let runtime = runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .max_blocking_threads(WAITING_THREADS)
        .enable_all()
        .build()
        .context("the server could not be started; start it again")?;
    greet(terminal::greeting(&desk, listen, &addresses).as_bytes())?;
    runtime.block_on(connections::run(desk, listeners, stop, LAST_MOMENT))?;
    runtime.shutdown_timeout(LAST_MOMENT);
    Ok(())
}

/// Two servers would not see each other's checks under way. `None` where one runs.
fn lock(archive: &Path) -> anyhow::Result<Option<File>> {
    let place = archive.join(LOCK);
    let file = File::create(&place).with_context(|| {
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

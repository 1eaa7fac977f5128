//! What all requests share.

use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::{Arc, Mutex};

use anyhow::Context;
use tokio::sync::Semaphore;
use tokio::task::spawn_blocking;

use super::Listen;
use super::checks::{Checks, hold};
use super::fault::Fault;
use super::hand_over;
use super::hosts::Hosts;
use super::pairing::Pairing;
use super::queue::Queue;
use super::rate::Rate;
use crate::archive::Archive;
use crate::report::ProofNote;
use crate::taper::rules::Rules;
use crate::under_way::UnderWay;

/// Requests of a paired phone at once, and a second: a page of a check fetches some ten, a handful of phones
/// may share the address of a TLS server.
const PAIRED: (u32, u32) = (300, 30);
/// The same for whoever is not paired: enough to scan a code, far too few to guess one of 128 bits.
const UNPAIRED: (u32, u32) = (30, 1);

/// What all requests share.
pub(super) struct Desk {
    pub(super) archive: PathBuf,
    pub(super) rules: Rules,
    pub(super) hosts: Hosts,
    pub(super) pairing: Pairing,
    pub(super) paired: Rate,
    pub(super) unpaired: Rate,
    pub(super) queue: Queue,
    pub(super) checks: Checks,
    /// One check is filed after the other.
    pub(super) filing: Mutex<()>,
    /// Checks of phones alone on their way in.
    pub(super) handed_over: Semaphore,
}

impl Desk {
    pub(super) fn open(
        archive: PathBuf,
        rules: Rules,
        listen: &Listen,
        addresses: &[SocketAddr],
    ) -> anyhow::Result<Self> {
        let pairing = Pairing::of(&archive, listen.unpair)?;
        let checks = Checks::open(&archive).with_context(|| {
            format!(
                "the checks under way in {} could not be read",
                archive.display()
            )
        })?;
        checks.tidy();
        Ok(Self {
            archive,
            rules,
            hosts: Hosts::new(addresses, listen.name.as_deref()),
            pairing,
            paired: Rate::new(PAIRED.0, PAIRED.1),
            unpaired: Rate::new(UNPAIRED.0, UNPAIRED.1),
            queue: Queue::new(),
            checks,
            filing: Mutex::new(()),
            handed_over: Semaphore::new(hand_over::AT_ONCE),
        })
    }

    /// Work that may wait, outside the server's own threads.
    pub(super) async fn work<T: Send + 'static>(
        self: &Arc<Self>,
        work: impl FnOnce(&Self) -> Result<T, Fault> + Send + 'static,
    ) -> Result<T, Fault> {
        let desk = Arc::clone(self);
        spawn_blocking(move || work(&desk)).await?
    }

    /// Work on a check under way.
    pub(super) async fn on_check<T: Send + 'static>(
        self: &Arc<Self>,
        id: &str,
        work: impl FnOnce(&Self, &mut UnderWay) -> Result<T, Fault> + Send + 'static,
    ) -> Result<T, Fault> {
        let check = self.checks.get(id)?;
        self.work(move |desk| work(desk, &mut hold(&check))).await
    }

    pub(super) fn open_archive(&self) -> Result<Archive, Fault> {
        Ok(Archive::open(&self.archive)?)
    }

    /// How far the program is proven in this shop, said of no check.
    pub(super) fn proof(&self) -> Result<Option<ProofNote>, Fault> {
        let proof = self.open_archive()?.proof(self.rules.estimate())?;
        Ok(proof.map(|p| ProofNote::of(&p, None)))
    }
}

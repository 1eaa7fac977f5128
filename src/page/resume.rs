//! Photos of checks under way that wait to be read when the server starts.

use std::sync::Arc;

use tokio::task::spawn_blocking;

use super::checks::{Shared, hold};
use super::desk::Desk;
use super::fault::tell_terminal;
use super::reading;
use crate::reading::network;

/// Reads them one after the other, in the checks that were `left`.
pub(super) async fn resume(desk: Arc<Desk>, left: Vec<Shared>) {
    // So that the first photo that is sent does not wait for the networks.
    let _ = spawn_blocking(network::warm_up).await;
    for check in left {
        let check_of = Arc::clone(&check);
        let waiting = spawn_blocking(move || hold(&check_of).waiting()).await;
        for sha256 in waiting.unwrap_or_default() {
            resume_photo(&desk, &check, sha256).await;
        }
    }
}

async fn resume_photo(desk: &Arc<Desk>, check: &Shared, sha256: String) {
    // They were accepted before, so that they wait where a new photo would be refused.
    let Ok(place) = desk.queue.wait_for_place().await else {
        return;
    };
    if let Err(fault) = reading::read(Arc::clone(desk), Arc::clone(check), sha256, place).await {
        tell_terminal(&format!("a photo of a check under way: {fault}"));
    }
}

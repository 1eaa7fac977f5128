//! Who may read a photo now: as many at once as there are cores, a bounded number waiting.

use std::num::NonZero;
use std::sync::Arc;
use std::thread;

use tokio::sync::{OwnedSemaphorePermit, Semaphore};

use super::fault::Fault;

/// Photos that may wait to be read: eight phones with three jaws each.
const WAITING: usize = 24;

/// The queue of photos.
#[derive(Debug)]
pub(super) struct Queue {
    places: Arc<Semaphore>,
    readers: Arc<Semaphore>,
}

/// A place in the queue; leaving it frees it.
#[derive(Debug)]
pub(super) struct Place {
    _place: OwnedSemaphorePermit,
    readers: Arc<Semaphore>,
}

impl Queue {
    pub(super) fn new() -> Self {
        let cores = thread::available_parallelism().map_or(1, NonZero::get);
        Self {
            places: Arc::new(Semaphore::new(cores + WAITING)),
            readers: Arc::new(Semaphore::new(cores)),
        }
    }

    /// Busy before the photo is sent, where there is no place for it.
    pub(super) fn look(&self) -> Result<(), Fault> {
        if self.places.available_permits() == 0 {
            return Err(Fault::Busy);
        }
        Ok(())
    }

    pub(super) fn place(&self) -> Result<Place, Fault> {
        let place = Arc::clone(&self.places).try_acquire_owned();
        Ok(Place {
            _place: place.map_err(|_| Fault::Busy)?,
            readers: Arc::clone(&self.readers),
        })
    }

    /// A place for a photo that was accepted before the server was started again.
    pub(super) async fn wait_for_place(&self) -> Result<Place, Fault> {
        let place = Arc::clone(&self.places).acquire_owned().await;
        Ok(Place {
            // An error only where the semaphore is closed, which it never is.
            _place: place.map_err(|_| Fault::Busy)?,
            readers: Arc::clone(&self.readers),
        })
    }
}

impl Place {
    /// Waits for a core.
    pub(super) async fn turn(&self) -> Result<OwnedSemaphorePermit, Fault> {
        let turn = Arc::clone(&self.readers).acquire_owned().await;
        turn.map_err(|_| Fault::Busy)
    }
}

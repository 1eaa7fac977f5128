//! A photo's bytes → its reading: decoded, held against what the user said, inspected.

use super::corners::{self, CornersError};
use super::inspect::{Inspection, Request, inspect};
use super::photo::{PhotoError, read_photo};

/// Why bytes gave no reading. Every message says what to do.
#[derive(Debug, thiserror::Error)]
pub(crate) enum PhotoFault {
    #[error(transparent)]
    Photo(#[from] PhotoError),
    #[error(transparent)]
    Corners(#[from] CornersError),
}

/// Reads one photo.
pub(crate) fn inspect_bytes(bytes: &[u8], request: &Request) -> Result<Inspection, PhotoFault> {
    let photo = read_photo(bytes)?;
    // Only now: how large the upright photo is shows once it is decoded.
    if let Some(corners) = &request.corners {
        corners::check(corners, photo.size_px)?;
    }
    Ok(inspect(photo, request))
}

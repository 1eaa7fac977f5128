//! A photo, or a check of a phone alone, on its way in: to a file under a name of its own, hashed as it comes, cut off where it is too
//! large or too slow. Memory stays small whatever is sent.

use std::future::Future;
use std::path::{Path, PathBuf};
use std::time::Duration;

use axum::body::{Body, Bytes};
use axum::extract::multipart::{Field, Multipart, MultipartError};
use axum::http::StatusCode;
use http_body_util::BodyExt;
use sha2::{Digest, Sha256};
use tokio::fs::File;
use tokio::io::{AsyncWriteExt, BufWriter};
use tokio::time::{Instant, timeout_at};

use super::fault::Fault;
use crate::reading::photo::LARGEST_FILE_BYTES;
use crate::taper::records::Id;

/// Longest pause within an upload: a phone that lost the network comes back with a new request.
const PAUSE: Duration = Duration::from_secs(15);
/// What an upload may take before its rate counts.
const START: Duration = Duration::from_secs(30);
/// Least rate after that: a photo of 5 MB may take eleven minutes, a drip of bytes may not last.
const LEAST_BYTES_PER_S: u64 = 8 * 1024;
/// Written to the disk at once.
const CHUNK_BYTES: usize = 256 * 1024;

/// A photo that arrived whole; its file goes with it unless it is taken.
#[derive(Debug)]
pub(super) struct Received {
    pub(super) file: PathBuf,
    pub(super) sha256: String,
    pub(super) bytes: u64,
}

impl Drop for Received {
    fn drop(&mut self) {
        // Where it was taken, it has another name now.
        let _ = std::fs::remove_file(&self.file);
    }
}

/// How far an upload has come, over all its parts.
#[derive(Debug)]
pub(super) struct Pace {
    began: Instant,
    bytes: u64,
}

impl Pace {
    pub(super) fn start() -> Self {
        Self {
            began: Instant::now(),
            bytes: 0,
        }
    }

    async fn of<T>(&self, next: impl Future<Output = T>) -> Result<T, Fault> {
        // Each byte that came buys time for more.
        let earned = Duration::from_secs(self.bytes / LEAST_BYTES_PER_S);
        let deadline = (Instant::now() + PAUSE).min(self.began + START + earned);
        timeout_at(deadline, next).await.map_err(|_| Fault::TooSlow)
    }

    /// The next part of a form.
    pub(super) async fn field<'a>(
        &self,
        form: &'a mut Multipart,
    ) -> Result<Option<Field<'a>>, Fault> {
        self.of(form.next_field()).await?.map_err(|e| broken(&e))
    }
}

/// Where the bytes come from.
pub(super) enum Source<'a> {
    Body(Body),
    Field(Box<Field<'a>>),
}

impl Source<'_> {
    async fn chunk(&mut self) -> Result<Option<Bytes>, Fault> {
        match self {
            Self::Field(field) => field.chunk().await.map_err(|e| broken(&e)),
            Self::Body(body) => loop {
                match body.frame().await {
                    None => return Ok(None),
                    Some(Err(_)) => return Err(Fault::BrokenOff),
                    Some(Ok(frame)) => {
                        if let Ok(data) = frame.into_data() {
                            return Ok(Some(data));
                        }
                    }
                }
            },
        }
    }
}

fn broken(error: &MultipartError) -> Fault {
    match error.status() {
        StatusCode::PAYLOAD_TOO_LARGE => Fault::TooLarge(LARGEST_FILE_BYTES),
        _ => Fault::BrokenOff,
    }
}

/// Takes in one photo, whole or not at all.
pub(super) async fn receive(
    folder: &Path,
    source: Source<'_>,
    pace: &mut Pace,
) -> Result<Received, Fault> {
    let too_large = Fault::TooLarge(LARGEST_FILE_BYTES);
    receive_up_to(LARGEST_FILE_BYTES, too_large, folder, source, pace).await
}

/// The same for any file of at most so many bytes; what to say where it has more.
pub(super) async fn receive_up_to(
    most_bytes: u64,
    too_large: Fault,
    folder: &Path,
    mut source: Source<'_>,
    pace: &mut Pace,
) -> Result<Received, Fault> {
    let name = Id::random().map_err(|_| Fault::Defect)?;
    let mut received = Received {
        file: folder.join(format!("incoming-{name}")),
        sha256: String::new(),
        bytes: 0,
    };
    let mut file = BufWriter::with_capacity(CHUNK_BYTES, File::create(&received.file).await?);
    let mut hash = Sha256::new();
    while let Some(chunk) = pace.of(source.chunk()).await?? {
        pace.bytes += chunk.len() as u64;
        received.bytes += chunk.len() as u64;
        if received.bytes > most_bytes {
            return Err(too_large);
        }
        hash.update(&chunk);
        file.write_all(&chunk).await?;
    }
    file.flush().await?;
    received.sha256 = format!("{:x}", hash.finalize());
    Ok(received)
}

/// The text of a small field of a form.
pub(super) async fn text(mut field: Field<'_>, pace: &Pace) -> Result<String, Fault> {
    let mut bytes = Vec::new();
    while let Some(chunk) = pace.of(field.chunk()).await?.map_err(|e| broken(&e))? {
        bytes.extend_from_slice(&chunk);
        // What is sent so is a jaw's number.
        if bytes.len() > 1000 {
            return Err(Fault::Unfit(
                "a field of the form is too long; go back and do it again".into(),
            ));
        }
    }
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

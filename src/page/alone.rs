//! The page that reads on the phone itself, as this server hands it out.

use std::sync::{Arc, LazyLock};

use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use sha2::{Digest, Sha256};

use super::desk::Desk;
use super::fault::Fault;
use crate::phone::folder::{self, CONTENT_POLICY, File, INDEX};

/// With what each is told from an older one by.
static FILES: LazyLock<Vec<(File, String)>> = LazyLock::new(|| {
    let files = folder::files().unwrap_or_default().into_iter();
    let tagged = |file: File| {
        let tag = format!("\"{:.16}\"", format!("{:x}", Sha256::digest(&file.bytes)));
        (file, tag)
    };
    files.map(tagged).collect()
});

/// Names in the folder are relative to it.
pub(super) async fn folder() -> Redirect {
    Redirect::permanent("/phone/")
}

pub(super) async fn index(desk: State<Arc<Desk>>, headers: HeaderMap) -> Result<Response, Fault> {
    file(desk, Path(INDEX.to_owned()), headers).await
}

pub(super) async fn file(
    State(desk): State<Arc<Desk>>,
    Path(name): Path<String>,
    headers: HeaderMap,
) -> Result<Response, Fault> {
    if name == INDEX {
        desk.work(says_changes).await?;
    }
    let (file, tag) = FILES
        .iter()
        .find(|(file, _)| file.name == name)
        .ok_or(Fault::NotHere)?;
    let told = [
        (header::CONTENT_TYPE, file.kind),
        (header::CONTENT_SECURITY_POLICY, &CONTENT_POLICY),
        // Asked for again each time: files of two versions do not go together.
        (header::CACHE_CONTROL, "private, no-cache"),
        (header::ETAG, tag),
    ];
    // RFC 9110, section 13.1.2; over plain HTTP the browser keeps 12 MB no other way.
    let known = headers.get(header::IF_NONE_MATCH);
    if known.is_some_and(|known| known.as_bytes() == tag.as_bytes()) {
        return Ok((StatusCode::NOT_MODIFIED, told).into_response());
    }
    Ok((told, &*file.bytes).into_response())
}

/// A phone alone knows no prove-out: where changes are kept back, a page that says them is not handed out.
pub(super) fn says_changes(desk: &Desk) -> Result<(), Fault> {
    if desk.proof()?.is_some_and(|proof| proof.held) {
        return Err(Fault::Conflict(
            "changes are kept back here until a prove-out is through, and the page for a phone alone would say them; \
             take the check on the server's own first page"
                .into(),
        ));
    }
    Ok(())
}

//! Reading the photos of checks under way, side by side, as they arrive.

use std::fs;
use std::path::PathBuf;
use std::sync::Arc;

use sha2::{Digest, Sha256};
use tokio::task::spawn_blocking;

use super::answer;
use super::checks::{self, Shared, hold};
use super::desk::Desk;
use super::fault::{Fault, tell_terminal};
use super::queue::Place;
use crate::reading::inspect::Request;
use crate::under_way::{MOST_PHOTOS, Photo, Read, UnderWay};

/// Reads one photo when its turn comes. Goes on when the phone that asked for it has gone.
pub(super) async fn read(
    desk: Arc<Desk>,
    check: Shared,
    sha256: String,
    place: Place,
) -> Result<(), Fault> {
    let turn = place.turn().await?;
    let of = (Arc::clone(&check), sha256.clone());
    let done = spawn_blocking(move || {
        let result = read_now(&desk, &of.0, &of.1);
        // Within the work: the core is free only when it has ended, also where nobody waits for it any more.
        drop(turn);
        result
    });
    done.await.unwrap_or_else(|error| {
        let fault = Fault::from(error);
        take_out(&check, &sha256, "a fault in the program; take it again");
        Err(fault)
    })
}

/// As long as what was asked of the photo changes while it is being read, once more.
fn read_now(desk: &Desk, check: &Shared, sha256: &str) -> Result<(), Fault> {
    loop {
        let (file, request) = {
            let mut check = hold(check);
            let photo = check.photo(sha256)?;
            if check.read(photo).is_some() {
                return settle(desk, &mut check, sha256);
            }
            (check.folder.join(sha256), check.request(photo))
        };
        match read_file(&file, &request) {
            Ok(read) => {
                let mut check = hold(check);
                check.reads.insert(sha256.to_owned(), Arc::new(read));
                if check.photo(sha256).is_ok_and(|p| check.read(p).is_some()) {
                    return settle(desk, &mut check, sha256);
                }
            }
            Err(fault) => {
                take_out(check, sha256, &fault.to_string());
                answer::refresh(desk, &mut hold(check));
                return Err(fault);
            }
        }
    }
}

/// A file that is no photo leaves the check as it was before.
fn take_out(check: &Shared, sha256: &str, why: &str) {
    let mut check = hold(check);
    check.refuse(sha256, why);
    match checks::write(&check) {
        Ok(()) => drop(fs::remove_file(check.folder.join(sha256))),
        // With its file the photo is tried, and taken out, again when the server starts again.
        Err(fault) => tell_terminal(&fault.to_string()),
    }
}

fn read_file(file: &PathBuf, request: &Request) -> Result<Read, Fault> {
    let bytes = fs::read(file)?;
    Read::of_bytes(&bytes, request)
}

/// After a photo was read: the jaw's photo before it goes. After the last one: takes in what the archive has
/// of the same check, and forms the answer.
fn settle(desk: &Desk, check: &mut UnderWay, sha256: &str) -> Result<(), Fault> {
    if check.replace_before(sha256)? {
        match checks::write(check) {
            Ok(()) => checks::forget_others(check),
            // The photo is read all the same; the one before it goes when there is space again.
            Err(fault) => tell_terminal(&fault.to_string()),
        }
    }
    // A photo that was asked for twice is settled twice: an answer that stands is not put at risk again.
    if check.answer.is_none() {
        form_answer(desk, check);
    }
    Ok(())
}

fn form_answer(desk: &Desk, check: &mut UnderWay) {
    let whole = if check.waiting().is_empty() {
        take_in_missing(desk, check)
    } else {
        Ok(())
    };
    match whole {
        Ok(()) => answer::refresh(desk, check),
        Err(fault) => check.answered(Err(fault)),
    }
}

/// Where no answer could be formed, tries again: what stood in the way, such as a full disk, may be gone.
pub(super) fn once_more(desk: &Desk, check: &mut UnderWay) {
    if check.problem.is_some() {
        form_answer(desk, check);
    }
}

fn take_in_missing(desk: &Desk, check: &mut UnderWay) -> Result<(), Fault> {
    let missing = answer::missing(desk, check)?;
    for bytes in missing.photos {
        let sha256 = format!("{:x}", Sha256::digest(&bytes));
        if check.holds(&sha256) || check.sheet.photos.len() >= MOST_PHOTOS {
            continue;
        }
        let jaw = check.jaw_as_filed(&missing.jaws, &sha256);
        let file = check.folder.join(&sha256);
        fs::write(&file, &bytes)?;
        let name = format!("jaw {jaw}, from the archive");
        let photo = Photo::new(sha256, bytes.len() as u64, &name, jaw);
        let read = read_file(&file, &check.request(&photo))?;
        check.reads.insert(photo.sha256.clone(), Arc::new(read));
        check.put_beside(photo);
        checks::write(check)?;
    }
    Ok(())
}

//! Where the pictures of a check lie, as its pages name them.

use super::{Photo, UnderWay};
use crate::taper::records::Id;

pub(crate) fn address(check: &UnderWay, photo: &Photo) -> String {
    format!("/checks/{}/photos/{}", check.sheet.id, photo.sha256)
}

/// Another one for another reading, so that no browser shows the one before.
pub(crate) fn picture_address(check: &UnderWay, photo: &Photo) -> String {
    versioned(check, photo, "picture")
}

pub(crate) fn profile_address(check: &UnderWay, photo: &Photo) -> String {
    versioned(check, photo, "profile")
}

fn versioned(check: &UnderWay, photo: &Photo, what: &str) -> String {
    let read_as = format!("{:?}", check.request(photo));
    let version = Id::derived(&[&read_as]).to_string();
    format!("{}/{what}?v={}", address(check, photo), &version[..8])
}

pub(crate) fn plain_address(check: &UnderWay, photo: &Photo) -> String {
    address(check, photo) + "/photo"
}

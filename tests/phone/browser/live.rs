//! The camera's picture before the photo is taken, on a phone alone. `.ci/release-page` builds what it needs.

use std::fs;
use std::io::Cursor;
use std::path::{Path, PathBuf};

use super::phone::Phone;
use super::small::fits;
use super::{heron, needs};
use crate::phone::alone::is_built;
use crate::phone::server::Server;

/// What a camera sees that is held to a sample: its frames, as a browser takes them from a file.
fn frames(folder: &Path, sample: &Path) -> PathBuf {
    let seen = image::open(sample).expect("a picture").into_rgb8();
    // A camera has no frame that a browser may not halve.
    let seen = image::imageops::resize(&seen, 1280, 960, image::imageops::FilterType::Triangle);
    let mut jpeg = Cursor::new(Vec::new());
    seen.write_to(&mut jpeg, image::ImageFormat::Jpeg)
        .expect("a JPEG");
    let place = folder.join("frames.mjpeg");
    fs::write(&place, jpeg.into_inner().repeat(3)).expect("a file");
    place
}

#[test]
fn a_live_view_says_what_is_in_view_and_takes_nothing_by_itself() {
    let server = Server::start();
    if !is_built(&server.phone()) {
        needs::say("SKIPPED: without the page for phones alone");
        return;
    }
    let frames = frames(server.shop.path(), &heron(1));
    let Some(phone) = Phone::with_camera(&server, &frames) else {
        return;
    };
    phone.go("/phone/");
    phone.wait("#quick");
    phone.click("#quick summary");
    // The camera holds the photo as it lies in the file, whose EXIF data turn it.
    phone.click("#quick select[name=tip] option[value=left]");
    phone.click("#quick .main");
    phone.wait("html.scripted");
    phone.click("#jaw-1 .look");
    phone.wait("#live .state.good");
    fits(&phone, "live");
    let said = phone.text("#live .state");
    assert!(
        said.contains("The whole face is in view, its tip on the left"),
        "{said}"
    );
    assert_eq!(
        phone.count("#jaw-1[data-state=empty]"),
        1,
        "taken by itself"
    );
    phone.click("#live .shoot");
    phone.wait_read(1);
    assert_eq!(phone.count("#live[open]"), 0);
    let pattern = phone.text("#jaw-1 .pattern");
    assert!(
        pattern.to_lowercase().contains("too much taper"),
        "{pattern}"
    );
    phone.shot("taken");
}

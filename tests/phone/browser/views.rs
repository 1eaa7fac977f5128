//! Another photo of a jaw, taken from another side because glare hides a part of it.

use std::path::{Path, PathBuf};

use image::Rgb;

use super::phone::{Kind, Phone};
use super::{heron, open};
use crate::phone::samples::heron_settings;
use crate::phone::server::Server;

/// A lamp mirrored in the base of jaw 1 (`sample-images/truth.json` says where that is): white, fading at its rim.
pub(super) fn with_glare(folder: &Path) -> PathBuf {
    let mut photo = image::open(heron(1)).unwrap().rotate90().to_rgb8();
    let ([x0, y0], [across, along]) = ([617.0, 1176.0], [276.0, 230.0]);
    for (x, y, pixel) in photo.enumerate_pixels_mut() {
        let far = ((f64::from(x) - x0) / across).hypot((f64::from(y) - y0) / along);
        let white = ((1.15 - far) / 0.3).clamp(0.0, 1.0);
        let lit = |v: u8| f64::from(v) + white * f64::from(255 - v);
        *pixel = Rgb(pixel.0.map(|v| lit(v).round() as u8));
    }
    let place = folder.join("glare.png");
    photo.save(&place).unwrap();
    place
}

#[test]
fn glare_in_one_photo_is_completed_by_another_from_the_other_side() {
    let server = Server::start();
    let folder = tempfile::tempdir().unwrap();
    let glare = with_glare(folder.path());
    for kind in [Kind::Phone, Kind::Desk] {
        let Some(phone) = Phone::paired(&server, kind) else {
            return;
        };
        let check = server.begin(heron_settings());
        open(&phone, &check);
        phone.take(1, &glare);
        phone.wait_read(1);
        // In sight where the photo is refused for it, without anything being unfolded.
        let another = "#jaw-1 > .another input[capture]";
        phone.wait(another);
        assert!(phone.text("#jaw-1").contains("Cannot be judged"));
        phone.shot(&format!("{kind:?}-refused"));
        phone.keys(another, &heron(1).display().to_string());
        let together = || phone.text("#jaw-1").contains("From 2 photos together");
        phone.until("both together", || together().then_some(()));
        phone.wait_read(1);
        phone.shot(&format!("{kind:?}-together"));
        for jaw in 2..=3 {
            phone.take(jaw, &heron(jaw));
            phone.wait_read(jaw);
        }
        phone.wait("#answer[data-action=recut]");
        phone.shot(&format!("{kind:?}-answer"));
        // One that is taken out leaves the other.
        phone.click("#jaw-1 .view:last-of-type .mend > summary");
        phone.click("#jaw-1 .view:last-of-type .mend form[action$='/remove'] button");
        phone.wait("#jaw-1 > .another");
        phone.until("one alone", || (!together()).then_some(()));
    }
}

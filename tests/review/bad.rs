//! One bad file is one line, never the end of the run.

use super::shop::{Shop, read_now};
use crate::support::samples;

#[test]
fn a_bad_file_is_a_line_and_the_others_are_read() {
    let shop = Shop::new();
    shop.put("heron-too-much-taper/jaw1.jpg", "heron/jaw1.jpg");
    shop.write("heron/empty.jpg", b"");
    shop.write("heron/text.png", b"no picture");
    let torn = samples::bytes("heron-too-much-taper/jaw2.jpg");
    shop.write("heron/torn.jpg", &torn[..torn.len() / 3]);
    shop.write("heron/notes.txt", b"passed over");
    shop.write("heron/.hidden.jpg", b"passed over");
    shop.put("heron-too-much-taper/jaw3.jpg", "heron/without-an-ending");
    #[cfg(unix)]
    std::os::unix::fs::symlink("nothing", shop.photo("heron/gone.jpg")).unwrap();

    let said = shop.review("out", "--csv table.csv", 1);
    // What is broken counts as read: it is not tried again.
    assert_eq!(read_now(&said), 5);
    let photos = shop.lines("out", "photo");
    let error = |file: &str| {
        let photo = photos.iter().find(|p| p["file"] == format!("heron/{file}"));
        photo.unwrap_or_else(|| panic!("no line for {file}"))["error"].clone()
    };
    assert!(error("empty.jpg").as_str().unwrap().contains("is empty"));
    assert!(error("text.png").as_str().unwrap().contains("is text"));
    assert!(error("torn.jpg").as_str().unwrap().contains("breaks off"));
    #[cfg(unix)]
    assert!(
        error("gone.jpg")
            .as_str()
            .unwrap()
            .contains("could not be looked into")
    );
    assert!(error("jaw1.jpg").is_null() && error("without-an-ending").is_null());
    assert_eq!(photos.len(), if cfg!(unix) { 6 } else { 5 });

    // The torn photo says when it was taken, so that its check is known to lack it.
    let checks = shop.lines("out", "check");
    assert_eq!(checks.len(), 1);
    assert_eq!(checks[0]["photos"].as_array().unwrap().len(), 3);
    assert_eq!(checks[0]["pattern"], "tip-only");
}

#[cfg(unix)]
#[test]
fn a_folder_that_may_not_be_opened_is_a_line() {
    use std::os::unix::fs::PermissionsExt;
    let shop = Shop::new();
    shop.put("heron-too-much-taper/jaw1.jpg", "heron/jaw1.jpg");
    shop.write("locked/a.jpg", b"");
    let locked = shop.photo("locked");
    std::fs::set_permissions(&locked, PermissionsExt::from_mode(0o000)).unwrap();
    // The superuser opens any folder.
    let may_be_opened = std::fs::read_dir(&locked).is_ok();
    shop.review("out", "", 1);
    std::fs::set_permissions(&locked, PermissionsExt::from_mode(0o700)).unwrap();
    let files = shop.files("out");
    let line = if may_be_opened {
        "locked/a.jpg"
    } else {
        "locked"
    };
    assert_eq!(files, ["heron/jaw1.jpg", line]);
}

#[test]
fn what_is_no_folder_is_refused() {
    let shop = Shop::new();
    let output = shop.run("review", "none --into out");
    assert_eq!(output.status.code(), Some(2));
    let errors = String::from_utf8(output.stderr).unwrap();
    assert!(errors.contains("none is no folder"), "{errors}");
    assert!(!shop.path("out").exists());
}

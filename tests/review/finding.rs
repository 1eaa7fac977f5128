//! Every photo once, whatever links and copies there are.

use std::fs;
use std::process::Command;

use super::shop::{Shop, read_now, text};
use crate::support::samples;

#[test]
fn the_same_bytes_twice_are_one_photo() {
    let shop = Shop::new();
    shop.put("heron-too-much-taper/jaw1.jpg", "heron/jaw1.jpg");
    shop.put("heron-too-much-taper/jaw1.jpg", "copies/again.jpg");
    shop.put("heron-too-much-taper/jaw1.jpg", "heron/z.jpg");
    let said = shop.review("out", "", 0);
    assert_eq!(read_now(&said), 1);
    let photos = shop.lines("out", "photo");
    assert_eq!(photos.len(), 1);
    assert_eq!(photos[0]["file"], "copies/again.jpg");
    assert_eq!(
        photos[0]["same_as"],
        serde_json::json!(["heron/jaw1.jpg", "heron/z.jpg"])
    );
    // The hash is that of another program, where it is there.
    if let Ok(output) = Command::new("sha256sum")
        .arg(shop.photo("heron/z.jpg"))
        .output()
    {
        let theirs = String::from_utf8(output.stdout).unwrap();
        assert!(theirs.starts_with(&text(&photos[0]["sha256"])));
    }
}

#[cfg(unix)]
#[test]
fn links_and_loops_are_walked_once() {
    use std::os::unix::fs::symlink;
    let shop = Shop::new();
    shop.put("heron-too-much-taper/jaw1.jpg", "heron/deep/jaw1.jpg");
    symlink(shop.photo(""), shop.photo("heron/deep/up")).unwrap();
    symlink(shop.photo("heron"), shop.photo("zz")).unwrap();
    symlink("jaw1.jpg", shop.photo("heron/deep/link.jpg")).unwrap();
    fs::create_dir(shop.path("elsewhere")).unwrap();
    let other = samples::bytes("heron-too-much-taper/jaw2.jpg");
    fs::write(shop.path("elsewhere/jaw2.jpg"), other).unwrap();
    symlink(shop.path("elsewhere"), shop.photo("linked")).unwrap();
    symlink(shop.path("elsewhere/jaw2.jpg"), shop.photo("single.jpg")).unwrap();
    shop.review("out", "", 0);
    assert_eq!(
        shop.files("out"),
        ["heron/deep/jaw1.jpg", "linked/jaw2.jpg"]
    );
    let photos = shop.lines("out", "photo");
    assert!(photos.iter().all(|p| p["same_as"] == serde_json::json!([])));
}

#[test]
fn results_inside_the_reviewed_folder_are_not_walked() {
    let shop = Shop::new();
    shop.put("heron-too-much-taper/jaw1.jpg", "heron/jaw1.jpg");
    shop.review("checks/out", "", 0);
    shop.review("checks/out", "", 0);
    shop.review("checks/other", "", 0);
    assert_eq!(shop.files("checks/out"), ["heron/jaw1.jpg"]);
    assert_eq!(shop.files("checks/other"), ["heron/jaw1.jpg"]);
}

#[test]
fn several_folders_are_told_apart_and_overlap() {
    let shop = Shop::new();
    shop.put("heron-too-much-taper/jaw1.jpg", "heron/jaw1.jpg");
    shop.put("wren-full-length/jaw1.jpg", "wren/jaw1.jpg");
    let output = shop.run(
        "review",
        "checks/wren checks checks/heron/ --tip up --into out",
    );
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(
        shop.files("out"),
        ["checks/heron/jaw1.jpg", "checks/wren/jaw1.jpg"]
    );
}

#[test]
fn each_photo_has_its_thumbnail_and_its_picture() {
    let shop = Shop::new();
    shop.put("heron-too-much-taper/jaw1.jpg", "heron/jaw1.jpg");
    shop.review("out", "", 0);
    let sha256 = text(&shop.lines("out", "photo")[0]["sha256"]);
    let side = |folder: &str| {
        let place = shop.path("out").join(folder).join(format!("{sha256}.jpg"));
        let picture = image::open(place).unwrap();
        picture.width().max(picture.height())
    };
    assert_eq!(side("thumbs"), 320);
    assert!(side("pictures") > 600);
}

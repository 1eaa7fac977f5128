//! The table in a real browser, where there is one: `SEEPLINE_BROWSER`, or Chromium on the path.
//! `SEEPLINE_REPORT=DIR SEEPLINE_CHECKS=3300 cargo test --test all write_a_folder -- --ignored`
//! writes a report to look at.

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::Command;

use image::{Rgb, RgbImage};
use tempfile::TempDir;

use super::pages;
use super::shop::{Shop, shop};

fn write(shop: &Shop, folder: &Path) {
    for page in pages(shop) {
        let path = folder.join(&page.path);
        fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        fs::write(path, page.bytes).expect("a page");
    }
}

fn browser() -> Option<String> {
    let named = std::env::var("SEEPLINE_BROWSER").ok();
    let runs = |b: &String| {
        Command::new(b)
            .arg("--version")
            .output()
            .is_ok_and(|o| o.status.success())
    };
    let known = ["chromium", "chromium-browser", "google-chrome"].map(str::to_owned);
    named.into_iter().chain(known).find(runs)
}

/// The page as it is after its scripts ran; `None` where there is no browser, which is said.
fn shown(folder: &Path, page: &str) -> Option<String> {
    let Some(browser) = browser() else {
        let mut err = std::io::stderr();
        writeln!(err, "SKIPPED: no browser here; set SEEPLINE_BROWSER").expect("a terminal");
        return None;
    };
    let profile = TempDir::new().expect("a folder");
    let out = Command::new(browser)
        .args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--virtual-time-budget=3000",
            "--dump-dom",
        ])
        .arg(format!("--user-data-dir={}", profile.path().display()))
        .arg(format!("file://{}/{page}", folder.display()))
        .output()
        .expect("a browser");
    Some(String::from_utf8_lossy(&out.stdout).into_owned())
}

fn rows(page: &str) -> Vec<&str> {
    let body = page.split("<tbody>").nth(1).expect("a table");
    body.split("<tr>").skip(1).collect()
}

#[test]
fn the_table_sorts_filters_and_pages_from_its_address() {
    let folder = TempDir::new().expect("a folder");
    let shop = shop(300);
    write(&shop, folder.path());
    let Some(page) = shown(folder.path(), "checks.html") else {
        return;
    };
    assert_eq!(rows(&page).len(), 50);
    assert!(page.contains("Rows 1 to 50, 300 checks."));
    let Some(page) = shown(
        folder.path(),
        "checks.html#look=refused&rows=500&sort=confidence",
    ) else {
        return;
    };
    let refused = |c: &&seepline::CheckLine| {
        shop.photos
            .iter()
            .any(|p| p.check == c.check && p.refusal.is_some())
    };
    assert_eq!(
        rows(&page).len(),
        shop.checks.iter().filter(refused).count()
    );
    assert!(page.contains("aria-sort=\"ascending\""));
    let Some(page) = shown(folder.path(), "checks.html#find=WREN&page=999") else {
        return;
    };
    assert!(!rows(&page).is_empty() && rows(&page).iter().all(|r| r.contains(">wren<")));
    // By a file's name, without its folder, and by what was done.
    let Some(page) = shown(folder.path(), "checks.html#find=img_00007.JPG") else {
        return;
    };
    assert_eq!(rows(&page).len(), 1);
    let check = shop.checks.iter().find(|c| c.done.is_some()).expect("one");
    let done = check.done.as_deref().expect("it").to_lowercase();
    let find = format!("checks.html#rows=500&find={}", done.replace(' ', "+"));
    let Some(page) = shown(folder.path(), &find) else {
        return;
    };
    let says = |c: &&seepline::CheckLine| {
        let text = c.done.as_deref().map(str::to_lowercase);
        text.is_some_and(|t| t.contains(&done))
    };
    assert_eq!(rows(&page).len(), shop.checks.iter().filter(says).count());
}

#[test]
#[ignore = "writes to SEEPLINE_REPORT"]
fn write_a_folder() {
    let folder = std::env::var("SEEPLINE_REPORT").expect("SEEPLINE_REPORT");
    let checks = std::env::var("SEEPLINE_CHECKS").map_or(12, |n| n.parse().expect("a number"));
    let shop = shop(checks);
    let start = std::time::Instant::now();
    write(&shop, Path::new(&folder));
    let mut err = std::io::stderr();
    writeln!(
        err,
        "{} photos, {checks} checks: {:?}",
        shop.photos.len(),
        start.elapsed()
    )
    .expect("a terminal");
    let dark = |x: u32, y: u32| {
        if y > 240 && x > 60 && x < 260 {
            60
        } else {
            170 + (x * 7 + y * 3) % 40
        }
    };
    let picture = RgbImage::from_fn(320, 427, |x, y| Rgb([dark(x, y) as u8; 3]));
    for kind in ["thumbs", "pictures"] {
        fs::create_dir_all(Path::new(&folder).join(kind)).expect("a folder");
        let one = Path::new(&folder).join(kind).join("one.jpg");
        picture.save(&one).expect("a picture");
        for photo in &shop.photos {
            let _ = fs::hard_link(&one, one.with_file_name(photo.sha256.clone() + ".jpg"));
        }
    }
}

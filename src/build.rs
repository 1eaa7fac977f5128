//! Cargo's build script: tells a released program which commit it is of, for `--version`.

use std::env;
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

fn main() {
    println!("cargo::rerun-if-env-changed=SEEPLINE_COMMIT");
    let released = env::var("PROFILE").is_ok_and(|profile| profile == "release");
    // A build from each commit anew would cost a developer minutes.
    let commit = given().or_else(|| released.then(head).flatten());
    let commit = commit.unwrap_or_else(|| "not known".to_owned());
    println!("cargo::rustc-env=SEEPLINE_COMMIT={commit}");
    phone_page();
}

/// Where `.ci/release-page` has built the program for browsers, this one carries it.
fn phone_page() {
    println!("cargo::rerun-if-env-changed=SEEPLINE_PHONE");
    println!("cargo::rustc-check-cfg=cfg(phone_page)");
    if let Some(folder) = env::var_os("SEEPLINE_PHONE").filter(|folder| !folder.is_empty()) {
        println!("cargo::rustc-cfg=phone_page");
        samples(&Path::new(&folder).join("samples"));
    }
}

/// Photos to practise on, with the table of what is true of them.
fn samples(folder: &Path) {
    println!("cargo::rerun-if-changed={}", folder.display());
    let mut names = Vec::new();
    photos(folder, &mut names);
    names.sort();
    let table = folder.join("truth.json");
    assert!(
        table.is_file() && !names.is_empty(),
        "{} holds no photos to practise on; run .ci/release-page again",
        folder.display()
    );
    // As a text of Rust, whatever is in it.
    let quoted = |text: &Path| format!("{:?}", text.to_string_lossy().replace('\\', "/"));
    let mut source = format!(
        "const TABLE: &str = include_str!({});\nstatic PHOTOS: &[(&str, &[u8])] = &[\n",
        quoted(&table)
    );
    for place in names {
        let name = place.strip_prefix(folder).expect("in the folder");
        let (name, place) = (quoted(name), quoted(&place));
        writeln!(source, "({name}, include_bytes!({place})),").expect("a text");
    }
    source.push_str("];\n");
    let out = PathBuf::from(env::var_os("OUT_DIR").expect("cargo says it"));
    fs::write(out.join("samples.rs"), source).expect("cargo's own folder");
}

fn photos(folder: &Path, into: &mut Vec<PathBuf>) {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    for place in entries.map(|entry| entry.path()) {
        if place.is_dir() {
            photos(&place, into);
        } else if place.extension().is_some_and(|e| e == "jpg") {
            into.push(place);
        }
    }
}

/// Where the source is no checkout, whoever packs it says it.
fn given() -> Option<String> {
    let commit = env::var("SEEPLINE_COMMIT").ok()?;
    (!commit.is_empty() && commit.chars().all(|c| c.is_ascii_hexdigit())).then_some(commit)
}

/// Of the checkout that this is.
fn head() -> Option<String> {
    // Grows with every commit; a file that is missing would run this every time.
    let log = ".git/logs/HEAD";
    if !Path::new(log).is_file() {
        return None;
    }
    println!("cargo::rerun-if-changed={log}");
    let output = Command::new("git")
        .args(["rev-parse", "--short=12", "HEAD"])
        .output()
        .ok()?;
    let commit = String::from_utf8(output.stdout).ok()?;
    let commit = commit.trim();
    output.status.success().then(|| commit.to_owned())
}

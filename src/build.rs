//! Cargo's build script: tells a released program which commit it is of, for `--version`.

use std::env;
use std::path::Path;
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
    if env::var_os("SEEPLINE_PHONE").is_some_and(|folder| !folder.is_empty()) {
        println!("cargo::rustc-cfg=phone_page");
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

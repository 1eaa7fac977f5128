//! What these tests need beyond Rust: a browser, its driver, and npm for the accessibility check. Where one is
//! missing it is installed if that is possible; if it is not, the tests say so and are skipped.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;

use sha2::{Digest, Sha256};

use super::engine::Browser;

/// Deque's axe-core (Mozilla Public License 2.0), run by the tests and no part of the program.
const AXE: &str = "axe-core@4.14.1";
/// Of its `axe.min.js`, so that a package that was exchanged is not run.
const AXE_SHA256: &str = "29348999450cdf2849a8e70b7912fc2da85a849da39c0d0d5394f51d4a9ed95c";

fn runs(program: &str) -> bool {
    let output = Command::new(program).arg("--version").output();
    // These two know no such option, and say so.
    output.is_ok_and(|o| o.status.success() || ["Xvfb", "WebKitWebDriver"].contains(&program))
}

pub(super) fn say(text: &str) {
    let mut err = std::io::stderr();
    writeln!(err, "{text}").expect("a terminal");
}

/// Packages are installed by root alone, and where there is Debian's tool for it.
fn may_install() -> bool {
    let id = Command::new("id").arg("-u").output();
    let root = id.is_ok_and(|o| o.stdout.trim_ascii() == b"0");
    root && runs("apt-get")
}

/// The programs, installed from Debian's packages where they are missing. False where there is no way to get
/// them, which is said.
pub(super) fn have(programs: &[&str], packages: &[&str]) -> bool {
    if programs.iter().all(|p| runs(p)) {
        return true;
    }
    if !may_install() {
        say(&format!(
            "SKIPPED: the tests in a browser need {}; install {} and run them again",
            programs.join(" and "),
            packages.join(" ")
        ));
        return false;
    }
    apt_get(&["update"]);
    apt_get(&[&["install", "-y", "--no-install-recommends"], packages].concat());
    let missing: Vec<&&str> = programs.iter().filter(|p| !runs(p)).collect();
    assert!(
        missing.is_empty(),
        "installed, but does not run: {missing:?}"
    );
    true
}

fn apt_get(arguments: &[&str]) {
    let output = Command::new("apt-get")
        .env("DEBIAN_FRONTEND", "noninteractive")
        .args(["-q", "-o", "DPkg::Lock::Timeout=300"])
        .args(arguments)
        .output()
        .expect("apt-get runs");
    expect_success(&format!("apt-get {}", arguments.join(" ")), &output);
}

fn expect_success(what: &str, output: &Output) {
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{what} failed:\n{told}");
}

/// Whether the chosen browser and its driver are here.
pub(crate) fn browser() -> bool {
    static HAVE: OnceLock<bool> = OnceLock::new();
    *HAVE.get_or_init(|| Browser::chosen().is_here())
}

/// The accessibility check's script, fetched once through npm; `None` where that cannot be, which is said.
pub(crate) fn axe() -> Option<&'static str> {
    static SCRIPT: OnceLock<Option<String>> = OnceLock::new();
    let script = SCRIPT.get_or_init(|| have(&["npm"], &["npm"]).then(fetch_axe));
    script.as_deref()
}

fn fetch_axe() -> String {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(AXE.replace('@', "-"));
    let place: PathBuf = folder.join("node_modules/axe-core/axe.min.js");
    if !place.is_file() {
        std::fs::create_dir_all(&folder).expect("a folder");
        let output = Command::new("npm")
            .args([
                "install",
                "--no-save",
                "--ignore-scripts",
                "--no-audit",
                "--no-fund",
            ])
            .arg("--prefix")
            .arg(&folder)
            .arg(AXE)
            .output()
            .expect("npm runs");
        expect_success("npm install", &output);
    }
    let script = std::fs::read_to_string(place).expect("axe.min.js");
    let hash = format!("{:x}", Sha256::digest(script.as_bytes()));
    assert_eq!(hash, AXE_SHA256, "another {AXE} than the one known here");
    script
}

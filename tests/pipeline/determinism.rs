//! The same photos give the same bytes, however often and on however many threads.

use std::process::Command;

use super::samples::{all, sample};
use crate::support::program::SEEPLINE;

/// What `read --json` prints about a whole check and a single photo.
fn json(threads: &str) -> Vec<u8> {
    let output = Command::new(SEEPLINE)
        .args(["read", "--json"])
        .args(["heron", "one-side", "transfer-tip-only"].map(|part| &sample(part).path))
        // The networks' own threads; those that read photos side by side follow the machine.
        .env("RTEN_NUM_THREADS", threads)
        .output()
        .expect("the program ran");
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    output.stdout
}

#[test]
fn two_runs_print_the_same_bytes() {
    let first = json("2");
    assert!(first.len() > 1000);
    assert!(first == json("2"), "two runs differ");
}

#[test]
fn one_thread_and_two_print_the_same_bytes() {
    assert!(json("1") == json("2"), "the number of threads shows");
}

/// Of all samples, on these processors of the machine; `None` where there is no `taskset`.
fn json_on(processors: &str) -> Option<Vec<u8>> {
    let photos = all().map(|s| &s.path);
    let output = Command::new("taskset")
        .args(["--cpu-list", processors, SEEPLINE])
        .args(["read", "--json"])
        .args(photos)
        .output();
    let output = output.ok().filter(|o| o.stdout.len() > 1000);
    if output.is_none() {
        println!("SKIPPED: processors cannot be chosen here with taskset");
    }
    Some(output?.stdout)
}

#[test]
fn one_processor_and_all_print_the_same_bytes() {
    let most = std::thread::available_parallelism().map_or(1, std::num::NonZero::get) - 1;
    let (Some(one), Some(all)) = (json_on("0"), json_on(&format!("0-{most}"))) else {
        return;
    };
    assert!(one == all, "the number of processors shows");
}

//! Eight phones at once, each with a check of three jaws; bounded in count and time.

use std::thread;
use std::time::{Duration, Instant};

use serde_json::json;

use super::samples::{another, heron};
use super::server::Server;

const PHONES: u32 = 8;

#[test]
fn eight_phones_at_once_get_the_same_answer() {
    let server = Server::start();
    let started = Instant::now();
    let answers: Vec<_> = thread::scope(|scope| {
        let phone = |n: u32| {
            let server = &server;
            scope.spawn(move || {
                let check = server.begin(json!({ "tip": "up", "taper": "0.003in" }));
                let mut state = json!(null);
                for jaw in 1..=3 {
                    let bytes = another(&heron(jaw), n);
                    state = server
                        .phone()
                        .photo(&check, jaw, "jaw.jpg", &bytes)
                        .expect(200)
                        .json();
                    server.phone().get(&format!("/checks/{check}")).expect(200);
                }
                state["report"]["check"].clone()
            })
        };
        let all: Vec<_> = (0..PHONES).map(phone).collect();
        all.into_iter().map(|t| t.join().unwrap()).collect()
    });
    assert_eq!(answers[0]["action"], "recut");
    assert!(answers.windows(2).all(|pair| pair[0] == pair[1]));
    // Ten times what it takes unoptimised on two cores of its own; a hang would take for ever.
    assert!(started.elapsed() < Duration::from_mins(10));
}

//! The real program, serving an archive of its own.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Output, Stdio};
use std::sync::Arc;

use tempfile::TempDir;

use super::client::Client;
use super::samples::heron;
use crate::support::program::{self, in_shop};

/// A running server; killed where it is not stopped.
pub(crate) struct Server {
    pub(crate) shop: Arc<TempDir>,
    pub(crate) child: Child,
    /// Until it is read to its end, the server can write.
    _said: BufReader<ChildStdout>,
    pub(crate) key: String,
    client: Client,
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Runs the program to its end, which must be `status`.
pub(crate) fn run(shop: &Path, line: &str, status: i32) -> Output {
    let output = in_shop(shop, line).output().unwrap();
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(status), "{line}: {errors}");
    output
}

impl Server {
    /// On an archive with the jaw set heron, of which a cut is noted.
    pub(crate) fn start() -> Self {
        let shop = Arc::new(tempfile::tempdir().unwrap());
        add_heron(shop.path());
        Self::on(shop, "")
    }

    pub(crate) fn on(shop: Arc<TempDir>, more: &str) -> Self {
        let mut child = in_shop(shop.path(), &format!("serve --port 0 {more}"))
            .stderr(Stdio::inherit())
            .spawn()
            .unwrap();
        let mut said = BufReader::new(child.stdout.take().unwrap());
        let greeting = greeting(&mut said);
        let (base, key) = address(&greeting);
        let address = base.trim_start_matches("http://").parse();
        let cookie = None;
        let mut server = Self {
            client: Client {
                // Behind TLS, and for the network, the loopback address is there all the same.
                address: address.unwrap_or_else(|_| panic!("{greeting}")),
                cookie,
            },
            shop,
            child,
            _said: said,
            key,
        };
        server.client.cookie = Some(server.pair());
        server
    }

    /// The cookie of a phone that has scanned the code.
    fn pair(&self) -> String {
        let answer = self
            .stranger()
            .get(&format!("/pair?key={}", self.key))
            .expect(303);
        let cookie = answer.header("set-cookie").unwrap();
        cookie.split(';').next().unwrap().to_owned()
    }

    /// A paired phone.
    pub(crate) fn phone(&self) -> Client {
        self.client.clone()
    }

    /// A phone that is not paired.
    pub(crate) fn stranger(&self) -> Client {
        Client {
            cookie: None,
            ..self.client.clone()
        }
    }

    pub(crate) fn archive(&self) -> PathBuf {
        self.shop.path().join("archive")
    }

    /// Begins a check; its id.
    pub(crate) fn begin(&self, settings: serde_json::Value) -> String {
        let state = self
            .phone()
            .json("POST", "/api/checks", &settings)
            .expect(201)
            .json();
        state["id"].as_str().unwrap().to_owned()
    }

    /// Begins a check, tip up, and has jaw 1 read; its id and its state.
    pub(crate) fn with_jaw_1(&self) -> (String, serde_json::Value) {
        let check = self.begin(serde_json::json!({ "tip": "up" }));
        let sent = self.phone().photo(&check, 1, "jaw1.jpg", &heron(1));
        (check, sent.expect(200).json())
    }

    pub(crate) fn signal(&self, signal: &str) {
        program::signal(&self.child, signal);
    }

    /// Asks it to stop and waits; its status.
    pub(crate) fn stop(mut self) -> (i32, Arc<TempDir>) {
        self.signal("-INT");
        let status = self.child.wait().unwrap().code().unwrap();
        (status, Arc::clone(&self.shop))
    }
}

pub(crate) fn add_heron(shop: &Path) {
    run(shop, "jaws add heron --production-pressure 300psi", 0);
    run(
        shop,
        "cut add heron --taper 0.003in --made 2026-01-02T08:00:00",
        0,
    );
}

/// Up to its last line.
fn greeting(said: &mut impl BufRead) -> String {
    let mut text = String::new();
    while !text.contains("Ctrl-C") {
        let read = said.read_line(&mut text).unwrap();
        assert!(read > 0, "the server ended: {text}");
    }
    text
}

/// Where it listens on loopback, and the key.
fn address(greeting: &str) -> (String, String) {
    let line = |l: &&str| l.contains("/pair?key=");
    let mut all = greeting.lines().filter(line);
    let first = all.next().unwrap();
    let own = all.find(|l| l.contains("127.0.0.1")).unwrap_or(first);
    let (base, _) = own.split_once("/pair?key=").unwrap();
    let (_, key) = first.split_once("/pair?key=").unwrap();
    let base = &base[base.find("http").unwrap()..];
    (base.to_owned(), key.trim().to_owned())
}

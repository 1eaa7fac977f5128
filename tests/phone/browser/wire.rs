//! `WebDriver` (W3C, <https://www.w3.org/TR/webdriver2/>): JSON over HTTP/1.1 to a driver on this machine. So
//! little of it is needed here that a client of one's own is lighter than the asynchronous ones.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::os::unix::process::CommandExt;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use serde_json::Value;

use super::engine::{Browser, free_port};
use crate::support::program::wait_for;

/// Longer than the driver itself waits for anything.
const PATIENCE: Duration = Duration::from_mins(6);

/// A running driver; ends with the test.
pub(crate) struct Driver {
    process: Child,
    port: u16,
}

impl Driver {
    pub(crate) fn start() -> Self {
        let port = free_port();
        let process = Browser::chosen()
            .driver(port)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            // What it begins ends with it.
            .process_group(0)
            .spawn()
            .expect("the driver starts");
        wait_for("the driver", || {
            TcpStream::connect(("127.0.0.1", port)).is_ok()
        });
        Self { process, port }
    }

    /// One command; its value, or the driver's error.
    pub(crate) fn ask(&self, method: &str, path: &str, body: &Value) -> Result<Value, String> {
        let body = if method == "POST" {
            body.to_string()
        } else {
            String::new()
        };
        let answer = exchange(self.port, method, path, &body).map_err(|e| e.to_string())?;
        let mut answer: Value = serde_json::from_slice(&answer).map_err(|e| e.to_string())?;
        let value = answer["value"].take();
        match value["error"].as_str() {
            Some(error) => Err(format!(
                "{error}: {}",
                value["message"].as_str().unwrap_or_default()
            )),
            None => Ok(value),
        }
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        let group = format!("-{}", self.process.id());
        let _ = Command::new("kill").args(["-9", "--", &group]).status();
        let _ = self.process.wait();
    }
}

fn exchange(port: u16, method: &str, path: &str, body: &str) -> std::io::Result<Vec<u8>> {
    let stream = TcpStream::connect(("127.0.0.1", port))?;
    stream.set_read_timeout(Some(PATIENCE))?;
    let head = format!(
        "{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nContent-Type: application/json\r\n\
         Content-Length: {}\r\nConnection: close\r\n\r\n",
        body.len()
    );
    (&stream).write_all(&[head.as_bytes(), body.as_bytes()].concat())?;
    let mut reader = BufReader::new(stream);
    let mut length = 0;
    loop {
        let mut line = String::new();
        reader.read_line(&mut line)?;
        if line.trim_end().is_empty() {
            break;
        }
        if let Some(value) = line.to_ascii_lowercase().strip_prefix("content-length:") {
            length = value.trim().parse().map_err(std::io::Error::other)?;
        }
    }
    let mut answer = vec![0; length];
    reader.read_exact(&mut answer)?;
    Ok(answer)
}

//! HTTP as it goes over the wire, so that it can also be wrong.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::Duration;

use serde_json::Value;

/// A phone, paired or not.
#[derive(Debug, Clone)]
pub(crate) struct Client {
    pub(crate) address: SocketAddr,
    pub(crate) cookie: Option<String>,
}

/// What came back.
#[derive(Debug, Clone)]
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) head: Vec<(String, String)>,
    pub(crate) body: Vec<u8>,
}

impl Answer {
    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        let mut found = self.head.iter().filter(|(n, _)| n == name);
        found.next().map(|(_, value)| value.as_str())
    }

    pub(crate) fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    pub(crate) fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|e| panic!("{e}: {}", self.text()))
    }

    /// The same, after it is sure that it is the answer hoped for.
    pub(crate) fn expect(self, status: u16) -> Self {
        assert_eq!(self.status, status, "{}", self.text());
        self
    }

    fn of(raw: &[u8]) -> Option<Self> {
        let end = raw.windows(4).position(|w| w == b"\r\n\r\n")?;
        let text = String::from_utf8_lossy(&raw[..end]).into_owned();
        let mut lines = text.split("\r\n");
        let status = lines.next()?.split(' ').nth(1)?.parse().ok()?;
        let pair = |line: &str| {
            let (name, value) = line.split_once(':')?;
            Some((name.to_ascii_lowercase(), value.trim().to_owned()))
        };
        let head = lines.filter_map(pair).collect();
        let body = raw[end + 4..].to_vec();
        Some(Self { status, head, body })
    }
}

impl Client {
    pub(crate) fn host(&self) -> String {
        self.address.to_string()
    }

    pub(crate) fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(self.address).unwrap();
        stream
            .set_read_timeout(Some(Duration::from_mins(3)))
            .unwrap();
        stream
    }

    /// Whatever the bytes are; `None` where nothing came back.
    pub(crate) fn raw(&self, bytes: &[u8]) -> Option<Answer> {
        let mut stream = self.connect();
        // A server that has refused already may have closed its side.
        let _ = stream.write_all(bytes);
        finish(stream)
    }

    /// A request of a page of this server.
    pub(crate) fn send(
        &self,
        method: &str,
        path: &str,
        more: &[(&str, &str)],
        body: &[u8],
    ) -> Answer {
        let head = self.head(method, path, more, body.len());
        let bytes = [head.as_bytes(), body].concat();
        self.raw(&bytes)
            .unwrap_or_else(|| panic!("no answer to {method} {path}"))
    }

    pub(crate) fn head(
        &self,
        method: &str,
        path: &str,
        more: &[(&str, &str)],
        length: usize,
    ) -> String {
        let host = self.host();
        let named = |name: &str| more.iter().any(|(n, _)| n.eq_ignore_ascii_case(name));
        let mut fields = vec![("Connection", "close".to_owned())];
        fields.push(("Content-Length", length.to_string()));
        if !named("host") {
            fields.push(("Host", host.clone()));
        }
        if method != "GET" && !named("origin") {
            fields.push(("Origin", format!("http://{host}")));
        }
        fields.extend(self.cookie.clone().map(|cookie| ("Cookie", cookie)));
        let more = more.iter().filter(|(_, value)| !value.is_empty());
        fields.extend(more.map(|(name, value)| (*name, (*value).to_owned())));
        let lines = fields.iter().map(|(n, v)| format!("{n}: {v}\r\n"));
        format!(
            "{method} {path} HTTP/1.1\r\n{}\r\n",
            lines.collect::<String>()
        )
    }

    pub(crate) fn get(&self, path: &str) -> Answer {
        self.send("GET", path, &[], b"")
    }

    /// A form of a page.
    pub(crate) fn form(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let pair = |(name, value): &(&str, &str)| format!("{name}={}", escaped(value));
        let body = fields.iter().map(pair).collect::<Vec<_>>().join("&");
        let kind = [("Content-Type", "application/x-www-form-urlencoded")];
        self.send("POST", path, &kind, body.as_bytes())
    }

    pub(crate) fn json(&self, method: &str, path: &str, value: &Value) -> Answer {
        let kind = [("Content-Type", "application/json")];
        self.send(method, path, &kind, value.to_string().as_bytes())
    }

    pub(crate) fn delete(&self, path: &str) -> Answer {
        self.send("DELETE", path, &[], b"")
    }

    /// Photos in a form, as a page without its script sends them.
    pub(crate) fn upload(&self, check: &str, jaw: Option<u8>, photos: &[(&str, &[u8])]) -> Answer {
        let body = multipart(jaw, photos);
        let kind = [("Content-Type", KIND)];
        self.send("POST", &format!("/checks/{check}/photos"), &kind, &body)
    }

    /// One photo, as the script and programs send it.
    pub(crate) fn photo(&self, check: &str, jaw: u8, name: &str, bytes: &[u8]) -> Answer {
        self.photo_of(check, &format!("jaw={jaw}"), name, bytes)
    }

    /// Another photo of a jaw.
    pub(crate) fn another(&self, check: &str, jaw: u8, name: &str, bytes: &[u8]) -> Answer {
        self.photo_of(check, &format!("jaw={jaw}&another=true"), name, bytes)
    }

    fn photo_of(&self, check: &str, said: &str, name: &str, bytes: &[u8]) -> Answer {
        let path = format!("/api/checks/{check}/photos?{said}&name={}", escaped(name));
        self.send(
            "POST",
            &path,
            &[("Content-Type", "application/octet-stream")],
            bytes,
        )
    }
}

/// A form's kind, with the boundary of [`multipart`].
pub(crate) const KIND: &str = "multipart/form-data; boundary=seam";

pub(crate) fn multipart(jaw: Option<u8>, photos: &[(&str, &[u8])]) -> Vec<u8> {
    let mut body = Vec::new();
    if let Some(jaw) = jaw {
        let part =
            format!("--seam\r\nContent-Disposition: form-data; name=\"jaw\"\r\n\r\n{jaw}\r\n");
        body.extend_from_slice(part.as_bytes());
    }
    for (name, bytes) in photos {
        let part = format!(
            "--seam\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"{name}\"\r\nContent-Type: image/jpeg\r\n\r\n"
        );
        body.extend_from_slice(part.as_bytes());
        body.extend_from_slice(bytes);
        body.extend_from_slice(b"\r\n");
    }
    body.extend_from_slice(b"--seam--\r\n");
    body
}

/// Reads until the server closes.
pub(crate) fn finish(mut stream: TcpStream) -> Option<Answer> {
    let mut raw = Vec::new();
    // A reset after the answer is no matter.
    let _ = stream.read_to_end(&mut raw);
    Answer::of(&raw)
}

/// Percent-encoded (RFC 3986, section 2.1).
pub(crate) fn escaped(text: &str) -> String {
    let plain = |b: u8| b.is_ascii_alphanumeric() || matches!(b, b'-' | b'.' | b'_');
    let one = |b: u8| {
        if plain(b) {
            char::from(b).to_string()
        } else {
            format!("%{b:02X}")
        }
    };
    text.bytes().map(one).collect()
}

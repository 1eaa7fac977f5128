//! The names under which the page may be asked for: a page of another site whose name was made to point
//! here (DNS rebinding) asks for a name that is none of these.

use std::net::SocketAddr;

use axum::http::{HeaderMap, Uri, header};

/// Where the server listens, and under which name phones reach it through TLS.
#[derive(Debug)]
pub(super) struct Hosts {
    /// As they stand in the `Host` header, lower case.
    plain: Vec<String>,
    tls: Option<String>,
}

impl Hosts {
    pub(super) fn new(listening: &[SocketAddr], tls: Option<&str>) -> Self {
        let mut plain: Vec<String> = listening.iter().map(ToString::to_string).collect();
        for address in listening.iter().filter(|a| a.ip().is_loopback()) {
            plain.push(format!("localhost:{}", address.port()));
        }
        // The port of plain HTTP is left out of the header.
        let bare = plain
            .iter()
            .filter_map(|host| host.strip_suffix(":80").map(str::to_owned));
        let bare: Vec<String> = bare.collect();
        plain.extend(bare);
        Self {
            plain,
            tls: tls.map(str::to_ascii_lowercase),
        }
    }

    /// The one host that the request names, where it is one of these.
    pub(super) fn named(&self, uri: &Uri, headers: &HeaderMap) -> Option<String> {
        let mut all = headers.get_all(header::HOST).iter();
        let host = all.next()?.to_str().ok()?.to_ascii_lowercase();
        // More than one `Host` line is a bad request (RFC 9112, section 3.2).
        let twice = all.next().is_some();
        // A request line may name the host as well (RFC 9112, section 3.2.2).
        let elsewhere = uri
            .authority()
            .is_some_and(|a| !a.as_str().eq_ignore_ascii_case(&host));
        let known = self.plain.contains(&host) || self.is_tls(&host);
        (known && !twice && !elsewhere).then_some(host)
    }

    /// Whether that host is reached through TLS.
    pub(super) fn is_tls(&self, host: &str) -> bool {
        // A browser leaves the usual port of TLS out, a program may name it.
        let plain = host.strip_suffix(":443").unwrap_or(host);
        self.tls.as_deref() == Some(plain)
    }

    /// The origin (RFC 6454) of the page on `host`.
    pub(super) fn origin(&self, host: &str) -> String {
        if self.is_tls(host) {
            format!("https://{}", host.strip_suffix(":443").unwrap_or(host))
        } else {
            format!("http://{}", host.strip_suffix(":80").unwrap_or(host))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named(hosts: &Hosts, lines: &[&str]) -> bool {
        let mut headers = HeaderMap::new();
        for line in lines {
            headers.append(header::HOST, line.parse().unwrap());
        }
        hosts.named(&Uri::from_static("/"), &headers).is_some()
    }

    #[test]
    fn only_own_names_are_taken() {
        let listening = [
            "127.0.0.1:7337".parse().unwrap(),
            "192.168.1.5:7337".parse().unwrap(),
        ];
        let hosts = Hosts::new(&listening, Some("jaws.shop.example"));
        for own in [
            "127.0.0.1:7337",
            "LOCALHOST:7337",
            "192.168.1.5:7337",
            "jaws.shop.example",
            "jaws.shop.example:443",
        ] {
            assert!(named(&hosts, &[own]), "{own}");
        }
        for other in [
            "evil.example",
            "127.0.0.1",
            "127.0.0.1:80",
            "192.168.1.6:7337",
            "jaws.shop.example.evil.example",
            "",
        ] {
            assert!(!named(&hosts, &[other]), "{other}");
        }
        assert!(!named(&hosts, &[]));
        assert!(!named(&hosts, &["127.0.0.1:7337", "127.0.0.1:7337"]));
        assert_eq!(
            hosts.origin("jaws.shop.example:443"),
            "https://jaws.shop.example"
        );
        assert_eq!(hosts.origin("127.0.0.1:7337"), "http://127.0.0.1:7337");
    }

    #[test]
    fn at_port_80_the_port_may_be_left_out() {
        let hosts = Hosts::new(&["192.168.1.5:80".parse().unwrap()], None);
        assert!(named(&hosts, &["192.168.1.5"]) && named(&hosts, &["192.168.1.5:80"]));
        assert_eq!(hosts.origin("192.168.1.5:80"), "http://192.168.1.5");
    }
}

//! What every request passes on its way in, and every response on its way out.

use std::net::IpAddr;
use std::sync::Arc;
use std::time::{Duration, Instant};

use axum::Json;
use axum::body::{Body, Bytes};
use axum::extract::{FromRequest, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, Uri, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use serde_json::json;

use super::desk::Desk;
use super::fault::Fault;
use super::pages;

/// For whatever reads no photo, and for a form after which photos are read.
const PATIENCE: Duration = Duration::from_secs(30);

/// Who asks; every request carries it as an extension.
#[derive(Debug, Clone, Copy)]
pub(super) struct Peer(pub(super) IpAddr);

/// The host that was asked for, one of the server's own.
#[derive(Debug, Clone)]
pub(super) struct Host(pub(super) String);

pub(super) async fn guard(
    State(desk): State<Arc<Desk>>,
    mut request: Request,
    next: Next,
) -> Response {
    let program = request.uri().path().starts_with("/api/");
    let response = match admit(&desk, &request) {
        Ok(host) => {
            request.extensions_mut().insert(host);
            next.run(request).await
        }
        Err(fault) => fault.into_response(),
    };
    let mut response = in_words(response, program);
    put_headers(response.headers_mut());
    response
}

/// Requests that read no photo have an end.
pub(super) async fn soon(request: Request, next: Next) -> Response {
    let done = tokio::time::timeout(PATIENCE, next.run(request)).await;
    done.unwrap_or_else(|_| Fault::TooSlow.into_response())
}

/// A form after which photos are read, which may take long, comes as a whole before that.
pub(super) async fn whole(request: Request, next: Next) -> Response {
    let (head, body) = request.into_parts();
    // The head goes both ways: its extensions hold the limit of the body.
    let sent = Bytes::from_request(Request::from_parts(head.clone(), body), &());
    match tokio::time::timeout(PATIENCE, sent).await {
        Err(_) => Fault::TooSlow.into_response(),
        Ok(Err(refused)) => refused.into_response(),
        Ok(Ok(bytes)) => next.run(Request::from_parts(head, Body::from(bytes))).await,
    }
}

fn admit(desk: &Desk, request: &Request) -> Result<Host, Fault> {
    let headers = request.headers();
    // First of all: under a name that is not ours even a paired browser is not to be trusted (DNS rebinding).
    let host = desk
        .hosts
        .named(request.uri(), headers)
        .ok_or(Fault::WrongHost)?;
    let peer = request.extensions().get::<Peer>().ok_or(Fault::Defect)?.0;
    let program = desk.pairing.has_code(headers);
    let paired = program || desk.pairing.has_cookie(headers);
    // Apart, so that strangers who share an address with a paired phone do not slow it.
    let rate = if paired { &desk.paired } else { &desk.unpaired };
    // Before anything is said about a code, so that guesses at it count.
    if !rate.allows(peer, Instant::now()) {
        return Err(Fault::TooOften);
    }
    // What carries the code itself was not made by a page of another site.
    if changes(request.method()) && !program {
        from_here(headers, &desk.hosts.origin(&host))?;
    }
    if paired || is_open(request.uri()) {
        Ok(Host(host))
    } else {
        Err(Fault::NotPaired)
    }
}

fn changes(method: &Method) -> bool {
    !matches!(*method, Method::GET | Method::HEAD)
}

fn is_open(uri: &Uri) -> bool {
    uri.path() == "/pair"
}

/// Browsers say where a request that changes something comes from: `Origin` always, `Sec-Fetch-Site`
/// through TLS and on the machine itself. One that says neither is refused.
fn from_here(headers: &HeaderMap, own: &str) -> Result<(), Fault> {
    let site = headers.get("sec-fetch-site");
    let origin = headers.get(header::ORIGIN);
    let site_fits = site.is_none_or(|v| v == "same-origin");
    let origin_fits = origin.is_none_or(|v| v.as_bytes().eq_ignore_ascii_case(own.as_bytes()));
    if site_fits && origin_fits && (site.is_some() || origin.is_some()) {
        Ok(())
    } else {
        Err(Fault::OtherSite)
    }
}

/// The one place where a fault gets its text.
fn in_words(response: Response, program: bool) -> Response {
    let status = response.status();
    if !status.is_client_error() && !status.is_server_error() {
        return response;
    }
    let (head, _) = response.into_parts();
    let fault = head.extensions.get::<Fault>().cloned();
    let fault = fault.unwrap_or_else(|| Fault::of_status(status));
    let mut told = if program {
        Json(json!({ "error": fault.to_string(), "status": status.as_u16() })).into_response()
    } else {
        pages::fault(&fault).into_response()
    };
    *told.status_mut() = status;
    // The text is written anew; these headers are all that a client needs of the first response.
    for name in [header::RETRY_AFTER, header::ALLOW] {
        if let Some(value) = head.headers.get(&name) {
            told.headers_mut().insert(name, value.clone());
        }
    }
    told
}

fn put_headers(headers: &mut HeaderMap) {
    let fixed = [
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, "DENY"),
        // Not `no-referrer`: with it browsers hide the origin of a form's request (Fetch standard, “append a
        // request Origin header”), which the check for other sites needs. Nothing goes to other sites.
        (header::REFERRER_POLICY, "same-origin"),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
        (
            HeaderName::from_static("permissions-policy"),
            "geolocation=(), microphone=()",
        ),
    ];
    for (name, value) in fixed {
        headers.insert(name, HeaderValue::from_static(value));
    }
    if let Ok(policy) = HeaderValue::from_str(pages::content_policy()) {
        // The page that reads by itself has one of its own.
        let told = headers.entry(header::CONTENT_SECURITY_POLICY);
        told.or_insert(policy);
    }
    // A check changes at any moment; only the script, whose address changes with it, may be kept.
    let stored = headers.entry(header::CACHE_CONTROL);
    stored.or_insert(HeaderValue::from_static("no-store"));
}

#[cfg(test)]
mod tests {
    use super::*;

    const OWN: &str = "http://192.168.1.5:7337";

    fn allowed(pairs: &[(&'static str, &'static str)]) -> bool {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.insert(
                HeaderName::from_static(name),
                HeaderValue::from_static(value),
            );
        }
        from_here(&headers, OWN).is_ok()
    }

    #[test]
    fn only_the_page_itself_may_change_something() {
        assert!(allowed(&[("origin", OWN)]));
        assert!(allowed(&[("sec-fetch-site", "same-origin")]));
        assert!(allowed(&[
            ("origin", OWN),
            ("sec-fetch-site", "same-origin")
        ]));
        for other in [
            "http://evil.example",
            "null",
            "https://192.168.1.5:7337",
            "http://192.168.1.5",
            "http://192.168.1.5:7337.evil.example",
        ] {
            assert!(!allowed(&[("origin", other)]), "{other}");
        }
        for site in ["cross-site", "same-site", "none", ""] {
            assert!(
                !allowed(&[("origin", OWN), ("sec-fetch-site", site)]),
                "{site}"
            );
        }
        assert!(!allowed(&[]));
        assert!(!allowed(&[
            ("sec-fetch-site", "same-origin"),
            ("origin", "null")
        ]));
    }
}

//! The pages: HTML that works as it stands, and better with the script. Everything that a page needs to be
//! drawn is in it, so that nothing has to be fetched first.

pub(super) mod answer;
mod call;
pub(super) mod check;
pub(super) mod filed;
pub(super) mod first;
pub(super) mod jaw;
pub(super) mod prove;
mod question;
pub(super) mod set;
pub(super) mod setup;

use std::sync::LazyLock;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use maud::{Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

use super::fault::Fault;
use super::words;
use crate::report::{document, shown};
use crate::taper::records::Id;

const STYLE: &str = include_str!("../page.css");
pub(super) const SCRIPT: &str = include_str!("../page.js");

/// Nothing from elsewhere, nothing inline but the one style sheet, known by its hash (Content Security
/// Policy Level 3, section 2.3.1). Scripts may show a photo before it is sent.
static CONTENT_POLICY: LazyLock<String> = LazyLock::new(|| {
    let style = STANDARD.encode(Sha256::digest(STYLE.as_bytes()));
    format!(
        "default-src 'none'; style-src 'sha256-{style}'; script-src 'self'; img-src 'self' data: blob:; \
         connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    )
});

pub(super) fn content_policy() -> &'static str {
    &CONTENT_POLICY
}

/// Another address for another script.
static SCRIPT_ADDRESS: LazyLock<String> = LazyLock::new(|| {
    let version = Id::derived(&[SCRIPT]).to_string();
    format!("/page.js?v={}", &version[..8])
});

/// A page's head beyond its title.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Refresh {
    No,
    /// Without the script, the page asks again by itself while photos are being read.
    Soon,
}

fn page(title: &str, refresh: Refresh, body: &Markup) -> String {
    let head = html! {
        // Else a browser asks for one at every page.
        link rel="icon" href="data:,";
        style { (PreEscaped(STYLE)) }
        script src=(*SCRIPT_ADDRESS) defer {}
        @if refresh == Refresh::Soon { noscript { meta http-equiv="refresh" content="3"; } }
    };
    let body = html! {
        a .skip href="#main" { "Skip to the content" }
        header { a href="/" { "seepline" } }
        main #main { (body) }
        footer { p { "A second opinion: it does not replace the shop's rules or a qualified setter." } }
    };
    document(&format!("{title} · seepline"), &head, &body)
}

/// What went wrong, and where to go on.
pub(super) fn fault(fault: &Fault) -> axum::response::Html<String> {
    let paired = !matches!(
        fault,
        Fault::NotPaired | Fault::WrongCode | Fault::WrongHost
    );
    let title = if paired {
        "That did not work"
    } else {
        "Scan the code"
    };
    let body = html! {
        h1 { (title) }
        p .fault role="alert" { (words::sentence(&fault.to_string())) }
        @if paired { p { a .button href="/" { "First page" } } }
        @if *fault == Fault::NotPaired {
            p { "If you have just scanned it, " a href="/" { "go on to the first page" } "." }
        }
    };
    axum::response::Html(page(title, Refresh::No, &body))
}

/// Names of jaw sets and files come from outside.
fn name(text: &str) -> Markup {
    html! { bdi { (shown::name(text)) } }
}

/// A date and a time to the minute.
fn when(time: jiff::civil::DateTime) -> String {
    time.strftime("%Y-%m-%d %H:%M").to_string()
}

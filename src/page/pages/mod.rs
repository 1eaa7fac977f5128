//! The pages that only a server has, and what it puts around the others.

pub(super) mod before;
pub(super) mod check;
pub(super) mod filed;
pub(super) mod first;
pub(super) mod prove;
pub(super) mod set;

use std::sync::LazyLock;

use maud::{Markup, html};

use super::fault::Fault;
use crate::taper::records::Id;
use crate::under_way::pages::{SCRIPT, page as whole, style_source};
use crate::under_way::words;

/// Nothing from elsewhere, nothing inline but the one style sheet. Scripts may show a photo before it is sent.
static CONTENT_POLICY: LazyLock<String> = LazyLock::new(|| {
    let style = style_source();
    format!(
        "default-src 'none'; style-src {style}; script-src 'self'; img-src 'self' data: blob:; \
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
        script src=(*SCRIPT_ADDRESS) defer {}
        @if refresh == Refresh::Soon { noscript { meta http-equiv="refresh" content="3"; } }
    };
    whole(title, &head, body)
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

//! The page of a check: HTML that works as it stands, and better with the script. Everything that a page needs to be
//! drawn is in it, so that nothing has to be fetched first.

mod answer;
pub(crate) mod call;
pub(crate) mod check;
pub(crate) mod first;
pub(crate) mod form;
mod jaw;
mod question;
pub(crate) mod recut;
pub(crate) mod setup;
pub(crate) mod start;
mod told;

use maud::{Markup, PreEscaped, html};

use crate::report::{document, shown};

pub(crate) const STYLE: &str = include_str!("page.css");
pub(crate) const SCRIPT: &str = include_str!("page.js");

/// The style sheet as a content policy names it, by its hash (Content Security Policy Level 3, section 2.3.1).
#[cfg(feature = "page")]
pub(crate) fn style_source() -> String {
    use base64::Engine;
    use base64::engine::general_purpose::STANDARD;
    use sha2::{Digest, Sha256};
    let hash = STANDARD.encode(Sha256::digest(STYLE.as_bytes()));
    format!("'sha256-{hash}'")
}

/// A whole page. `head` follows the style.
pub(crate) fn page(title: &str, head: &Markup, body: &Markup) -> String {
    let head = html! {
        style { (PreEscaped(STYLE)) }
        (head)
    };
    let body = html! {
        a .skip href="#main" { "Skip to the content" }
        header { a href="/" { "seepline" } }
        main #main { (body) }
        footer { p { "A second opinion: it does not replace the shop's rules or a qualified setter." } }
    };
    document(&format!("{title} · seepline"), &head, &body)
}

/// Names of jaw sets and files come from outside.
pub(crate) fn name(text: &str) -> Markup {
    html! { bdi { (shown::name(text)) } }
}

/// A date and a time to the minute.
pub(crate) fn when(time: jiff::civil::DateTime) -> String {
    time.strftime("%Y-%m-%d %H:%M").to_string()
}

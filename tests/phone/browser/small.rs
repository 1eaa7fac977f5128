//! Every page on a small screen and on a large one: nothing runs out of it, what is tapped is large enough for
//! a glove, and the accessibility check finds nothing serious.

use serde_json::Value;

use super::needs;
use super::phone::{Kind, Phone};
use super::walk;
use crate::phone::server::Server;

/// What is tapped and smaller than 44 CSS pixels either way (Web Content Accessibility Guidelines 2.2,
/// success criterion 2.5.5, which excepts links within a sentence), and what is wider than the window.
const MISFITS: &str = r"
    const shown = (e) => e.checkVisibility({ visibilityProperty: true }) && e.getBoundingClientRect().width > 0;
    const taps = document.querySelectorAll('a, button, summary, select, input:not([type=hidden]), .handle');
    const small = [...taps].filter(shown).filter((e) => {
        if (e.matches('.skip') || e.matches('a') && e.closest('p') && !e.matches('.button')) return false;
        const { width, height } = (e.closest('.pick') ?? e).getBoundingClientRect();
        return width < 44 || height < 44;
    });
    const page = document.scrollingElement;
    const wide = page.scrollWidth > page.clientWidth ? ['page ' + page.scrollWidth] : [];
    return wide.concat(small.map((e) => e.outerHTML.slice(0, 120)));
";

/// Impact “serious” and “critical” are those that keep people out (axe-core, “Issue impact”).
const FINDINGS: &str = r"
    axe.run(document, { resultTypes: ['violations'] }).then((found) => done(found.violations
        .filter((v) => ['serious', 'critical'].includes(v.impact))
        .map((v) => v.id + ': ' + v.help + ': ' + v.nodes.map((n) => n.html).slice(0, 5).join(' | '))));
";

fn none(found: &Value, what: &str) {
    assert_eq!(found, &Value::Array(Vec::new()), "{what}");
}

pub(super) fn fits(browser: &Phone, state: &str) {
    browser.shot(state);
    none(
        &browser.run(MISFITS),
        &format!("{state}: too small or too wide"),
    );
    if let Some(axe) = needs::axe() {
        browser.run(axe);
        none(
            &browser.run_later(FINDINGS),
            &format!("{state}: accessibility"),
        );
    }
}

#[test]
fn every_page_serves_a_gloved_thumb_and_a_desk() {
    let server = Server::start();
    let Some(phone) = Phone::paired(&server, Kind::Phone) else {
        return;
    };
    let desk = Phone::paired(&server, Kind::Desk).expect("a browser");
    walk::through_all(&server, &phone, &|state| {
        fits(&phone, state);
        desk.go(&phone.path());
        if state.ends_with("open") {
            walk::unfold(&desk);
        }
        fits(&desk, &format!("{state}-at-the-desk"));
    });
}

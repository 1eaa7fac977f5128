//! The first taper, and a set that is mounted again, on a phone alone and without its server. `.ci/release-page` builds what it needs.

use super::alone::open;
use super::phone::Phone;
use super::{small, walk};
use crate::phone::server::{Server, run};

/// What `seepline` prints for these options, but for the figures that it draws of blocks.
fn printed(server: &Server, line: &str) -> String {
    let text = String::from_utf8(run(server.shop.path(), line, 0).stdout).expect("text");
    let label = ["thou", "per", "side", "thou", "on", "the", "diameter"];
    let drawn = |line: &&str| line.contains('█') || line.split_whitespace().eq(label);
    text.lines().filter(|line| !drawn(line)).collect()
}

/// The letters and digits of an answer, without numbers before the items of a list, which are not among a page's text.
fn letters(text: &str) -> String {
    let numbered =
        |word: &&str| !matches!(word.as_bytes(), [digit, b'.'] if digit.is_ascii_digit());
    let words: String = text.split_whitespace().filter(numbered).collect();
    words.chars().filter(char::is_ascii_alphanumeric).collect()
}

/// The page's answer, all of it; what is the page's own is left out.
fn answered(phone: &Phone) -> String {
    let script = "const all = document.querySelector('#answer').cloneNode(true);
        const own = [...all.querySelectorAll('summary, h3')].filter((e) => e.matches('summary') || e.textContent === 'Cautions');
        own.forEach((e) => e.remove());
        all.querySelector('.cautions').before(...all.querySelectorAll('.warning'));
        all.querySelectorAll('*').forEach((e) => e.append(' '));
        return all.textContent";
    phone.run(script).as_str().expect("text").to_owned()
}

/// Chooses what begins so, or types it.
fn fill(phone: &Phone, fields: &[(&str, &str)]) {
    walk::unfold(phone);
    for (name, typed) in fields {
        phone.keys(&format!("#before [name={name}]"), typed);
    }
    phone.click("#before > button");
}

#[test]
fn the_first_taper_and_a_set_mounted_again_need_no_server() {
    let mut server = Server::start();
    let Some(phone) = open(&server) else { return };
    let felt = "start --feeler 2thou --depth 1in --open-end tip --face-length 2in";
    let felt = printed(&server, felt);
    // The same of the set as its records say it, and as it is typed on the phone.
    let noted = "jaws add wren --grip inside --workpiece-diameter 2in --production-pressure 300psi --face-width 1in \
        --boring-pressure 100psi --bolt-torque 60Nm";
    let cut = "cut add wren --taper 3thou --diameter 2.1in --machine north --chuck eight --made 2026-01-02T08:00:00";
    for line in [noted, cut] {
        run(server.shop.path(), line, 0);
    }
    let again = "recut wren --machine south --run-out 1.5thou --stock 50thou --next-taper 2thou";
    let again = printed(&server, again);
    server.child.kill().expect("a running server");
    server.child.wait().expect("its end");

    phone.click("#before-check li:first-child a");
    phone.wait("#before");
    small::fits(&phone, "start");
    fill(&phone, &[("feeler", "−2")]);
    phone.wait("#refused");
    small::fits(&phone, "start-refused");
    assert!(phone.text("#refused").contains("is below zero"));
    assert_eq!(phone.attribute("#before [name=feeler]", "value"), "−2");
    phone.run("document.querySelector('#before [name=feeler]').value = ''");
    let typed = [
        ("feeler", "2"),
        ("depth", "1in"),
        ("open_end", "Tip"),
        ("face_length", "2in"),
    ];
    fill(&phone, &typed);
    phone.wait("#answer .figures");
    small::fits(&phone, "start-answer");
    let lowest = "return document.querySelector('#answer .figures').getBoundingClientRect().bottom <= innerHeight";
    assert_eq!(
        phone.run(lowest),
        true,
        "the figures are below the first screen"
    );
    assert_eq!(letters(&answered(&phone)), letters(&felt));

    phone.click("header a");
    phone.click("#before-check li:last-child a");
    phone.wait("#before");
    small::fits(&phone, "recut");
    fill(&phone, &[("run_out", "1.5")]);
    phone.wait("#refused");
    // With the other grip all would be cut the other way.
    assert!(phone.text("#refused").contains("“Grip”"));
    let typed = [
        ("grip", "Inside"),
        ("last_workpiece", "2in"),
        ("last_taper", "3"),
        ("last_diameter", "2.1in"),
        ("last_pressure", "300psi"),
        ("last_machine", "north"),
        ("last_chuck", "eight"),
        ("machine", "south"),
        ("production_pressure", "300psi"),
        ("next_taper", "2"),
        ("stock", "50thou"),
        ("face_width", "1in"),
        ("boring_pressure", "100psi"),
        ("bolt_torque", "60Nm"),
    ];
    fill(&phone, &typed);
    phone.wait("#answer .facts");
    small::fits(&phone, "recut-answer");
    assert_eq!(letters(&answered(&phone)), letters(&again));
    phone.reload();
    phone.wait("#answer .facts");
}

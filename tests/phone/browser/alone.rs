//! The page that reads on the phone itself, in a browser. `.ci/release-page` builds what it needs; without that it is said,
//! and the tests are skipped.

use std::fs;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::Value;

use super::phone::{Kind, Phone};
use super::{heron, needs, sample, small, walk};
use crate::phone::alone::is_built;
use crate::phone::server::{Server, run};

fn open(server: &Server) -> Option<Phone> {
    if !is_built(&server.phone()) {
        needs::say(
            "SKIPPED: this program was built without the page for phones alone (.ci/release-page)",
        );
        return None;
    }
    let phone = Phone::paired(server, Kind::Phone)?;
    phone.go("/phone/");
    phone.wait("#quick");
    phone.run_later("navigator.serviceWorker.ready.then(() => done(true))");
    Some(phone)
}

/// A check with the tip up and a taper of three thousandths.
fn begin(phone: &Phone) {
    phone.click("#quick summary");
    phone.click("#quick select[name=tip] option[value=up]");
    phone.keys("#quick input[name=taper]", "3.0");
    phone.click("#quick .main");
    phone.wait("#check");
    phone.wait("html.scripted");
}

/// What a worker of its own says of the page's check: its text, or the file that is saved, in base64.
fn by_worker(phone: &Phone, ask: &str) -> String {
    let script = r"
        const worker = new Worker('worker.js', { type: 'module' });
        const id = new URLSearchParams(location.search).get('check');
        const tell = async (value) => {
            if (!Array.isArray(value)) return done(value);
            const bytes = new Uint8Array(await value[0].arrayBuffer());
            done(btoa(Array.from(bytes, (b) => String.fromCharCode(b)).join('')));
        };
        const all = [['open', id], ['resume'], ASK];
        const ask = (i) => worker.postMessage({ number: i + 1, what: all[i][0], given: all[i].slice(1) });
        // After `resume` has answered, the photos are read before anything else is.
        worker.onmessage = ({ data }) => data.number && (data.number === all.length ? tell(data.value) : ask(data.number));
        ask(0);
    ";
    let value = phone.run_later(&script.replace("ASK", ask));
    value.as_str().expect("text").to_owned()
}

#[test]
fn three_photos_give_the_answer_of_read_and_reach_an_archive() {
    let mut server = Server::start();
    let Some(phone) = open(&server) else { return };
    begin(&phone);
    for jaw in 1..=3 {
        phone.take(jaw, &heron(jaw));
    }
    phone.wait("#answer[data-action=recut]");
    let shop = server.shop.path().to_owned();
    for jaw in 1..=3 {
        fs::copy(heron(jaw), shop.join(format!("jaw{jaw}.jpg"))).expect("a copy");
    }
    let line = "read jaw1.jpg jaw2.jpg jaw3.jpg --tip up --taper 0.003in";
    let read = String::from_utf8(run(&shop, line, 0).stdout).expect("text");
    // Block letters or others hang on the terminal alone.
    let plain = |text: &str| {
        text.chars()
            .filter(char::is_ascii_alphanumeric)
            .collect::<String>()
    };
    assert_eq!(plain(&by_worker(&phone, "['text']")), plain(&read));
    small::fits(&phone, "answer");
    // What was said to be kept is there after a reload, also without the server.
    server.child.kill().expect("a running server");
    server.child.wait().expect("its end");
    phone.reload();
    phone.wait("#answer[data-action=recut]");
    let saved = by_worker(&phone, "['save', id, '2026-03-04']");
    fs::write(
        shop.join("checks.tar"),
        STANDARD.decode(saved).expect("base64"),
    )
    .expect("a file");
    for said in ["filed as", "filed already as"] {
        let printed = run(&shop, "import phone heron checks.tar", 0).stdout;
        let printed = String::from_utf8_lossy(&printed).replace('\n', " ");
        assert!(printed.contains(said), "{printed}");
    }
}

#[test]
fn a_tap_settles_and_what_is_no_photo_is_refused() {
    let server = Server::start();
    let Some(phone) = open(&server) else { return };
    begin(&phone);
    phone.take(1, &sample("README.md"));
    phone.until("the fault", || {
        (phone.count("#jaw-1 .state.fault") == 1).then_some(())
    });
    phone.take(1, &heron(1));
    phone.wait_read(1);
    phone.click("#jaw-1 .swap button");
    phone.wait("#answer[data-action=settle]");
    phone.click("#jaw-1 .swap button");
    phone.wait("#answer[data-action=recut]");
    phone.go("/phone/");
    phone.wait("#under-way");
    small::fits(&phone, "first");
    phone.click("#under-way a");
    phone.wait("#answer[data-action=recut]");
    phone.click("#discard summary");
    phone.click("#discard button");
    phone.wait("#quick");
    assert_eq!(phone.count("#under-way"), 0);
    let kept: Value = phone.run_later("indexedDB.databases().then((all) => done(all.length))");
    assert_eq!(kept, 1);
}

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

//! The page that reads on the phone itself, in a browser. `.ci/release-page` builds what it needs; without that it is said,
//! and the tests are skipped.

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::thread;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::Value;

use super::network::{begin_again, cut};
use super::phone::{Kind, Phone};
use super::small::fits;
use super::views::with_glare;
use super::{heron, needs, sample};
use crate::phone::alone::{filed, is_built};
use crate::phone::server::{Server, add_heron, run};
use crate::support::program::in_shop;

pub(super) fn open(server: &Server) -> Option<Phone> {
    open_as(server, Kind::Phone)
}

pub(super) fn open_as(server: &Server, kind: Kind) -> Option<Phone> {
    if !is_built(&server.phone()) {
        needs::say(
            "SKIPPED: this program was built without the page for phones alone (.ci/release-page)",
        );
        return None;
    }
    let phone = Phone::paired(server, kind)?;
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
pub(super) fn by_worker(phone: &Phone, ask: &str) -> String {
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
    fits(&phone, "answer");
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
    fits(&phone, "first");
    phone.click("#under-way a");
    phone.wait("#answer[data-action=recut]");
    phone.click("#discard summary");
    phone.click("#discard button");
    phone.wait("#quick");
    assert_eq!(phone.count("#under-way"), 0);
    let kept: Value = phone.run_later("indexedDB.databases().then((all) => done(all.length))");
    assert_eq!(kept, 1);
}

#[test]
fn another_photo_of_a_jaw_is_read_together_with_the_first() {
    let server = Server::start();
    let Some(phone) = open(&server) else { return };
    begin(&phone);
    let shop = server.shop.path().to_owned();
    let glare = with_glare(&shop);
    phone.take(1, &glare);
    phone.wait_read(1);
    assert!(phone.text("#jaw-1").contains("Cannot be judged"));
    phone.keys(
        "#jaw-1 > .another input[capture]",
        &heron(1).display().to_string(),
    );
    let together = || phone.text("#jaw-1").contains("From 2 photos together");
    phone.until("both together", || together().then_some(()));
    for jaw in 2..=3 {
        phone.take(jaw, &heron(jaw));
        phone.wait_read(jaw);
    }
    phone.wait("#answer[data-action=recut]");
    fits(&phone, "together");
    for jaw in 1..=3 {
        fs::copy(heron(jaw), shop.join(format!("jaw{jaw}.jpg"))).expect("a copy");
    }
    let line = "read glare.png jaw1.jpg jaw2.jpg jaw3.jpg --jaw 1 --jaw 1 --jaw 2 --jaw 3 --tip up --taper 0.003in";
    // One of its photos alone cannot be judged.
    let read = in_shop(&shop, line).output().expect("the program").stdout;
    let read = String::from_utf8(read).expect("text");
    let plain = |text: &str| {
        text.chars()
            .filter(char::is_ascii_alphanumeric)
            .collect::<String>()
    };
    assert_eq!(plain(&by_worker(&phone, "['text']")), plain(&read));
    // Both are kept, and one that is taken out leaves the other.
    phone.reload();
    phone.wait("#answer[data-action=recut]");
    assert!(together());
    phone.click("#jaw-1 .view:last-of-type .mend > summary");
    phone.click("#jaw-1 .view:last-of-type .mend form[action$='/remove'] button");
    phone.until("one alone", || (!together()).then_some(()));
}

fn click_all(phone: &Phone, all: &[&str]) {
    for css in all {
        phone.click(css);
    }
}

/// The jaw sets of the server, and a check of heron, tip up.
fn begin_with_heron(phone: &Phone) {
    fits(phone, "first-without-sets");
    click_all(
        phone,
        &["#jaw-sets summary", "form[action='/sets/of-server'] button"],
    );
    phone.wait("#sets form.of-set");
    fits(phone, "first-with-sets");
    phone.click("#sets form.of-set button");
    phone.wait("#check");
    phone.wait("html.scripted");
    assert_eq!(phone.text("h1"), "heron");
    click_all(
        phone,
        &[
            "#settings summary",
            "#settings select[name=tip] option[value=up]",
            "#settings form button",
        ],
    );
    phone.until("the tip", || {
        phone.text("#settings p").contains("tip up").then_some(())
    });
    assert!(phone.text("#settings p").contains("taper 3.0 thou"));
}

#[test]
fn a_check_begun_with_its_set_is_handed_over_once_and_thrown_away_by_hand_alone() {
    let mut server = Server::start();
    let Some(phone) = open(&server) else { return };
    begin_with_heron(&phone);
    for jaw in 1..=3 {
        phone.take(jaw, &heron(jaw));
    }
    phone.wait("#answer[data-action=recut]");
    fits(&phone, "to-hand-over");
    phone.click("#filed form.hand-over button");
    phone.wait("#filed .good");
    fits(&phone, "handed-over");
    assert!(
        phone
            .text("#filed .good")
            .starts_with("Handed over to heron")
    );
    let shop = server.shop.path().to_owned();
    assert_eq!(filed(&shop), 1);
    let again = "#filed details:has(form.hand-over)";
    click_all(
        &phone,
        &[&format!("{again} > summary"), &format!("{again} button")],
    );
    phone.until("handed over again", || {
        (phone.count("#filed button:disabled") == 0).then_some(())
    });
    // The file says its set, too, and that it is there already.
    let saved = by_worker(&phone, "['save', id, '2026-03-04']");
    fs::write(
        shop.join("checks.tar"),
        STANDARD.decode(saved).expect("base64"),
    )
    .expect("a file");
    let printed = run(&shop, "import phone checks.tar", 0).stdout;
    assert!(String::from_utf8_lossy(&printed).contains("filed already"));
    assert_eq!(filed(&shop), 1);
    // That was another window, which kept what it read.
    phone.reload();
    phone.wait("#answer[data-action=recut]");
    // A change is handed over again, into the same check.
    click_all(
        &phone,
        &[
            "#settings summary",
            "#settings select[name=tip] option[value='']",
            "#settings form button",
        ],
    );
    phone.until("behind", || {
        phone
            .text("#filed .good")
            .starts_with("Changed since")
            .then_some(())
    });
    phone.click("#filed form.hand-over button");
    phone.until("up to date", || {
        phone
            .text("#filed .good")
            .starts_with("Handed over")
            .then_some(())
    });
    assert_eq!(filed(&shop), 1);
    // Away from the server nothing of it is offered, and what was handed over is said all the same.
    cut(&mut server);
    phone.reload();
    phone.wait("#filed .good");
    assert_eq!(phone.count("form.hand-over"), 0);
    phone.go("/phone/");
    click_all(&phone, &["#hand-over summary", "#hand-over button"]);
    phone.until("nothing under way", || {
        (phone.count("#under-way") + phone.count("#hand-over form") == 0).then_some(())
    });
    phone.wait("#sets form.of-set");
}

#[test]
fn a_network_that_breaks_off_loses_and_doubles_nothing() {
    let mut server = Server::start();
    let Some(phone) = open(&server) else { return };
    begin(&phone);
    phone.take(1, &heron(1));
    phone.wait("#answer[data-action=recut]");
    let choose = "#filed form.hand-over select option:nth-child(2)";
    let hand_over = || click_all(&phone, &[choose, "#filed form.hand-over button"]);
    // A set is chosen, never taken because it stands first.
    phone.click("#filed form.hand-over button");
    cut(&mut server);
    hand_over();
    phone.wait("#filed form.hand-over .fault");
    phone.shot("broken-off");
    assert!(phone.text("#filed .fault").contains("hand it over again"));
    assert_eq!(filed(server.shop.path()), 0);
    begin_again(&mut server);
    // Deleted since the page looked.
    phone.reload();
    phone.wait(choose);
    run(server.shop.path(), "jaws delete heron --yes", 0);
    hand_over();
    phone.until("the reason", || {
        phone
            .text("#filed .fault")
            .contains("no such jaw set")
            .then_some(())
    });
    run(server.shop.path(), "jaws restore heron", 0);
    hand_over();
    phone.wait("#filed .good");
    assert_eq!(filed(server.shop.path()), 1);
}

#[test]
fn what_a_prove_out_keeps_back_is_handed_to_nobody() {
    let server = Server::start();
    let Some(phone) = open(&server) else { return };
    begin(&phone);
    phone.take(1, &heron(1));
    phone.wait("#answer[data-action=recut]");
    run(server.shop.path(), "people lead JK on", 0);
    let held = [("by", "JK"), ("checks", "3"), ("change", "held")];
    server.phone().form("/prove-out/begin", &held).expect(303);
    // The program that the phone has already comes from the phone.
    phone.reload();
    phone.wait("#filed .note");
    fits(&phone, "held");
    assert!(phone.text("#filed .note").contains("kept back"));
    assert_eq!(phone.count("form.hand-over"), 0);
    phone.go("/phone/");
    phone.wait("#hand-over .note");
    phone.click("#jaw-sets summary");
    assert_eq!(phone.count("form[action='/sets/of-server']"), 0);
    fits(&phone, "first-held");
}

/// A folder as any web server hands it out, under the path that seepline's own has.
fn plain_server(folder: PathBuf) -> String {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    let host = listener.local_addr().expect("an address").to_string();
    thread::spawn(move || {
        for stream in listener.incoming().flatten() {
            let folder = folder.clone();
            thread::spawn(move || hand_out(stream, &folder));
        }
    });
    host
}

fn hand_out(mut stream: TcpStream, folder: &Path) {
    let mut line = String::new();
    let mut head = BufReader::new(stream.try_clone().expect("a stream"));
    head.read_line(&mut line).expect("a request");
    let mut rest = String::new();
    while head.read_line(&mut rest).is_ok_and(|read| read > 2) {}
    let path = line.split(' ').nth(1).unwrap_or_default();
    let name = path
        .strip_prefix("/phone/")
        .map(|n| n.split('?').next().unwrap_or_default());
    let name = name.map(|n| if n.is_empty() { "index.html" } else { n });
    let bytes = name.and_then(|name| fs::read(folder.join(name)).ok());
    let kind = match name
        .and_then(|n| n.rsplit_once('.'))
        .map_or("", |(_, ending)| ending)
    {
        "html" => "text/html",
        "js" => "text/javascript",
        "wasm" => "application/wasm",
        _ => "application/octet-stream",
    };
    let status = if bytes.is_some() {
        "200 OK"
    } else {
        "404 Not Found"
    };
    let bytes = bytes.unwrap_or_default();
    let head = format!(
        "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\nConnection: close\r\n\r\n",
        bytes.len()
    );
    // A browser that goes away meanwhile is no matter.
    let _ = stream
        .write_all(head.as_bytes())
        .and_then(|()| stream.write_all(&bytes));
}

#[test]
fn at_any_other_server_nothing_is_offered_and_jaw_sets_come_from_a_file() {
    let shop = tempfile::tempdir().expect("a folder");
    add_heron(shop.path());
    let page = shop.path().join("page");
    if !in_shop(shop.path(), "page --into page")
        .output()
        .expect("the program")
        .status
        .success()
    {
        needs::say(
            "SKIPPED: this program was built without the page for phones alone (.ci/release-page)",
        );
        return;
    }
    let Some(phone) = Phone::at(&plain_server(page), Kind::Phone) else {
        return;
    };
    phone.go("/phone/");
    let printed = run(shop.path(), "jaws list --for-phone", 0).stdout;
    let file = shop.path().join("jaw-sets.json");
    fs::write(&file, printed).expect("a file");
    let take = |file: &Path| {
        phone.keys("#jaw-sets input[type=file]", &file.display().to_string());
        phone.click("form[action='/sets/of-file'] button");
    };
    phone.click("#jaw-sets summary");
    take(&sample("README.md"));
    phone.wait("#jaw-sets .fault");
    assert!(
        phone
            .text("#jaw-sets .fault")
            .contains("no file of jaw sets")
    );
    fits(&phone, "no-file-of-sets");
    assert_eq!(phone.count("#sets form"), 0);
    take(&file);
    phone.wait("#sets form.of-set");
    phone.click("#sets form.of-set button");
    phone.wait("#check");
    phone.wait("html.scripted");
    assert_eq!(phone.text("h1"), "heron");
    phone.take(1, &heron(1));
    phone.wait("#answer[data-action]");
    assert_eq!(phone.count("form.hand-over"), 0);
    // Taken off, it is a quick check.
    click_all(
        &phone,
        &[
            "#filed details:has(form.off) summary",
            "#filed form.off button",
        ],
    );
    phone.until("no set", || {
        (phone.text("h1") == "Quick check").then_some(())
    });
    phone.go("/phone/");
    phone.wait("#under-way");
    assert_eq!(
        phone.count("form.hand-over") + phone.count("#hand-over h2"),
        0
    );
    click_all(
        &phone,
        &["#jaw-sets summary", "form[action='/sets/forget'] button"],
    );
    phone.until("no sets", || (phone.count("#sets form") == 0).then_some(()));
}

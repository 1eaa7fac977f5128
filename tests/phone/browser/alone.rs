//! The page that reads on the phone itself, in a browser. `.ci/release-page` builds what it needs; without that it is said,
//! and the tests are skipped.

use std::fs;
use std::io::Cursor;
use std::path::{Path, PathBuf};

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::Value;

use super::phone::{Kind, Phone};
use super::small::fits;
use super::{heron, needs, sample};
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

/// What a camera sees that is held to a sample: its frames, as a browser takes them from a file.
fn frames(folder: &Path, sample: &Path) -> PathBuf {
    let seen = image::open(sample).expect("a picture").into_rgb8();
    // A camera has no frame that a browser may not halve.
    let seen = image::imageops::resize(&seen, 1280, 960, image::imageops::FilterType::Triangle);
    let mut jpeg = Cursor::new(Vec::new());
    seen.write_to(&mut jpeg, image::ImageFormat::Jpeg)
        .expect("a JPEG");
    let place = folder.join("frames.mjpeg");
    fs::write(&place, jpeg.into_inner().repeat(3)).expect("a file");
    place
}

#[test]
fn a_live_view_says_what_is_in_view_and_takes_nothing_by_itself() {
    let server = Server::start();
    if !is_built(&server.phone()) {
        needs::say("SKIPPED: without the page for phones alone");
        return;
    }
    let frames = frames(server.shop.path(), &heron(1));
    let Some(phone) = Phone::with_camera(&server, &frames) else {
        return;
    };
    phone.go("/phone/");
    phone.wait("#quick");
    phone.click("#quick summary");
    // The camera holds the photo as it lies in the file, whose EXIF data turn it.
    phone.click("#quick select[name=tip] option[value=left]");
    phone.click("#quick .main");
    phone.wait("html.scripted");
    phone.click("#jaw-1 .look");
    phone.wait("#live .state.good");
    fits(&phone, "live");
    let said = phone.text("#live .state");
    assert!(
        said.contains("The whole face is in view, its tip on the left"),
        "{said}"
    );
    assert_eq!(
        phone.count("#jaw-1[data-state=empty]"),
        1,
        "taken by itself"
    );
    phone.click("#live .shoot");
    phone.wait_read(1);
    assert_eq!(phone.count("#live[open]"), 0);
    let pattern = phone.text("#jaw-1 .pattern");
    assert!(
        pattern.to_lowercase().contains("too much taper"),
        "{pattern}"
    );
    phone.shot("taken");
}

//! A phone, or a desk: a browser of its own that is paired with the server.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};
use tempfile::TempDir;

use super::engine::Browser;
use super::needs;
use super::wire::Driver;
use crate::phone::server::Server;

/// What an element is called in the driver's JSON (W3C, `WebDriver`, “Elements”).
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";
/// Four builds and two readings at once leave a browser little.
const PATIENCE: Duration = Duration::from_mins(2);
const BREATH: Duration = Duration::from_millis(40);

/// What a site may keep where nothing else is said, little more than what is written to find out whether there is space.
pub(crate) const SPACE: u64 = 128 << 20;
/// Whether a write of that size is refused; nothing of it stays.
const WRITE: &str = r"
    const open = indexedDB.open('scratch');
    open.onupgradeneeded = () => open.result.createObjectStore('all');
    open.onsuccess = () => {
        const change = open.result.transaction('all', 'readwrite');
        change.objectStore('all').put(new Uint8Array(2 ** 27), 1);
        const end = (full) => () => {
            open.result.close();
            indexedDB.deleteDatabase('scratch').onsuccess = () => done(full);
        };
        change.oncomplete = end(false);
        change.onabort = end(true);
    };
    open.onerror = () => done(true);
";

/// What kind of browser it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// 360 × 740 CSS pixels, touch.
    Phone,
    /// 1280 × 900, mouse.
    Desk,
    /// A phone that runs no script.
    Plain,
}

pub(crate) struct Phone {
    driver: Driver,
    session: String,
    /// The browser's, for when the driver no longer ends it.
    process: Option<u64>,
    base: String,
    kind: Kind,
    profile: TempDir,
}

fn kill(process: u64) {
    let _ = Command::new("kill")
        .args(["-9", &process.to_string()])
        .status();
}

/// A session with the chosen browser: its path, and the browser's process.
fn session(
    driver: &Driver,
    kind: Kind,
    profile: &Path,
    arguments: &[String],
) -> (String, Option<u64>) {
    let wanted = Browser::chosen().session(kind, profile, arguments, PATIENCE);
    let begun = driver.ask("POST", "/session", &wanted).expect("a session");
    let id = begun["sessionId"].as_str().expect("an id");
    let said = &begun["capabilities"];
    let process = said["goog:processID"]
        .as_u64()
        .or(said["moz:processID"].as_u64());
    (format!("/session/{id}"), process)
}

impl Drop for Phone {
    fn drop(&mut self) {
        let ended = self.driver.ask("DELETE", &self.session, &Value::Null);
        if let (Err(_), Some(process)) = (ended, self.process) {
            kill(process);
        }
    }
}

impl Phone {
    /// Paired, on the first page. `None` where there is no browser, which is said.
    pub(crate) fn paired(server: &Server, kind: Kind) -> Option<Self> {
        Self::paired_with(server, kind, &[])
    }

    /// With a camera that sees one JPEG after the other in that file, over and over.
    pub(crate) fn with_camera(server: &Server, frames: &Path) -> Option<Self> {
        let camera = [
            "--use-fake-ui-for-media-stream".to_owned(),
            "--use-fake-device-for-media-stream".to_owned(),
            format!("--use-file-for-fake-video-capture={}", frames.display()),
        ];
        Self::paired_with(server, Kind::Phone, &camera)
    }

    fn paired_with(server: &Server, kind: Kind, arguments: &[String]) -> Option<Self> {
        let base = format!("http://{}", server.phone().host());
        let phone = Self::begun(base, kind, arguments)?;
        phone.go(&format!("/pair?key={}", server.key));
        phone.wait("#quick");
        Some(phone)
    }

    /// At another server, not paired with any. `None` where there is no browser, which is said.
    pub(crate) fn at(host: &str, kind: Kind) -> Option<Self> {
        Self::begun(format!("http://{host}"), kind, &[])
    }

    /// With pages of a folder. `None` where there is no browser, which is said.
    pub(crate) fn of_folder(folder: &Path, kind: Kind) -> Option<Self> {
        Self::begun(format!("file://{}", folder.display()), kind, &[])
    }

    fn begun(base: String, kind: Kind, arguments: &[String]) -> Option<Self> {
        if !needs::browser() {
            return None;
        }
        let (driver, profile) = (Driver::start(), TempDir::new().expect("a folder"));
        let (session, process) = session(&driver, kind, profile.path(), arguments);
        Some(Self {
            driver,
            session,
            process,
            base,
            kind,
            profile,
        })
    }

    /// Its page is closed without a word, and another window is there.
    pub(crate) fn in_a_new_window(&self) {
        let made = self.tell("/window/new", &json!({ "type": "tab" }));
        self.ask("DELETE", "/window", &Value::Null).expect("closed");
        self.tell("/window", &json!({ "handle": made["handle"] }));
    }

    /// The browser is killed, and begun again with what it had written.
    pub(crate) fn killed_and_begun_again(&mut self) {
        kill(self.process.expect("a process"));
        self.driver = Driver::start();
        (self.session, self.process) = session(&self.driver, self.kind, self.profile.path(), &[]);
    }

    fn ask(&self, method: &str, path: &str, body: &Value) -> Result<Value, String> {
        self.driver
            .ask(method, &format!("{}{path}", self.session), body)
    }

    fn tell(&self, path: &str, body: &Value) -> Value {
        self.ask("POST", path, body)
            .unwrap_or_else(|e| panic!("{path} {body}: {e}"))
    }

    pub(crate) fn go(&self, path: &str) {
        self.tell("/url", &json!({ "url": format!("{}{path}", self.base) }));
    }

    pub(crate) fn reload(&self) {
        if Browser::chosen() != Browser::Firefox {
            self.tell("/refresh", &json!({}));
            return;
        }
        // Its driver reloads as with Shift, past what makes a page work without a network.
        self.run("window.before = true; location.reload()");
        let anew = "return window.before === undefined";
        self.until("the page anew", || {
            let anew = json!({ "script": anew, "args": [] });
            let anew = self.ask("POST", "/execute/sync", &anew).ok()?;
            anew.as_bool().filter(|anew| *anew)
        });
    }

    /// Path of the page.
    pub(crate) fn path(&self) -> String {
        let address = self.ask("GET", "/url", &Value::Null).expect("an address");
        let address = address.as_str().expect("text");
        let path = address.strip_prefix(&self.base).expect("of this server");
        path.split('#').next().unwrap_or_default().to_owned()
    }

    fn elements(&self, css: &str) -> Vec<String> {
        let found = self.tell(
            "/elements",
            &json!({ "using": "css selector", "value": css }),
        );
        let id = |e: &Value| e[ELEMENT].as_str().expect("an element").to_owned();
        found.as_array().expect("elements").iter().map(id).collect()
    }

    pub(crate) fn count(&self, css: &str) -> usize {
        self.elements(css).len()
    }

    fn element(&self, css: &str) -> String {
        self.until(css, || self.elements(css).into_iter().next())
    }

    /// Asks until there is something; that is then what the test is about, so it says what was missing.
    pub(crate) fn until<T>(&self, what: &str, mut there: impl FnMut() -> Option<T>) -> T {
        let started = Instant::now();
        loop {
            if let Some(found) = there() {
                return found;
            }
            if started.elapsed() > PATIENCE {
                let seen = self.shot("missing");
                panic!("{what} did not come; the page is {}", seen.display());
            }
            std::thread::sleep(BREATH);
        }
    }

    pub(crate) fn wait(&self, css: &str) {
        self.element(css);
    }

    /// What is seen there; an element that was replaced meanwhile is looked for again.
    pub(crate) fn text(&self, css: &str) -> String {
        self.of(css, "text")
    }

    pub(crate) fn attribute(&self, css: &str, name: &str) -> String {
        self.of(css, &format!("attribute/{name}"))
    }

    fn of(&self, css: &str, what: &str) -> String {
        let value = self.until(css, || {
            let path = format!("/element/{}/{what}", self.element(css));
            self.ask("GET", &path, &Value::Null).ok()
        });
        value.as_str().unwrap_or_default().to_owned()
    }

    /// From the middle of the window, so that nothing lies over it.
    pub(crate) fn click(&self, css: &str) {
        self.until(css, || {
            let element = self.element(css);
            let centre = json!({
                "script": "arguments[0].scrollIntoView({ block: 'center', behavior: 'instant' })",
                "args": [{ ELEMENT: element }],
            });
            // Where scripts are off, the driver scrolls alone.
            let _ = self.ask("POST", "/execute/sync", &centre);
            let path = format!("/element/{element}/click");
            self.ask("POST", &path, &json!({})).ok()
        });
    }

    /// Types into a field, presses keys, or gives files to their input. A field that was replaced meanwhile is looked
    /// for again: nothing was typed into it.
    pub(crate) fn keys(&self, css: &str, keys: &str) {
        self.until(css, || {
            let path = format!("/element/{}/value", self.element(css));
            match self.ask("POST", &path, &json!({ "text": keys })) {
                Err(stale) if stale.starts_with("stale element") => None,
                typed => Some(typed.unwrap_or_else(|e| panic!("{css} {keys}: {e}"))),
            }
        });
    }

    /// Presses keys one after the other, wherever the focus is.
    pub(crate) fn press(&self, keys: &str) {
        let stroke = |key: char| {
            ["keyDown", "keyUp"].map(|kind| json!({ "type": kind, "value": key.to_string() }))
        };
        let strokes: Vec<Value> = keys.chars().flat_map(stroke).collect();
        let actions = json!({ "actions": [{ "type": "key", "id": "keys", "actions": strokes }] });
        self.tell("/actions", &actions);
    }

    /// Takes a photo for that jaw, as the camera hands it over.
    pub(crate) fn take(&self, jaw: u8, photo: &Path) {
        let input = format!("#jaw-{jaw} .take:not(.another) input[type=file][capture]");
        self.keys(&input, &photo.display().to_string());
    }

    pub(crate) fn wait_read(&self, jaw: u8) {
        self.wait(&format!(
            "#jaw-{jaw}[data-state=read]:not(.under-way):not([aria-busy=true])"
        ));
    }

    /// The value of a function's body.
    pub(crate) fn run(&self, script: &str) -> Value {
        self.tell("/execute/sync", &json!({ "script": script, "args": [] }))
    }

    /// What the script hands to its callback.
    pub(crate) fn run_later(&self, script: &str) -> Value {
        let script = format!("const done = arguments[arguments.length - 1]; {script}");
        self.tell("/execute/async", &json!({ "script": script, "args": [] }))
    }

    /// Chrome `DevTools` Protocol, for what the driver has no command for.
    pub(crate) fn devtools(&self, command: &str, parameters: &Value) {
        self.tell(
            "/goog/cdp/execute",
            &json!({ "cmd": command, "params": parameters }),
        );
    }

    /// With no space left on the phone, until `work` is done. A browser asks how much there is once in a while alone (Chromium: in half a
    /// minute, unless more is written than there was), so it is written to until it refuses.
    pub(crate) fn without_space(&self, work: impl FnOnce()) {
        self.quota(1);
        self.until("no space", || {
            self.run_later(WRITE).as_bool().filter(|full| *full)
        });
        work();
        self.quota(SPACE);
    }

    /// What sites may keep on this phone.
    pub(crate) fn quota(&self, bytes: u64) {
        let said = json!({ "origin": self.base, "quotaSize": bytes });
        self.devtools("Storage.overrideQuotaForOrigin", &said);
    }

    /// A finger goes down at the first place, over the others, and up at the last; CSS pixels of the window.
    /// `held` is done before it goes up: between two of its commands the driver lets go of a finger.
    pub(crate) fn drag(&self, places: &[[f64; 2]], held: impl FnOnce()) {
        let touch = |kind: &str, points: &Value| {
            let parameters = json!({ "type": kind, "touchPoints": points });
            self.devtools("Input.dispatchTouchEvent", &parameters);
        };
        for (index, [x, y]) in places.iter().enumerate() {
            let kind = if index == 0 {
                "touchStart"
            } else {
                "touchMove"
            };
            touch(kind, &json!([{ "x": x, "y": y }]));
        }
        held();
        touch("touchEnd", &json!([]));
    }

    /// The window's picture, kept as an artifact of the run. Without one no test fails: on a busy machine a browser may
    /// draw no frame in the minute that the driver gives it, and then it is asked once more.
    pub(crate) fn shot(&self, name: &str) -> PathBuf {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("phone");
        fs::create_dir_all(&folder).expect("a folder");
        let test = std::thread::current()
            .name()
            .unwrap_or("test")
            .replace("::", "-");
        let place = folder.join(format!("{test}-{name}.png"));
        if Browser::chosen() == Browser::WebKit {
            // Its driver may wait for a frame that is never drawn without a screen.
            return place;
        }
        let ask = || self.ask("GET", "/screenshot", &Value::Null);
        match ask().or_else(|_| ask()) {
            Ok(picture) => {
                let picture = STANDARD.decode(picture.as_str().expect("text"));
                fs::write(&place, picture.expect("base64")).expect("a file");
            }
            Err(why) => needs::say(&format!("NO PICTURE {}: {why}", place.display())),
        }
        place
    }
}

//! Which browser the pages are looked at in: Chromium, or the one that `SEEPLINE_BROWSER` names, `firefox` or `webkit`. All are spoken to
//! by the same driver protocol; what only Chromium's has, such as a network that is cut or a finger, fails in the others.

use std::env;
use std::net::TcpListener;
use std::path::Path;
use std::process::Command;
use std::time::Duration;

use serde_json::{Value, json};

use super::needs;
use super::phone::Kind;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Browser {
    Chromium,
    Firefox,
    WebKit,
}

const FIREFOX: &str = "/usr/lib/firefox-esr/firefox-esr";
/// Debian's, on Intel; what opens pages for the driver of `WebKit`.
const MINI_BROWSER: &str = "/usr/lib/x86_64-linux-gnu/webkit2gtk-4.1/MiniBrowser";

impl Browser {
    pub(super) fn chosen() -> Self {
        match env::var("SEEPLINE_BROWSER").as_deref() {
            Err(_) | Ok("" | "chromium") => Self::Chromium,
            Ok("firefox") => Self::Firefox,
            Ok("webkit") => Self::WebKit,
            Ok(other) => panic!("SEEPLINE_BROWSER is chromium, firefox or webkit, not {other}"),
        }
    }

    /// Whether the browser and its driver are here, installed where that can be.
    pub(super) fn is_here(self) -> bool {
        match self {
            Self::Chromium => needs::have(
                &["chromium", "chromedriver"],
                &["chromium", "chromium-driver"],
            ),
            // Debian has no package of its driver: `cargo install geckodriver`.
            Self::Firefox => needs::have(&["firefox-esr", "geckodriver"], &["firefox-esr"]),
            Self::WebKit => {
                needs::have(&["WebKitWebDriver", "Xvfb"], &["webkit2gtk-driver", "xvfb"])
            }
        }
    }

    /// The driver, at that port.
    pub(super) fn driver(self, port: u16) -> Command {
        let mut command = match self {
            Self::Chromium => Command::new("chromedriver"),
            Self::Firefox => Command::new("geckodriver"),
            Self::WebKit => {
                let mut command = Command::new("xvfb-run");
                command.args([
                    "--auto-servernum",
                    "--server-args=-screen 0 1280x1024x24",
                    "WebKitWebDriver",
                ]);
                // No rights beyond those of the tests are asked for, which run as root in a container.
                command.env("WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS", "1");
                command.env("WEBKIT_DISABLE_DMABUF_RENDERER", "1");
                command
            }
        };
        command.arg(format!("--port={port}"));
        command
    }

    /// What a session begins with.
    pub(super) fn session(
        self,
        kind: Kind,
        profile: &Path,
        arguments: &[String],
        patience: Duration,
    ) -> Value {
        let mut wanted = json!({
            "unhandledPromptBehavior": "ignore",
            // Half a minute, if nothing is said: the accessibility check may take longer on a busy machine.
            "timeouts": { "script": patience.as_millis() as u64 },
        });
        let (name, value) = match self {
            Self::Chromium => {
                wanted["browserName"] = "chrome".into();
                ("goog:chromeOptions", chromium(kind, profile, arguments))
            }
            Self::Firefox => {
                let profile = profile.display().to_string();
                (
                    "moz:firefoxOptions",
                    json!({ "binary": FIREFOX, "args": ["-headless", "-profile", profile] }),
                )
            }
            Self::WebKit => (
                "webkitgtk:browserOptions",
                json!({ "binary": MINI_BROWSER, "args": ["--automation"] }),
            ),
        };
        wanted[name] = value;
        json!({ "capabilities": { "alwaysMatch": wanted } })
    }
}

/// One that nothing listens at.
pub(super) fn free_port() -> u16 {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    listener.local_addr().expect("an address").port()
}

fn chromium(kind: Kind, profile: &Path, arguments: &[String]) -> Value {
    let mut options = json!({
        "args": [
            "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
            "--disable-background-networking", "--disable-component-update", "--disable-sync",
            // A container's /dev/shm may be too small for a page.
            "--disable-dev-shm-usage", "--window-size=1280,900", format!("--user-data-dir={}", profile.display()),
        ],
        "prefs": {},
    });
    if let Some(all) = options["args"].as_array_mut() {
        all.extend(arguments.iter().map(|a| json!(a)));
    }
    if kind != Kind::Desk {
        let metrics =
            json!({ "width": 360, "height": 740, "pixelRatio": 2, "touch": true, "mobile": true });
        options["mobileEmulation"] = json!({ "deviceMetrics": metrics });
    }
    if kind == Kind::Plain {
        options["prefs"]["profile.managed_default_content_settings.javascript"] = json!(2);
    }
    options
}

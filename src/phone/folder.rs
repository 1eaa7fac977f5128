//! The folder of static files that any web server can hold.

use std::borrow::Cow;
use std::sync::LazyLock;

use maud::html;
use sha2::{Digest, Sha256};

use super::samples;
use crate::reading::network::{NAMES, weights};
use crate::taper::rules::Rules;
use crate::under_way::pages::{SCRIPT, page, style_source};

/// Nothing from elsewhere, nothing inline but the one style sheet, and no evaluated code but the program (Content
/// Security Policy Level 3, section 4.4).
pub(crate) static CONTENT_POLICY: LazyLock<String> = LazyLock::new(|| {
    let style = style_source();
    format!(
        "default-src 'none'; style-src {style}; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self'; \
         img-src 'self' data: blob:; connect-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'"
    )
});

/// One file of the folder.
pub(crate) struct File {
    pub(crate) name: String,
    pub(crate) kind: &'static str,
    pub(crate) bytes: Cow<'static, [u8]>,
}

/// Its first address is the folder's own.
pub(crate) const INDEX: &str = "index.html";

const JAVASCRIPT: &str = "text/javascript; charset=utf-8";

/// Whether this program was built with the folder.
pub(crate) const BUILT: bool = PROGRAM.is_some();

/// All files; `None` where this program was built without them.
pub(crate) fn files() -> Option<Vec<File>> {
    let (glue, program) = PROGRAM?;
    let file = |name: &str, kind, bytes| File {
        name: name.to_owned(),
        kind,
        bytes,
    };
    // The program is large: it is handed on where it lies.
    let text = |name, kind, text: &'static str| file(name, kind, Cow::Borrowed(text.as_bytes()));
    let made = |name, kind, text: String| file(name, kind, Cow::Owned(text.into_bytes()));
    let mut files = vec![
        made(INDEX, "text/html; charset=utf-8", index()),
        text("page.js", JAVASCRIPT, SCRIPT),
        text("phone.js", JAVASCRIPT, include_str!("folder/phone.js")),
        text("beside.js", JAVASCRIPT, include_str!("folder/beside.js")),
        text("live.js", JAVASCRIPT, include_str!("folder/live.js")),
        text("worker.js", JAVASCRIPT, include_str!("folder/worker.js")),
        text("storage.js", JAVASCRIPT, include_str!("folder/storage.js")),
        text(
            "practice.js",
            JAVASCRIPT,
            include_str!("folder/practice.js"),
        ),
        text("rounds.js", JAVASCRIPT, include_str!("folder/rounds.js")),
        made(samples::LIST, "application/json", to_practise()),
        text("seepline.js", JAVASCRIPT, glue),
        text("icon.svg", "image/svg+xml", include_str!("folder/icon.svg")),
        text(
            "manifest.webmanifest",
            "application/manifest+json",
            include_str!("folder/manifest.webmanifest"),
        ),
        file(
            "seepline_bg.wasm",
            "application/wasm",
            Cow::Borrowed(program),
        ),
    ];
    files.extend(NAMES.iter().zip(weights()).map(|(name, weights)| File {
        name: format!("{name}.onnx"),
        kind: "application/octet-stream",
        bytes: Cow::Borrowed(*weights),
    }));
    let service = service(&files);
    files.push(made("service.js", JAVASCRIPT, service));
    // They come when they are first asked for, and are no part of what makes the page a new one.
    files.extend(PHOTOS.iter().map(|(_, bytes)| File {
        name: samples::name(bytes),
        kind: "image/jpeg",
        bytes: Cow::Borrowed(*bytes),
    }));
    Some(files)
}

/// What there is to practise on.
fn to_practise() -> String {
    let photo = |name: &str| {
        PHOTOS
            .iter()
            .find(|(file, _)| *file == name)
            .map(|(_, bytes)| *bytes)
    };
    let step = Rules::built_in().estimate().increment;
    // Both are of this program, and a test reads them.
    let all = samples::samples(TABLE, photo, step).unwrap_or_default();
    serde_json::to_string(&all).unwrap_or_default()
}

/// What wasm-bindgen made: its script, and the program.
#[cfg(phone_page)]
const PROGRAM: Option<(&str, &[u8])> = Some((
    include_str!(concat!(env!("SEEPLINE_PHONE"), "/seepline.js")),
    include_bytes!(concat!(env!("SEEPLINE_PHONE"), "/seepline_bg.wasm")),
));
#[cfg(not(phone_page))]
const PROGRAM: Option<(&str, &[u8])> = None;

// Photos to practise on, by their names in `sample-images`, and what is true of them: `PHOTOS` and `TABLE`. A static, since
// a constant was in the program once for each place that names it.
#[cfg(phone_page)]
include!(concat!(env!("OUT_DIR"), "/samples.rs"));
#[cfg(not(phone_page))]
static PHOTOS: &[(&str, &[u8])] = &[];
#[cfg(not(phone_page))]
const TABLE: &str = r#"{"photos": []}"#;

/// The frame of the pages that the program makes.
fn index() -> String {
    let head = html! {
        meta http-equiv="Content-Security-Policy" content=(*CONTENT_POLICY);
        link rel="icon" href="icon.svg";
        link rel="manifest" href="manifest.webmanifest";
        meta name="theme-color" content="#00315f";
        script type="module" src="phone.js" {}
    };
    let body = html! {
        h1 { "A check on this phone" }
        p role="status" { "The program is being loaded…" }
        noscript { p .fault { "This page reads photos with a script; switch JavaScript on." } }
    };
    page("A check on this phone", &head, &body)
}

/// Knows all other files, and is another one for other files.
fn service(files: &[File]) -> String {
    let mut hash = Sha256::new();
    for file in files {
        hash.update(&file.name);
        hash.update(&file.bytes);
    }
    let version = format!("seepline-{:.16}", format!("{:x}", hash.finalize()));
    let name = |file: &File| match &*file.name {
        INDEX => "./".to_owned(),
        name => name.to_owned(),
    };
    let names: Vec<String> = files.iter().map(name).collect();
    format!(
        "const VERSION = {version:?};\nconst FILES = {names:?};\n{}",
        include_str!("folder/service.js")
    )
}

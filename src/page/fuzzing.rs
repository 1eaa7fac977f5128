//! The page without sockets, for the fuzz target: one request after the other to the router, as if from a
//! phone that is paired, or one that is not.

use std::fs;
use std::net::Ipv4Addr;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use axum::http::{HeaderMap, HeaderValue, Request, header};
use http_body_util::BodyExt;
use hyper::service::Service;
use hyper_util::service::TowerToHyperService;
use tokio::runtime::{self, Runtime};

use super::checks::{self, hold};
use super::desk::Desk;
use super::guard::Peer;
use super::routes;
use super::{Listen, answer};
use crate::archive::Archive;
use crate::archive::shelf::now;
use crate::taper::records::{Cut, Id, JawSet};
use crate::taper::rules::Rules;
use crate::under_way::Settings;
use crate::under_way::{Photo, Read, UnderWay};

const HOST: &str = "127.0.0.1:7337";
/// For photos of a request that was answered before they were read.
const PATIENCE: Duration = Duration::from_secs(5);

/// The server's state and its router.
pub struct Page {
    desk: Arc<Desk>,
    router: Router,
    runtime: Runtime,
    photo: Vec<u8>,
    set: Id,
    filed: String,
    check: Id,
    /// The check's sheet as it is before every request.
    sheet: String,
    /// The check's photo and its reading, made once.
    read: Option<(Photo, Arc<Read>)>,
    asked: AtomicU32,
}

/// What came back.
#[derive(Debug)]
pub struct Answered {
    /// HTTP status.
    pub status: u16,
    /// All of them.
    pub headers: HeaderMap,
    /// As it came.
    pub body: Vec<u8>,
}

impl Page {
    /// On a new archive in `folder`, with a jaw set, a check of it filed, and one under way that holds `photo`.
    ///
    /// # Errors
    /// Where the folder cannot be written, or the photo not read.
    pub fn open(folder: &Path, photo: Vec<u8>) -> anyhow::Result<Self> {
        let set = Self::make(folder)?;
        let listen = Listen {
            network: false,
            addresses: Vec::new(),
            port: 7337,
            name: None,
            open: false,
            unpair: false,
        };
        let rules = Rules::built_in().clone();
        let desk = Desk::open(folder.to_path_buf(), rules, &listen, &[HOST.parse()?])?;
        let desk = Arc::new(desk);
        let mut page = Self {
            router: routes::router(Arc::clone(&desk)),
            runtime: runtime::Builder::new_current_thread()
                .enable_all()
                .build()?,
            desk,
            photo,
            set,
            filed: String::new(),
            check: set,
            sheet: String::new(),
            read: None,
            asked: AtomicU32::new(0),
        };
        page.begin()?;
        page.ask("POST", "/api/checks/CHECK/file", "", "", Vec::new(), true);
        let check = page.desk.checks.get(&page.check.to_string())?;
        let filed = hold(&check).sheet.filed;
        page.filed = filed.map(|f| f.check.to_string()).unwrap_or_default();
        anyhow::ensure!(!page.filed.is_empty(), "the check was not filed");
        page.begin()?;
        Ok(page)
    }

    fn make(folder: &Path) -> anyhow::Result<Id> {
        fs::create_dir_all(folder)?;
        let mut archive = Archive::create_or_open(folder)?;
        let set = JawSet::named(Id::derived(&["heron"]), "heron", now());
        archive.put_jaw_set(&set)?;
        archive.put_cut(&Cut::of(&set, Id::derived(&["cut"]), now()))?;
        Ok(set.id)
    }

    /// A check of the set with the photo, in place of the one before.
    fn begin(&mut self) -> anyhow::Result<()> {
        self.desk.checks.discard(self.check);
        let settings = Settings {
            jaw_set: Some(self.set),
            ..Settings::default()
        };
        let (id, check) = self.desk.checks.begin(settings)?;
        self.check = id;
        if let Some((photo, read)) = &self.read {
            self.put(&mut hold(&check), photo, read)?;
        } else {
            let (path, photo) = ("/api/checks/CHECK/photos?jaw=1", self.photo.clone());
            let sent = self.ask("POST", path, "", "", photo, true);
            anyhow::ensure!(sent.status == 200, "{sent:?}");
            let check = hold(&check);
            let photo = check.sheet.photos.first().cloned();
            self.read = photo.and_then(|p| Some((p.clone(), Arc::clone(check.read(&p)?))));
        }
        self.sheet = serde_json::to_string(&hold(&check).sheet)?;
        Ok(())
    }

    fn put(&self, check: &mut UnderWay, photo: &Photo, read: &Arc<Read>) -> anyhow::Result<()> {
        fs::write(check.folder.join(&photo.sha256), &self.photo)?;
        check.reads.insert(photo.sha256.clone(), Arc::clone(read));
        check.put(photo.clone());
        checks::write(check)?;
        answer::refresh(&self.desk, check);
        Ok(())
    }

    /// The check under way is again as it was, so that what a request does follows from that request alone.
    pub fn renew(&mut self) -> anyhow::Result<()> {
        let check = self.desk.checks.get(&self.check.to_string());
        let sheet = |check| serde_json::to_string(&hold(&check).sheet).unwrap_or_default();
        if check.map(sheet).as_ref() == Ok(&self.sheet) {
            return Ok(());
        }
        self.begin()
    }

    /// Asks, and waits until what was begun has ended. In `path` stand CHECK, PHOTO, SET and FILED for the
    /// ids. What is no address or no header is not asked for: the answer is status 0.
    pub fn ask(
        &self,
        method: &str,
        path: &str,
        content_type: &str,
        last: &str,
        body: Vec<u8>,
        paired: bool,
    ) -> Answered {
        let request = self.request(method, path, content_type, last, paired);
        let Some(request) = request.and_then(|r| r.body(Body::from(body)).ok()) else {
            return Answered {
                status: 0,
                headers: HeaderMap::new(),
                body: Vec::new(),
            };
        };
        self.runtime.block_on(async {
            let service = TowerToHyperService::new(self.router.clone());
            let Ok(response) = service.call(request).await;
            let (head, body) = response.into_parts();
            let body = body.collect().await.map(|b| b.to_bytes().to_vec());
            self.settled().await;
            Answered {
                status: head.status.as_u16(),
                headers: head.headers,
                body: body.expect("a body in memory"),
            }
        })
    }

    fn request(
        &self,
        method: &str,
        path: &str,
        content_type: &str,
        last: &str,
        paired: bool,
    ) -> Option<axum::http::request::Builder> {
        let cookie = self.desk.pairing.set_cookie(false);
        let cookie = cookie.split(';').next().filter(|_| paired);
        let cookie = format!("{}; seepline-last={last}", cookie.unwrap_or("none=1"));
        // Another phone each time: how often one may ask is not what is looked into here.
        let peer = Ipv4Addr::from(self.asked.fetch_add(1, Ordering::Relaxed));
        let request = Request::builder()
            .method(method)
            .uri(self.with_ids(path))
            .header(header::HOST, HOST)
            .header(header::ORIGIN, format!("http://{HOST}"))
            .header(
                header::CONTENT_TYPE,
                HeaderValue::from_str(content_type).ok()?,
            )
            .header(header::COOKIE, HeaderValue::from_str(&cookie).ok()?);
        Some(request.extension(Peer(peer.into())))
    }

    fn with_ids(&self, path: &str) -> String {
        let photo = hold_photo(&self.desk, self.check);
        path.replace("CHECK", &self.check.to_string())
            .replace("PHOTO", &photo)
            .replace("SET", &self.set.to_string())
            .replace("FILED", &self.filed)
    }

    async fn settled(&self) {
        let waiting = || {
            let all = self.desk.checks.list();
            all.iter().any(|c| !hold(c).waiting().is_empty())
        };
        let done = async {
            while waiting() {
                tokio::time::sleep(Duration::from_millis(1)).await;
            }
        };
        // What waits longer is thrown away with its check.
        let _ = tokio::time::timeout(PATIENCE, done).await;
    }
}

/// The SHA-256 of the check's first photo.
fn hold_photo(desk: &Desk, check: Id) -> String {
    let check = desk.checks.get(&check.to_string()).ok();
    let first = check.and_then(|c| hold(&c).sheet.photos.first().map(|p| p.sha256.clone()));
    first.unwrap_or_default()
}

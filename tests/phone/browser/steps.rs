//! A phone alone that is tapped, reloaded, closed, killed and left without space in random order: no check that was said to be kept is
//! lost, and none comes into an archive twice. `SEEPLINE_STEPS` says how many steps, `SEEPLINE_SEED` in which order. `.ci/release-page`
//! builds what it needs.

use std::collections::BTreeMap;
use std::env;
use std::fs;
use std::path::PathBuf;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;

use super::alone::{by_worker, open};
use super::needs;
use super::phone::{Phone, SPACE};
use crate::phone::alone::filed;
use crate::phone::samples::{another, photo};
use crate::phone::server::Server;

/// Enough that every kind of step comes, and that the suite does not wait long.
const STEPS: u32 = 60;
/// Smallest of the samples, so that most of the time goes into steps.
const PHOTOS: [&str; 2] = [
    "singles/ends-only-small-picture.jpg",
    "singles/mixed-small-picture.jpg",
];
/// So many are kept before one is thrown away: a phone has little space.
const MOST_CHECKS: usize = 8;

fn number_of(name: &str) -> Option<u32> {
    env::var(name)
        .ok()
        .map(|text| text.parse().expect("a number"))
}

/// Photos that were said to be kept, by their names, with their jaws, of each check by its id.
type Kept = BTreeMap<String, BTreeMap<String, u8>>;

/// Name and jaw of each photo of each check, and whether its bytes are there.
type Stored = BTreeMap<String, Vec<(String, u8, bool)>>;

struct Walk<'a> {
    server: &'a Server,
    phone: Phone,
    random: Random,
    kept: Kept,
    /// Photos so far: each is another one, as one photo is in one check alone.
    taken: u32,
    /// How often each kind of step came.
    came: BTreeMap<&'static str, u32>,
}

/// Splitmix64 (Steele, Lea and Flood, “Fast splittable pseudorandom number generators”, OOPSLA 2014): the same seed gives the same order.
struct Random(u64);

impl Random {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % most as u64) as usize
    }
}

/// What lies in the browser's storage: photos of each check by their names, and whether each has its bytes.
const STORED: &str = r"
    const open = indexedDB.open('seepline');
    const all = (request) => new Promise((done, failed) => { request.onsuccess = () => done(request.result); request.onerror = failed; });
    all(open).then(async (database) => {
        const change = database.transaction(['checks', 'photos']);
        const [ids, sheets, keys] = await Promise.all([
            all(change.objectStore('checks').getAllKeys()), all(change.objectStore('checks').getAll()), all(change.objectStore('photos').getAllKeys()),
        ]);
        database.close();
        const there = new Set(keys.map(String));
        done(Object.fromEntries(sheets.map(({ sheet }, i) => [ids[i], JSON.parse(sheet).photos.map((p) => [p.name, p.jaw, there.has(`${ids[i]},${p.sha256}`)])])));
    });
";

impl Walk<'_> {
    fn here(&self) -> Option<String> {
        let path = self.phone.path();
        path.split("check=").nth(1).map(str::to_owned)
    }

    /// The page is there and at rest.
    fn settled(&self) {
        let rest = "return Boolean(document.querySelector('#quick, html.scripted #check'))
            && document.querySelectorAll('.jaw[data-state=waiting], .jaw[aria-busy=true], .jaw.under-way, .sending:not(:has(.fault))').length === 0";
        self.phone.until("a page at rest", || {
            self.phone.run(rest).as_bool().filter(|r| *r)
        });
    }

    fn stored(&self) -> Stored {
        serde_json::from_value(self.phone.run_later(STORED)).expect("what is stored")
    }

    /// What is stored holds all that was said to be kept; it is what is kept from here on.
    fn look(&mut self, step: &str) {
        let stored = self.stored();
        for (check, photos) in &self.kept {
            let there = stored
                .get(check)
                .unwrap_or_else(|| panic!("{step}: the check {check} is lost"));
            for (name, jaw) in photos {
                assert!(
                    there.contains(&(name.clone(), *jaw, true)),
                    "{step}: {name} of {check} is lost: {there:?}"
                );
            }
        }
        for (check, photos) in stored {
            let names: BTreeMap<String, u8> = photos
                .iter()
                .map(|(name, jaw, _)| (name.clone(), *jaw))
                .collect();
            assert_eq!(
                names.len(),
                photos.len(),
                "{step}: a photo twice in {check}"
            );
            self.kept.insert(check, names);
        }
    }

    /// What a jaw had goes when another photo of it was read, or by hand.
    fn may_go(&mut self, jaw: u8) {
        if let Some(kept) = self.here().and_then(|id| self.kept.get_mut(&id)) {
            kept.retain(|_, of| *of != jaw);
        }
    }

    fn new_photo(&mut self) -> PathBuf {
        self.taken += 1;
        let bytes = another(&photo(PHOTOS[self.random.below(PHOTOS.len())]), self.taken);
        let place = self
            .server
            .shop
            .path()
            .join(format!("photo-{}.jpg", self.taken));
        fs::write(&place, bytes).expect("a photo");
        place
    }

    /// Gives a photo for a jaw and does not wait; the jaw, and the photo's name.
    fn take(&mut self) -> (u8, String) {
        let place = self.new_photo();
        let jaw = 1 + self.random.below(3) as u8;
        self.may_go(jaw);
        let input = format!("#jaw-{jaw} .take:not(.another) input[type=file][capture]");
        self.phone.keys(&input, &place.display().to_string());
        (jaw, format!("photo-{}.jpg", self.taken))
    }

    /// What the page says to be there must be.
    fn take_and_wait(&mut self) {
        let (jaw, name) = self.take();
        self.settled();
        let said = format!(
            "const jaw = document.querySelector('#jaw-{jaw}');
            return jaw.dataset.state === 'read' && jaw.textContent.includes('File: {name}')"
        );
        assert_eq!(self.phone.run(&said), true, "{name} was not read");
        let id = self.here().expect("a check");
        self.kept.entry(id).or_default().insert(name, jaw);
    }

    fn first(&self) {
        self.phone.go("/phone/");
        self.phone.wait("#quick");
    }

    /// Another check, or one of those that are there.
    fn another_check(&mut self, new: bool) {
        self.first();
        let there = self.phone.count("#under-way a");
        if new || there == 0 {
            self.phone.click("#quick .main");
        } else {
            let which = 1 + self.random.below(there);
            self.phone
                .click(&format!("#under-way li:nth-child({which}) a"));
        }
        self.phone.wait("html.scripted #check");
    }

    /// A form of the check, where there is one.
    fn tap(&mut self, css: &str) {
        let which = self.random.below(3);
        self.tap_one(css, which);
    }

    fn tap_first(&self, css: &str) {
        self.tap_one(css, 0);
    }

    fn tap_one(&self, css: &str, which: usize) {
        let script = format!(
            "const all = document.querySelectorAll(\"{css}\"); const one = all[{which} % all.length];
            if (one?.closest('details')) one.closest('details').open = true;
            one?.click()"
        );
        self.phone.run(&script);
    }

    fn step(&mut self) -> &'static str {
        if self.here().is_none() {
            let new = self.kept.len() < MOST_CHECKS && self.random.below(2) == 0;
            self.another_check(new);
            self.settled();
            return "a check opened";
        }
        self.settled();
        match self.random.below(20) {
            0..=5 => {
                self.take_and_wait();
                "a photo"
            }
            6 | 7 => {
                self.take();
                self.phone.reload();
                "a reload in its midst"
            }
            8 => {
                self.take();
                self.phone.in_a_new_window();
                self.phone.quota(SPACE);
                self.first();
                "a window closed in its midst"
            }
            9 => {
                self.take();
                self.phone.killed_and_begun_again();
                self.phone.quota(SPACE);
                // It may not have written yet that it is paired.
                self.phone.go(&format!("/pair?key={}", self.server.key));
                self.phone.wait("#quick");
                self.first();
                "a browser killed in its midst"
            }
            10 | 11 => {
                self.take_refused();
                "no space for a photo"
            }
            12 => {
                self.phone.without_space(|| {
                    self.tap_first(".swap button");
                    self.settled();
                });
                "no space for a tap"
            }
            13 | 14 => {
                self.tap(".swap button");
                self.settled();
                "the other end"
            }
            15 => {
                self.taken_out();
                "a photo taken out"
            }
            16 => {
                self.phone.reload();
                "a reload"
            }
            17 => {
                let tip = ["", "up", "down", "left"][self.random.below(4)];
                self.phone.run(&format!(
                    "document.querySelector('#settings select[name=tip]').value = '{tip}'"
                ));
                self.tap("#settings form button");
                self.settled();
                "the settings"
            }
            18 => {
                self.thrown_away();
                "a check thrown away"
            }
            _ => {
                self.first();
                "the first page"
            }
        }
    }

    /// It is said that it could not be kept, and all that was is there.
    fn take_refused(&mut self) {
        let place = self.new_photo();
        let free = ".jaw[data-state=empty] input[type=file][capture]";
        if self.phone.count(free) == 0 {
            return;
        }
        self.phone.without_space(|| {
            self.phone.keys(free, &place.display().to_string());
            self.phone.wait(".state.fault");
            let said = self.phone.text(".state.fault");
            assert!(said.contains("could not keep it"), "{said}");
        });
        // It waits on the page for a tap, and goes with the page.
        self.phone.reload();
    }

    fn taken_out(&mut self) {
        let jaw = 1 + self.random.below(3) as u8;
        self.may_go(jaw);
        self.tap(&format!("#jaw-{jaw} form[action$='/remove'] button"));
        self.settled();
    }

    fn thrown_away(&mut self) {
        if let Some(id) = self.here() {
            self.kept.remove(&id);
        }
        self.phone.click("#discard summary");
        self.phone.click("#discard button");
        self.phone.wait("#quick");
    }

    /// All of it into an archive: each check once, and once more the same.
    fn archived(&self) {
        self.first();
        let stored = self.stored();
        let checks = stored.values().filter(|photos| !photos.is_empty()).count();
        let photos: usize = stored.values().map(Vec::len).sum();
        let shop = self.server.shop.path();
        let saved = by_worker(&self.phone, "['save', null, '2026-03-04']");
        fs::write(
            shop.join("checks.tar"),
            STANDARD.decode(saved).expect("base64"),
        )
        .expect("a file");
        for _ in 0..2 {
            for (id, _) in stored.iter().filter(|(_, photos)| !photos.is_empty()) {
                let line = format!("import phone heron checks.tar --check {id}");
                // What a check shows does not matter here, nor whether it can be judged.
                let status = crate::support::program::in_shop(shop, &line)
                    .status()
                    .expect("the program");
                assert!(status.code().is_some_and(|code| code < 2), "{id}: {status}");
            }
            assert_eq!(filed(shop), checks);
        }
        let archive = seepline::archive::Archive::open(&shop.join("archive")).expect("an archive");
        let set = archive.jaw_set("heron").expect("heron").id;
        let timeline = archive
            .timeline(set, seepline::archive::Details::LeftOut)
            .expect("its checks");
        let there: usize = timeline.checks().map(|check| check.readings.len()).sum();
        assert_eq!(there, photos, "photos lost or doubled");
        needs::say(&format!(
            "{checks} checks with {photos} photos, each once in the archive"
        ));
    }
}

#[test]
fn nothing_that_was_said_to_be_kept_is_lost_or_doubled() {
    let server = Server::start();
    let Some(phone) = open(&server) else { return };
    phone.quota(SPACE);
    let steps = number_of("SEEPLINE_STEPS").unwrap_or(STEPS);
    let seed = number_of("SEEPLINE_SEED").unwrap_or(1);
    let mut walk = Walk {
        server: &server,
        phone,
        random: Random(u64::from(seed)),
        kept: Kept::new(),
        taken: 0,
        came: BTreeMap::new(),
    };
    for number in 1..=steps {
        let step = walk.step();
        *walk.came.entry(step).or_default() += 1;
        walk.look(&format!("seed {seed}, step {number}, {step}"));
    }
    needs::say(&format!("seed {seed}, {steps} steps: {:?}", walk.came));
    walk.archived();
}

//! What the worker calls. Texts are JSON where they are no words; a refused call throws its reason as a text.

mod before;
mod practice;

use serde::de::DeserializeOwned;
use wasm_bindgen::prelude::{JsError, wasm_bindgen};

use super::beside;
use super::glimpse::Glimpse;
use super::pages::{self, Storage};
use super::tar;
use crate::reading::inspect::Request;
use crate::reading::network::{self, GIVEN, NAMES};
use crate::reading::threads;
use crate::report::{self, TextOptions};
use crate::taper::records::Id;
use crate::taper::rules::Rules;
use crate::under_way::pages::check::{Around, body};
use crate::under_way::pages::page;
use crate::under_way::{
    self, Change, Fault, Fields, KeptBack, Photo, Read, SetFacts, Settings, Sheet, UnderWay,
};

pub(super) type Answered<T> = Result<T, JsError>;

/// Names of the networks' files, in the order in which they are given.
#[wasm_bindgen]
pub fn network_names() -> Vec<String> {
    NAMES.map(str::to_owned).to_vec()
}

/// The networks' weights, once, before the first photo is read: all of them in one piece, and how long each is.
#[wasm_bindgen]
pub fn give_networks(weights: Vec<u8>, lengths: &[usize]) -> Answered<()> {
    let mut rest: &'static [u8] = weights.leak();
    let mut parts = [&rest[..0]; NAMES.len()];
    for (part, length) in parts.iter_mut().zip(lengths) {
        let there = rest.split_at_checked(*length).ok_or(Fault::Defect)?;
        (*part, rest) = there;
    }
    // A second time changes nothing.
    let _ = GIVEN.set(parts);
    threads::with(1, network::warm_up);
    Ok(())
}

/// The first page: fields chosen last, the sheets of all checks, the browser's storage.
#[wasm_bindgen]
pub fn first_page(last: &str, sheets: Vec<String>, storage: &str) -> Answered<String> {
    let last = Settings::default().with(&parsed(last)?).unwrap_or_default();
    // One that cannot be read stays kept, for a newer program.
    let sheets = sheets.iter().filter_map(|s| parsed::<Sheet>(s).ok());
    let mut sheets: Vec<Sheet> = sheets.filter(|s| !s.photos.is_empty()).collect();
    sheets.sort_by_key(|s| std::cmp::Reverse(s.begun));
    Ok(pages::first(&last, &sheets, parsed(storage)?))
}

/// What stands before a file's bytes in a tar archive.
#[wasm_bindgen]
pub fn tar_head(name: &str, bytes: f64) -> Vec<u8> {
    tar::head(name, bytes as u64)
}

/// One check under way.
#[wasm_bindgen]
pub struct Check(pub(super) UnderWay);

#[wasm_bindgen]
impl Check {
    /// A new one, with what the form says; `now` as `2026-03-04T10:11:12`.
    pub fn begin(fields: &str, now: &str) -> Answered<Check> {
        let settings = Settings::default().with(&parsed(fields)?)?;
        let id = Id::random().map_err(|_| Fault::Defect)?;
        let sheet = Sheet::new(id, now.parse()?, settings);
        Ok(Self(UnderWay::of(sheet, std::path::PathBuf::new())))
    }

    /// As it was kept.
    pub fn open(sheet: &str) -> Answered<Check> {
        Ok(Self(UnderWay::of(
            parsed(sheet)?,
            std::path::PathBuf::new(),
        )))
    }

    /// To be kept.
    pub fn sheet(&self) -> Answered<String> {
        Ok(serde_json::to_string(&self.0.sheet)?)
    }

    /// Takes back what could not be kept.
    pub fn restore(&mut self, sheet: &str) -> Answered<()> {
        self.0.sheet = parsed(sheet)?;
        self.refresh();
        Ok(())
    }

    pub fn id(&self) -> String {
        self.0.sheet.id.to_string()
    }

    /// What the next check begins with, as a form sends it.
    pub fn to_remember(&self) -> String {
        self.0.sheet.settings.to_remember()
    }

    /// Its page.
    pub fn page(&mut self, storage: &str) -> Answered<String> {
        let storage: Storage = parsed(storage)?;
        let kept = self.kept_back();
        let facts = self.0.sheet.set();
        let set = facts.map(SetFacts::jaw_set);
        let around = Around {
            set: set.as_ref(),
            last: facts.and_then(|s| s.taper),
            kept: kept.as_ref(),
            filing: pages::keeping(&self.0, storage),
        };
        Ok(page(
            &around.title(),
            &maud::html! {},
            &body(&self.0, &around),
        ))
    }

    /// Whether the page shows a reading for the first time, after which no call is taken; to be kept then.
    pub fn note_shown(&mut self) -> bool {
        let check = &self.0;
        let read = check.sheet.photos.iter().any(|p| check.read(p).is_some());
        let first = read && !check.sheet.shown && self.kept_back().is_none();
        self.0.sheet.shown |= first;
        first
    }

    /// As `seepline read` prints it, without colours and in block letters; nothing before there is an answer.
    pub fn text(&self) -> Option<String> {
        let options = TextOptions {
            unicode: true,
            ..TextOptions::default()
        };
        let answer = self.0.answer.as_ref()?;
        Some(report::to_text(answer, options))
    }

    /// As `seepline read --json` prints it.
    pub fn json(&self) -> Option<Vec<u8>> {
        report::to_json(self.0.answer.as_ref()?).ok()
    }

    /// Puts a photo in its jaw's place, the first free one for 0, or beside what the jaw has where it is another photo of
    /// it; its SHA-256, or nothing where the check has it already.
    pub fn put(
        &mut self,
        bytes: &[u8],
        name: &str,
        jaw: u8,
        another: bool,
    ) -> Answered<Option<String>> {
        use sha2::{Digest, Sha256};
        let sha256 = format!("{:x}", Sha256::digest(bytes));
        self.0.notices.clear();
        let goes = under_way::goes((jaw != 0).then_some(jaw), another)?;
        let Some(jaw) = self.0.place(&sha256, goes)? else {
            return Ok(None);
        };
        let photo = Photo::new(sha256.clone(), bytes.len() as u64, name, jaw);
        self.0.put_as(photo, goes);
        self.0.changed();
        Ok(Some(sha256))
    }

    /// SHA-256 of the photos that wait to be read.
    pub fn waiting(&self) -> Vec<String> {
        self.0.waiting()
    }

    /// SHA-256 of the photos that the check needs, also of those that wait in another's place.
    pub fn needs(&self, sha256: &str) -> bool {
        self.0.needs(sha256)
    }

    /// Reads a photo as it is to be read now.
    pub fn read(&mut self, sha256: &str, bytes: &[u8]) -> Answered<()> {
        let request = self.0.request(self.0.photo(sha256)?);
        match threads::with(1, || Read::of_bytes(bytes, &request)) {
            Ok(read) => {
                self.0
                    .reads
                    .insert(sha256.to_owned(), std::sync::Arc::new(read));
                self.0.replace_before(sha256)?;
                self.refresh();
                Ok(())
            }
            Err(fault) => {
                self.refuse(sha256, &fault.to_string());
                Err(fault.into())
            }
        }
    }

    /// What a frame of the live view shows, as JSON. Nothing of it is kept.
    pub fn glimpse(&self, frame: &[u8]) -> Answered<String> {
        let settings = &self.0.sheet.settings;
        let request = Request {
            method: settings.method,
            tip: settings.tip,
            corners: None,
        };
        let seen = threads::with(1, || Glimpse::of(frame, &request));
        Ok(serde_json::to_string(&seen)?)
    }

    /// Takes a photo out that cannot be read.
    pub fn refuse(&mut self, sha256: &str, why: &str) {
        self.0.refuse(sha256, why);
        self.refresh();
    }

    /// Does what a form of the page asks for: its address below the check's own, and its fields.
    pub fn change(&mut self, what: &str, fields: &str, now: &str) -> Answered<()> {
        let fields: Fields = parsed(fields)?;
        self.0.notices.clear();
        self.changed(what, &fields, now)?;
        self.0.changed();
        self.refresh();
        Ok(())
    }

    /// A picture as its address below the check's own names it, as JPEG.
    pub fn picture(&self, what: &str) -> Option<Vec<u8>> {
        let (sha256, kind) = what.strip_prefix("photos/")?.split_once('/')?;
        let pictures = &self.0.reads.get(sha256)?.pictures;
        match kind.split('?').next()? {
            "photo" => Some(pictures.plain.clone()),
            _ if self.kept_back().is_some() => None,
            "picture" => Some(pictures.picture.clone()),
            "profile" => pictures.profile.clone(),
            _ => None,
        }
    }
}

impl Check {
    fn changed(&mut self, what: &str, fields: &Fields, now: &str) -> Answered<()> {
        let check = &mut self.0;
        match what.split('/').collect::<Vec<_>>()[..] {
            ["settings"] => check.sheet.settings = check.sheet.settings.with(fields)?,
            ["call"] => {
                let Some(KeptBack::CallOf(by)) = self.kept_back() else {
                    return Err(Fault::Conflict("no call is waited for".into()).into());
                };
                self.0.sheet.call = Some(self.0.call(fields, by, now.parse()?)?);
            }
            ["photos", sha256, "remove"] => check.take_out(sha256)?,
            ["photos", sha256, form] => {
                let change = Change::of_form(form, fields)?.ok_or(Fault::NotHere)?;
                check.apply(sha256, change)?;
            }
            _ => return Err(Fault::NotHere.into()),
        }
        Ok(())
    }

    fn kept_back(&self) -> Option<KeptBack> {
        beside::kept_back(&self.0.sheet)
    }

    /// Forms the answer anew where every photo is read.
    fn refresh(&mut self) {
        self.0.answer = None;
        if self.0.sheet.photos.is_empty() || !self.0.waiting().is_empty() {
            return;
        }
        let rules = Rules::built_in();
        let mut report = self.0.quick_answer(rules);
        report.call = self.0.own_call(&report, rules);
        self.0.answered(Ok(report));
    }
}

pub(super) fn parsed<T: DeserializeOwned>(text: &str) -> Answered<T> {
    Ok(serde_json::from_str(text)?)
}

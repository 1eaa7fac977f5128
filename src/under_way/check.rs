//! A check under way: what is said about it, its photos, and what was read of them.

use std::collections::{BTreeSet, HashMap};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Instant;

use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};

use super::facts::SetFacts;
use super::fault::Fault;
use super::settings::Settings;
use crate::people::opinion::Call;
use crate::reading::face::TipDirection;
use crate::reading::geometry::{Point, Quad};
use crate::reading::inspect::Request;
use crate::reading::method::Method;
use crate::report::{CheckReport, PhotoReport};
use crate::taper::advice::Grip;
use crate::taper::records::Id;

/// Most photos of one check; chucks have up to six jaws, and each may be taken twice.
pub(crate) const MOST_PHOTOS: usize = 12;
/// Jaws that a check has unless more are photographed.
pub(crate) const JAWS: u8 = 3;

/// What outlasts a restart.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(crate) struct Sheet {
    pub(crate) id: Id,
    pub(crate) begun: DateTime,
    pub(crate) settings: Settings,
    /// By jaw; those of one jaw in the order in which they came.
    pub(crate) photos: Vec<Photo>,
    pub(crate) filed: Option<Filed>,
    /// Made before the reading was shown; it stands.
    // Sheets that an earlier version wrote have none of these fields.
    #[serde(default)]
    pub(crate) call: Option<Call>,
    /// The call's id in the archive, once it is filed: whose it is may become another when they are erased.
    #[serde(default)]
    pub(crate) call_filed: Option<Id>,
    /// The reading of a photo was shown.
    #[serde(default)]
    pub(crate) shown: bool,
    /// Photos that were taken out or replaced, by SHA-256: they stay out, also where the archive has them in
    /// this check.
    #[serde(default)]
    pub(crate) left_out: BTreeSet<String>,
    /// The jaw set as a phone alone was given it, where the check began with it; a server asks its archive.
    #[serde(default)]
    pub(crate) of_set: Option<SetFacts>,
    /// The server that a phone alone last handed it over to, as its archive took it.
    #[serde(default)]
    pub(crate) handed: Option<Handed>,
}

impl Sheet {
    pub(crate) fn new(id: Id, begun: DateTime, settings: Settings) -> Self {
        Self {
            id,
            begun,
            settings,
            photos: Vec::new(),
            filed: None,
            call: None,
            call_filed: None,
            shown: false,
            left_out: BTreeSet::new(),
            of_set: None,
            handed: None,
        }
    }

    /// The jaw set that the check is of, as far as it is known away from the archive.
    pub(crate) fn set(&self) -> Option<&SetFacts> {
        let chosen = self.settings.jaw_set;
        self.of_set.as_ref().filter(|set| Some(set.id) == chosen)
    }
}

/// To which jaw set a check was handed over, and when.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Handed {
    pub(crate) name: String,
    pub(crate) at: DateTime,
}

/// A photo of one jaw.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Photo {
    pub(crate) sha256: String,
    /// As the phone called it; shown and filed as text.
    pub(crate) name: String,
    pub(crate) jaw: u8,
    pub(crate) bytes: u64,
    /// Where its tip points, where it differs from the check's other photos.
    pub(crate) tip: Option<TipDirection>,
    pub(crate) corners: Option<[[f64; 2]; 4]>,
    /// The jaw's photo before this one, until this one is read: what turns out to be no photo replaces none.
    pub(crate) before: Option<Box<Photo>>,
}

/// Where a photo goes that comes in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Goes {
    /// To the first jaw without a photo.
    Free,
    /// To this jaw, in place of the last photo there.
    To(u8),
    /// To this jaw, beside what is there: taken from another side, to be read together.
    Beside(u8),
}

/// Where the check stands in the archive.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub(crate) struct Filed {
    pub(crate) check: Id,
    /// False after a change that was not filed yet.
    pub(crate) up_to_date: bool,
}

/// What was read of one photo.
pub(crate) struct Read {
    method: Method,
    tip: Option<TipDirection>,
    corners: Option<[[f64; 2]; 4]>,
    /// Without its pixels, which the pictures hold.
    pub(crate) report: PhotoReport,
    pub(crate) pictures: Pictures,
}

/// What is seen of a reading, as JPEG.
pub(crate) struct Pictures {
    /// With the face outlined, its tip and base marked.
    pub(crate) picture: Vec<u8>,
    /// How much of the width is clean, from tip to base; where it was judged.
    pub(crate) profile: Option<Vec<u8>>,
    /// The photo alone.
    pub(crate) plain: Vec<u8>,
}

/// A check under way.
pub(crate) struct UnderWay {
    pub(crate) sheet: Sheet,
    /// By SHA-256.
    pub(crate) reads: HashMap<String, Arc<Read>>,
    /// Where every photo is read.
    pub(crate) answer: Option<Arc<CheckReport>>,
    /// Why there is none.
    pub(crate) problem: Option<String>,
    /// What went wrong with the last photos sent.
    pub(crate) notices: Vec<String>,
    /// Where the sheet and the photos lie; empty where there is no disk.
    pub(crate) folder: PathBuf,
    /// Thrown away while a photo was being read.
    pub(crate) gone: bool,
    /// When it was last changed since the server started; unlike the time of its file, this holds when the
    /// clock is set.
    pub(crate) touched: Option<Instant>,
}

impl Read {
    pub(crate) fn of(request: &Request, report: PhotoReport, pictures: Pictures) -> Self {
        Self {
            method: request.method,
            tip: request.tip,
            corners: request.corners.map(|q| q.0.map(Into::into)),
            report,
            pictures,
        }
    }

    fn is_of(&self, request: &Request) -> bool {
        let corners = request.corners.map(|q| q.0.map(Into::into));
        (self.method, self.tip, self.corners) == (request.method, request.tip, corners)
    }
}

impl UnderWay {
    pub(crate) fn of(sheet: Sheet, folder: PathBuf) -> Self {
        Self {
            sheet,
            reads: HashMap::new(),
            answer: None,
            problem: None,
            notices: Vec::new(),
            folder,
            gone: false,
            touched: None,
        }
    }

    pub(crate) fn photo(&self, sha256: &str) -> Result<&Photo, Fault> {
        let mut photos = self.sheet.photos.iter();
        photos
            .find(|p| p.sha256 == sha256)
            .ok_or(Fault::NoSuchPhoto)
    }

    pub(crate) fn photo_mut(&mut self, sha256: &str) -> Result<&mut Photo, Fault> {
        let mut photos = self.sheet.photos.iter_mut();
        photos
            .find(|p| p.sha256 == sha256)
            .ok_or(Fault::NoSuchPhoto)
    }

    /// How a photo is to be read now.
    pub(crate) fn request(&self, photo: &Photo) -> Request {
        Request {
            method: self.sheet.settings.method,
            tip: photo.tip.or(self.sheet.settings.tip),
            corners: photo.corners.map(quad),
        }
    }

    /// What was read of the photo as it is to be read now; `None` while it waits.
    pub(crate) fn read(&self, photo: &Photo) -> Option<&Arc<Read>> {
        let read = self.reads.get(&photo.sha256)?;
        read.is_of(&self.request(photo)).then_some(read)
    }

    /// Which way the jaws grip: as the answer has it, which knows what the jaw set says.
    pub(crate) fn grip(&self) -> Grip {
        let settings = self.sheet.settings.grip;
        self.answer.as_ref().map_or(settings, |a| a.grip())
    }

    pub(crate) fn waiting(&self) -> Vec<String> {
        let photos = self.sheet.photos.iter();
        let waiting = photos.filter(|p| self.read(p).is_none());
        waiting.map(|p| p.sha256.clone()).collect()
    }

    /// The photos of a jaw.
    pub(crate) fn of_jaw(&self, jaw: u8) -> impl Iterator<Item = &Photo> {
        self.sheet.photos.iter().filter(move |p| p.jaw == jaw)
    }

    /// Numbers of the jaws that have a photo.
    pub(crate) fn jaws(&self) -> BTreeSet<u8> {
        self.sheet.photos.iter().map(|p| p.jaw).collect()
    }

    /// Whether a jaw has more than one photo.
    pub(crate) fn has_several_of_a_jaw(&self) -> bool {
        let photos = &self.sheet.photos;
        photos.windows(2).any(|pair| pair[0].jaw == pair[1].jaw)
    }

    /// Puts a photo beside those of its jaw.
    pub(crate) fn put_beside(&mut self, photo: Photo) {
        self.sheet.left_out.remove(&photo.sha256);
        self.sheet.photos.push(photo);
        self.sheet.photos.sort_by_key(|p| p.jaw);
    }

    /// Puts a photo where it goes.
    pub(crate) fn put_as(&mut self, photo: Photo, goes: Goes) {
        match goes {
            Goes::Beside(_) => self.put_beside(photo),
            Goes::Free | Goes::To(_) => self.put(photo),
        }
    }

    /// Puts a photo in the place of its jaw's last; that one waits until this one is read.
    pub(crate) fn put(&mut self, mut photo: Photo) {
        let there = self.sheet.photos.iter().rposition(|p| p.jaw == photo.jaw);
        let there = there.map(|i| self.sheet.photos.remove(i));
        let (before, unread) = match there {
            // Only one that was read is worth coming back to.
            Some(there) if self.read(&there).is_some() => (Some(Box::new(there)), None),
            Some(there) => (there.before, Some(there.sha256)),
            None => (None, None),
        };
        photo.before = before;
        self.put_beside(photo);
        if let Some(unread) = unread {
            self.leave_out(unread);
        }
    }

    /// From now on; not where it came back since.
    pub(crate) fn leave_out(&mut self, sha256: String) {
        if !self.needs(&sha256) {
            self.sheet.left_out.insert(sha256);
        }
    }

    /// Takes a photo out; the one before it comes back.
    pub(crate) fn take_back(&mut self, sha256: &str) {
        let place = self.sheet.photos.iter().position(|p| p.sha256 == sha256);
        if let Some(place) = place {
            let before = self.sheet.photos.remove(place).before;
            self.sheet.photos.extend(before.map(|b| *b));
            self.sheet.photos.sort_by_key(|p| p.jaw);
        }
    }

    /// Whether the photo's file is needed.
    pub(crate) fn needs(&self, sha256: &str) -> bool {
        let before = |p: &Photo| p.before.as_ref().is_some_and(|b| b.sha256 == sha256);
        self.sheet
            .photos
            .iter()
            .any(|p| p.sha256 == sha256 || before(p))
    }

    pub(crate) fn holds(&self, sha256: &str) -> bool {
        self.photo(sha256).is_ok()
    }

    /// The first jaw without a photo.
    pub(crate) fn free_jaw(&self) -> u8 {
        let taken = self.jaws();
        let mut jaws = 1..=u8::MAX;
        jaws.find(|jaw| !taken.contains(jaw)).unwrap_or(u8::MAX)
    }

    /// The jaw of a photo that was filed with some of these, by the jaws' numbers as they were filed: with the photos of its
    /// jaw that are here, whatever number they have here.
    pub(crate) fn jaw_as_filed(&self, filed: &HashMap<String, u8>, sha256: &str) -> u8 {
        let Some(number) = filed.get(sha256).copied() else {
            return self.free_jaw();
        };
        let mut here = self.sheet.photos.iter();
        if let Some(same) = here.find(|p| filed.get(&p.sha256) == Some(&number)) {
            return same.jaw;
        }
        if self.jaws().contains(&number) {
            self.free_jaw()
        } else {
            number
        }
    }

    /// Takes the answer, or why there is none: never both, so that no problem stands beside an answer.
    pub(crate) fn answered(&mut self, answer: Result<CheckReport, Fault>) {
        (self.answer, self.problem) = match answer {
            Ok(report) => (Some(Arc::new(report)), None),
            Err(fault) => (None, Some(fault.to_string())),
        };
    }

    /// Changes something; what was filed is then behind.
    pub(crate) fn changed(&mut self) {
        self.answer = None;
        self.problem = None;
        if let Some(filed) = &mut self.sheet.filed {
            filed.up_to_date = false;
        }
    }
}

pub(crate) fn quad(corners: [[f64; 2]; 4]) -> Quad {
    Quad(corners.map(|[x, y]| Point::new(x, y)))
}

//! What changes a check under way: photos put in and taken out, and how they are read.

use super::reading::unreadable;
use super::settings::tip;
use super::{Fault, Fields, Goes, MOST_PHOTOS, Photo, UnderWay, quad};
use crate::reading::corners::{self, parse_corners};
use crate::reading::face::{Face, TipDirection};
use crate::reading::inspect::Inspection;
use crate::report::shown;

/// How a photo is to be read from now on.
pub(crate) enum Change {
    /// The other end is the tip.
    Swap,
    /// The tip points there; `None` as in the other photos.
    Tip(Option<TipDirection>),
    /// The face's corners, full-size upright pixels; `None` to search for them.
    Corners(Option<[[f64; 2]; 4]>),
}

impl Change {
    /// As the form of that name sends it; `None` where there is no such form.
    pub(crate) fn of_form(name: &str, fields: &Fields) -> Result<Option<Self>, Fault> {
        let field = |name: &str| fields.get(name).map_or("", |text| text.trim());
        let unfit = || Fault::Unfit("choose where the tip points".into());
        Ok(Some(match (name, field(name)) {
            ("swap", _) => Self::Swap,
            ("tip", "") => Self::Tip(None),
            ("tip", text) => Self::Tip(Some(tip(text).ok_or_else(unfit)?)),
            ("corners", "") => Self::Corners(None),
            ("corners", text) => {
                let corners = parse_corners(text).map_err(Fault::Unfit)?;
                Self::Corners(Some(corners.0.map(Into::into)))
            }
            _ => return Ok(None),
        }))
    }
}

impl Photo {
    /// One that came under that name.
    pub(crate) fn new(sha256: String, bytes: u64, name: &str, jaw: u8) -> Self {
        // The name alone, should a whole path come.
        let name = shown::name(name.rsplit(['/', '\\']).next().unwrap_or(name));
        let unnamed = name.trim().is_empty();
        Self {
            sha256,
            name: if unnamed { format!("jaw {jaw}") } else { name },
            jaw,
            bytes,
            tip: None,
            corners: None,
            before: None,
        }
    }
}

impl UnderWay {
    /// The jaw that a photo which came is of; `None` where the check has it already. A photo that is sent again counts
    /// once; for another jaw it was probably chosen by mistake.
    pub(crate) fn place(&mut self, sha256: &str, goes: Goes) -> Result<Option<u8>, Fault> {
        let jaw = match goes {
            Goes::Free => None,
            Goes::To(jaw) | Goes::Beside(jaw) => Some(jaw),
        };
        if let Ok(there) = self.photo(sha256) {
            let other = there.jaw;
            if let Some(jaw) = jaw.filter(|jaw| *jaw != other) {
                self.notices.push(format!(
                    "the photo sent for jaw {jaw} is the one of jaw {other}: it counts once; take one of each jaw"
                ));
            }
            return Ok(None);
        }
        if self.sheet.photos.len() >= MOST_PHOTOS {
            let text = format!("a check has at most {MOST_PHOTOS} photos; take one out first");
            return Err(Fault::Conflict(text));
        }
        Ok(Some(jaw.unwrap_or_else(|| self.free_jaw())))
    }

    /// Takes a photo out, and the one before it, too.
    pub(crate) fn take_out(&mut self, sha256: &str) -> Result<(), Fault> {
        let before = self.photo_mut(sha256)?.before.take();
        self.take_back(sha256);
        let before = before.map(|b| b.sha256);
        for gone in before.into_iter().chain([sha256.to_owned()]) {
            self.leave_out(gone);
        }
        Ok(())
    }

    /// A file that is no photo leaves the check as it was before.
    pub(crate) fn refuse(&mut self, sha256: &str, why: &str) {
        let name = self.photo(sha256).map(|p| p.name.clone());
        self.take_back(sha256);
        let name = name.unwrap_or_default();
        self.notices.push(format!("“{name}” was not kept: {why}"));
    }

    /// After a photo was read: the jaw's photo before it goes; whether there was one.
    pub(crate) fn replace_before(&mut self, sha256: &str) -> Result<bool, Fault> {
        let before = self.photo_mut(sha256)?.before.take();
        let replaced = before.is_some();
        if let Some(before) = before {
            self.leave_out(before.sha256);
        }
        Ok(replaced)
    }

    /// Takes a change of how a photo is read; nothing is changed by one that does not fit.
    pub(crate) fn apply(&mut self, sha256: &str, change: Change) -> Result<(), Fault> {
        let said = self.sheet.settings.tip;
        let assumed = said.unwrap_or_else(|| self.marked(sha256));
        if let Change::Corners(Some(corners)) = &change {
            self.fits(sha256, corners)?;
        }
        let photo = self.photo_mut(sha256)?;
        match change {
            Change::Swap => match &mut photo.corners {
                // Given corners say which end is the tip; half a turn gives it to the other.
                Some(corners) => corners.rotate_left(2),
                None => photo.tip = Some(opposite(photo.tip.unwrap_or(assumed))),
            },
            Change::Tip(tip) => {
                photo.tip = tip;
                // Corners outline the face; which end is the tip is what was said last.
                if let (Some(tip), Some(corners)) = (tip, &mut photo.corners)
                    && tip.is_turned_from(&quad(*corners))
                {
                    corners.rotate_left(2);
                }
            }
            Change::Corners(corners) => photo.corners = corners,
        }
        Ok(())
    }

    fn inspection(&self, sha256: &str) -> Option<&Inspection> {
        self.reads.get(sha256)?.report.inspection()
    }

    /// Where the page marks the tip, where nobody said it.
    fn marked(&self, sha256: &str) -> TipDirection {
        let read = self.inspection(sha256);
        let face = read.and_then(|inspection| inspection.reading.face.as_ref());
        face.map_or_else(TipDirection::default, Face::tip_direction)
    }

    /// Said before anything is changed.
    fn fits(&self, sha256: &str, corners: &[[f64; 2]; 4]) -> Result<(), Fault> {
        self.photo(sha256)?;
        let wait = || Fault::Conflict("the photo is still being read; wait a moment".into());
        let size_px = self.inspection(sha256).ok_or_else(wait)?.photo.size_px;
        corners::check(&quad(*corners), size_px).map_err(|e| unreadable(&e.into()))
    }
}

fn opposite(tip: TipDirection) -> TipDirection {
    match tip {
        TipDirection::Up => TipDirection::Down,
        TipDirection::Down => TipDirection::Up,
        TipDirection::Left => TipDirection::Right,
        TipDirection::Right => TipDirection::Left,
    }
}

/// Where a photo goes, from the jaw's number as it came and whether it is another photo of that jaw.
pub(crate) fn goes(jaw: Option<u8>, another: bool) -> Result<Goes, Fault> {
    let most = MOST_PHOTOS as u8;
    match jaw {
        Some(jaw) if !(1..=most).contains(&jaw) => {
            Err(Fault::Unfit(format!("jaws are numbered from 1 to {most}")))
        }
        Some(jaw) if another => Ok(Goes::Beside(jaw)),
        Some(jaw) => Ok(Goes::To(jaw)),
        None if another => Err(Fault::Unfit(
            "say of which jaw it is another photo, by its number".into(),
        )),
        None => Ok(Goes::Free),
    }
}

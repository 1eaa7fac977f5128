//! A check that was made elsewhere: its sheet is trusted no further than a form.

use std::collections::BTreeSet;

use super::{Fault, MOST_PHOTOS, Photo, SetFacts, Sheet};
use crate::people::opinion::Call;

impl Sheet {
    /// As it would have come by forms. What only its own page has to know stays there: the photo before another one, and where
    /// the check was filed.
    ///
    /// # Errors
    /// Where it says what no form takes.
    pub(crate) fn taken_over(self) -> Result<Self, Fault> {
        if self.photos.is_empty() {
            return Err(Fault::NoPhoto);
        }
        let once: BTreeSet<&str> = self.photos.iter().map(|p| p.sha256.as_str()).collect();
        if self.photos.len() > MOST_PHOTOS || once.len() < self.photos.len() {
            return Err(unfit("a check has at most 12 photos, each once"));
        }
        let mut photos = self.photos.iter().map(as_sent);
        let mut photos = photos.by_ref().collect::<Result<Vec<_>, _>>()?;
        photos.sort_by_key(|p| p.jaw);
        let call = self
            .call
            .map(|c| Call::new(c.pattern, c.change, c.by, c.at));
        let left_out = self.left_out.into_iter();
        let left_out =
            left_out.filter(|hash| is_hash(hash) && !photos.iter().any(|p| p.sha256 == *hash));
        Ok(Self {
            settings: self.settings.checked()?,
            call: call.transpose().map_err(|e| unfit(&e.to_string()))?,
            left_out: left_out.collect(),
            of_set: self.of_set.map(SetFacts::checked).transpose()?,
            photos,
            filed: None,
            call_filed: None,
            handed: None,
            ..self
        })
    }
}

fn as_sent(photo: &Photo) -> Result<Photo, Fault> {
    if !is_hash(&photo.sha256) || !(1..=MOST_PHOTOS).contains(&usize::from(photo.jaw)) {
        return Err(unfit("a photo has no SHA-256, or no jaw from 1 to 12"));
    }
    Ok(Photo {
        tip: photo.tip,
        // Held against the photo where it is read.
        corners: photo.corners,
        ..Photo::new(photo.sha256.clone(), photo.bytes, &photo.name, photo.jaw)
    })
}

/// As it stands in the program: lower case.
pub(super) fn is_hash(text: &str) -> bool {
    let digit = |b: u8| b.is_ascii_digit() || (b'a'..=b'f').contains(&b);
    text.len() == 64 && text.bytes().all(digit)
}

fn unfit(why: &str) -> Fault {
    Fault::Unfit(format!(
        "the check says what no page writes: {why}; make it on the phone again"
    ))
}

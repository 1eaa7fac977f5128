//! Practice: questions about photos that come with the page, and their answers.

use wasm_bindgen::prelude::wasm_bindgen;

use super::super::beside::Beside;
use super::super::pages::Storage;
use super::super::practice::{Kept, Practice, Round};
use super::super::samples::{Sample, is_whole};
use super::{Answered, parsed};
use crate::people::opinion::Call;
use crate::reading::inspect::Request;
use crate::reading::photo::read_photo;
use crate::reading::read::inspect_bytes;
use crate::reading::threads;
use crate::report::{PhotoReport, Seen, photo_to_jpeg};
use crate::taper::records::Id;
use crate::taper::rules::Rules;
use crate::under_way::{Fault, Fields, called, practised};

/// Answers that cannot be read stay kept, for a newer program.
fn practice(samples: &str, kept: &[String]) -> Answered<Practice> {
    Ok(Practice {
        samples: parsed(samples)?,
        kept: kept.iter().filter_map(|text| parsed(text).ok()).collect(),
    })
}

/// A new round with what the form says, of photos that are not missing: to be kept under its id.
#[wasm_bindgen]
pub fn begin_round(
    samples: &str,
    kept: Vec<String>,
    fields: &str,
    missing: Vec<String>,
    now: &str,
) -> Answered<String> {
    let practice = practice(samples, &kept)?;
    let round = Round::begin(&practice, &parsed(fields)?, &missing, now.parse()?)?;
    Ok(serde_json::to_string(&round)?)
}

/// Id of a round.
#[wasm_bindgen]
pub fn round_id(round: &str) -> Answered<String> {
    Ok(parsed::<Round>(round)?.id.to_string())
}

/// Files of a round's photos.
#[wasm_bindgen]
pub fn round_photos(samples: &str, round: &str) -> Answered<Vec<String>> {
    let practice = practice(samples, &[])?;
    let all = parsed::<Round>(round)?;
    let photos = all.samples(&practice).flat_map(|s| s.photos.iter());
    Ok(photos.map(|(name, _)| name.clone()).collect())
}

/// Files of all photos.
#[wasm_bindgen]
pub fn sample_photos(samples: &str) -> Answered<Vec<String>> {
    let all: Vec<Sample> = parsed(samples)?;
    Ok(all
        .into_iter()
        .flat_map(|s| s.photos)
        .map(|(name, _)| name)
        .collect())
}

/// Whether a photo's file came whole.
#[wasm_bindgen]
pub fn is_sample(name: &str, bytes: &[u8]) -> bool {
    is_whole(name, bytes)
}

/// The page of that place in a round, or where rounds begin; `unhanded` answers are at no server yet, and `by` practised last.
#[wasm_bindgen]
pub fn practice_page(
    samples: &str,
    kept: Vec<String>,
    round: Option<String>,
    at: usize,
    unhanded: usize,
    by: &str,
    storage: &str,
) -> Answered<String> {
    let practice = practice(samples, &kept)?;
    let mut storage: Storage = parsed(storage)?;
    let beside = Beside::from(storage.take_found());
    Ok(match round {
        Some(round) => practice.page(&parsed(&round)?, at, unhanded, &beside),
        None => practice.first(by, unhanded, &beside),
    })
}

/// Answers as a file of checks holds them, and as a server takes them.
#[wasm_bindgen]
pub fn practice_file(kept: Vec<String>) -> Answered<String> {
    let calls: Vec<_> = kept
        .iter()
        .filter_map(|text| parsed::<Kept>(text).ok())
        .map(|kept| kept.call)
        .collect();
    Ok(practised::written(&calls)?)
}

/// Where they lie in a file of checks.
#[wasm_bindgen]
pub fn practice_part() -> String {
    practised::PART.to_owned()
}

/// A question that is asked.
#[wasm_bindgen]
pub struct Asked {
    sample: Sample,
    round: Round,
    photos: Vec<PhotoReport>,
    call: Option<Call>,
}

#[wasm_bindgen]
impl Asked {
    /// At that place of a round.
    pub fn of(samples: &str, round: &str, at: usize) -> Answered<Asked> {
        let mut practice = practice(samples, &[])?;
        let round: Round = parsed(round)?;
        let item = &round
            .sample(&practice, at)
            .ok_or(Fault::NotHere)?
            .question
            .item;
        let place = practice
            .samples
            .iter()
            .position(|s| s.question.item == *item);
        Ok(Self {
            sample: practice.samples.swap_remove(place.ok_or(Fault::NotHere)?),
            round,
            photos: Vec::new(),
            call: None,
        })
    }

    /// Files of its photos.
    pub fn photos(&self) -> Vec<String> {
        self.sample
            .photos
            .iter()
            .map(|(name, _)| name.clone())
            .collect()
    }

    /// A photo as it is shown: tip up, without its name, time and place.
    pub fn picture(&self, index: usize, bytes: &[u8]) -> Answered<Vec<u8>> {
        let (_, tip) = self.sample.photos.get(index).ok_or(Fault::NotHere)?;
        let photo = read_photo(bytes).map_err(|e| Fault::Unfit(e.to_string()))?;
        Ok(photo_to_jpeg(&photo, *tip).map_err(|_| Fault::Defect)?)
    }

    /// What is said, before any photo is read.
    pub fn call(&mut self, fields: &str, now: &str) -> Answered<()> {
        let fields: Fields = parsed(fields)?;
        self.call = Some(called(&fields, self.round.by.clone(), now.parse()?)?);
        Ok(())
    }

    /// Reads the next photo; one that cannot be read is none of the answer.
    pub fn read(&mut self, bytes: &[u8]) {
        let index = self.photos.len();
        let request = Request {
            method: self.sample.question.method,
            tip: self.sample.photos.get(index).map(|(_, tip)| *tip),
            corners: None,
        };
        let outcome = threads::with(1, || inspect_bytes(bytes, &request));
        self.photos.push(PhotoReport {
            file: format!("photo {}", index + 1),
            outcome: outcome
                .map(|read| Box::new(read.without_pixels()))
                .map_err(|e| e.to_string()),
            jaw: None,
            same_as: None,
            picture: None,
        });
    }

    /// The answer, to be kept before anything is shown of what was right.
    pub fn kept(self, now: &str) -> Answered<String> {
        let call = self.call.ok_or(Fault::Defect)?;
        let question = &self.sample.question;
        // A phone alone knows no prove-out; an archive that keeps changes back takes the answer without what the program read.
        let seen = Seen::of_photos(self.photos, question, Rules::built_in(), None);
        let id = Id::random().map_err(|_| Fault::Defect)?;
        let call = question.answered(call, self.round.id, seen.program, (id, now.parse()?));
        Ok(serde_json::to_string(&Kept {
            call,
            decides: seen.decides,
        })?)
    }
}

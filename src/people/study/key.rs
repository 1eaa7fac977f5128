//! The key of a study: which number is which photo, and what the program reads.

use serde::{Deserialize, Serialize};

use super::{Order, numbered, written};
use crate::people::agreement::{Call, Reader};
use crate::people::opinion::Person;
use crate::reading::face::TipDirection;
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::taper::advice::Grip;
use crate::text::spreadsheet::for_cell;
use crate::units::{Length, PerSide};

/// The layout of the key that this program writes and reads.
const SCHEMA: u32 = 1;

/// Why a key can't be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(crate) enum StudyError {
    #[error("the key is damaged ({0}); make the study again in another folder")]
    Damaged(String),
    #[error(
        "the key has layout {0}, which this version does not know; use the version that made the study"
    )]
    Newer(u32),
}

/// One photo of the set.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Photo {
    /// Below the folder of photos, with `/`.
    pub(crate) file: String,
    pub(crate) sha256: String,
    /// Where its tip was said to point, where that was said photo by photo.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) tip: Option<TipDirection>,
    /// What the program reads in the original; unreadable where it would not act on it.
    pub(crate) pattern: Pattern,
    /// Of the pattern, 0 to 1.
    pub(crate) confidence: f64,
    /// The program's change per side in µm, where it gives one.
    pub(crate) change_um: Option<f64>,
}

impl Photo {
    fn change(&self) -> Option<PerSide> {
        self.change_um
            .and_then(Length::from_computed_micrometres)
            .map(PerSide::of)
    }
}

/// Everything about a study but the answers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Study {
    schema: u32,
    /// Version of the program that read the photos.
    pub(crate) program: String,
    pub(crate) seed: u64,
    pub(crate) rounds: u32,
    pub(crate) method: Method,
    /// Of all photos.
    pub(crate) tip: Option<TipDirection>,
    pub(crate) grip: Grip,
    pub(crate) readers: Vec<Person>,
    pub(crate) photos: Vec<Photo>,
    /// As `readers`.
    pub(crate) orders: Vec<Order>,
}

/// What the user asked for.
pub(crate) struct Asked {
    pub(crate) rounds: u32,
    pub(crate) method: Method,
    pub(crate) tip: Option<TipDirection>,
    pub(crate) grip: Grip,
    pub(crate) readers: Vec<Person>,
}

impl Study {
    pub(crate) fn new(asked: Asked, photos: Vec<Photo>, seed: u64) -> Self {
        let orders = super::orders(asked.readers.len(), photos.len(), asked.rounds, seed);
        Self {
            schema: SCHEMA,
            program: env!("CARGO_PKG_VERSION").to_owned(),
            seed,
            rounds: asked.rounds,
            method: asked.method,
            tip: asked.tip,
            grip: asked.grip,
            readers: asked.readers,
            photos,
            orders,
        }
    }

    /// Reads a key back.
    ///
    /// # Errors
    /// Where it is none, a damaged one, or one of a newer layout.
    pub(crate) fn parse(bytes: &[u8]) -> Result<Self, StudyError> {
        #[derive(Deserialize)]
        struct Layout {
            schema: u32,
        }
        let damaged = |e: serde_json::Error| StudyError::Damaged(e.to_string());
        // The number by itself first: a newer layout need not parse as this one and is not damaged for
        // that.
        let layout: Layout = serde_json::from_slice(bytes).map_err(damaged)?;
        if layout.schema != SCHEMA {
            return Err(StudyError::Newer(layout.schema));
        }
        let study: Self = serde_json::from_slice(bytes).map_err(damaged)?;
        let photos = study.photos.len();
        // Everything after this takes the photos by these numbers without asking again.
        let in_range = study.orders.iter().flatten().all(|p| *p < photos);
        if !in_range || study.orders.len() != study.readers.len() {
            return Err(StudyError::Damaged(
                "its orders do not fit its photos".into(),
            ));
        }
        Ok(study)
    }

    /// With what to change kept back: what the program reads stays, how it would change the taper goes.
    #[must_use]
    pub(crate) fn held(mut self) -> Self {
        for photo in &mut self.photos {
            photo.change_um = None;
        }
        self
    }

    /// Whether readers would see the same: what the program reads in it does not count.
    pub(crate) fn same_plan(&self, other: &Self) -> bool {
        let pictures = |s: &Self| -> Vec<(String, String, Option<TipDirection>)> {
            let photos = s.photos.iter();
            photos
                .map(|p| (p.file.clone(), p.sha256.clone(), p.tip))
                .collect()
        };
        let said = |s: &Self| (s.seed, s.rounds, s.method, s.tip, s.grip);
        said(self) == said(other)
            && self.readers == other.readers
            && self.orders == other.orders
            && pictures(self) == pictures(other)
    }

    /// Each reader with the order of photos.
    pub(crate) fn by_reader(&self) -> impl Iterator<Item = (&Person, &Order)> {
        self.readers.iter().zip(&self.orders)
    }

    /// What the program reads: the same in every round, so once a photo.
    pub(crate) fn programs_calls(&self) -> impl Iterator<Item = Call> + '_ {
        self.photos.iter().map(|photo| Call {
            reader: Reader::Program,
            item: photo.file.clone(),
            repeat: 1,
            pattern: photo.pattern,
            change: photo.change(),
        })
    }
}

/// For people: a line per number of each reader.
pub(crate) fn key_csv(study: &Study) -> Result<Vec<u8>, csv::Error> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(["reader", "number", "photo", "round"])?;
    for (reader, order) in study.by_reader() {
        for (number, photo, round) in numbered(order) {
            // A file may be called something that a spreadsheet would run as a formula.
            let file = for_cell(&study.photos[photo].file);
            let number = written(number as usize, order.len());
            let line = [reader.to_string(), number, file, round.to_string()];
            table.write_record(&line)?;
        }
    }
    table.into_inner().map_err(|e| e.into_error().into())
}

//! What a shop keeps about its jaws: jaw sets, their cuts and the checks of each cut. Plain values;
//! how they are stored is the archive's matter.

mod id;
mod said;
mod summary;

use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};

pub use id::{Id, IdError};
pub(crate) use said::{SAID, Said};
pub use summary::{JawSetSummary, LastCheck, LastCut};

use crate::reading::method::Method;
use crate::reading::outcome::Reading;
use crate::reading::pattern::Pattern;
use crate::reading::refusal::Reason;
use crate::taper::advice::{Action, Advice, Grip};
use crate::taper::estimate::{Observation, OpenEnd};
use crate::units::{Length, PerSide, Pressure};

/// The jaws that belong together. Everything but the name and the grip may be unknown.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JawSet {
    /// The same in every archive that holds this set.
    pub id: Id,
    /// What the shop calls it; no two sets of an archive share a name, whatever its case.
    pub name: String,
    /// Which way the jaws grip.
    pub grip: Grip,
    /// Of the jaws, as the shop writes it.
    pub material: Option<String>,
    /// From the serrations to the top of the jaw.
    pub jaw_height: Option<Length>,
    /// Of the gripping face, tip to base.
    pub face_length: Option<Length>,
    /// Of the gripping face, straight across.
    pub face_width: Option<Length>,
    /// As bored or turned last.
    pub bored_diameter: Option<Length>,
    /// What is clamped in them.
    pub workpiece: Option<String>,
    /// Where it is clamped.
    pub workpiece_diameter: Option<Length>,
    /// Where the set sits now.
    pub mounting: Mounting,
    /// Chuck pressure while boring.
    pub boring_pressure: Option<Pressure>,
    /// Chuck pressure in production.
    pub production_pressure: Option<Pressure>,
    /// As the shop states it; makers differ, so it is never filled in.
    pub bolt_torque: Option<String>,
    /// What to clamp on while boring: ring or plug, and its diameter.
    pub bored_on: Option<String>,
    /// Per side, what may still be bored away until the jaws are used up.
    pub stock: Option<Length>,
    /// Free text.
    pub notes: Option<String>,
    /// SHA-256 of photos of the set itself, lower-case hexadecimal.
    pub photos: Vec<String>,
    /// When this record was last written; of two versions the later one stands.
    pub changed: DateTime,
}

/// Where jaws sit: jaws that moved must be bored again.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Mounting {
    /// The lathe.
    pub machine: Option<String>,
    /// The chuck.
    pub chuck: Option<String>,
    /// Which jaw sits on which master jaw: `1-A 2-B 3-C`.
    pub master_jaws: Option<String>,
    /// Where on the serrations: a count and from where, or a scribed line.
    pub serration: Option<String>,
}

/// One boring of a jaw set.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cut {
    /// The same in every archive that holds this cut.
    pub id: Id,
    /// The set that was cut.
    pub jaw_set: Id,
    /// When.
    pub made: DateTime,
    /// Diameter to which it was bored or turned, at the base.
    pub diameter: Option<Length>,
    /// Along the spindle axis.
    pub depth: Option<Length>,
    /// More material at the tip than at the base, per side, over the face.
    pub taper: Option<PerSide>,
    /// Chuck pressure while boring.
    pub boring_pressure: Option<Pressure>,
    /// What was skimmed besides the gripping face, and by how much.
    pub skimmed: Option<String>,
    /// Per side, what was left after this cut until the jaws are used up.
    pub stock_left: Option<Length>,
    /// Where the set sat.
    pub mounting: Mounting,
    /// Free text.
    pub notes: Option<String>,
    /// See [`JawSet::changed`].
    pub changed: DateTime,
}

/// One check of a cut: the photos of all jaws after one clamping, and what came of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FiledCheck {
    /// Follows from the jaw set and the first photo filed, so that archives agree on it.
    pub id: Id,
    /// The cut that was checked.
    pub cut: Id,
    /// When the first photo was taken; when it was filed, where no photo tells.
    pub made: DateTime,
    /// How the check was made.
    pub method: Method,
    /// The compound's name or colour, as the shop writes it.
    pub compound: Option<String>,
    /// Chuck pressure while checking.
    pub pressure: Option<Pressure>,
    /// Where the set sat.
    pub mounting: Mounting,
    /// One per photo, in the order given.
    pub readings: Vec<FiledReading>,
    /// Version of the program that read the photos.
    pub program: String,
    /// Version of the rules behind the advice.
    pub rules: String,
    /// What was advised.
    pub advice: FiledAdvice,
    /// What was done about it, in the setter's words.
    pub done: Option<String>,
    /// See [`JawSet::changed`].
    pub changed: DateTime,
}

/// One photo of a check. Where several are of one jaw, the first holds what they say together, and the others hold no
/// pattern and no refusal: [`Self::is_further_view`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FiledReading {
    /// Of the photo's bytes, lower-case hexadecimal.
    pub sha256: String,
    /// The photo's name when it was filed, without its folder.
    pub file: String,
    /// As the camera wrote it.
    pub taken: Option<DateTime>,
    /// Maker and model of what took it, as it wrote them.
    #[serde(default)]
    pub phone: Option<String>,
    /// The pattern.
    pub pattern: Pattern,
    /// Its confidence; 0 when refused.
    pub confidence: f64,
    /// Why it could not be judged.
    pub refusal: Option<Reason>,
    /// What it says of the taper, where it says anything that may be acted on: [`Seen::of_reading`].
    pub seen: Option<Seen>,
    /// The reading as `read --json` prints it under `photos`; where the photo stands for several of its jaw, what they say
    /// together, with its own under `alone`.
    pub detail: serde_json::Value,
}

impl FiledCheck {
    /// The readings, one per jaw.
    pub(crate) fn jaws(&self) -> impl Iterator<Item = &FiledReading> {
        self.readings.iter().filter(|r| !r.is_further_view())
    }
}

impl FiledReading {
    /// Whether another photo of the check holds what is read of this one's jaw.
    pub fn is_further_view(&self) -> bool {
        self.pattern == Pattern::Unreadable && self.refusal.is_none()
    }
}

/// An [`Observation`] without the taper, which is the cut's.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Seen {
    /// Which end stands open.
    pub open_end: OpenEnd,
    /// Share of the length without contact, from the open end.
    pub open_fraction: f64,
    /// One standard deviation of it.
    pub sd: f64,
}

/// What was advised on a check.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FiledAdvice {
    /// Pattern of the check as a whole.
    pub pattern: Pattern,
    /// What to do.
    pub action: Action,
    /// Signed: positive adds taper.
    pub change: Option<PerSide>,
    /// Lower end of its interval.
    pub low: Option<PerSide>,
    /// Upper end of its interval.
    pub high: Option<PerSide>,
    /// The taper to cut next.
    pub next_taper: Option<PerSide>,
    /// One sentence.
    pub what_to_do: String,
    /// A few sentences.
    pub why: String,
}

/// A jaw set with all its cuts, oldest first, each with its checks, oldest first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Timeline {
    /// The set.
    pub jaw_set: JawSet,
    /// Its cuts and their checks.
    pub cuts: Vec<CutTimeline>,
}

/// One cut with its checks, oldest first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CutTimeline {
    /// The cut.
    pub cut: Cut,
    /// Its checks.
    pub checks: Vec<FiledCheck>,
}

/// Something that changed between two checks and spoils their comparison.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// What: "pressure", "machine", …
    pub what: &'static str,
    /// As it was at the earlier check.
    pub before: String,
    /// As it is now.
    pub now: String,
}

impl JawSet {
    /// A set of which nothing but the name is known.
    pub fn named(id: Id, name: &str, changed: DateTime) -> Self {
        Self {
            id,
            name: name.to_owned(),
            grip: Grip::default(),
            material: None,
            jaw_height: None,
            face_length: None,
            face_width: None,
            bored_diameter: None,
            workpiece: None,
            workpiece_diameter: None,
            mounting: Mounting::default(),
            boring_pressure: None,
            production_pressure: None,
            bolt_torque: None,
            bored_on: None,
            stock: None,
            notes: None,
            photos: Vec::new(),
            changed,
        }
    }
}

impl Timeline {
    /// The checks of all cuts, cut by cut.
    pub fn checks(&self) -> impl Iterator<Item = &FiledCheck> {
        self.cuts.iter().flat_map(|c| &c.checks)
    }
}

impl Cut {
    /// A cut of the set as it is mounted and bored now; nothing else is known of it.
    pub fn of(set: &JawSet, id: Id, made: DateTime) -> Self {
        Self {
            id,
            jaw_set: set.id,
            made,
            diameter: None,
            depth: None,
            taper: None,
            boring_pressure: set.boring_pressure,
            skimmed: None,
            stock_left: None,
            mounting: set.mounting.clone(),
            notes: None,
            changed: made,
        }
    }
}

impl Seen {
    /// What a reading says of the taper; `None` where it says nothing, and where its picture contradicts
    /// the tip's direction or the method: the end that stands open may then be the other one.
    pub fn of_reading(reading: &Reading) -> Option<Self> {
        let of = |r| Observation::of(r, None).as_ref().map(Self::of);
        Some(reading)
            .filter(|r| !r.tip_contradicted && !r.method_contradicted)
            .and_then(of)
    }

    /// Of an observation.
    pub fn of(observation: &Observation) -> Self {
        Self {
            open_end: observation.open_end(),
            open_fraction: observation.open_fraction(),
            sd: observation.sd(),
        }
    }

    /// As evidence about a cut with `taper`; `None` where a number is out of range.
    pub fn observation(&self, taper: Option<PerSide>) -> Option<Observation> {
        Observation::new(self.open_end, self.open_fraction, self.sd, taper)
    }
}

impl FiledAdvice {
    /// Of an advice.
    pub fn of(advice: &Advice) -> Self {
        let change = advice.taper_change;
        Self {
            pattern: advice.pattern,
            action: advice.action,
            change: change.map(|c| c.change),
            low: change.map(|c| c.low),
            high: change.map(|c| c.high),
            next_taper: advice.next_taper,
            what_to_do: advice.what_to_do.clone(),
            why: advice.why.clone(),
        }
    }

    /// Whether the taper was to be left, also where that was kept back.
    pub(crate) fn leaves(&self) -> bool {
        // Only jaws that grip along their whole length are left.
        let kept_back = self.action == Action::Held && self.pattern == Pattern::FullLength;
        self.action == Action::Leave || kept_back
    }

    /// Before a check was advised on.
    pub(crate) fn none() -> Self {
        Self {
            // What promises least, should a check ever be seen in this state.
            pattern: Pattern::Unreadable,
            action: Action::Retake,
            change: None,
            low: None,
            high: None,
            next_taper: None,
            what_to_do: String::new(),
            why: String::new(),
        }
    }
}

impl Mounting {
    /// What differs from `earlier`, where both say it.
    pub fn differences_from(&self, earlier: &Self) -> Vec<Difference> {
        let pairs = [
            ("machine", &earlier.machine, &self.machine),
            ("chuck", &earlier.chuck, &self.chuck),
            ("master jaws", &earlier.master_jaws, &self.master_jaws),
            ("serration position", &earlier.serration, &self.serration),
        ];
        pairs
            .into_iter()
            .filter_map(|(what, before, now)| differ(what, before.clone(), now.clone()))
            .collect()
    }
}

/// `None` where either is unknown: what was never written down is no evidence of a change.
fn differ(what: &'static str, before: Option<String>, now: Option<String>) -> Option<Difference> {
    let (before, now) = (before?, now?);
    // Written by hand: case and blanks are no change.
    let same = before.trim().to_lowercase() == now.trim().to_lowercase();
    (!same).then_some(Difference { what, before, now })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_both_say_differs() {
        let before = Mounting {
            machine: Some("North lathe".into()),
            chuck: Some("8 in".into()),
            ..Mounting::default()
        };
        let now = Mounting {
            machine: Some("north lathe ".into()),
            chuck: Some("10 in".into()),
            serration: Some("3 from the outside".into()),
            ..Mounting::default()
        };
        let found = now.differences_from(&before);
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].what, found[0].now.as_str()), ("chuck", "10 in"));
    }
}

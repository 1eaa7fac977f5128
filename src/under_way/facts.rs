//! A jaw set as a check knows it that is made away from its archive: facts of the set. What its history has taught stays in
//! the archive, and so does everything that says where the set is, or who checked it.

use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};

use super::fault::Fault;
use super::settings::{self, Settings, free_text};
use crate::reading::method::Method;
use crate::taper::advice::Grip;
use crate::taper::records::{Id, JawSet, JawSetSummary};
use crate::units::{Length, PerSide, Pressure};

/// Of the file.
const SCHEMA: u32 = 1;
/// Longest name, in characters; the archive takes none that is longer.
const LONGEST_NAME: usize = 100;
/// Most sets of a file: a shop has some hundreds, and a phone lists them all.
#[cfg_attr(not(target_arch = "wasm32"), cfg(test))]
const MOST: usize = 5000;

/// Facts of one jaw set.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct SetFacts {
    pub(crate) id: Id,
    pub(crate) name: String,
    pub(crate) grip: Grip,
    pub(crate) material: Option<String>,
    pub(crate) face_length: Option<Length>,
    pub(crate) production_pressure: Option<Pressure>,
    /// Per side, of the newest cut.
    pub(crate) taper: Option<PerSide>,
    /// Of the newest check, as the next.
    pub(crate) method: Option<Method>,
    pub(crate) compound: Option<String>,
}

/// A file of jaw sets.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct JawSets {
    schema: u32,
    /// When the archive stood so.
    pub(crate) written: DateTime,
    #[serde(rename = "jaw_sets")]
    pub(crate) sets: Vec<SetFacts>,
}

impl JawSets {
    pub(crate) fn of(sets: &[JawSetSummary], written: DateTime) -> Self {
        Self {
            schema: SCHEMA,
            written,
            sets: sets.iter().map(SetFacts::of).collect(),
        }
    }

    /// A file that somebody chose: it may be any other.
    #[cfg_attr(not(target_arch = "wasm32"), cfg(test))]
    pub(crate) fn parsed(text: &str) -> Result<Self, Fault> {
        let unfit = || {
            Fault::Unfit(
                "this is no file of jaw sets that this version knows; write one with `seepline jaws list --for-phone`"
                    .into(),
            )
        };
        let file: Self = serde_json::from_str(text).map_err(|_| unfit())?;
        if file.schema != SCHEMA || file.sets.len() > MOST {
            return Err(unfit());
        }
        let sets = file.sets.into_iter().map(SetFacts::checked);
        Ok(Self {
            sets: sets.collect::<Result<_, _>>()?,
            ..file
        })
    }
}

impl SetFacts {
    pub(crate) fn of(summary: &JawSetSummary) -> Self {
        let (set, check) = (&summary.jaw_set, summary.last_check.as_ref());
        Self {
            id: set.id,
            name: set.name.clone(),
            grip: set.grip,
            material: set.material.clone(),
            face_length: set.face_length,
            production_pressure: set.production_pressure,
            taper: summary.last_cut.and_then(|cut| cut.taper),
            method: check.map(|c| c.method),
            compound: check.and_then(|c| c.compound.clone()),
        }
    }

    /// As an archive would have it.
    pub(crate) fn checked(self) -> Result<Self, Fault> {
        let unfit = |what: &str| {
            Fault::Unfit(format!(
                "{what} of a jaw set cannot be right; write the file again"
            ))
        };
        let name = free_text(&self.name).ok();
        let name = name.filter(|n| n.chars().count() <= LONGEST_NAME);
        let texts =
            [&self.material, &self.compound].map(|t| t.as_deref().map(free_text).transpose());
        let [material, compound] = texts;
        if self
            .face_length
            .is_some_and(|length| length <= Length::ZERO)
        {
            return Err(unfit("the length of the face"));
        }
        if let Some(taper) = self.taper {
            settings::taper(&taper.length().exact(), None).map_err(|_| unfit("the taper"))?;
        }
        Ok(Self {
            name: name.ok_or_else(|| unfit("the name"))?,
            material: material?,
            compound: compound?,
            ..self
        })
    }

    /// What a check of the set begins with; `last` is what was chosen last.
    pub(crate) fn begins(&self, last: Settings) -> Settings {
        Settings {
            jaw_set: Some(self.id),
            grip: self.grip,
            method: self.method.unwrap_or(last.method),
            compound: self.compound.clone(),
            // As the set's last cut, not what was typed for other jaws.
            taper: None,
            ..last
        }
    }

    /// For what asks about a set of the archive.
    pub(crate) fn jaw_set(&self) -> JawSet {
        JawSet {
            grip: self.grip,
            material: self.material.clone(),
            face_length: self.face_length,
            production_pressure: self.production_pressure,
            ..JawSet::named(self.id, &self.name, DateTime::default())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(set: &str) -> String {
        let id = "0123456789abcdef0123456789abcdef";
        let rest = r#""grip":"outside","material":null,"face_length":null,"production_pressure":null,"taper":null,"method":null,"compound":null"#;
        let set = if set.is_empty() {
            String::new()
        } else {
            format!(",{set}")
        };
        // Of a field that is there twice the last would stand, but serde takes none at all.
        let rest: Vec<&str> = rest
            .split(',')
            .filter(|f| !set.contains(f.split(':').next().unwrap()))
            .collect();
        let name = if set.contains("name") {
            String::new()
        } else {
            r#""name":"heron","#.to_owned()
        };
        format!(
            r#"{{"schema":1,"written":"2026-03-04T10:11:12","jaw_sets":[{{"id":"{id}",{name}{}{set}}}]}}"#,
            rest.join(",")
        )
    }

    #[test]
    fn a_file_is_taken_as_an_archive_would_take_it_or_not_at_all() {
        let sets = JawSets::parsed(&file(r#""taper":"0.003in","face_length":"1.25in""#)).unwrap();
        let heron = &sets.sets[0];
        let last = Settings {
            taper: PerSide::parse_taper("9thou").ok(),
            ..Settings::default()
        };
        let begun = heron.begins(last);
        assert_eq!((begun.jaw_set, begun.taper), (Some(heron.id), None));
        assert_eq!(heron.jaw_set().face_length, heron.face_length);
        for wrong in [
            r#""taper":"-0.003in""#,
            r#""taper":"3in""#,
            r#""face_length":"-1in""#,
            r#""name":"""#,
            r#""method":"guess""#,
            &format!(r#""name":"{}""#, "a".repeat(101)),
            &format!(r#""compound":"{}""#, "a".repeat(2001)),
        ] {
            assert!(JawSets::parsed(&file(wrong)).is_err(), "{wrong}");
        }
        for other in [
            "",
            "[]",
            "{}",
            &file("").replace("\"schema\":1", "\"schema\":2"),
        ] {
            let said = JawSets::parsed(other).unwrap_err().to_string();
            assert!(said.contains("--for-phone"), "{said}");
        }
    }
}

//! The columns of a table of jaw sets, both ways.

use std::fmt::Display;
use std::str::FromStr;

use super::super::columns::of_word;
use crate::taper::records::JawSet;
use crate::text::spreadsheet::cells::word;
use crate::text::spreadsheet::{for_cell, of_cell};
use crate::units::{Length, Pressure};

/// One column: how a set's field is written and read. Reading an empty cell is never asked for.
pub(super) struct Field {
    pub(super) name: &'static str,
    pub(super) write: fn(&JawSet) -> String,
    pub(super) read: fn(&mut JawSet, &str) -> Result<(), String>,
}

fn text(field: Option<&String>) -> String {
    field.map(String::as_str).map(for_cell).unwrap_or_default()
}

/// The length of a thing.
fn positive(cell: &str) -> Result<Option<Length>, String> {
    Length::parse_positive(cell).map(Some).map_err(say)
}

fn pressure(cell: &str) -> Result<Option<Pressure>, String> {
    Pressure::from_str(cell).map(Some).map_err(say)
}

fn say(error: impl Display) -> String {
    error.to_string()
}

fn exact(length: Option<Length>) -> String {
    length.map(Length::exact).unwrap_or_default()
}

macro_rules! fields {
    ($($name:literal => $kind:ident($($path:ident).+)),* $(,)?) => {
        [$(Field {
            name: $name,
            write: |set| fields!(@write $kind, set.$($path).+),
            read: |set, cell| {
                set.$($path).+ = fields!(@read $kind, cell);
                Ok(())
            },
        }),*]
    };
    (@write text, $field:expr) => { text($field.as_ref()) };
    (@write length, $field:expr) => { exact($field) };
    (@write stock, $field:expr) => { exact($field) };
    (@write pressure, $field:expr) => { $field.map(Pressure::exact).unwrap_or_default() };
    (@read text, $cell:expr) => { Some(of_cell($cell).to_owned()) };
    (@read length, $cell:expr) => { positive($cell)? };
    // Used-up jaws have none left.
    (@read stock, $cell:expr) => { Some(Length::parse_not_negative($cell).map_err(say)?) };
    (@read pressure, $cell:expr) => { pressure($cell)? };
}

/// The name and the grip, which every set has.
pub(super) const OF_EVERY_SET: [Field; 2] = [
    Field {
        name: "name",
        write: |set| for_cell(&set.name),
        read: |set, cell| {
            of_cell(cell).clone_into(&mut set.name);
            Ok(())
        },
    },
    Field {
        name: "grip",
        write: |set| word(&set.grip),
        read: |set, cell| {
            let grip = of_word(&cell.to_lowercase());
            set.grip =
                grip.ok_or_else(|| format!("“{cell}” is no grip; write outside or inside"))?;
            Ok(())
        },
    },
];

/// What may be unknown; the names are those of [`JawSet`]'s fields.
pub(super) const OPTIONAL: [Field; 17] = fields![
    "material" => text(material),
    "jaw_height" => length(jaw_height),
    "face_length" => length(face_length),
    "face_width" => length(face_width),
    "bored_diameter" => length(bored_diameter),
    "workpiece" => text(workpiece),
    "workpiece_diameter" => length(workpiece_diameter),
    "machine" => text(mounting.machine),
    "chuck" => text(mounting.chuck),
    "master_jaws" => text(mounting.master_jaws),
    "serration" => text(mounting.serration),
    "boring_pressure" => pressure(boring_pressure),
    "production_pressure" => pressure(production_pressure),
    "bolt_torque" => text(bolt_torque),
    "bored_on" => text(bored_on),
    "stock" => stock(stock),
    "notes" => text(notes),
];

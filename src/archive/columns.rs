//! Values ↔ cells. What a cell cannot hold as it is, it holds as exact text.

use jiff::civil::DateTime;
use rusqlite::Row;
use rusqlite::types::{Value, ValueRef};
use serde::de::value::{Error as WordError, StrDeserializer};
use serde::de::{DeserializeOwned, IntoDeserializer};

use super::error::{Fault, unreadable};
use crate::people::opinion::{CalledChange, Person};
use crate::people::records::{CallKind, Sight};
use crate::reading::method::Method;
use crate::reading::pattern::Pattern;
use crate::reading::refusal::Reason;
use crate::taper::advice::{Action, Grip};
use crate::taper::estimate::OpenEnd;
use crate::taper::records::{Id, Mounting};
use crate::text::spreadsheet::cells::word;
use crate::units::{Length, PerSide, Pressure};

/// A value that fits in one cell.
pub(super) trait Cell: Sized {
    fn to_cell(&self) -> Value;
    /// `None` where the cell holds something else.
    fn of_cell(cell: ValueRef<'_>) -> Option<Self>;
}

fn text(cell: ValueRef<'_>) -> Option<&str> {
    cell.as_str().ok()
}

impl<T: Cell> Cell for Option<T> {
    fn to_cell(&self) -> Value {
        self.as_ref().map_or(Value::Null, Cell::to_cell)
    }

    fn of_cell(cell: ValueRef<'_>) -> Option<Self> {
        match cell {
            ValueRef::Null => Some(None),
            _ => T::of_cell(cell).map(Some),
        }
    }
}

impl Cell for String {
    fn to_cell(&self) -> Value {
        Value::Text(self.clone())
    }

    fn of_cell(cell: ValueRef<'_>) -> Option<Self> {
        text(cell).map(str::to_owned)
    }
}

impl Cell for f64 {
    fn to_cell(&self) -> Value {
        Value::Real(*self)
    }

    fn of_cell(cell: ValueRef<'_>) -> Option<Self> {
        cell.as_f64().ok()
    }
}

impl Cell for bool {
    fn to_cell(&self) -> Value {
        Value::Integer(i64::from(*self))
    }

    fn of_cell(cell: ValueRef<'_>) -> Option<Self> {
        cell.as_i64().ok().map(|v| v != 0)
    }
}

impl Cell for usize {
    fn to_cell(&self) -> Value {
        Value::Integer(*self as i64)
    }

    fn of_cell(cell: ValueRef<'_>) -> Option<Self> {
        cell.as_i64().ok().and_then(|v| v.try_into().ok())
    }
}

impl Cell for Length {
    fn to_cell(&self) -> Value {
        // As text: a float would not give back every length exactly.
        Value::Text(self.exact())
    }

    fn of_cell(cell: ValueRef<'_>) -> Option<Self> {
        text(cell)?.parse().ok()
    }
}

impl Cell for PerSide {
    fn to_cell(&self) -> Value {
        self.length().to_cell()
    }

    fn of_cell(cell: ValueRef<'_>) -> Option<Self> {
        Length::of_cell(cell).map(PerSide::of)
    }
}

impl Cell for Pressure {
    fn to_cell(&self) -> Value {
        Value::Text(self.exact())
    }

    fn of_cell(cell: ValueRef<'_>) -> Option<Self> {
        text(cell)?.parse().ok()
    }
}

macro_rules! as_displayed {
    ($($of:ty),*) => {$(
        impl Cell for $of {
            fn to_cell(&self) -> Value {
                Value::Text(self.to_string())
            }

            fn of_cell(cell: ValueRef<'_>) -> Option<Self> {
                text(cell)?.parse().ok()
            }
        }
    )*};
}
as_displayed!(Id, DateTime, Person, CalledChange);

macro_rules! as_word {
    ($($of:ty),*) => {$(
        impl Cell for $of {
            fn to_cell(&self) -> Value {
                Value::Text(word(self))
            }

            fn of_cell(cell: ValueRef<'_>) -> Option<Self> {
                of_word(text(cell)?)
            }
        }
    )*};
}
as_word!(
    Grip, Method, Pattern, Action, Reason, OpenEnd, CallKind, Sight
);

/// Reverse of [`word`].
pub(super) fn of_word<T: DeserializeOwned>(word: &str) -> Option<T> {
    let source: StrDeserializer<'_, WordError> = word.into_deserializer();
    T::deserialize(source).ok()
}

/// The cells of a row, taken one after the other in the order of `columns`.
pub(super) struct Cells<'r> {
    row: &'r Row<'r>,
    table: &'static str,
    columns: &'static [&'static str],
    /// Columns of the row before these.
    before: usize,
    at: usize,
}

impl<'r> Cells<'r> {
    /// Of a row that begins with these columns.
    pub(super) fn of(
        row: &'r Row<'r>,
        table: &'static str,
        columns: &'static [&'static str],
    ) -> Self {
        Self {
            row,
            table,
            columns,
            before: 0,
            at: 0,
        }
    }

    /// Of a row of several tables in which these columns come after those in `first`.
    pub(super) fn after(
        row: &'r Row<'r>,
        first: &[&str],
        columns: &'static [&'static str],
    ) -> Self {
        Self {
            before: first.len(),
            ..Self::of(row, "cuts or checks", columns)
        }
    }

    pub(super) fn next<T: Cell>(&mut self) -> Result<T, Fault> {
        let cell = self.row.get_ref(self.before + self.at)?;
        // Before `at` goes on: the message names this column.
        let value = T::of_cell(cell).ok_or_else(|| self.not_understood(cell));
        self.at += 1;
        value
    }

    pub(super) fn mounting(&mut self) -> Result<Mounting, Fault> {
        Ok(Mounting {
            machine: self.next()?,
            chuck: self.next()?,
            master_jaws: self.next()?,
            serration: self.next()?,
        })
    }

    fn not_understood(&self, cell: ValueRef<'_>) -> Fault {
        let value = match cell {
            ValueRef::Text(bytes) => String::from_utf8_lossy(bytes),
            other => format!("{other:?}").into(),
        };
        let column = self.columns.get(self.at).copied().unwrap_or("?");
        unreadable(self.table, column, &value)
    }
}

/// `a, b, c`, each with `prefix`.
pub(super) fn listed(columns: &[&str], prefix: &str) -> String {
    let all: Vec<String> = columns.iter().map(|c| format!("{prefix}{c}")).collect();
    all.join(", ")
}

/// Inserts a row, or replaces the one with the same id.
pub(super) fn upsert(table: &str, columns: &[&str]) -> String {
    let places: Vec<String> = (1..=columns.len()).map(|i| format!("?{i}")).collect();
    let set: Vec<String> = columns
        .iter()
        .filter(|c| **c != "id")
        .map(|c| format!("{c} = excluded.{c}"))
        .collect();
    format!(
        // Not `INSERT OR REPLACE`: that deletes the row first, with its `hidden`, and breaks what refers to it.
        "INSERT INTO {table} ({}) VALUES ({}) ON CONFLICT (id) DO UPDATE SET {}",
        columns.join(", "),
        places.join(", "),
        set.join(", ")
    )
}

//! A table as it was given, so that it can be given again with more said in it.

use csv::ByteRecord;

use super::table::COLUMNS;
use crate::text::spreadsheet::of_cell;

/// Every line of a table, those included that were not used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// The known columns, each once, then the others in their order.
    pub columns: Vec<String>,
    /// The texts of each line's cells, as many as there are columns.
    pub lines: Vec<Vec<String>>,
    /// Lines that could not be told apart, and are not among these.
    pub unread: usize,
    /// Where each column stands in the file; `None` where it is not there.
    places: Vec<Option<usize>>,
}

impl Default for Written {
    fn default() -> Self {
        Self::under(&ByteRecord::new(), &[])
    }
}

impl Written {
    /// A table without lines; `known` says which of the known columns each column is.
    pub(super) fn under(header: &ByteRecord, known: &[Option<&str>]) -> Self {
        let place = |name: &&str| known.iter().position(|k| *k == Some(*name));
        let others = (0..header.len()).filter(|i| known.get(*i).is_none_or(Option::is_none));
        let others: Vec<usize> = others.collect();
        let names = others.iter().map(|i| text(&header[*i]));
        Self {
            columns: COLUMNS
                .map(str::to_owned)
                .into_iter()
                .chain(names)
                .collect(),
            lines: Vec::new(),
            unread: 0,
            places: COLUMNS
                .iter()
                .map(place)
                .chain(others.iter().map(|i| Some(*i)))
                .collect(),
        }
    }

    /// Takes in a line, `None` where it could not be told; its place in `lines`.
    pub(super) fn add(&mut self, cells: Option<&ByteRecord>) -> usize {
        let at = self.lines.len();
        let Some(cells) = cells else {
            self.unread += 1;
            return at;
        };
        let known = self.places.iter().flatten().count();
        // A line may have more cells than the header names.
        for place in known..cells.len() {
            self.places.push(Some(place));
            self.columns.push(String::new());
            self.lines.iter_mut().for_each(|l| l.push(String::new()));
        }
        let cell = |place: &Option<usize>| place.and_then(|i| cells.get(i)).map(text);
        let line = self.places.iter().map(|p| cell(p).unwrap_or_default());
        self.lines.push(line.collect());
        at
    }
}

/// What is no UTF-8 was not used either, and shows where it was.
fn text(cell: &[u8]) -> String {
    of_cell(&String::from_utf8_lossy(cell)).to_owned()
}

#[cfg(test)]
mod tests {
    use crate::review::Table;
    use crate::units::{Length, PerSide};

    #[test]
    fn every_line_is_kept_whether_it_was_used_or_not() {
        let table = "colour;FILE;tip\nred;a.jpg;up\n;b.jpg;sideways\nblue;'=c.jpg;;more\n";
        let largest = PerSide::of(Length::from_tenths(500));
        let (table, _) = Table::parse(table.as_bytes(), largest);
        let written = table.written();
        let place = |name: &str| written.columns.iter().position(|c| c == name).unwrap();
        let cells = |name: &str| -> Vec<&str> {
            let lines = written.lines.iter();
            lines.map(|l| l[place(name)].as_str()).collect()
        };
        assert_eq!(cells("file"), ["a.jpg", "b.jpg", "=c.jpg"]);
        assert_eq!(cells("tip"), ["up", "sideways", ""]);
        assert_eq!(cells("colour"), ["red", "", "blue"]);
        assert_eq!(cells(""), ["", "", "more"]);
        assert_eq!((cells("method"), written.unread), (vec![""; 3], 0));
        let (rows, _) = table.of_files(&["x/=c.jpg", "a.jpg"]);
        assert_eq!((rows["a.jpg"].at, rows["x/=c.jpg"].at), (0, 2));
    }
}

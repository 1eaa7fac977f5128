//! A reader's filled-in answer sheet.

use std::collections::{BTreeMap, BTreeSet};

use super::Fault;
use super::change::{contradiction, parse};
use super::lines::{Line, lines};
use crate::people::opinion::{Person, all_patterns, pattern_called};
use crate::reading::pattern::Pattern;
use crate::text::outside::echo;
use crate::units::PerSide;

/// The columns of a sheet; the first two must be there.
const COLUMNS: [&str; 5] = ["number", "pattern", "reader", "change_per_side", "note"];

/// What a sheet says.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Sheet {
    /// By the number on the sheet; blank lines are not in it.
    pub(crate) answers: BTreeMap<u32, (Pattern, Option<PerSide>)>,
    /// In the file's order.
    pub(crate) faults: Vec<Fault>,
}

/// Reads the sheet of `reader`, with numbers from 1 to `last`. Every line with something wrong is named; a
/// bad change leaves the line's pattern in use, anything else leaves the line out.
pub(crate) fn read_sheet(bytes: &[u8], reader: &Person, last: u32) -> Sheet {
    let mut sheet = Sheet::default();
    let Some(lines) = lines(bytes, &COLUMNS, 2, &mut sheet.faults) else {
        return sheet;
    };
    let mut seen = BTreeSet::new();
    for line in lines {
        let number = number(&line, last).inspect(|number| {
            // Before the pattern is looked at: a number whose line is faulty was still spoken of.
            seen.insert(*number);
        });
        match number.and_then(|n| Ok((n, pattern(&line, reader)?))) {
            Err(what) => sheet.faults.push(Fault::at(line.line, what)),
            Ok((_, None)) => {}
            Ok((number, Some(pattern))) => sheet.take(number, pattern, &line),
        }
    }
    sheet.faults.extend(missing(&seen, last));
    sheet
}

impl Sheet {
    /// The first answer to a number stands, since a call can't be changed.
    fn take(&mut self, number: u32, pattern: Pattern, line: &Line) {
        if self.answers.contains_key(&number) {
            let what =
                format!("number {number} is answered on an earlier line; that answer counts");
            self.faults.push(Fault::at(line.line, what));
            return;
        }
        // The pattern is what the study is about; a slip in the other cell must not cost it.
        let change = parse(line.cell(3)).unwrap_or_else(|what| {
            let what = format!("the change {what}; the pattern was used without it");
            self.faults.push(Fault::at(line.line, what));
            None
        });
        if let Some(what) = contradiction(pattern, change) {
            let what =
                format!("{what}; both were kept, and the call counts as the worse of the two");
            self.faults.push(Fault::at(line.line, what));
        }
        self.answers.insert(number, (pattern, change));
    }
}

/// Which photo the line is about.
fn number(line: &Line, last: u32) -> Result<u32, String> {
    let text = line.cell(0);
    let number: u32 = text.parse().map_err(|_| {
        format!(
            "“{}” is no number of a photo; write it as on the page",
            echo(text)
        )
    })?;
    if (1..=last).contains(&number) {
        Ok(number)
    } else {
        Err(format!(
            "there is no photo number {number}; the last one is {last}"
        ))
    }
}

/// The pattern, where one is written.
fn pattern(line: &Line, reader: &Person) -> Result<Option<Pattern>, String> {
    let [text, who, change] = [1, 2, 3].map(|column| line.cell(column));
    // Sheets get mixed up on a bench: a colleague's line would count as this reader's.
    if !who.is_empty() && Person::parse(who).as_ref() != Ok(reader) {
        return Err(format!(
            "the reader is {} on the sheet of {reader}; the line was not used",
            echo(who)
        ));
    }
    if text.is_empty() {
        return match change {
            "" => Ok(None),
            _ => Err("a change without a pattern; write the pattern too".to_owned()),
        };
    }
    let known = pattern_called(text).ok();
    known.map(Some).ok_or_else(|| {
        format!(
            "“{}” is no pattern; write one of {}",
            echo(text),
            all_patterns()
        )
    })
}

/// Numbers named in one fault at most.
const NAMED: usize = 8;

/// Numbers that no line speaks of, in one fault.
fn missing(seen: &BTreeSet<u32>, last: u32) -> Option<Fault> {
    let missing: Vec<String> = (1..=last)
        .filter(|n| !seen.contains(n))
        .map(|n| n.to_string())
        .collect();
    let named = missing[..missing.len().min(NAMED)].join(", ");
    let what = match missing.len() {
        0 => return None,
        1 => format!("no line speaks of number {named}; it counts as not answered"),
        n if n <= NAMED => format!("no line speaks of numbers {named}; they count as not answered"),
        n => format!(
            "no line speaks of numbers {named} and {} more; they count as not answered",
            n - NAMED
        ),
    };
    Some(Fault { line: None, what })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(text: &str) -> Sheet {
        read_sheet(text.as_bytes(), &Person::parse("AB").expect("initials"), 6)
    }

    #[test]
    fn a_sheet_as_it_should_be() {
        let read = sheet(
            "reader,number,pattern,change_per_side,note\nAB,001,tip-only,-1thou,\nab,2,Full length,0,sure\nAB,003,,,\nAB,4,one-side,,\nAB,5,unreadable,,\nAB,6,base-only,,\n",
        );
        assert_eq!(read.faults, []);
        assert_eq!(read.answers.len(), 5);
        assert_eq!(read.answers[&2].0, Pattern::FullLength);
    }

    #[test]
    fn every_bad_line_is_named_and_the_rest_used() {
        let read = sheet(
            "number;pattern;reader;change_per_side\n1;tip-only;CD;\n2;tip only;AB;1thou\n2;base-only;AB;\n3;tippy;;\n9;tip-only;;\n4;base-only;;-1thou\n;full-length;;\n5;;;-1thou\n",
        );
        let lines: Vec<_> = read.faults.iter().map(|f| f.line).collect();
        let of = [
            Some(2),
            Some(3),
            Some(4),
            Some(5),
            Some(6),
            Some(7),
            Some(8),
            Some(9),
            None,
        ];
        assert_eq!(lines, of, "{:?}", read.faults);
        assert_eq!(read.answers.keys().collect::<Vec<_>>(), [&2, &4]);
        assert_eq!(read.answers[&2], (Pattern::TipOnly, None));
        assert!(read.answers[&4].1.is_some());
    }

    #[test]
    fn what_is_no_sheet_is_told() {
        for text in ["", "\u{0}\u{1}", "a,b\n1,2\n", "number\n1\n"] {
            let read = sheet(text);
            assert!(
                read.answers.is_empty() && read.faults[0].line == Some(1),
                "{read:?}"
            );
        }
    }
}

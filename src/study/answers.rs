//! A reader's filled-in answer sheet.

use std::collections::{BTreeMap, BTreeSet};

use super::change::{contradiction, parse};
use super::lines::{Line, lines};
use super::{Fault, ReaderName};
use crate::agreement::pattern_of_word;
use crate::pattern::Pattern;
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
pub(crate) fn read_sheet(bytes: &[u8], reader: &ReaderName, last: u32) -> Sheet {
    let mut sheet = Sheet::default();
    let Some(lines) = lines(bytes, &COLUMNS, 2, &mut sheet.faults) else {
        return sheet;
    };
    let mut seen = BTreeSet::new();
    for line in lines {
        match answer(&line, reader, last) {
            Err(what) => sheet.faults.push(Fault::at(line.line, what)),
            Ok((number, pattern)) => {
                seen.insert(number);
                if let Some(pattern) = pattern {
                    sheet.take(number, pattern, &line);
                }
            }
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

/// The number, and the pattern where one is written.
fn answer(line: &Line, reader: &ReaderName, last: u32) -> Result<(u32, Option<Pattern>), String> {
    let [number, pattern, who] = [0, 1, 2].map(|column| line.cell(column));
    if !who.is_empty() && who.to_uppercase() != reader.to_string() {
        return Err(format!(
            "the reader is {} on the sheet of {reader}; the line was not used",
            shown(who)
        ));
    }
    let read: u32 = number.parse().map_err(|_| {
        format!(
            "“{}” is no number of a photo; write it as on the page",
            shown(number)
        )
    })?;
    if !(1..=last).contains(&read) {
        return Err(format!(
            "there is no photo number {read}; the last one is {last}"
        ));
    }
    if pattern.is_empty() {
        return match line.cell(3) {
            "" => Ok((read, None)),
            _ => Err("a change without a pattern; write the pattern too".to_owned()),
        };
    }
    let known = pattern_of_word(pattern).ok_or_else(|| {
        format!(
            "“{}” is no pattern; write one of {}",
            shown(pattern),
            words()
        )
    })?;
    Ok((read, Some(known)))
}

fn words() -> String {
    let word = |p: &Pattern| {
        serde_json::to_value(p)
            .ok()
            .and_then(|v| v.as_str().map(str::to_owned))
    };
    let words: Vec<String> = crate::agreement::PATTERNS.iter().filter_map(word).collect();
    words.join(", ")
}

/// Numbers without a line of use, in one fault.
fn missing(seen: &BTreeSet<u32>, last: u32) -> Option<Fault> {
    let missing: Vec<u32> = (1..=last).filter(|n| !seen.contains(n)).collect();
    let (first, count) = (missing.first()?, missing.len());
    let what = match count {
        1 => format!("number {first} has no line that could be used; it counts as not answered"),
        _ => format!(
            "{count} numbers, the first {first}, have no line that could be used; they count as not answered"
        ),
    };
    Some(Fault { line: None, what })
}

fn shown(text: &str) -> String {
    text.chars().take(40).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(text: &str) -> Sheet {
        read_sheet(text.as_bytes(), &"AB".parse().expect("a name"), 6)
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

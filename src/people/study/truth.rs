//! A table of what was right.

use std::collections::BTreeMap;

use super::Fault;
use super::change::{contradiction, parse};
use super::lines::{Line, lines};
use crate::people::agreement::{RestsOn, Right};
use crate::people::opinion::pattern_called;
use crate::text::outside::{echo, echo_place};

/// The first two must be there.
const COLUMNS: [&str; 4] = ["photo", "pattern", "change_per_side", "rests_on"];

/// Reads a table of what was right, for photos of these names. Bad lines are named and not used.
pub(crate) fn read_truth(bytes: &[u8], photos: &[&str]) -> (BTreeMap<String, Right>, Vec<Fault>) {
    let (mut right, mut faults) = (BTreeMap::new(), Vec::new());
    for line in lines(bytes, &COLUMNS, 2, &mut faults).unwrap_or_default() {
        match one(&line, photos) {
            Err(what) => faults.push(Fault::at(line.line, what)),
            Ok((photo, _)) if right.contains_key(photo) => {
                let what = "an earlier line speaks of this photo; that one was used";
                faults.push(Fault::at(line.line, what));
            }
            Ok((photo, known)) => {
                right.insert(photo.to_owned(), known);
            }
        }
    }
    (right, faults)
}

fn one<'a>(line: &Line, photos: &[&'a str]) -> Result<(&'a str, Right), String> {
    let photo = photo(line.cell(0), photos)?;
    let word = line.cell(1);
    let pattern = pattern_called(word).map_err(|_| format!("“{}” is no pattern", echo(word)))?;
    let change = parse(line.cell(2)).map_err(|what| format!("the change {what}"))?;
    // On a sheet both are kept, as a mistake to count; nobody can be held against a truth with a mistake in
    // it.
    if let Some(what) = contradiction(pattern, change) {
        return Err(what.to_owned());
    }
    let basis = match line
        .cell(3)
        .to_lowercase()
        .replace([' ', '_'], "-")
        .as_str()
    {
        "" => RestsOn::Table,
        "later-cuts" => RestsOn::LaterCuts,
        "lead" => RestsOn::LeadsRuling,
        _ => return Err("rests_on is “later-cuts”, “lead” or empty".to_owned()),
    };
    Ok((
        photo,
        Right {
            pattern,
            change,
            basis,
        },
    ))
}

/// By its place below the folder, or by its name alone where only one photo has it.
fn photo<'a>(name: &str, photos: &[&'a str]) -> Result<&'a str, String> {
    // As a path is copied on Windows.
    let name = name.replace('\\', "/");
    // A whole place stands before a name alone, which another folder's photo may share.
    if let Some(whole) = photos.iter().find(|p| **p == name) {
        return Ok(whole);
    }
    let called: Vec<_> = photos
        .iter()
        .filter(|p| p.rsplit('/').next() == Some(&name))
        .collect();
    let shown = echo_place(&name);
    match called[..] {
        [only] => Ok(only),
        [] => Err(format!("no photo of the study is called “{shown}”")),
        _ => Err(format!(
            "several photos are called “{shown}”; write the folder before the name, with /"
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::pattern::Pattern;

    #[test]
    fn photos_are_found_by_name_and_bad_lines_named() {
        let photos = ["a/1.jpg", "b/1.jpg", "b/2.jpg"];
        let table = "photo,pattern,change_per_side,rests_on\na/1.jpg,tip-only,-1thou,later cuts\n1.jpg,tip-only,,\n2.jpg,full-length,,lead\nb\\2.jpg,full-length,,\n9.jpg,tip-only,,\nb/1.jpg,tipped,,\nb/1.jpg,tip-only,1thou,\nb/1.jpg,tip-only,+1thou,\nb/1.jpg,tip-only,,my word\n";
        let (right, faults) = read_truth(table.as_bytes(), &photos);
        let lines: Vec<_> = faults.iter().filter_map(|f| f.line).collect();
        assert_eq!(lines, [3, 5, 6, 7, 8, 9, 10], "{faults:?}");
        assert_eq!(right["a/1.jpg"].basis, RestsOn::LaterCuts);
        assert_eq!(right["b/2.jpg"].pattern, Pattern::FullLength);
        assert_eq!(right.len(), 2);
    }
}

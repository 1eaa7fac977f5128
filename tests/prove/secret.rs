//! What a check of heron advises, to be looked for where it is kept back.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::support::bench::Bench;
use crate::support::samples::sample;

const HERON: &str = "heron-too-much-taper";
/// By `sample-images/truth.json` heron was cut with 68.7 µm and needs 12.8 µm.
pub(super) const FIRST_CUT: &str = "cut add heron --taper 68.7um --made 2026-07-03T08:00";
pub(super) const SECOND_CUT: &str = "cut add heron --taper 12.8um --made 2026-07-04T08:00";

pub(super) fn heron() -> Vec<String> {
    (1..=3)
        .map(|n| sample(&format!("{HERON}/jaw{n}.jpg")))
        .collect()
}

/// Amounts as texts state them: `-2.0 thou`, `0.0508 mm`.
fn stated(lines: &str) -> Vec<String> {
    let words: Vec<&str> = lines
        .split_whitespace()
        .map(|w| w.trim_matches(['(', ')', ',', ';', '.']))
        .collect();
    words
        .windows(2)
        .filter(|w| {
            ["thou", "mm", "in"].contains(&w[1]) && w[0].parse::<f64>().is_ok_and(|n| n != 0.0)
        })
        .flat_map(|w| {
            [
                format!("{} {}", w[0], w[1]),
                format!("{} {}", w[0].replace('-', "−"), w[1]),
            ]
        })
        .collect()
}

/// Numbers of JSON that are lengths.
fn lengths(value: &Value, key: &str, found: &mut Vec<f64>) {
    match value {
        Value::Object(all) => all
            .iter()
            .for_each(|(key, value)| lengths(value, key, found)),
        Value::Array(all) => all.iter().for_each(|value| lengths(value, key, found)),
        Value::Number(n) if ["thou", "um", "mm"].iter().any(|unit| key.ends_with(unit)) => {
            found.extend(n.as_f64());
        }
        _ => {}
    }
}

/// Of a change, whatever its amount. “Open at the base: too much taper” is the reading.
const WORDS: [&str; 4] = ["more taper", "less taper", "add taper", "taper off"];

/// What is not to come out while it is held: of the check of heron, as it is said where nothing is held.
pub(super) struct Secret {
    texts: Vec<String>,
    numbers: Vec<f64>,
}

impl Secret {
    pub(super) fn of_heron() -> Self {
        let bench = Bench::new();
        bench.run(FIRST_CUT).success();
        let text = bench.read(&heron(), "--jaws heron").success().out();
        let json = bench.read(&heron(), "--jaws heron --json").success().json();
        let Self { mut texts, numbers } = Self::of(
            &text,
            &["Change ", "Next taper", "Likely", "Program"],
            &json,
        );
        // Nothing says “proven” where nothing was begun.
        assert!(
            json.get("proof").is_none() && !text.contains("roven"),
            "{text}"
        );
        // As records, exports and tables hold them.
        let filed = bench.checks("heron")[0]["advice"].clone();
        for key in ["change", "low", "high", "next_taper"] {
            texts.push(filed[key].as_str().unwrap().to_owned());
        }
        assert!(
            texts.len() >= 12 && numbers.len() >= 6,
            "{texts:?} {numbers:?}"
        );
        Self { texts, numbers }
    }

    /// Of a check as it is said: the amounts on lines that begin so, and those of its JSON.
    pub(super) fn of(text: &str, telling: &[&str], json: &Value) -> Self {
        let tells = |l: &&str| telling.iter().any(|w| l.trim_start().starts_with(w));
        let mut numbers = Vec::new();
        for key in ["taper_change", "next_taper", "program"] {
            lengths(&json["check"][key], key, &mut numbers);
        }
        numbers.retain(|n| *n != 0.0);
        Self {
            texts: stated(&text.lines().filter(tells).collect::<Vec<_>>().join("\n")),
            numbers,
        }
    }

    #[track_caller]
    pub(super) fn is_not_in(&self, what: &str, text: &str) {
        let small = text.to_lowercase();
        // What readers look for, and what a wrong way is, is explained there.
        let explains = ["agreement", "study"].iter().any(|w| what.contains(w));
        for word in WORDS.iter().filter(|_| !explains) {
            assert!(!small.contains(word), "“{word}” in {what}: {text}");
        }
        for part in &self.texts {
            assert!(!text.contains(part.as_str()), "“{part}” in {what}: {text}");
        }
        for json in text
            .lines()
            .chain([text])
            .filter_map(|t| serde_json::from_str::<Value>(t).ok())
        {
            let mut found = Vec::new();
            lengths(&json, "", &mut found);
            let told = found
                .iter()
                .find(|n| self.numbers.iter().any(|s| (*s - **n).abs() < 1e-9));
            assert!(told.is_none(), "{told:?} in {what}: {text}");
        }
    }
}

/// Everything that the folder holds and is text.
pub(super) fn texts_in(folder: &Path, found: &mut Vec<(String, String)>) {
    for entry in fs::read_dir(folder).unwrap() {
        let place = entry.unwrap().path();
        if place.is_dir() {
            texts_in(&place, found);
        } else if let Ok(text) = String::from_utf8(fs::read(&place).unwrap()) {
            found.push((place.display().to_string(), text));
        }
    }
}

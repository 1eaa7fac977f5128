//! Where each page lies. File names are made of lower-case letters, digits, `-` and `.` only, so that
//! every file system takes them and no link needs escapes.

use std::collections::{HashMap, HashSet};

use crate::review::Order;
use crate::taper::records::Id;

/// Longest name of a set in a file name.
const LONGEST: usize = 40;
/// Names that Windows keeps for devices, whatever their ending, and one that is ours.
const KEPT: [&str; 5] = ["con", "prn", "aux", "nul", "without-set"];
/// Likewise with a digit from 1 to 9 behind them.
const KEPT_WITH_DIGIT: [&str; 2] = ["com", "lpt"];

/// File names without their endings.
#[derive(Debug)]
pub(super) struct Paths {
    checks: Vec<Id>,
    /// Those of checks whose id an earlier one has, too.
    numbered: HashMap<usize, String>,
    sets: Vec<String>,
}

impl Paths {
    /// Of checks with these stems.
    pub(super) fn of(checks: Vec<Id>, order: &Order) -> Self {
        let mut taken = HashSet::new();
        let names = order.sets.iter().map(|s| set_stem(s.name.as_deref()));
        let sets = names.map(|name| unique(name, &mut taken)).collect();
        Self {
            numbered: numbered_checks(&checks),
            checks,
            sets,
        }
    }

    /// The check's page.
    pub(super) fn check(&self, check: usize) -> String {
        format!("checks/{}.html", self.check_stem(check))
    }

    /// The same without folder and ending.
    pub(super) fn check_stem(&self, check: usize) -> String {
        let numbered = self.numbered.get(&check);
        numbered.map_or_else(|| self.checks[check].to_string(), String::clone)
    }

    /// A page of a set, counted from 0.
    pub(super) fn set(&self, set: usize, page: usize) -> String {
        numbered(&format!("sets/{}", self.sets[set]), page)
    }
}

/// `sets.html`, `sets.2.html`, …: no name of a set holds a point.
pub(super) fn numbered(stem: &str, page: usize) -> String {
    match page {
        0 => format!("{stem}.html"),
        n => format!("{stem}.{}.html", n + 1),
    }
}

/// Where a photo's thumbnail lies below the report folder; `None` where there can be none.
pub fn thumb_path(sha256: &str) -> Option<String> {
    is_sha256(sha256).then(|| format!("thumbs/{sha256}.jpg"))
}

/// Where the picture of a photo with its reading lies below the report folder.
pub fn picture_path(sha256: &str) -> Option<String> {
    is_sha256(sha256).then(|| format!("pictures/{sha256}.jpg"))
}

/// Results may come from a file that somebody changed: nothing else becomes part of an address.
pub(super) fn is_sha256(text: &str) -> bool {
    text.len() == 64 && is_lower_hex(text)
}

fn is_lower_hex(text: &str) -> bool {
    text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'))
}

/// The id itself, where it is one.
pub(super) fn check_stem(id: &str) -> Id {
    let plain = id.parse().ok().filter(|_| is_lower_hex(id));
    plain.unwrap_or_else(|| Id::derived(&["check", id]))
}

/// Of stems that come several times, all but the first get a number.
fn numbered_checks(stems: &[Id]) -> HashMap<usize, String> {
    let mut order: Vec<u32> = (0..stems.len() as u32).collect();
    order.sort_unstable_by_key(|i| (stems[*i as usize], *i));
    let mut numbered = HashMap::new();
    for same in order.chunk_by(|a, b| stems[*a as usize] == stems[*b as usize]) {
        for (number, check) in (2..).zip(&same[1..]) {
            let check = *check as usize;
            numbered.insert(check, format!("{}-{number}", stems[check]));
        }
    }
    numbered
}

/// The name itself where it is plain, else what is plain of it and a few digits of its hash.
fn set_stem(name: Option<&str>) -> String {
    let Some(name) = name else {
        return "without-set".to_owned();
    };
    let plain: String = name
        .chars()
        .map(|c| {
            if c.is_ascii_alphanumeric() {
                c.to_ascii_lowercase()
            } else {
                '-'
            }
        })
        .take(LONGEST)
        .collect();
    let plain = plain.trim_matches('-');
    // A name that was cut or changed is another's, perhaps: it gets its hash behind it.
    if plain == name && !plain.is_empty() && !is_kept(plain) {
        return plain.to_owned();
    }
    let hash = Id::derived(&["jaw set", name]).to_string();
    let plain = if plain.is_empty() { "set" } else { plain };
    format!("{plain}-{}", &hash[..8])
}

fn is_kept(plain: &str) -> bool {
    let port = plain.strip_suffix(|c| ('1'..='9').contains(&c));
    KEPT.contains(&plain) || port.is_some_and(|port| KEPT_WITH_DIGIT.contains(&port))
}

fn unique(stem: String, taken: &mut HashSet<String>) -> String {
    let mut name = stem.clone();
    let mut number = 2;
    while !taken.insert(name.clone()) {
        name = format!("{stem}-{number}");
        number += 1;
    }
    name
}

/// A text as a value in an address (RFC 3986, section 2.1): all but unreserved characters as %XX.
pub(super) fn percent(text: &str) -> String {
    let plain = |b: u8| b.is_ascii_alphanumeric() || b"-._~".contains(&b);
    let of = |byte: u8| {
        if plain(byte) {
            char::from(byte).to_string()
        } else {
            format!("%{byte:02X}")
        }
    };
    text.bytes().map(of).collect::<Vec<_>>().concat()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_plain_names_are_file_names() {
        assert_eq!(set_stem(Some("heron")), "heron");
        assert_eq!(set_stem(Some("heron-2")), "heron-2");
        assert_eq!(set_stem(Some("com10")), "com10");
        assert_eq!(set_stem(None), "without-set");
        for name in [
            "Heron",
            "nul",
            "com1",
            "lpt9",
            "without-set",
            "../heron",
            "<b>",
            "",
            "鷺",
            "a.2",
        ] {
            let stem = set_stem(Some(name));
            assert_ne!(stem, name);
            let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
            assert!(stem.len() > 8 && stem.chars().all(plain), "{stem}");
        }
        assert_ne!(set_stem(Some("鷺")), set_stem(Some("鴨")));
    }

    #[test]
    fn a_name_that_is_taken_is_numbered() {
        let mut taken = HashSet::new();
        let mut name = || unique("heron".into(), &mut taken);
        assert_eq!([name(), name(), name()], ["heron", "heron-2", "heron-3"]);
    }

    // RFC 3986, section 2.3: unreserved characters stand; section 2.1: others are %XX of each byte.
    #[test]
    fn all_but_unreserved_characters_are_escaped() {
        assert_eq!(percent("a-Z_0.~"), "a-Z_0.~");
        assert_eq!(percent("a b&c=d#é"), "a%20b%26c%3Dd%23%C3%A9");
    }
}

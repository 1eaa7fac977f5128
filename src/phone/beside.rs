//! What there is beside a phone alone: the server that handed its page out, which takes its checks, and the jaw sets that were
//! given to it.

use jiff::civil::DateTime;
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::Value;
use wasm_bindgen::prelude::wasm_bindgen;

use super::boundary::{Answered, Check, parsed};
use crate::report::{shown, words};
use crate::taper::records::Id;
use crate::under_way::pages::{name, when};
use crate::under_way::{
    Fault, Fields, Filed, Handed, JawSets, KeptBack, SetFacts, Settings, Sheet, UnderWay,
};

/// As the page's script found it. What cannot be read there is of another version, and counts as nothing.
#[derive(Debug, Default)]
pub(super) struct Beside {
    /// `None` where the page is at no server that this phone is paired with.
    server: Option<Server>,
    given: Option<JawSets>,
}

/// What the server gave.
#[derive(Debug)]
enum Server {
    Takes(JawSets),
    /// With its reason.
    TakesNothing(String),
}

/// As it comes from the script.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Found {
    #[serde(default)]
    server: Value,
    #[serde(default)]
    sets: Value,
}

impl From<Found> for Beside {
    fn from(found: Found) -> Self {
        let refused = found.server["error"].as_str().map(str::to_owned);
        let sets = |value: Value| JawSets::parsed(&value.to_string()).ok();
        let given = sets(found.sets);
        let server = match refused {
            Some(why) => Some(Server::TakesNothing(why)),
            None => sets(found.server).map(Server::Takes),
        };
        Self { server, given }
    }
}

impl Beside {
    /// To hand answers of practice over.
    pub(super) fn practice(&self, unhanded: usize) -> Markup {
        html! {
            @match &self.server {
                None => {},
                Some(Server::TakesNothing(why)) => p .note { "This server takes no answers now: " (why) "." },
                Some(Server::Takes(_)) if unhanded == 0 => p .good { "This server has them." },
                Some(Server::Takes(_)) => form .hand-over method="post" action="/practice/hand-over" {
                    button .main type="submit" { "Hand over to this server: " (unhanded) }
                },
            }
        }
    }
}

// ---- Jaw sets on the phone -----------------------------------------------------------------------------

/// A file of jaw sets as it is to be kept.
#[wasm_bindgen]
pub fn jaw_sets(text: &str) -> Answered<String> {
    Ok(serde_json::to_string(&JawSets::parsed(text)?)?)
}

#[wasm_bindgen]
impl Check {
    /// A new one of a jaw set of those kept; `last` are the fields chosen last.
    pub fn begin_of_set(last: &str, sets: &str, id: &str, now: &str) -> Answered<Check> {
        let last = Settings::default().with(&parsed::<Fields>(last)?)?;
        let sets = JawSets::parsed(sets)?.sets.into_iter();
        let id: Id = id.parse().map_err(|_| Fault::NotHere)?;
        let gone = || {
            Fault::Conflict("this jaw set is no longer on this phone; open the page again".into())
        };
        let set = sets.into_iter().find(|s| s.id == id).ok_or_else(gone)?;
        let check = Id::random().map_err(|_| Fault::Defect)?;
        let mut sheet = Sheet::new(check, now.parse()?, set.begins(last));
        sheet.of_set = Some(set);
        Ok(Self(UnderWay::of(sheet, std::path::PathBuf::new())))
    }
}

/// On the first page.
pub(super) fn to_begin(beside: &Beside) -> Markup {
    let sets = beside.given.iter().flat_map(|given| &given.sets);
    html! {
        section #sets aria-label="Jaw sets" {
            @if beside.given.is_some() {
                h2 { "Jaw sets" }
                ul .choices { @for set in sets { li {
                    form .of-set method="post" action="/sets/begin" {
                        input type="hidden" name="jaw_set" value=(set.id);
                        button .main type="submit" {
                            strong { (name(&set.name)) }
                            span .small { (in_short(set)) }
                        }
                    }
                } } }
                h2 { "Or without one" }
            }
        }
    }
}

fn in_short(set: &SetFacts) -> String {
    let taper = set
        .taper
        .map(|t| format!("cut with {}", shown::joined(shown::taper(t))));
    let parts = [taper, set.material.as_deref().map(shown::free)];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    if parts.is_empty() {
        "no cut noted".to_owned()
    } else {
        parts.join(", ")
    }
}

/// On the first page, below the checks.
pub(super) fn to_give(beside: &Beside) -> Markup {
    html! {
        section #jaw-sets aria-label="Jaw sets on this phone" {
            details .more {
                summary { "Jaw sets on this phone: "
                    @match &beside.given {
                        Some(given) => { (given.sets.len()) ", as of " (when(given.written)) },
                        None => "none",
                    }
                }
                p .small {
                    "A check that is begun with its set knows its name, grip, material, length and taper. What the set's history has "
                    "taught stays in the archive. Those that are taken replace the ones here."
                }
                @if let Some(Server::Takes(sets)) = &beside.server {
                    form .sets method="post" action="/sets/of-server" {
                        button type="submit" { "Take the " (sets.sets.len()) " of this server" }
                    }
                }
                form .sets method="post" action="/sets/of-file" {
                    label .field {
                        span { "A file that " code { "seepline jaws list --for-phone" } " printed" }
                        input type="file" name="file" accept=".json,application/json" required;
                    }
                    button type="submit" { "Take those of the file" }
                }
                @if beside.given.is_some() {
                    form .sets method="post" action="/sets/forget" { button type="submit" { "Take them off this phone" } }
                }
            }
        }
    }
}

// ---- Checks to the server ------------------------------------------------------------------------------

/// What the server's archive said of a check.
#[derive(Deserialize)]
struct Took {
    jaw_set: TookBy,
    filed: Id,
}

#[derive(Deserialize)]
struct TookBy {
    name: String,
}

/// The sheet of a check that was handed over; `same` where it has not changed since it was sent.
#[wasm_bindgen]
pub fn handed_over(sheet: &str, took: &str, same: bool, now: &str) -> Answered<String> {
    let (mut sheet, took): (Sheet, Took) = (parsed(sheet)?, parsed(took)?);
    sheet.filed = Some(Filed {
        check: took.filed,
        up_to_date: same,
    });
    sheet.handed = Some(Handed {
        name: took.jaw_set.name,
        at: now.parse::<DateTime>()?,
    });
    Ok(serde_json::to_string(&sheet)?)
}

/// Whether an archive has the check as it is.
#[wasm_bindgen]
pub fn is_handed_over(sheet: &str) -> bool {
    parsed(sheet).is_ok_and(|sheet| rests(&sheet))
}

fn rests(sheet: &Sheet) -> bool {
    sheet.filed.is_some_and(|f| f.up_to_date)
}

/// As at a server whose archive has no rule about anybody.
pub(super) fn kept_back(sheet: &Sheet) -> Option<KeptBack> {
    if sheet.shown || sheet.call.is_some() || !sheet.settings.call_first {
        return None;
    }
    let by = sheet.settings.by.clone();
    Some(by.map_or(KeptBack::Who, KeptBack::CallOf))
}

/// On the page of a check.
pub(super) fn hand_over(check: &UnderWay, beside: &Beside) -> Markup {
    let sheet = &check.sheet;
    let to_hand = !sheet.photos.is_empty() && kept_back(sheet).is_none();
    html! {
        @if let Some((handed, filed)) = sheet.handed.as_ref().zip(sheet.filed) {
            (where_handed(handed, filed, beside.server.is_some()))
        }
        @if to_hand && rests(sheet) {
            @if beside.server.is_some() {
                details .more { summary { "Hand it over again" } (to_server(sheet, beside)) }
            }
        } @else if to_hand {
            (to_server(sheet, beside))
        }
        @if sheet.set().is_some() {
            details .more {
                summary { "It is of another jaw set" }
                form .off method="post" action=(format!("/checks/{}/settings", sheet.id)) {
                    input type="hidden" name="jaw_set" value="";
                    button type="submit" { "Take the set off this check" }
                }
            }
        }
    }
}

fn where_handed(handed: &Handed, filed: Filed, at_server: bool) -> Markup {
    let said = if filed.up_to_date {
        "Handed over to "
    } else {
        "Changed since it was handed over to "
    };
    let short = &filed.check.to_string()[..8];
    html! {
        p .good role="status" { (said) (name(&handed.name)) ", " (when(handed.at)) ", as check " (short) "." }
        @if filed.up_to_date {
            p .small { "The archive has its photos: here it may be thrown away." }
        }
        @if at_server { p { a .button href=(format!("/filed/{}", filed.check)) { "Note what was done" } } }
    }
}

fn to_server(sheet: &Sheet, beside: &Beside) -> Markup {
    html! {
        @match &beside.server {
            None => {},
            Some(Server::TakesNothing(why)) => p .note { "This server takes no check now: " (why) "." },
            Some(Server::Takes(sets)) if sets.sets.is_empty() => {
                p .note { "This server has no jaw set yet; add one there, and the check can be handed over." }
            },
            Some(Server::Takes(sets)) => (form(sheet, &sets.sets)),
        }
    }
}

fn form(sheet: &Sheet, sets: &[SetFacts]) -> Markup {
    // An archive that was begun anew has other ids.
    let begun = sheet.set();
    let begun = begun.and_then(|b| {
        sets.iter()
            .find(|s| s.id == b.id)
            .or(sets.iter().find(|s| s.name == b.name))
    });
    html! {
        form .hand-over method="post" action=(format!("/checks/{}/hand-over", sheet.id)) {
            @if let Some(set) = begun {
                input type="hidden" name="jaw_set" value=(set.id);
                button .main type="submit" { "Hand it over to this server, as a check of " (name(&set.name)) }
            } @else {
                label .field {
                    span { "Hand it over to this server" }
                    select name="jaw_set" required {
                        // Nobody may file under a set that merely stood first.
                        option value="" { "Choose the jaw set" }
                        @for set in sets { option value=(set.id) { (shown::name(&set.name)) } }
                    }
                }
                button .main type="submit" { "Hand it over" }
            }
        }
    }
}

/// On the first page: those that no archive has as they are.
pub(super) fn all_to_hand_over(sheets: &[Sheet], beside: &Beside) -> Markup {
    let to_hand = sheets
        .iter()
        .filter(|s| !rests(s) && kept_back(s).is_none());
    let to_hand: Vec<&Sheet> = to_hand.collect();
    let handed = sheets.iter().filter(|s| rests(s)).count();
    html! {
        section #hand-over aria-label="Checks for the server" {
            @if !to_hand.is_empty() && let Some(server) = &beside.server {
                h2 { "For this server" }
                @match server {
                    Server::Takes(_) => @for sheet in to_hand {
                        div .past {
                            p { strong { (title(sheet)) } br; (when(sheet.begun)) ", " (words::photos(sheet.photos.len())) }
                            (to_server(sheet, beside))
                        }
                    },
                    Server::TakesNothing(_) => (to_server(to_hand[0], beside)),
                }
            }
            @if handed > 0 {
                details .more {
                    summary { "Throw away what was handed over" }
                    form method="post" action="/handed/discard" {
                        p { "Checks here of which an archive has all photos: " (handed) "." }
                        button type="submit" { "Throw them away here" }
                    }
                }
            }
        }
    }
}

fn title(sheet: &Sheet) -> String {
    let set = sheet.set().map(|set| shown::name(&set.name));
    set.unwrap_or_else(|| "Quick check".to_owned())
}

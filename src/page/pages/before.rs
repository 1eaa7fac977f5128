//! The first taper, and a set that is mounted again, with what the archive knows.

use maud::{Markup, html};

use super::super::desk::Desk;
use super::super::fault::Fault;
use super::{Refresh, page as whole};
use crate::archive::shelf::{first_taper, mounted_again};
use crate::archive::{Archive, Details, Find};
use crate::report::shown;
use crate::taper::records::{Cut, JawSet};
use crate::taper::recut::RecutAdvice;
use crate::taper::start::{GivenError, Material, StartingTaper};
use crate::under_way::form::{Form, Refused};
use crate::under_way::pages::{name, recut, start};
use crate::under_way::{Fields, before};

/// The field that names the set.
const SET: &str = "jaws";

/// The set that is named, and the other fields.
fn asked(archive: &Archive, mut fields: Fields) -> Result<(Option<JawSet>, Fields), Fault> {
    let named = fields.remove(SET).filter(|id| !id.trim().is_empty());
    let set = named.map(|id| archive.jaw_set(id.trim())).transpose()?;
    Ok((set, fields))
}

pub(in super::super) fn start(desk: &Desk, fields: Fields) -> Result<String, Fault> {
    let mut archive = desk.open_archive()?;
    let (set, typed) = asked(&archive, fields)?;
    let found = if typed.is_empty() {
        None
    } else {
        Some(taper(desk, &mut archive, set.as_ref(), &typed)?)
    };
    let around = start::Around {
        typed: &typed,
        noted: &set.as_ref().map(noted_for_start).unwrap_or_default(),
        sets: choose(&archive, set.as_ref(), "A new one, not noted yet")?,
        found: found.as_ref(),
    };
    Ok(whole(start::TITLE, Refresh::No, &start::body(&around)))
}

fn taper(
    desk: &Desk,
    archive: &mut Archive,
    set: Option<&JawSet>,
    typed: &Fields,
) -> Result<Result<StartingTaper, Refused>, Fault> {
    let given = match before::given(typed) {
        Ok(given) => given,
        Err(refused) => return Ok(Err(refused)),
    };
    let named = set.map(|set| (archive, set));
    match first_taper(&given, named, &desk.rules) {
        Ok(start) => Ok(Ok(start)),
        Err(error) => Ok(Err(error.downcast::<GivenError>()?.into())),
    }
}

fn noted_for_start(set: &JawSet) -> Fields {
    let material = set.material.as_deref().and_then(Material::from_words);
    let length = |length: Option<crate::units::Length>| length.map(|l| l.to_string());
    noted([
        ("face_length", length(set.face_length)),
        ("jaw_height", length(set.jaw_height)),
        ("width", length(set.face_width)),
        (
            "boring_pressure",
            set.boring_pressure.map(|p| p.to_string()),
        ),
        (
            "production_pressure",
            set.production_pressure.map(|p| p.to_string()),
        ),
        (
            "material",
            material.map(|m| format!("As noted: {}", m.word())),
        ),
    ])
}

fn noted<const COUNT: usize>(all: [(&str, Option<String>); COUNT]) -> Fields {
    let known = |(name, text): (&str, Option<String>)| Some((name.to_owned(), text?));
    all.into_iter().filter_map(known).collect()
}

pub(in super::super) fn recut(desk: &Desk, fields: Fields) -> Result<String, Fault> {
    let archive = desk.open_archive()?;
    let (set, typed) = asked(&archive, fields)?;
    let Some(set) = set else {
        return which_set(&archive);
    };
    let found = if typed.is_empty() {
        None
    } else {
        Some(advice(desk, &archive, &set, &typed)?)
    };
    let cuts = archive.timeline(set.id, Details::LeftOut)?.cuts;
    let last = cuts.last().map(|c| &c.cut);
    let around = recut::Around {
        title: html! { (name(&set.name)) ", mounted again" },
        known: html! {
            input type="hidden" name=(SET) value=(set.id);
            (last_cut(last))
        },
        in_sight: &[&recut::MOUNTED, &recut::FACES],
        folded: &[&recut::NEXT],
        typed: &typed,
        noted: &noted_for_recut(&set, last),
        found: found.as_ref(),
    };
    let title = format!("{}, mounted again", shown::name(&set.name));
    Ok(whole(&title, Refresh::No, &recut::body(&around)))
}

fn advice(
    desk: &Desk,
    archive: &Archive,
    set: &JawSet,
    typed: &Fields,
) -> Result<Result<RecutAdvice, Refused>, Fault> {
    let mut form = Form::of(typed);
    let present = before::present(&mut form).and_then(|present| form.end().map(|()| present));
    Ok(match present {
        Ok(present) => Ok(mounted_again(archive, set, present, &desk.rules)?),
        Err(refused) => Err(refused),
    })
}

fn last_cut(cut: Option<&Cut>) -> Markup {
    html! {
        p .note {
            @match cut {
                None => "No cut of it is noted. ",
                Some(cut) => {
                    "Cut last on " (cut.made.date())
                    @if let Some(taper) = cut.taper { ", " (shown::joined(shown::taper(taper))) }
                    ". "
                },
            }
            "A field that is left empty is as noted."
        }
    }
}

fn noted_for_recut(set: &JawSet, cut: Option<&Cut>) -> Fields {
    let stock = cut.and_then(|c| c.stock_left).or(set.stock);
    let taper = cut.and_then(|c| c.taper);
    noted([
        ("machine", set.mounting.machine.clone()),
        ("chuck", set.mounting.chuck.clone()),
        ("master_jaws", set.mounting.master_jaws.clone()),
        ("serration", set.mounting.serration.clone()),
        (
            "production_pressure",
            set.production_pressure.map(|p| p.to_string()),
        ),
        (
            "workpiece_diameter",
            set.workpiece_diameter.map(|l| l.to_string()),
        ),
        ("next_taper", taper.map(|t| t.length().to_string())),
        ("stock", stock.map(|l| l.to_string())),
    ])
}

fn which_set(archive: &Archive) -> Result<String, Fault> {
    let body = html! {
        h1 { (recut::TITLE) }
        form #before method="get" action=(recut::ADDRESS) {
            (choose(archive, None, "Choose")?)
            button .main type="submit" { "Go on" }
        }
        p { "A set that is not there is added with " code { "seepline jaws add" } "." }
    };
    Ok(whole(recut::TITLE, Refresh::No, &body))
}

fn choose(archive: &Archive, chosen: Option<&JawSet>, none: &str) -> Result<Markup, Fault> {
    let sets = archive.jaw_sets(&Find::default())?;
    Ok(html! {
        @if !sets.is_empty() {
            label .field {
                span { "Jaw set" }
                select name=(SET) {
                    option value="" { (none) }
                    @for set in &sets {
                        @let set = &set.jaw_set;
                        option value=(set.id) selected[chosen.is_some_and(|c| c.id == set.id)] { (shown::name(&set.name)) }
                    }
                }
            }
        }
    })
}

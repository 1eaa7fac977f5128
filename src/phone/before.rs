//! What is asked before a check, on a phone that has no archive: what a set's records would say is typed.

use jiff::civil::DateTime;
use maud::{Markup, html};

use crate::taper::records::{Cut, Id, JawSet, Mounting};
use crate::taper::recut::{Recut, RecutAdvice, recut};
use crate::taper::rules::Rules;
use crate::taper::start::{GivenError, StartingTaper};
use crate::under_way::form::{Form, Refused};
use crate::under_way::pages::form::{Group, Kind, PRESSURE, SIZE, THIN, field};
use crate::under_way::pages::recut::{FACES, MOUNTED, NEXT};
use crate::under_way::pages::{self, page as whole, start};
use crate::under_way::{Fields, before};
use crate::units::{Length, PerSide, Pressure};

/// The page of that name, with its answer where something was typed.
pub(super) fn page(which: &str, typed: &Fields) -> Option<String> {
    let asked = !typed.is_empty();
    let (title, body) = match which {
        "start" => (start::TITLE, of_start(typed, asked)),
        "recut" => (pages::recut::TITLE, of_recut(typed, asked)),
        _ => return None,
    };
    Some(whole(title, &html! {}, &body))
}

fn of_start(typed: &Fields, asked: bool) -> Markup {
    start::body(&start::Around {
        typed,
        noted: &Fields::new(),
        sets: html! {},
        found: asked.then(|| first_taper(typed)).as_ref(),
    })
}

fn first_taper(typed: &Fields) -> Result<StartingTaper, Refused> {
    let start = before::given(typed)?.start(None, Rules::built_in())?;
    Ok(start.ok_or(GivenError::Nothing(""))?)
}

const SET: Group = Group {
    title: "The set",
    fields: &[
        field(
            "--grip",
            "Grip",
            Kind::Choice(&[
                ("", "Choose"),
                ("outside", "Outside: close on the work"),
                ("inside", "Inside: open in its bore"),
            ]),
        ),
        field("--last-workpiece", "Diameter of the work until now", SIZE),
    ],
};

const LAST: Group = Group {
    title: "At its last cut",
    fields: &[
        field("--last-taper", "Taper that was cut, per side", THIN),
        field("--last-diameter", "Diameter cut to, at the base", SIZE),
        field(
            "--last-pressure",
            "Production pressure it was checked at",
            PRESSURE,
        ),
        field("--last-machine", "Machine then", Kind::Text),
        field("--last-chuck", "Chuck then", Kind::Text),
        field("--last-master-jaws", "Jaws on master jaws then", Kind::Text),
        field(
            "--last-serration",
            "Place on the serrations then",
            Kind::Text,
        ),
    ],
};

const JAWS: Group = Group {
    title: "The jaws, for the plan",
    fields: &[
        field("--face-width", "Width of the face", SIZE),
        field("--boring-pressure", "Chuck pressure while boring", PRESSURE),
        field(
            "--bolt-torque",
            "Torque of the bolts, as the shop states it",
            Kind::Text,
        ),
    ],
};

fn of_recut(typed: &Fields, asked: bool) -> Markup {
    pages::recut::body(&pages::recut::Around {
        title: html! { (pages::recut::TITLE) },
        known: html! {},
        in_sight: &[&SET, &FACES],
        folded: &[&LAST, &MOUNTED, &NEXT, &JAWS],
        typed,
        noted: &Fields::new(),
        found: asked.then(|| advice(typed)).as_ref(),
    })
}

/// What an archive would say of the set.
struct Records {
    set: JawSet,
    cut: Option<Cut>,
    /// That the last cut was checked at.
    pressure: Option<Pressure>,
}

fn advice(typed: &Fields) -> Result<RecutAdvice, Refused> {
    let mut form = Form::of(typed);
    let records = records(&mut form)?;
    let present = before::present(&mut form)?;
    form.end()?;
    let request = Recut {
        jaw_set: &records.set,
        cut: records.cut.as_ref(),
        pressure_before: records.pressure,
        present: &present,
    };
    Ok(recut(&request, Rules::built_in()))
}

fn records(form: &mut Form) -> Result<Records, Refused> {
    // With the other grip every diameter of the plan would go the other way: nothing is assumed.
    let grip = form.choice("--grip")?.ok_or_else(|| {
        Refused("--grip: choose it; the other one is clamped the other way for the cut".to_owned())
    })?;
    // Nothing is filed, so that nothing needs a name or a time.
    let set = JawSet::named(Id::derived(&[]), "", DateTime::default());
    let set = JawSet {
        grip,
        workpiece_diameter: form.amount("--last-workpiece", Length::parse_positive)?,
        face_width: form.amount("--face-width", Length::parse_positive)?,
        boring_pressure: form.amount("--boring-pressure", str::parse)?,
        bolt_torque: form.line("--bolt-torque")?,
        ..set
    };
    let cut = last_cut(form, &set)?;
    let pressure = form.amount("--last-pressure", str::parse)?;
    Ok(Records { set, cut, pressure })
}

/// `None` where nothing is said of it.
fn last_cut(form: &mut Form, set: &JawSet) -> Result<Option<Cut>, Refused> {
    let cut = Cut {
        id: set.id,
        jaw_set: set.id,
        made: set.changed,
        diameter: form.amount("--last-diameter", Length::parse_positive)?,
        depth: None,
        taper: form.amount("--last-taper", PerSide::parse_taper)?,
        boring_pressure: None,
        skimmed: None,
        stock_left: None,
        mounting: before::mounting(form, "last-")?,
        notes: None,
        changed: set.changed,
    };
    let said = cut.diameter.is_some() || cut.taper.is_some() || cut.mounting != Mounting::default();
    Ok(said.then_some(cut))
}

//! What other sets and the set's own finished checks teach.

use seepline::{
    ComplianceSource, Conditions, Lesson, Rules, Timeline, knowledge, known_compliance,
};

use super::history::{now, three};
use crate::support::filing::{checked, wren};
use crate::support::readings::{full, thou};

/// A set that grips along its whole length at the pressures, cut with the taper.
fn finished(taper: &str, pressure: &str, height: &str) -> Timeline {
    let mut timeline = wren();
    timeline.jaw_set.jaw_height = height.parse().ok();
    let at = under(pressure);
    checked(&mut timeline, thou(taper), &three(full()), &at);
    timeline
}

fn under(pressure: &str) -> Conditions {
    Conditions {
        pressure: pressure.parse().ok(),
        boring_pressure: "100psi".parse().ok(),
        ..now()
    }
}

#[test]
fn a_finished_set_foretells_the_taper_at_another_pressure() {
    let rules = Rules::built_in().estimate();
    // Common practice: deflection is linear in clamp force, so twice the step asks for twice the taper.
    let own = finished("1", "200psi", "2in");
    let learned = known_compliance(&own, &[], rules).expect("a finished check");
    assert_eq!(learned.source(), ComplianceSource::Own);
    let pressures = ("300psi".parse(), "100psi".parse());
    let (Ok(clamping), Ok(boring)) = pressures else {
        panic!("pressures");
    };
    let foretold = learned.predict(clamping, boring).expect("a number");
    assert!(
        foretold.low < thou("2") && thou("2") < foretold.high,
        "{foretold:?}"
    );
}

#[test]
fn what_is_learned_does_not_depend_on_the_interval_that_is_reported() {
    let rules = *Rules::built_in().estimate();
    let narrow = seepline::EstimateRules {
        interval: 0.5,
        ..rules
    };
    let own = finished("1", "200psi", "2in");
    let points = |rules| Lesson::of(&own, rules).points;
    assert_eq!(points(&narrow), points(&rules));
    assert_eq!(points(&rules).len(), 1);
}

#[test]
fn sisters_are_of_the_same_material_and_height() {
    let rules = Rules::built_in().estimate();
    let mut new = wren();
    new.jaw_set.jaw_height = "2.05in".parse().ok();
    let lesson = |height: &str| Lesson::of(&finished("1", "200psi", height), rules);
    let sister = known_compliance(&new, &[lesson("2in")], rules).expect("a sister");
    assert_eq!(sister.source(), ComplianceSource::Sisters);
    assert!(known_compliance(&new, &[lesson("4in")], rules).is_none());
    new.jaw_set.material = Some("brass".to_owned());
    assert!(known_compliance(&new, &[lesson("2in")], rules).is_none());
}

#[test]
fn at_one_pressure_no_compliance_is_asked_for() {
    let rules = Rules::built_in().estimate();
    let own = finished("1", "200psi", "2in");
    let at = |pressure: &str| knowledge(&own, &[], Some(&under(pressure)), rules).compliance;
    assert!(at("200psi").is_none());
    assert!(at("300psi").is_some());
}

#[test]
fn a_set_that_was_never_left_teaches_nothing() {
    let rules = Rules::built_in().estimate();
    let lesson = Lesson::of(&wren(), rules);
    assert!(lesson.points.is_empty() && lesson.thresholds.is_empty());
}

#[test]
fn a_lesson_survives_being_kept() {
    let rules = Rules::built_in().estimate();
    let lesson = Lesson::of(&finished("1", "200psi", "2in"), rules);
    let kept = serde_json::to_string(&lesson).expect("JSON");
    assert_eq!(serde_json::from_str::<Lesson>(&kept).ok(), Some(lesson));
}

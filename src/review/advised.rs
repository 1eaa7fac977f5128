//! The lines of one check → its line, as it would be advised on today.

mod jaws;
mod retakes;

pub(crate) use jaws::{Together, are_read_together, counts, of_several_photos};

use jaws::Jaw;
use retakes::Taken;

use super::lines::CheckLine;
use super::record::PhotoRecord;
use crate::reading::outcome::Reading;
use crate::reading::pattern::Pattern;
use crate::taper::advice::{Action, Advice, Check, Grip, Setup, advise};
use crate::taper::rules::Rules;

/// The line of a check with these photos, in the order taken; `together` has what its jaws with several photos say, `held`
/// keeps back what to change.
pub(crate) fn check_line(
    check: String,
    photos: &[&PhotoRecord],
    together: &Together,
    jaws_of_the_set: usize,
    rules: &Rules,
    held: bool,
) -> CheckLine {
    let jaws = jaws::jaws(photos);
    let reading = |jaw: &Jaw| Some((jaw.photos[0], jaw.reading(photos, together)?));
    let readings: Vec<(usize, Reading)> = jaws.iter().filter_map(reading).collect();
    let grip = agreed(photos.iter().map(|p| Some(p.told.grip)));
    let setup = Setup {
        grip: grip.unwrap_or_default(),
        taper: agreed(photos.iter().map(|p| p.told.taper)),
        ..Setup::default()
    };
    let (suspected, surplus) = retakes::suspected(&jaws, photos, jaws_of_the_set);
    let Taken {
        readings,
        advice,
        matters,
    } = retakes::whichever(readings, &suspected, surplus, |readings| {
        let check = Check {
            readings: readings.iter().map(|(_, r)| r).collect(),
            setup: setup.clone(),
        };
        advise(&check, rules)
    });
    let once =
        (advice.taper_change.is_some() && !suspected.is_empty()).then(|| retakes::note(&suspected));
    let mut line = of_advice(if held { advice.held() } else { advice });
    if grip.is_none() {
        // Which cause a pattern across the width has depends on it.
        line.look_at_first.insert(0, TWO_GRIPS.to_owned());
    }
    let notes = jaws.iter().filter_map(|jaw| jaw.note(photos, together));
    line.look_at_first.splice(0..0, notes.chain(once));
    let done = photos.iter().find_map(|p| p.told.done.clone());
    CheckLine {
        check,
        jaw_set: photos[0].told.jaw_set.clone(),
        made: photos.iter().find_map(|p| p.line.taken.clone()),
        photos: photos.iter().map(|p| p.line.sha256.clone()).collect(),
        grip: setup.grip,
        taper: setup.taper,
        confidence: least_confidence(&readings),
        // The advice counts only the photos that could be opened.
        odd_jaw: line.odd_jaw.and_then(|i| Some(readings.get(i)?.0)),
        done,
        rules: rules.version().to_owned(),
        jaws: jaws
            .iter()
            .filter_map(|jaw| jaw.line(photos, together))
            .collect(),
        // Whether the amount hangs on it is no more to be told than the amount.
        perhaps_one_jaw: suspected
            .iter()
            .map(|pair| pair.line(matters || held))
            .collect(),
        ..line
    }
}

const TWO_GRIPS: &str =
    "The table names two grips for the photos of this check; correct it there. Read as outside.";

/// What is told, where all that tell say the same: of two tapers neither is known to be right.
fn agreed<T: PartialEq>(told: impl Iterator<Item = Option<T>>) -> Option<T> {
    let mut all = told.flatten();
    let first = all.next()?;
    all.all(|other| other == first).then_some(first)
}

fn least_confidence(readings: &[(usize, Reading)]) -> f64 {
    let counting = readings.iter().filter(|(_, r)| r.refusal.is_none());
    let least = counting.map(|(_, r)| r.confidence).reduce(f64::min);
    least.unwrap_or(0.0)
}

fn of_advice(advice: Advice) -> CheckLine {
    let change = advice.taper_change;
    CheckLine {
        odd_jaw: advice.odd_jaw,
        pattern: advice.pattern,
        action: advice.action,
        change: change.map(|c| c.change),
        low: change.map(|c| c.low),
        high: change.map(|c| c.high),
        next_taper: advice.next_taper,
        what_to_do: advice.what_to_do,
        why: advice.why,
        look_at_first: advice.look_at_first,
        ..blank()
    }
}

/// Of no check.
pub(super) fn blank() -> CheckLine {
    CheckLine {
        check: String::new(),
        jaw_set: None,
        made: None,
        photos: Vec::new(),
        grip: Grip::default(),
        taper: None,
        pattern: Pattern::Unreadable,
        action: Action::Retake,
        confidence: 0.0,
        change: None,
        low: None,
        high: None,
        next_taper: None,
        odd_jaw: None,
        what_to_do: String::new(),
        why: String::new(),
        look_at_first: Vec::new(),
        done: None,
        rules: String::new(),
        jaws: Vec::new(),
        perhaps_one_jaw: Vec::new(),
        proof: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::method::Method;

    #[test]
    fn of_two_grips_neither_is_taken_and_it_is_said() {
        let line = |grips: [Grip; 2]| {
            let photo = |grip| {
                let mut photo = PhotoRecord::broken("ab".to_owned(), String::new(), Method::Seep);
                photo.told.grip = grip;
                photo
            };
            let photos = grips.map(photo);
            check_line(
                String::new(),
                &photos.each_ref(),
                &Together::new(),
                3,
                Rules::built_in(),
                false,
            )
        };
        let (a, b) = (
            line([Grip::Inside, Grip::Outside]),
            line([Grip::Outside, Grip::Inside]),
        );
        assert_eq!(a, b);
        assert_eq!(a.look_at_first[0], TWO_GRIPS);
        let inside = line([Grip::Inside, Grip::Inside]);
        assert_eq!(inside.grip, Grip::Inside);
        assert!(!inside.look_at_first.iter().any(|l| l == TWO_GRIPS));
    }
}

//! What is compared between two readings.

use seepline::{Advice, Check, Pattern, Reading, Rules, STATIONS, Setup, advise};

/// What the built-in rules advise on these readings.
pub(crate) fn advice(readings: Vec<&Reading>) -> Advice {
    let setup = Setup::default();
    advise(&Check { readings, setup }, Rules::built_in())
}

/// The change of the taper that the readings ask for, thousandths of an inch per side.
pub(crate) fn change(readings: Vec<&Reading>) -> Option<f64> {
    advice(readings).taper_change.map(|c| c.change.thou())
}

/// Whether jaws that all read so are left as they are: no change is asked for, or that of nothing where they
/// touch along their whole length, which is the same from either end.
pub(crate) fn cuts_nothing(reading: &Reading) -> bool {
    let whole = reading.pattern == Pattern::FullLength;
    change(vec![reading; 3]).is_none_or(|change| whole && change == 0.0)
}

/// Mean absolute difference of two profiles over the stations that both judged; `None` where they have
/// none in common.
pub(crate) fn profile_difference(
    one: &[Option<f64>; STATIONS],
    other: &[Option<f64>; STATIONS],
) -> Option<f64> {
    let both: Vec<f64> = one
        .iter()
        .zip(other)
        .filter_map(|(a, b)| Some(((*a)? - (*b)?).abs()))
        .collect();
    (!both.is_empty()).then(|| both.iter().sum::<f64>() / both.len() as f64)
}

pub(crate) fn along(reading: &Reading) -> &[Option<f64>; STATIONS] {
    &reading.profile.as_ref().expect("a profile").along
}

/// Whether two patterns ask for cuts in opposite directions.
pub(crate) fn opposite(one: Pattern, other: Pattern) -> bool {
    matches!(
        (one, other),
        (Pattern::TipOnly, Pattern::BaseOnly) | (Pattern::BaseOnly, Pattern::TipOnly)
    )
}

/// Holds for every change of a photo, however large: nobody may be sent to cut the other way.
pub(crate) fn assert_never_opposite(name: &str, one: &Reading, other: &Reading) {
    assert!(
        !opposite(one.pattern, other.pattern),
        "{name}: {:?} became {:?}",
        one.pattern,
        other.pattern
    );
    if let (Some(before), Some(after)) = (change(vec![one]), change(vec![other])) {
        assert!(
            before * after >= 0.0,
            "{name}: the change turned from {before} to {after} thou"
        );
    }
}

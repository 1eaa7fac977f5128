//! Which cut a check is of: by the photos' time, and by the taper that is said of them.
//!
//! A cut may be noted up to half a day after its photos (assumption). Photos older than every cut get one of their own, and
//! where two cuts of other tapers may be meant nothing is filed: the next taper follows from it. Photos without a time are
//! filed after whatever the set has.

use anyhow::bail;
use jiff::SignedDuration;
use jiff::civil::DateTime;

use super::short;
use crate::archive::stamp;
use crate::taper::records::Cut;
use crate::units::PerSide;

/// A cut may be noted this long after photos of it were taken, and a camera's clock may be off. Photos older
/// than that show an earlier cut.
const NOTED_LATE: SignedDuration = SignedDuration::from_hours(12);

/// The cut that a check is of.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Place {
    /// One that is noted.
    Noted(Cut),
    /// One that is noted without the taper that was given now.
    WithTaper(Cut),
    /// None that is noted: one is begun at the time of the photos, with the taper that was given.
    Begun,
}

/// Among `cuts` (oldest first), with what there is to say about it.
///
/// # Errors
/// Where two cuts of other tapers may be meant, or the last one is noted for a time to come: which one the
/// photos show is then asked for, since the next taper follows from it.
pub(super) fn place(
    cuts: &[&Cut],
    made: DateTime,
    taper: Option<PerSide>,
    now: DateTime,
) -> anyhow::Result<(Place, Option<String>)> {
    let after = cuts.partition_point(|c| c.made <= made);
    let before = after.checked_sub(1).map(|i| cuts[i]);
    let late = cuts.get(after).copied().filter(|c| noted_late(c, made));
    // A taper that is not known contradicts none.
    let fits = |cut: &&Cut| taper.is_none() || cut.taper.is_none() || cut.taper == taper;
    let cut = match (before.filter(fits), late.filter(fits)) {
        // With the same taper in both, the next one comes out the same, whichever cut it is.
        (Some(a), Some(b)) if a.taper.is_none() || a.taper != b.taper => {
            bail!(unsettled(a, b, made))
        }
        (Some(cut), _) | (None, Some(cut)) => Some(cut),
        (None, None) => None,
    };
    if let Some(last) = cuts.last()
        && cut.is_none_or(|c| c.id != last.id)
        && made < last.made
    {
        to_come(last, now)?;
    }
    let said = what_is_said(cuts, cut, made, taper);
    Ok(match cut {
        None => (Place::Begun, said),
        Some(cut) if cut.taper.is_none() && taper.is_some() => {
            let taken = Cut {
                taper,
                changed: stamp(now, cut.changed),
                ..cut.clone()
            };
            (Place::WithTaper(taken), said)
        }
        Some(cut) => (Place::Noted(cut.clone()), said),
    })
}

fn noted_late(cut: &Cut, made: DateTime) -> bool {
    cut.made.duration_since(made) <= NOTED_LATE
}

fn what_is_said(
    cuts: &[&Cut],
    cut: Option<&Cut>,
    made: DateTime,
    taper: Option<PerSide>,
) -> Option<String> {
    let last = cuts.last();
    match (cut, last) {
        (None, None) => Some("no cut of this set was noted yet: one is begun".to_owned()),
        (None, Some(last)) if made < last.made => Some(format!(
            "the photos ({}) are older than the last cut ({}) and show none that is noted: one is begun for \
             them{}",
            made.date(),
            last.made.date(),
            if taper.is_some() {
                " with the taper given"
            } else {
                ", its taper not known; say it with --taper where it is"
            }
        )),
        (None, Some(last)) => Some(format!(
            "the last cut has {}: a new cut is noted with the taper given",
            last.taper.unwrap_or_default().as_taper()
        )),
        (Some(cut), Some(last)) if cut.id != last.id => Some(format!(
            "the photos are older than the last cut, so they count for the cut of {}",
            cut.made.date()
        )),
        (Some(cut), _) if made < cut.made => Some(format!(
            "the photos ({made}) count for the cut that was noted after them ({}); if they show an earlier one, \
             say its taper with --taper",
            cut.made
        )),
        _ => None,
    }
}

fn unsettled(before: &Cut, after: &Cut, made: DateTime) -> String {
    format!(
        "the photos were taken at {made}, after the cut of {} and shortly before the one of {} was noted: \
         which of the two they show is not known, and with it the taper. Say the taper with --taper, or \
         correct the time of a cut with `seepline cut change {} --made TIME`, and do it again",
        before.made,
        after.made,
        short(after.id)
    )
}

/// A cut of the future was noted while a clock was wrong, or is noted wrongly.
fn to_come(cut: &Cut, now: DateTime) -> anyhow::Result<()> {
    if noted_late(cut, now) {
        return Ok(());
    }
    bail!(
        "the last cut is noted for {}, but the clock says {now}: which cut the photos show is not known, and \
         with it the taper. Set the clock, or correct the cut with `seepline cut change {} --made TIME`, and \
         do it again",
        cut.made,
        short(cut.id)
    )
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;
    use crate::taper::records::{Id, JawSet};
    use crate::units::Length;

    const ONE: Option<PerSide> = Some(PerSide::of(Length::from_tenths(10)));
    const TWO: Option<PerSide> = Some(PerSide::of(Length::from_tenths(20)));
    const THREE: Option<PerSide> = Some(PerSide::of(Length::from_tenths(30)));
    const FOUR: Option<PerSide> = Some(PerSide::of(Length::from_tenths(40)));

    fn at(hour: i8, minute: i8) -> DateTime {
        date(2026, 3, 4).at(hour, minute, 0, 0)
    }

    fn cut(number: u8, made: DateTime, taper: Option<PerSide>) -> Cut {
        let set = JawSet::named(Id::derived(&["set"]), "heron", made);
        let cut = Cut::of(&set, Id::derived(&[&number.to_string()]), made);
        Cut { taper, ..cut }
    }

    fn placed(cuts: &[Cut], made: DateTime, taper: Option<PerSide>) -> anyhow::Result<Place> {
        let cuts: Vec<&Cut> = cuts.iter().collect();
        place(&cuts, made, taper, at(23, 0)).map(|(place, _)| place)
    }

    #[test]
    fn photos_between_two_cuts_are_of_the_first_unless_the_second_was_noted_late() {
        let cuts = [cut(1, at(1, 0), ONE), cut(2, at(12, 35), THREE)];
        let asked = placed(&cuts, at(10, 35), None).unwrap_err().to_string();
        assert!(
            asked.contains("which of the two they show is not known"),
            "{asked}"
        );
        let of = |taper| placed(&cuts, at(10, 35), taper).unwrap();
        assert_eq!(of(ONE), Place::Noted(cuts[0].clone()));
        assert_eq!(of(THREE), Place::Noted(cuts[1].clone()));
        assert_eq!(of(TWO), Place::Begun);
        // With one taper nothing hangs on it.
        let same = [cut(1, at(1, 0), THREE), cuts[1].clone()];
        assert_eq!(
            placed(&same, at(10, 35), None).unwrap(),
            Place::Noted(same[0].clone())
        );
    }

    #[test]
    fn a_cut_that_is_noted_after_the_photos_is_theirs_for_half_a_day() {
        let cuts = [cut(1, at(21, 30), FOUR)];
        let of = |hour, taper| placed(&cuts, at(hour, 9), taper).unwrap();
        assert_eq!(of(21, None), Place::Noted(cuts[0].clone()));
        assert_eq!(of(10, FOUR), Place::Noted(cuts[0].clone()));
        assert_eq!(of(9, None), Place::Begun, "more than twelve hours");
        assert_eq!(
            of(21, TWO),
            Place::Begun,
            "another taper than that of the cut"
        );
    }

    #[test]
    fn that_a_cut_was_noted_after_its_photos_is_said() {
        let noted = cut(1, at(21, 30), FOUR);
        let said = |made| place(&[&noted], made, None, at(23, 0)).unwrap().1;
        assert!(said(at(21, 9)).is_some_and(|s| s.contains("noted after them")));
        assert_eq!(said(at(21, 40)), None);
    }

    #[test]
    fn another_taper_after_the_last_cut_is_a_new_cut() {
        let cuts = [cut(1, at(9, 0), FOUR)];
        assert_eq!(placed(&cuts, at(10, 0), THREE).unwrap(), Place::Begun);
        assert_eq!(placed(&[], at(10, 0), None).unwrap(), Place::Begun);
        let unknown = [cut(1, at(9, 0), None)];
        let Place::WithTaper(taken) = placed(&unknown, at(10, 0), THREE).unwrap() else {
            panic!("the taper is noted with the cut");
        };
        assert_eq!((taken.id, taken.taper), (unknown[0].id, THREE));
    }
}

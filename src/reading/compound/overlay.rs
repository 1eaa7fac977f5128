//! Maps of one face, seen from several sides → one map of what any of them could judge.
//!
//! Compound stays where it is when the camera moves; a reflection does not. So a cell that two photos contradict each
//! other about is not judged, whoever is right.

use std::ops::RangeInclusive;

use ndarray::{Array2, Zip};

use super::{COVERED_IN_FULL, CompoundMap, NOT_COVERED, is_undecided, separation, undecided};
use crate::reading::rectify::{COLS, ROWS};

/// Several maps laid over one another.
#[derive(Debug, Clone)]
pub(crate) struct Overlaid {
    /// What is left when the contradicted cells are taken out.
    pub(crate) map: CompoundMap,
    /// Share of the face, 0 to 1, of which one photo says the contrary of another.
    pub(crate) contradicted: f64,
    /// Share of what two could judge.
    pub(crate) contradicted_of_shared: f64,
    /// They contradict each other far less once one is turned end for end.
    pub(crate) fits_turned: bool,
}

/// How far the outlines of two photos may lie apart, in cells: an outline is found to a cell or two, and each of the
/// two is off by so much.
const FARTHEST: isize = 4;
/// An edge of compound this many cells from the other photo's edge is the same edge: what registering leaves.
const SAME_EDGE: usize = 2;
/// The part of the face that two must have judged to be registered on one another, and to be compared end for end
/// (assumption: less is too little to tell by).
const LEAST_SHARED: f64 = 0.1;
/// Turned end for end, so much less of the contradiction must be left (assumption: less than a third, so that it takes
/// more than a face that looks alike either way).
const LEFT_WHEN_TURNED: f64 = 1.0 / 3.0;

/// What of a map is laid over another.
#[derive(Clone)]
struct Sheet {
    cover: Array2<f32>,
    second: Array2<f32>,
    density: Array2<f32>,
    judged: Array2<bool>,
}

/// Lays the maps over one another, each row 0 at the tip and column 0 at the left flank; `None` of none.
pub(crate) fn overlay(maps: &[&CompoundMap]) -> Option<Overlaid> {
    let fullest = maps.iter().max_by_key(|m| judged_cells(m))?;
    let sheets: Vec<Sheet> = maps.iter().map(|m| moved(m, shift(fullest, m))).collect();
    let against = contradictions(&sheets);
    let shared = shared(&sheets);
    let count = |cells: &Array2<bool>| cells.iter().filter(|c| **c).count() as f64;
    let (apart, both) = (count(&against), count(&shared));
    let face = (ROWS * COLS) as f64;
    Some(Overlaid {
        map: laid(maps, &sheets, &against),
        contradicted: apart / face,
        contradicted_of_shared: apart / both.max(1.0),
        fits_turned: both > LEAST_SHARED * face && fits_turned(&sheets, apart),
    })
}

/// By how many rows and columns `other` must move so that its compound lies on that of `fixed`.
fn shift(fixed: &CompoundMap, other: &CompoundMap) -> [isize; 2] {
    let reach: RangeInclusive<isize> = -FARTHEST..=FARTHEST;
    let shifts = reach
        .clone()
        .flat_map(|r| reach.clone().map(move |c| [r, c]));
    // The nearest first, so that of two that fit alike the smaller stands.
    let mut shifts: Vec<[isize; 2]> = shifts.collect();
    shifts.sort_by_key(|[r, c]| (r * r + c * c, *r, *c));
    let fits = shifts
        .into_iter()
        .filter_map(|by| Some((by, difference(fixed, other, by)?)));
    let best = fits.min_by(|a, b| a.1.total_cmp(&b.1));
    best.map_or([0, 0], |(by, _)| by)
}

/// Mean difference of cover where both judged.
fn difference(fixed: &CompoundMap, other: &CompoundMap, by: [isize; 2]) -> Option<f64> {
    let (mut sum, mut n) = (0.0, 0.0);
    for ((r, c), cover) in fixed.cover.indexed_iter() {
        let Some(from) = source([r, c], by) else {
            continue;
        };
        if fixed.judged[[r, c]] && other.judged[from] {
            sum += f64::from((cover - other.cover[from]).abs());
            n += 1.0;
        }
    }
    (n > LEAST_SHARED * (ROWS * COLS) as f64).then(|| sum / n)
}

/// The cell that lies on this one after the shift; `None` where it lies beyond the face.
fn source([r, c]: [usize; 2], by: [isize; 2]) -> Option<[usize; 2]> {
    let row = r.checked_add_signed(-by[0]).filter(|r| *r < ROWS)?;
    let col = c.checked_add_signed(-by[1]).filter(|c| *c < COLS)?;
    Some([row, col])
}

fn moved(map: &CompoundMap, by: [isize; 2]) -> Sheet {
    fn at<T: Clone>(cells: &Array2<T>, by: [isize; 2], beyond: T) -> Array2<T> {
        let cell = |(r, c)| source([r, c], by).map_or(beyond.clone(), |from| cells[from].clone());
        Array2::from_shape_fn((ROWS, COLS), cell)
    }
    Sheet {
        cover: at(&map.cover, by, 0.0),
        second: at(&map.second, by, 0.0),
        density: at(&map.density, by, 0.0),
        judged: at(&map.judged, by, false),
    }
}

/// Cells that two or more judged.
fn shared(sheets: &[Sheet]) -> Array2<bool> {
    Array2::from_shape_fn((ROWS, COLS), |rc| {
        sheets.iter().filter(|s| s.judged[rc]).count() > 1
    })
}

fn contradictions(sheets: &[Sheet]) -> Array2<bool> {
    let mut against = Array2::from_elem((ROWS, COLS), false);
    for one in sheets {
        for other in sheets {
            against.zip_mut_with(&denied(one, other), |cell, denied| *cell |= *denied);
        }
    }
    against
}

/// Cells that `one` calls covered and `other` clean, with no edge of compound near enough to be meant.
fn denied(one: &Sheet, other: &Sheet) -> Array2<bool> {
    let near = |cells: &Array2<f32>,
                judged: &Array2<bool>,
                (r, c): (usize, usize),
                test: fn(f32) -> bool| {
        let span = |i: usize, n: usize| i.saturating_sub(SAME_EDGE)..(i + SAME_EDGE + 1).min(n);
        let cells_near = span(r, ROWS).flat_map(|r| span(c, COLS).map(move |c| [r, c]));
        cells_near
            .into_iter()
            .any(|rc| judged[rc] && test(cells[rc]))
    };
    Array2::from_shape_fn((ROWS, COLS), |rc| {
        one.judged[rc]
            && other.judged[rc]
            && one.cover[rc] > COVERED_IN_FULL
            && other.cover[rc] < NOT_COVERED
            && !near(&other.cover, &other.judged, rc, |p| p > 0.5)
            && !near(&one.cover, &one.judged, rc, |p| p < 0.5)
    })
}

/// Whether one of them, turned end for end, leaves little of what the others contradict.
fn fits_turned(sheets: &[Sheet], apart: f64) -> bool {
    let turned = |s: &Sheet| {
        let end_for_end = |r: usize, c: usize| [ROWS - 1 - r, COLS - 1 - c];
        Sheet {
            cover: Array2::from_shape_fn((ROWS, COLS), |(r, c)| s.cover[end_for_end(r, c)]),
            second: Array2::zeros((ROWS, COLS)),
            density: Array2::zeros((ROWS, COLS)),
            judged: Array2::from_shape_fn((ROWS, COLS), |(r, c)| s.judged[end_for_end(r, c)]),
        }
    };
    let [one, rest @ ..] = sheets else {
        return false;
    };
    rest.iter().any(|other| {
        let pair = [turned(one), other.clone()];
        let left = contradictions(&pair).iter().filter(|c| **c).count() as f64;
        left < LEFT_WHEN_TURNED * apart
    })
}

/// Those that judged a cell; where some of them can tell compound from metal there, those alone.
fn heard(sheets: &[Sheet], rc: (usize, usize)) -> Vec<&Sheet> {
    let seen = || sheets.iter().filter(|s| s.judged[rc]);
    let sure: Vec<&Sheet> = seen().filter(|s| !is_undecided(s.cover[rc])).collect();
    if sure.is_empty() {
        seen().collect()
    } else {
        sure
    }
}

/// The mean of those that judged a cell, but for cells that they contradict each other about.
fn laid(maps: &[&CompoundMap], sheets: &[Sheet], against: &Array2<bool>) -> CompoundMap {
    let seen = Array2::from_shape_fn((ROWS, COLS), |rc| sheets.iter().any(|s| s.judged[rc]));
    let judged = Zip::from(&seen)
        .and(against)
        .map_collect(|seen, against| *seen && !*against);
    let mean = |of: fn(&Sheet) -> &Array2<f32>| {
        Array2::from_shape_fn((ROWS, COLS), |rc| {
            let heard = heard(sheets, rc);
            let sum: f32 = heard.iter().map(|s| of(s)[rc]).sum();
            sum / heard.len().max(1) as f32
        })
    };
    let (cover, density) = (mean(|s| &s.cover), mean(|s| &s.density));
    let separation = separation(&density, &cover, &judged);
    let unseen = seen.iter().filter(|s| !**s).count() as f32 / (ROWS * COLS) as f32;
    // Of what no photo saw nobody knows why, but the photos tell in which proportion.
    let share = |of: fn(&CompoundMap) -> f32| {
        let of_all = |of: fn(&CompoundMap) -> f32| maps.iter().map(|m| of(m)).sum::<f32>();
        let all = of_all(|m| m.burnt + m.black + m.hidden);
        unseen * of_all(of) / all.max(f32::MIN_POSITIVE)
    };
    CompoundMap {
        hue_shift: hue_shift(maps, separation),
        separation,
        undecided: undecided(&cover, &judged),
        burnt: share(|m| m.burnt),
        black: share(|m| m.black),
        hidden: share(|m| m.hidden),
        second: mean(|s| &s.second),
        cover,
        density,
        judged,
    }
}

/// That of the photo which judged most and tells the two colours apart. Hues of two photos don't compare, so where each
/// saw only one of the two colours nothing tells them apart.
fn hue_shift(maps: &[&CompoundMap], separation: Option<f32>) -> Option<f32> {
    let telling = maps
        .iter()
        .filter_map(|m| Some((judged_cells(m), m.hue_shift?)));
    let fullest = telling.max_by_key(|(cells, _)| *cells);
    fullest.map(|(_, hue)| hue).or(separation.map(|_| 0.0))
}

fn judged_cells(map: &CompoundMap) -> usize {
    map.judged.iter().filter(|j| **j).count()
}

#[cfg(test)]
mod tests {
    use std::ops::Range;

    use super::*;

    /// Covered from row `edge` on, judged where `judged` says so.
    fn map(edge: usize, judged: impl Fn(usize, usize) -> bool) -> CompoundMap {
        let covered = |r: usize| if r >= edge { 0.95 } else { 0.05 };
        let unjudged = Array2::from_shape_fn((ROWS, COLS), |(r, c)| !judged(r, c));
        let share = unjudged.iter().filter(|u| **u).count() as f32 / (ROWS * COLS) as f32;
        let cover = Array2::from_shape_fn((ROWS, COLS), |(r, _)| covered(r));
        CompoundMap {
            second: cover.clone(),
            cover,
            density: Array2::from_shape_fn((ROWS, COLS), |(r, c)| {
                covered(r) + ((r + c) % 2) as f32 / 10.0
            }),
            judged: unjudged.mapv(|u| !u),
            separation: Some(3.0),
            hue_shift: Some(1.0),
            undecided: 0.0,
            burnt: share,
            black: 0.0,
            hidden: 0.0,
        }
    }

    /// A reflection: what it covers looks clean.
    fn wipe(map: &mut CompoundMap, rows: Range<usize>, cols: Range<usize>) {
        for ((r, c), cover) in map.cover.indexed_iter_mut() {
            if rows.contains(&r) && cols.contains(&c) {
                *cover = 0.02;
            }
        }
    }

    /// To single precision.
    fn is(value: impl Into<f64>, expected: impl Into<f64>) -> bool {
        (value.into() - expected.into()).abs() < 1e-6
    }

    fn everywhere(_: usize, _: usize) -> bool {
        true
    }

    #[test]
    fn maps_that_agree_give_their_mean() {
        let mut lighter = map(60, everywhere);
        lighter.cover.mapv_inplace(|p| p * 0.92);
        let both = overlay(&[&map(60, everywhere), &lighter]).unwrap();
        assert!(is(both.contradicted, 0.0));
        assert!(is(both.map.cover[[100, 50]], 0.95_f32 * 0.96));
        assert!(both.map.judged.iter().all(|j| *j));
        assert!(is(both.map.burnt, 0.0));
    }

    #[test]
    fn what_one_could_not_judge_the_other_gives() {
        let tip = map(60, |r, _| r < 70);
        let base = map(60, |r, _| r > 40);
        let both = overlay(&[&tip, &base]).unwrap();
        assert!(both.map.judged.iter().all(|j| *j));
        assert!(is(both.map.burnt, 0.0));
        assert!(both.map.cover[[5, 5]] < 0.1 && both.map.cover[[120, 5]] > 0.9);
        assert_eq!(both.map.hue_shift, Some(1.0));
    }

    #[test]
    fn a_photo_that_cannot_tell_takes_nothing_from_one_that_can() {
        let mut torn = map(60, everywhere);
        torn.cover.fill(0.5);
        let both = overlay(&[&torn, &map(60, everywhere)]).unwrap();
        assert!(is(both.map.cover[[100, 50]], 0.95_f32));
        assert!(is(both.map.undecided, 0.0) && is(both.contradicted, 0.0));
        let neither = overlay(&[&torn, &torn]).unwrap();
        assert!(is(neither.map.undecided, 1.0));
    }

    #[test]
    fn what_none_could_judge_stays_so_for_the_reason_that_they_name() {
        let half = |r: usize, _: usize| r < ROWS / 2;
        let both = overlay(&[&map(60, half), &map(60, half)]).unwrap();
        assert!(is(both.map.burnt, 0.5));
        assert!(is(both.map.hidden, 0.0));
        assert!(!both.map.judged[[ROWS - 1, 0]]);
    }

    #[test]
    fn a_part_that_they_contradict_each_other_about_is_not_judged() {
        let mut glared = map(60, everywhere);
        wipe(&mut glared, 80..100, 20..60);
        let both = overlay(&[&map(60, everywhere), &glared]).unwrap();
        assert!(!both.map.judged[[90, 40]]);
        assert!(both.map.judged[[90, 80]] && both.map.judged[[20, 40]]);
        // Within the two cells that count as the same edge.
        let share = 20.0 * 40.0 / (ROWS * COLS) as f64;
        assert!(both.contradicted > 0.6 * share && both.contradicted <= share);
        assert!(!both.fits_turned);
    }

    #[test]
    fn an_outline_that_lies_a_little_off_is_moved_onto_the_other() {
        for rows in [-3_isize, -1, 1, 3] {
            let moved = map(60_usize.saturating_add_signed(rows), everywhere);
            let both = overlay(&[&map(60, everywhere), &moved]).unwrap();
            assert!(is(both.contradicted, 0.0), "{rows}");
            assert_eq!(shift(&map(60, everywhere), &moved), [-rows, 0]);
        }
    }

    #[test]
    fn maps_turned_end_for_end_contradict_each_other_and_are_told() {
        let mut turned = map(60, everywhere);
        turned.cover.invert_axis(ndarray::Axis(0));
        let both = overlay(&[&map(60, everywhere), &turned]).unwrap();
        assert!(both.contradicted > 0.5, "{}", both.contradicted);
        assert!(both.fits_turned);
    }

    #[test]
    fn of_three_each_gives_what_it_saw_and_one_against_two_is_not_judged() {
        let thirds = [0, 1, 2].map(|third| map(60, move |r, _| r * 3 / ROWS != third));
        let all: Vec<&CompoundMap> = thirds.iter().collect();
        let seen = overlay(&all).unwrap();
        assert!(seen.map.judged.iter().all(|j| *j));
        let mut against = map(60, everywhere);
        wipe(&mut against, 80..100, 0..COLS);
        let one = map(60, everywhere);
        let three = overlay(&[&one, &one, &against]).unwrap();
        assert!(!three.map.judged[[90, 40]]);
    }

    #[test]
    fn colours_that_no_photo_shows_beside_each_other_are_not_told_apart() {
        let alone = |judged: fn(usize, usize) -> bool| CompoundMap {
            separation: None,
            hue_shift: None,
            ..map(64, judged)
        };
        let (clean, covered) = (alone(|r, _| r < 64), alone(|r, _| r >= 64));
        let both = overlay(&[&clean, &covered]).unwrap();
        assert_eq!(both.map.hue_shift, Some(0.0));
    }

    #[test]
    fn none_give_none() {
        assert!(overlay(&[]).is_none());
    }
}

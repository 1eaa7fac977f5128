//! After the proof: have answers and outcomes drifted apart?
//!
//! A one-sided cumulative sum of answers that were not right, one by one (Page, Biometrika 41:100, 1954; for single
//! right-or-wrong observations Reynolds and Stoumbos, J. Quality Technology 31:87, 1999).

use super::judged::Verdict;

/// An answer that was not right adds this less one; every right one takes one away. Their reference value for telling
/// 5 % from 20 % is `ln(0.95/0.80) / ln(0.20·0.95/(0.05·0.80)) = 0.1103`, rounded to 1/9 as they do. Both shares are
/// assumptions: one in twenty is what a setter puts up with, one in five is not.
const ONE_IN: usize = 9;
/// In ninths; signals from here. At one in twenty not right a false signal comes after 498 answers on average,
/// at one in five a true one after 22, and three in a row that are not right signal at once: a choice, by
/// [`mean_run_length`].
const LIMIT: usize = 20;

/// The sum over answers that were judged after the end of a prove-out.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, serde::Serialize)]
pub struct Watch {
    /// Now, in ninths of an answer.
    pub sum: usize,
    /// Answers until it first signalled.
    pub signalled_after: Option<u32>,
}

impl Watch {
    /// In the order in which they were answered. Whoever did not answer has no part in it.
    pub fn over(verdicts: impl IntoIterator<Item = Verdict>) -> Self {
        let mut watch = Self::default();
        let answers = verdicts.into_iter().filter(|v| *v != Verdict::Unanswered);
        for (verdict, number) in answers.zip(1..) {
            watch.sum = match verdict {
                Verdict::Right => watch.sum.saturating_sub(1),
                _ => watch.sum + ONE_IN - 1,
            };
            if watch.sum >= LIMIT && watch.signalled_after.is_none() {
                watch.signalled_after = Some(number);
            }
        }
        watch
    }

    /// Answers until it signals, on average, where this share, 0 to 1, is not right.
    pub fn mean_run_length(not_right: f64) -> f64 {
        let steps = [(-1, 1.0 - not_right), (ONE_IN as i64 - 1, not_right)];
        mean_run_length(&steps, LIMIT)
    }
}

/// Observations until a one-sided cumulative sum that begins at 0 and never falls below it reaches `limit`, on
/// average: the chain of Brook and Evans, Biometrika 59:539, 1972. `steps` are what an observation adds, with
/// its probability; whatever is missing to a whole adds more than the limit. The sum may only signal after some
/// number of steps upwards, else the mean is infinite.
pub fn mean_run_length(steps: &[(i64, f64)], limit: usize) -> f64 {
    let mut rows: Vec<Vec<f64>> = (0..limit).map(|from| row(steps, from, limit)).collect();
    // (I − R) L = 1, by elimination with the largest pivot.
    for column in 0..limit {
        let largest = (column..limit).max_by(|a, b| {
            let size = |row: &usize| rows[*row][column].abs();
            size(a).total_cmp(&size(b))
        });
        rows.swap(column, largest.unwrap_or(column));
        let pivot = rows[column].clone();
        for below in rows.iter_mut().skip(column + 1) {
            let factor = below[column] / pivot[column];
            if factor != 0.0 {
                for (cell, above) in below.iter_mut().zip(&pivot).skip(column) {
                    *cell -= factor * above;
                }
            }
        }
    }
    let mut lengths = vec![0.0; limit];
    for at in (0..limit).rev() {
        let known: f64 = (at + 1..limit).map(|k| rows[at][k] * lengths[k]).sum();
        lengths[at] = (rows[at][limit] - known) / rows[at][at];
    }
    lengths.first().copied().unwrap_or(0.0)
}

/// A row of `I − R`, with the right side behind it.
fn row(steps: &[(i64, f64)], from: usize, limit: usize) -> Vec<f64> {
    let mut row = vec![0.0; limit + 1];
    row[from] = 1.0;
    row[limit] = 1.0;
    for (by, probability) in steps {
        let to = (from as i64 + by).max(0) as usize;
        if to < limit {
            row[to] -= probability;
        }
    }
    row
}

//! How likely a pattern is right: what a reading shows of itself, weighed by a model that was fitted on readings of photos
//! whose truth is known.
//!
//! No single cue tells a right reading from a wrong one in hard light: the judge's probability is of the map, and says nothing
//! of whether the map is right. All together do, by gradient-boosted decision trees (Friedman, Annals of Statistics
//! 29(5):1189–1232, 2001) with a logistic loss, so that their sum is a probability. `src/recipe/trust.py` fits them;
//! `src/recipe/README.md` has how well it holds on photos in light and before pictures that fitted nothing.

#[cfg(test)]
mod tests;

use std::sync::LazyLock;

use super::cues::Cues;
use crate::reading::compound::CompoundMap;
use crate::reading::face::Border;
use crate::reading::method::Method;
use crate::reading::network::TRUST;
use crate::reading::pattern::{self, PatternReading};
use crate::reading::profile::ContactProfile;

/// Stands for what could not be measured: below all that can.
const NOTHING: f32 = -1.0;

/// What is weighed, in the order of `features` in the model, without what the border says, which is last.
#[derive(Debug, Clone)]
pub(super) struct Seen(Vec<f32>);

impl Seen {
    pub(super) fn of(
        map: &CompoundMap,
        cues: &Cues,
        profile: &ContactProfile,
        judged: &PatternReading,
        method: Method,
    ) -> Self {
        let shares = &judged.shares;
        let mut seen = judged.chances.to_vec();
        seen.extend([
            (judged.confidence * cues.outline) as f32,
            map.separation.unwrap_or(NOTHING),
            map.hue_shift.unwrap_or(NOTHING),
            map.undecided,
            cues.opinions_apart,
            f32::from(method == Method::Transfer),
        ]);
        let of_cues = [
            cues.jaw,
            cues.alike,
            cues.seam,
            cues.outline_seen,
            cues.outline,
            cues.sharpness,
            cues.unlike_ends,
            profile.judged,
            pattern::least_judged(map),
            shares.overall,
        ];
        seen.extend(of_cues.into_iter().chain(shares.thirds).map(|v| v as f32));
        seen.extend(judged.borne_out);
        Self(seen)
    }

    /// The probability that the pattern is right, with what the border says.
    pub(super) fn chance(&self, border: Border) -> f64 {
        MODEL.chance(&self.with(border))
    }

    fn with(&self, border: Border) -> Vec<f32> {
        let of_border = [border.painted_seam as f32, border.jaw as f32];
        self.0.iter().copied().chain(of_border).collect()
    }
}

/// Trees as `src/recipe/trust.py` writes them.
#[derive(Debug, serde::Deserialize)]
struct Model {
    /// Names of what is weighed.
    #[cfg(test)]
    features: Vec<String>,
    /// Log odds before anything is weighed.
    start: f64,
    /// Each adds what its leaf says.
    trees: Vec<Vec<Node>>,
}

/// Children are places in the same tree, always further on.
#[derive(Debug, serde::Deserialize)]
#[serde(untagged)]
enum Node {
    /// Feature, highest value that goes to the first child, children.
    Split(usize, f32, usize, usize),
    Leaf(f64),
}

static MODEL: LazyLock<Model> =
    LazyLock::new(|| serde_json::from_str(TRUST).expect("the model is in order"));

impl Model {
    fn chance(&self, seen: &[f32]) -> f64 {
        let odds: f64 = self.trees.iter().map(|tree| leaf(tree, seen)).sum();
        1.0 / (1.0 + (-self.start - odds).exp())
    }
}

fn leaf(tree: &[Node], seen: &[f32]) -> f64 {
    let mut at = 0;
    loop {
        match tree[at] {
            Node::Leaf(value) => return value,
            Node::Split(feature, most, low, high) => {
                at = if seen[feature] <= most { low } else { high };
            }
        }
    }
}

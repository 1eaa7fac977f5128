//! `CompoundMap` → pattern, with its evidence.

mod direction;
mod evidence;

use ndarray::{Array2, Array4, ArrayView4, Axis, Slice};

use crate::reading::compound::{CompoundMap, decided};
use crate::reading::method::Method;
use crate::reading::network::{self, JUDGE_COLS, JUDGE_ROWS, JUDGED_PATTERNS, softmax};
use crate::reading::rectify::{COLS, ROWS};

pub use direction::Direction;
pub(crate) use direction::{direction, is_taper};
pub(crate) use evidence::{Evidence, least_judged};

/// How the jaw touched the workpiece. Kebab-case names in JSON.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Pattern {
    /// Grips from tip to base.
    FullLength,
    /// Touches at the tip, open at the base: too much taper.
    TipOnly,
    /// Touches at the base, open at the tip: too little taper.
    BaseOnly,
    /// Touches at both ends, open in the middle of the length.
    EndsOnly,
    /// Touches in the middle of the length only.
    MiddleOnly,
    /// Touches along the middle of the width only.
    CentreOnly,
    /// Touches along both flanks only.
    EdgesOnly,
    /// One flank open along the length.
    OneSide,
    /// A spot of contact with a gap around it: chip or burr.
    HeldOff,
    /// Two of the above at once.
    Mixed,
    /// The photo can't be judged.
    Unreadable,
}

impl Pattern {
    /// All, in the order in which tables number them.
    pub const ALL: [Self; 11] = [
        Self::FullLength,
        Self::TipOnly,
        Self::BaseOnly,
        Self::EndsOnly,
        Self::MiddleOnly,
        Self::CentreOnly,
        Self::EdgesOnly,
        Self::OneSide,
        Self::HeldOff,
        Self::Mixed,
        Self::Unreadable,
    ];
}

/// A pattern with its confidence and what it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct PatternReading {
    /// The most probable pattern.
    pub pattern: Pattern,
    /// Its probability by the judge network, 0 to 1, lowered where the shares of contact contradict it.
    pub confidence: f64,
    /// The judge network's probabilities, in the order of [`Pattern::ALL`] without the last.
    pub chances: [f32; JUDGED_PATTERNS],
    /// Plain words.
    pub evidence: Vec<String>,
    /// What they are made of.
    pub(crate) shares: Evidence,
    /// Whether they contradict the pattern.
    pub(crate) contradicted: bool,
    /// Its probability by the judge network from the second opinion's map, and from the mirror image of this one.
    pub(crate) borne_out: [f32; 2],
}

/// The judge's order: as `NAMES` in `src/recipe/judge.py`. A pattern that is added stands here, in `network::JUDGED_PATTERNS`, in the
/// rules, and in the words of `report` and `people`.
const NAMED: [Pattern; JUDGED_PATTERNS] = [
    Pattern::FullLength,
    Pattern::TipOnly,
    Pattern::BaseOnly,
    Pattern::EndsOnly,
    Pattern::MiddleOnly,
    Pattern::CentreOnly,
    Pattern::EdgesOnly,
    Pattern::OneSide,
    Pattern::HeldOff,
    Pattern::Mixed,
];

/// Highest confidence of a pattern that the plain shares of contact contradict.
const CONTRADICTED: f64 = 0.3;

/// Names the pattern: the judge network's opinion of the coarse map, held against the plain shares of
/// contact, which must say the same wherever a taper change could follow.
pub fn judge(map: &CompoundMap, method: Method) -> PatternReading {
    let evidence = Evidence::of(map, method);
    let chances = |map: ArrayView4<'_, f32>| softmax(&network::judge(map));
    let asked = coarse(&map.cover, &map.judged, method);
    let by_this = chances(asked.view());
    let at = (0..JUDGED_PATTERNS)
        .max_by(|a, b| by_this[*a].total_cmp(&by_this[*b]))
        // There are always ten; the last would change nothing.
        .unwrap_or(JUDGED_PATTERNS - 1);
    let pattern = NAMED[at];
    let mut words = evidence.in_words(method);
    let mut confidence = f64::from(by_this[at]);
    let contradiction = contradiction(pattern, &evidence, map);
    if let Some(contradiction) = contradiction {
        confidence = confidence.min(CONTRADICTED);
        words.push(contradiction.to_owned());
    }
    let by_second = chances(coarse(&map.second, &map.judged, method).view());
    let by_mirrored = chances(asked.slice_axis(Axis(3), Slice::new(0, None, -1)));
    PatternReading {
        pattern,
        confidence,
        chances: by_this,
        evidence: words,
        shares: evidence,
        contradicted: contradiction.is_some(),
        borne_out: [by_second[at], by_mirrored[at]],
    }
}

/// Share covered and share judged as the judge was trained on them: means over blocks of cells.
pub(crate) fn coarse(cover: &Array2<f32>, judged: &Array2<bool>, method: Method) -> Array4<f32> {
    let (down, across) = (ROWS / JUDGE_ROWS, COLS / JUDGE_COLS);
    let share = 1.0 / (down * across) as f32;
    let mut out = Array4::zeros((1, 3, JUDGE_ROWS, JUDGE_COLS));
    out.index_axis_mut(Axis(1), 2)
        .fill(f32::from(method == Method::Transfer));
    for ((r, c), &judged) in judged.indexed_iter() {
        if judged {
            out[[0, 0, r / down, c / across]] += decided(cover[[r, c]]) * share;
            out[[0, 1, r / down, c / across]] += share;
        }
    }
    out
}

/// Least and most contact that a block of a third must show to be called touching or open. Of 54 rendered faces
/// that are open at one end the third that touches showed 0.55 or more, and all but one third that is open 0.43
/// or less; blocks scatter more, so the limits lie wider apart (assumption).
const TOUCHING: f64 = 0.4;
/// See [`TOUCHING`].
const OPEN: f64 = 0.7;
/// Least contact of every third, and of the whole, of a jaw that grips along its whole length. Of 57 rendered
/// ones none had a third below 0.74, and of those open at an end all but one had one of 0.43 or less: the limit
/// lies between. That of the whole is an assumption.
const FULL_THIRD: f64 = 0.6;
/// See [`FULL_THIRD`].
const FULL: f64 = 0.75;
/// Least distance between covered and clean metal, in standard deviations of their density: below
/// it, what the reader calls compound does not look different from bare metal (assumption).
const LEAST_SEPARATION: f32 = 0.7;

/// Why the plain shares contradict a pattern that may change the taper; `None` where they agree.
fn contradiction(pattern: Pattern, e: &Evidence, map: &CompoundMap) -> Option<&'static str> {
    let touching = |third: usize| e.blocks[third].iter().all(|v| *v > TOUCHING);
    let open = |third: usize| e.blocks[third].iter().all(|v| *v < OPEN);
    let agrees = match pattern {
        Pattern::FullLength => e.thirds.iter().all(|v| *v > FULL_THIRD) && e.overall > FULL,
        Pattern::TipOnly => open(2) && e.thirds[0] > e.thirds[2] && !open_at_its_end(e, 0),
        Pattern::BaseOnly => open(0) && e.thirds[2] > e.thirds[0] && !open_at_its_end(e, 2),
        _ => true,
    };
    // Where nearly all or nearly nothing is covered there is no second colour to compare with.
    let visible = map.separation.is_none_or(|d| d > LEAST_SEPARATION);
    let taper = matches!(pattern, Pattern::TipOnly | Pattern::BaseOnly);
    // Somewhere an end must touch over its whole width, or else hardly anything does: else it is a matter
    // across the width, not along.
    if !agrees || (taper && !(touching(0) || touching(2) || e.overall < TOUCHING)) {
        Some(
            "the shares of contact do not bear the pattern out: it is not uniform across the width",
        )
    } else if taper && !visible {
        Some("what looks like compound is hardly different from the bare metal around it")
    } else {
        None
    }
}

/// Whether the end that should touch is open.
fn open_at_its_end(e: &Evidence, third: usize) -> bool {
    e.ends[third] < TOUCHING
}

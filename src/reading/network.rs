//! The small networks behind the finder, the compound map and the pattern, and what they return.
//!
//! All were trained on rendered pictures only; `src/recipe/` repeats the training.
//! They run on the CPU, in Rust, from weights that are part of the program.

use std::sync::LazyLock;

use ndarray::{Array1, Array2, Array3, ArrayView4, Axis};
use rten::{Model, NodeId, RunOptions, Value};
use rten_tensor::NdTensor;
use rten_tensor::prelude::*;
use sha2::{Digest, Sha256};

use crate::reading::threads;

/// Pixels of the picture per cell of the finder's maps.
pub(crate) const FINDER_STRIDE: usize = 4;
/// Pixels of the crop per cell of the reader's maps.
pub(crate) const READER_STRIDE: usize = 2;
/// Side of the reader's square crop, pixels.
pub(crate) const CROP: usize = 192;
/// Width of the crop's border around the face, as a share of the crop's side.
pub(crate) const CROP_MARGIN: f64 = 0.15;

/// The networks' names, each its file's without the ending.
pub(crate) const NAMES: [&str; 5] = ["finder", "reader", "film", "seam", "judge"];

/// As [`NAMES`], part of the program.
#[cfg(not(target_arch = "wasm32"))]
static WEIGHTS: [&[u8]; 5] = [
    include_bytes!("network/finder.onnx"),
    include_bytes!("network/reader.onnx"),
    include_bytes!("network/film.onnx"),
    include_bytes!("network/seam.onnx"),
    include_bytes!("network/judge.onnx"),
];

#[cfg(not(target_arch = "wasm32"))]
pub(crate) fn weights() -> &'static [&'static [u8]; 5] {
    &WEIGHTS
}

/// As [`NAMES`], given to a browser's program before its first photo: files of their own, so that a page is there
/// before they have come.
#[cfg(target_arch = "wasm32")]
pub(crate) static GIVEN: std::sync::OnceLock<[&'static [u8]; 5]> = std::sync::OnceLock::new();

#[cfg(target_arch = "wasm32")]
pub(crate) fn weights() -> &'static [&'static [u8]; 5] {
    GIVEN.get().expect("the weights are given first")
}

/// The model that weighs how likely a reading is right (`inspect/trust`): as the weights, fitted and not written.
pub(crate) static TRUST: &str = include_str!("network/trust.json");

/// What a reading hangs on beside the photo: the program's version and, behind a plus sign, the first digits of the
/// SHA-256 of all that was fitted. Semantic Versioning compares what stands before the plus sign alone.
#[cfg_attr(not(feature = "archive"), allow(dead_code))]
pub(crate) static VERSION: LazyLock<String> = LazyLock::new(|| {
    let weights = weights().iter().fold(Sha256::new(), Sha256::chain_update);
    let all = weights.chain_update(TRUST);
    let digits = format!("{:x}", all.finalize());
    format!("{}+{}", env!("CARGO_PKG_VERSION"), &digits[..8])
});

/// Whole picture → maps at a quarter of its size: face, corner, tip direction x and y.
static FINDER: LazyLock<Model> = LazyLock::new(|| load(weights()[0]));
/// Crop of a face → maps at half its size and fourteen values, see [`ReaderOutput`].
static READER: LazyLock<Model> = LazyLock::new(|| load(weights()[1]));

/// The reader's crop → map of compound at half its size.
static FILM: LazyLock<Model> = LazyLock::new(|| load(weights()[2]));

/// Crop of a face → logits of a painted seam and of a jaw's face, from its border and what is beside it.
static SEAM: LazyLock<Model> = LazyLock::new(|| load(weights()[3]));

/// Coarse compound map → logits of ten patterns.
static JUDGE: LazyLock<Model> = LazyLock::new(|| load(weights()[4]));

/// Loads on a thread of its own: loading runs on rayon, and a rayon worker that waits for it would pick
/// up another photo's reading, which waits for the same network, for ever.
fn load(weights: &'static [u8]) -> Model {
    let load = move || {
        // All that the networks have; each more makes the program larger.
        let ops = rten::op_registry!(
            Add,
            AveragePool,
            Cast,
            Conv,
            Flatten,
            Gemm,
            Mul,
            ReduceMean,
            Relu,
            Resize,
            Sub,
            Unsqueeze
        );
        let model = rten::ModelOptions::with_ops(ops).load_static_slice(weights);
        model.expect("the weights are part of the program")
    };
    if cfg!(target_arch = "wasm32") {
        // One thread is all there is, and rayon runs on it.
        return load();
    }
    std::thread::spawn(load)
        .join()
        .expect("loading does not panic")
}

/// Loads the networks, so that a caller can do it while the photo is being decoded.
pub(crate) fn warm_up() {
    LazyLock::force(&FINDER);
    LazyLock::force(&READER);
    LazyLock::force(&FILM);
    LazyLock::force(&SEAM);
    LazyLock::force(&JUDGE);
}

/// What the finder says; maps are `rows × columns`, one cell per [`FINDER_STRIDE`] pixels.
pub(crate) struct FinderOutput {
    /// 4 × rows × columns: logit of face, logit of corner, tip direction x, tip direction y.
    pub maps: Array3<f32>,
}

/// What the reader says of a crop whose tip edge is on top.
pub(crate) struct ReaderOutput {
    /// 10 × rows × columns: logit of face, logit of compound, then log-scores of eight points:
    /// the corners clockwise from top-left, the middles of the top, right, bottom and left edge.
    pub maps: Array3<f32>,
    /// Logits of the tip's side: top, right, bottom, left.
    pub tip_side: [f32; 4],
    /// Logit of a painted seam.
    pub seam: f32,
    /// Logits in the order of [`Quality`].
    pub quality: [f32; 7],
    /// Logit of this being the gripping face of a jaw at all.
    pub jaw: f32,
    /// Logit of compound and bare metal being too alike to be told apart.
    pub alike: f32,
}

/// How well a face can be read, in the order of the reader's values.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Quality {
    Good,
    Blurred,
    Dark,
    BurntOut,
    Glare,
    Hidden,
    Smeared,
}

impl Quality {
    pub(crate) const ALL: [Self; 7] = [
        Self::Good,
        Self::Blurred,
        Self::Dark,
        Self::BurntOut,
        Self::Glare,
        Self::Hidden,
        Self::Smeared,
    ];
}

/// Runs the finder on a picture, `1 × 3 × height × width` sRGB 0 to 1, both multiples of 32.
pub(crate) fn find(picture: ArrayView4<'_, f32>) -> FinderOutput {
    let [maps] = run(&FINDER, picture, [0]);
    FinderOutput {
        maps: three_d(maps),
    }
}

/// Runs the reader on a crop, `1 × 3 × CROP × CROP` sRGB 0 to 1.
pub(crate) fn read(crop: ArrayView4<'_, f32>) -> ReaderOutput {
    let [maps, values] = run(&READER, crop, [0, 1]);
    let v = one_d(values);
    ReaderOutput {
        maps: three_d(maps),
        tip_side: tip_side(&v),
        seam: v[4],
        quality: std::array::from_fn(|i| v[5 + i]),
        jaw: v[12],
        alike: v[13],
    }
}

/// As [`ReaderOutput::tip_side`] and [`ReaderOutput::jaw`], without the maps, which take a good part of the time.
pub(crate) fn read_tip_side_and_jaw(crop: ArrayView4<'_, f32>) -> ([f32; 4], f32) {
    let [values] = run(&READER, crop, [1]);
    let v = one_d(values);
    (tip_side(&v), v[12])
}

/// Logit of compound per cell of [`READER_STRIDE`] pixels, in a crop as the reader's. Twice the reader's size and
/// trained for this alone, so asked once, when the corners are settled.
pub(crate) fn film(crop: ArrayView4<'_, f32>) -> Array2<f32> {
    let [map] = run(&FILM, crop, [0]);
    three_d(map).index_axis_move(Axis(0), 0)
}

/// Logits of a painted seam and of a jaw's face, in a crop as the reader's. The reader's own value only tells
/// painted seep-in checks from faces that were never painted: it was not trained on prints, and gives them a
/// high one.
pub(crate) fn border(crop: ArrayView4<'_, f32>) -> [f32; 2] {
    let [values] = run(&SEAM, crop, [0]);
    let v = one_d(values);
    [v[0], v[1]]
}

fn tip_side(values: &Array1<f32>) -> [f32; 4] {
    std::array::from_fn(|i| values[i])
}

/// Rows and columns of the judge's map.
pub(crate) const JUDGE_ROWS: usize = 32;
/// See [`JUDGE_ROWS`].
pub(crate) const JUDGE_COLS: usize = 24;
/// Patterns that the judge tells apart.
pub(crate) const JUDGED_PATTERNS: usize = 10;

/// Runs the judge on `1 × 3 × JUDGE_ROWS × JUDGE_COLS`: share covered, share judged, 1 for a transfer
/// check. Returns logits in the order of `pattern::NAMED`.
pub(crate) fn judge(map: ArrayView4<'_, f32>) -> [f32; JUDGED_PATTERNS] {
    let [values] = run(&JUDGE, map, [0]);
    let v = one_d(values);
    std::array::from_fn(|i| v[i])
}

/// One pass, for the outputs with these numbers; the models' shapes are fixed when they are built in, so a failure is a defect, not input.
fn run<const N: usize>(
    model: &Model,
    input: ArrayView4<'_, f32>,
    outputs: [usize; N],
) -> [Value; N] {
    let (a, b, c, d) = input.dim();
    // A copy in the order of the view, which may run backwards (mirrored and turned crops).
    let in_order = || input.iter().copied().collect();
    let data: Vec<f32> = input.as_slice().map_or_else(in_order, <[f32]>::to_vec);
    let tensor = NdTensor::<f32, 4>::from_data([a, b, c, d], data);
    let outputs: [NodeId; N] = outputs.map(|i| model.output_ids()[i]);
    let options = RunOptions::default().with_thread_pool(threads::pool());
    let inputs = vec![(model.input_ids()[0], tensor.into())];
    model
        .run_n(inputs, outputs, Some(options))
        .expect("the input has the shape that the network was built for")
}

fn three_d(value: Value) -> Array3<f32> {
    let t: NdTensor<f32, 4> = value.try_into().expect("maps are 1 × n × rows × columns");
    let [_, n, rows, cols] = t.shape();
    Array3::from_shape_vec((n, rows, cols), t.to_vec()).expect("as many values as cells")
}

fn one_d(value: Value) -> Array1<f32> {
    let t: NdTensor<f32, 2> = value.try_into().expect("values are 1 × n");
    Array1::from_vec(t.to_vec())
}

/// The logistic function.
pub(crate) fn sigmoid(logit: f32) -> f32 {
    1.0 / (1.0 + (-logit).exp())
}

/// Logits to probabilities that sum to 1.
pub(crate) fn softmax<const N: usize>(logits: &[f32; N]) -> [f32; N] {
    // Taken off, so that no exponential overflows; the shares stay the same.
    let top = logits.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let e = logits.map(|v| (v - top).exp());
    let sum: f32 = e.iter().sum();
    e.map(|v| v / sum)
}

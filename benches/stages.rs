//! How long each stage of a reading takes, on one sample photo: `cargo bench --bench stages`.
//!
//! Everything runs on one thread, as for one photo of a check. The stages after decoding work on a
//! picture and a grid of fixed size, so they cost the same whatever the photo's size. Another photo
//! (tip up, seep-in) is measured with `SEEPLINE_BENCH_PHOTO=FILE`.

use std::sync::LazyLock;
use std::{env, fs};

use divan::{Bencher, black_box};
use seepline::report::page_pictures;
use seepline::{
    Check, CompoundMap, Face, Method, RectifiedFace, Request, Rules, Setup, TipDirection,
    UprightPhoto, advise, inspect, read_photo, rectify, stages,
};

/// A jaw on a bench, 1200 × 1600, with blue things beside it.
const SAMPLE: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/sample-images/heron-too-much-taper/jaw1.jpg"
);

static BYTES: LazyLock<Vec<u8>> = LazyLock::new(|| {
    let file = env::var("SEEPLINE_BENCH_PHOTO").unwrap_or_else(|_| SAMPLE.to_owned());
    fs::read(&file).unwrap_or_else(|e| panic!("{file}: {e}"))
});

fn main() {
    divan::main();
}

/// The sample after each stage.
struct Sample {
    photo: UprightPhoto,
    face: Face,
    look: stages::Look,
    rectified: RectifiedFace,
    compound: CompoundMap,
}

impl Sample {
    fn new() -> Self {
        let photo = photo();
        let (face, look) = stages::search(&photo, Some(TipDirection::Up)).expect("a face is found");
        let rectified = rectify(&photo, &face).expect("its corners are not on a line");
        let compound = stages::map_compound(&rectified, &look);
        Self {
            photo,
            face,
            look,
            rectified,
            compound,
        }
    }
}

fn photo() -> UprightPhoto {
    read_photo(&BYTES).expect("the file is a photo")
}

/// Bytes → upright photo.
#[divan::bench]
fn a_decode(bencher: Bencher) {
    bencher.bench(|| read_photo(black_box(&BYTES)));
}

/// Whole picture → coarse outline, then the looks at the face that settle it.
#[divan::bench]
fn b_search_with_all_looks(bencher: Bencher) {
    let photo = photo();
    bencher.bench(|| stages::search(black_box(&photo), Some(TipDirection::Up)));
}

/// One look at the face, which is all that is needed where the corners are given.
#[divan::bench]
fn c_of_which_one_look(bencher: Bencher) {
    let sample = Sample::new();
    bencher.bench(|| stages::given(black_box(&sample.photo), sample.face.corners).is_ok());
}

/// Face → grid in linear light.
#[divan::bench]
fn d_rectify(bencher: Bencher) {
    let sample = Sample::new();
    bencher.bench(|| rectify(black_box(&sample.photo), &sample.face));
}

/// Grid → compound map.
#[divan::bench]
fn e_compound(bencher: Bencher) {
    let sample = Sample::new();
    bencher.bench(|| stages::map_compound(black_box(&sample.rectified), &sample.look));
}

/// Compound map → profile.
#[divan::bench]
fn f_profile(bencher: Bencher) {
    let sample = Sample::new();
    bencher.bench(|| stages::profile(black_box(&sample.compound)));
}

/// Compound map → pattern.
#[divan::bench]
fn g_pattern(bencher: Bencher) {
    let sample = Sample::new();
    bencher.bench(|| stages::judge(black_box(&sample.compound), Method::Seep));
}

/// Upright photo → reading: all stages but decoding.
#[divan::bench]
fn h_inspect(bencher: Bencher) {
    let photo = photo();
    let request = Request::default();
    bencher
        .with_inputs(|| photo.clone())
        .bench_values(|photo| inspect(photo, &request));
}

/// Readings → advice.
#[divan::bench]
fn i_advise(bencher: Bencher) {
    let inspection = inspect(photo(), &Request::default());
    let check = Check {
        readings: vec![&inspection.reading; 3],
        setup: Setup::default(),
    };
    bencher.bench(|| advise(black_box(&check), Rules::built_in()));
}

/// A reading's thumbnail and picture, as a review keeps them.
#[divan::bench]
fn j_pictures_of_a_review(bencher: Bencher) {
    let inspection = inspect(photo(), &Request::default());
    bencher.bench(|| page_pictures(black_box(&inspection)));
}

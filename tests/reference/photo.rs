//! EXIF orientation against Pillow.

use approx::assert_abs_diff_eq;
use seepline::read_photo;
use serde::Deserialize;

#[derive(Deserialize)]
struct Upright {
    size: [u32; 2],
    blocks: Vec<Vec<[u8; 3]>>,
}

const TURNED: [&[u8]; 8] = [
    include_bytes!("fixtures/orientation_1.jpg"),
    include_bytes!("fixtures/orientation_2.jpg"),
    include_bytes!("fixtures/orientation_3.jpg"),
    include_bytes!("fixtures/orientation_4.jpg"),
    include_bytes!("fixtures/orientation_5.jpg"),
    include_bytes!("fixtures/orientation_6.jpg"),
    include_bytes!("fixtures/orientation_7.jpg"),
    include_bytes!("fixtures/orientation_8.jpg"),
];

/// Two JPEG decoders may round each of the DCT and the colour conversion differently: two levels, and
/// one more for the division of luma and chroma. Neighbouring blocks differ by tens of levels.
#[test]
fn every_exif_orientation_turns_as_in_pillow() {
    let want: Vec<Upright> = super::fixture(include_str!("fixtures/orientations.json"));
    assert_eq!(want.len(), TURNED.len());
    for (bytes, upright) in TURNED.iter().zip(want) {
        let photo = read_photo(bytes).expect("a small JPEG");
        assert_eq!(photo.size_px, upright.size);
        for (r, row) in upright.blocks.iter().enumerate() {
            for (c, colour) in row.iter().enumerate() {
                let got = photo.pixels.get_pixel(8 * c as u32 + 4, 8 * r as u32 + 4).0;
                for (a, b) in got.iter().zip(colour) {
                    assert_abs_diff_eq!(f32::from(*a), f32::from(*b), epsilon = 3.0);
                }
            }
        }
    }
}

//! The library that finds connected regions, as it is called here, against SciPy.

use image::{GrayImage, Luma};
use imageproc::region_labelling::{Connectivity, connected_components};
use serde::Deserialize;

#[derive(Deserialize)]
struct Regions {
    mask: Vec<Vec<u8>>,
    four: Counted,
    eight: Counted,
}

#[derive(Deserialize)]
struct Counted {
    count: usize,
    size_at: Vec<Vec<usize>>,
}

#[test]
fn connected_regions_are_those_of_scipy() {
    let want: Regions = super::fixture(include_str!("fixtures/components.json"));
    let (w, h) = (want.mask[0].len() as u32, want.mask.len() as u32);
    let mask = GrayImage::from_fn(w, h, |x, y| Luma([want.mask[y as usize][x as usize]]));
    assert_ne!(want.four.count, want.eight.count);
    for (how, counted) in [
        (Connectivity::Four, want.four),
        (Connectivity::Eight, want.eight),
    ] {
        let labels = connected_components(&mask, how, Luma([0]));
        let mut sizes = vec![0; counted.count + 1];
        labels.pixels().for_each(|l| sizes[l.0[0] as usize] += 1);
        sizes[0] = 0;
        for (x, y, label) in labels.enumerate_pixels() {
            assert_eq!(
                sizes[label.0[0] as usize],
                counted.size_at[y as usize][x as usize]
            );
        }
    }
}

//! Transfer function and stain separation.

use approx::assert_abs_diff_eq;
use seepline::{linear_to_srgb, srgb_to_linear, unmix};
use serde::Deserialize;

/// IEC 61966-2-1:1999, evaluated with colour-science 0.4.7; printed to seven digits, computed here in
/// `f32` (24 bits, 6e-8), so half a printed digit plus that.
#[test]
fn srgb_has_the_standards_values() {
    assert_abs_diff_eq!(srgb_to_linear(0.2), 0.033_104_8, epsilon = 1.1e-7);
    assert_abs_diff_eq!(srgb_to_linear(0.5), 0.214_041_1, epsilon = 1.1e-7);
    assert_abs_diff_eq!(linear_to_srgb(0.18), 0.461_356_1, epsilon = 1.1e-7);
}

/// The standard's two branches, linear and power, must both be met: a plain 2.2 power is off by up to
/// 0.007. scikit-image works in `f64`; a power function in `f32` is off by a few 6e-8.
#[test]
fn every_stored_grey_decodes_as_in_scikit_image() {
    let linear: Vec<f32> = super::fixture(include_str!("fixtures/greys.json"));
    assert_eq!(linear.len(), 256);
    for (v, want) in linear.iter().enumerate() {
        assert_abs_diff_eq!(srgb_to_linear(v as f32 / 255.0), *want, epsilon = 3e-7);
    }
}

#[test]
fn encoding_undoes_decoding_for_every_stored_value() {
    for v in 0..=255_u8 {
        let back = linear_to_srgb(srgb_to_linear(f32::from(v) / 255.0)) * 255.0;
        // A thousandth of a level: far from rounding to a neighbour.
        assert_abs_diff_eq!(back, f32::from(v), epsilon = 1e-3);
    }
}

#[derive(Deserialize)]
struct Stained {
    rgb: [f32; 3],
    haematoxylin: f32,
}

/// Haematoxylin's direction of Ruifrok & Johnston (Anal. Quant. Cytol. Histol. 23(4):291–299, 2001,
/// as in scikit-image) beside neutral shade. Densities reach 2; `f32` logarithms and the division by
/// sin² = 0.1 leave about 2 · 6e-8 / 0.1, and the fixture is rounded to 1e-6.
#[test]
fn a_stain_beside_shade_separates_as_in_scikit_image() {
    let cases: Vec<Stained> = super::fixture(include_str!("fixtures/stains.json"));
    assert!(cases.iter().filter(|c| c.haematoxylin > 0.05).count() >= 8);
    for case in cases {
        let density = case.rgb.map(|v| -v.log10());
        let amount = unmix(density, [0.65, 0.70, 0.29]).max(0.0);
        assert_abs_diff_eq!(amount, case.haematoxylin, epsilon = 5e-6);
    }
}

/// Beer–Lambert: density grows in proportion to the film's thickness, whatever the shade.
#[test]
fn density_is_linear_in_the_film_and_blind_to_shade() {
    let colour = [0.65, 0.70, 0.29];
    let one = unmix(colour, colour);
    for (film, shade) in [(0.5, 0.0), (1.0, 0.3), (3.0, -0.2)] {
        let density = colour.map(|c| film * c + shade);
        assert_abs_diff_eq!(unmix(density, colour), film * one, epsilon = 1e-5);
    }
}

//! Stored pixel values, linear light and optical density.

use std::sync::LazyLock;

/// sRGB decoding (IEC 61966-2-1:1999) of the 256 stored values.
pub(crate) static SRGB_TO_LINEAR: LazyLock<[f32; 256]> =
    LazyLock::new(|| std::array::from_fn(|v| srgb_to_linear(v as f32 / 255.0)));

/// sRGB decoding (IEC 61966-2-1:1999): a stored value, 0 to 1, to linear light, 0 to 1.
pub fn srgb_to_linear(v: f32) -> f32 {
    if v <= 0.04045 {
        v / 12.92
    } else {
        ((v + 0.055) / 1.055).powf(2.4)
    }
}

/// sRGB encoding (IEC 61966-2-1:1999): linear light, 0 to 1, to a stored value, 0 to 1.
pub fn linear_to_srgb(v: f32) -> f32 {
    if v <= 0.003_130_8 {
        v * 12.92
    } else {
        1.055 * v.powf(1.0 / 2.4) - 0.055
    }
}

/// Least angle between the compound's and the shade's direction for the two to be told apart, as the
/// sine: below, the compound is as good as grey and its density is the whole density.
const LEAST_SINE: f32 = 0.12;

/// Amount of `colour` in an optical density that is a mixture of `colour` and neutral shade, by least
/// squares; in units of density along `colour`.
pub fn unmix(density: [f32; 3], colour: [f32; 3]) -> f32 {
    let dot = |a: [f32; 3], b: [f32; 3]| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    let length = dot(colour, colour).sqrt();
    // No compound was there to learn a colour from, so there is none to find.
    if length < 1e-6 {
        return 0.0;
    }
    let c = colour.map(|v| v / length);
    let shade = [1.0 / 3.0_f32.sqrt(); 3];
    let cosine = dot(c, shade);
    // Normal equations of two directions of length 1, solved for the first; the shade's amount is not asked
    // for.
    let sine2 = 1.0 - cosine * cosine;
    if sine2 < LEAST_SINE * LEAST_SINE {
        return dot(density, c);
    }
    (dot(density, c) - cosine * dot(density, shade)) / sine2
}

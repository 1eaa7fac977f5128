//! Shrinking a picture by area averaging.

use fast_image_resize::images::{TypedImage, TypedImageRef};
use fast_image_resize::pixels::U8x3;
use fast_image_resize::{FilterType, ResizeAlg, ResizeOptions, Resizer};
use image::RgbImage;

/// The picture at `width × height`, each pixel the mean of those it covers; `None` where either is zero.
///
/// The kind of pixel is settled here and not at run time: else the code for every other kind is linked too,
/// and for some of these the compiler does not give the same bytes twice.
pub(crate) fn area_average(picture: &RgbImage, width: u32, height: u32) -> Option<RgbImage> {
    let mut shrunk = RgbImage::new(width, height);
    let (from_width, from_height) = picture.dimensions();
    let from =
        TypedImageRef::<U8x3>::from_buffer(from_width, from_height, picture.as_raw()).ok()?;
    let mut to = TypedImage::<U8x3>::from_buffer(width, height, &mut shrunk).ok()?;
    let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::Box));
    Resizer::new().resize_typed(&from, &mut to, &options).ok()?;
    (width > 0 && height > 0).then_some(shrunk)
}

//! Shrinking a picture by area averaging.

use fast_image_resize as fir;
use image::RgbImage;

/// The picture at `w × h`, each pixel the mean of those it covers; `None` where either is zero.
pub(crate) fn shrink(picture: &RgbImage, w: u32, h: u32) -> Option<RgbImage> {
    let src = fir::images::ImageRef::new(
        picture.width(),
        picture.height(),
        picture.as_raw(),
        fir::PixelType::U8x3,
    )
    .ok()?;
    let mut dst = fir::images::Image::new(w, h, fir::PixelType::U8x3);
    let options =
        fir::ResizeOptions::new().resize_alg(fir::ResizeAlg::Convolution(fir::FilterType::Box));
    fir::Resizer::new().resize(&src, &mut dst, &options).ok()?;
    RgbImage::from_raw(w, h, dst.into_vec())
}

//! Bytes → upright photo.

use image::RgbImage;

/// A decoded photo, turned upright, with no more pixels than the reading needs.
#[derive(Debug, Clone)]
pub struct UprightPhoto {
    /// sRGB pixels at working size: the long side is between 1000 and 2000 px unless the photo is smaller.
    pub pixels: RgbImage,
    /// Width and height of the upright photo at full size.
    pub size_px: [u32; 2],
    /// Time taken, as the camera wrote it: `2026-03-04T10:11:12`.
    pub taken: Option<String>,
    /// 35-mm equivalent focal length; `None` when unknown.
    pub focal_35mm: Option<f64>,
    /// Lower-case hexadecimal SHA-256 of the file's bytes.
    pub sha256: String,
}

impl UprightPhoto {
    /// Working pixels per full-size pixel, ≤ 1.
    pub fn scale(&self) -> f64 {
        f64::from(self.pixels.width()) / f64::from(self.size_px[0])
    }
}

/// Why bytes are not a photo that can be read.
#[derive(Debug, thiserror::Error)]
pub enum PhotoError {
    /// Nothing in the file.
    #[error("the file is empty; copy the photo again")]
    Empty,
}

/// Decodes a photo.
///
/// # Errors
/// Where the bytes are no readable picture, or one beyond the limits.
pub fn read_photo(bytes: &[u8]) -> Result<UprightPhoto, PhotoError> {
    let _ = bytes;
    Err(PhotoError::Empty)
}

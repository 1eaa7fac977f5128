//! Letters as a picture, from glyphs that are built in: no font file at run time.

use image::imageops::{self, FilterType};
use image::{GrayImage, Luma};
use noto_sans_mono_bitmap::{
    FontWeight, RasterHeight, RasterizedChar, get_raster, get_raster_width,
};

const FONT: (FontWeight, RasterHeight) = (FontWeight::Bold, RasterHeight::Size32);
/// Height of the glyphs that the font holds, px.
const GLYPH_PX: f64 = 32.0;
/// Height of a line in the size of its letters: a monospaced letter is 0.6 of its size wide, and these
/// are 14 px wide in lines of 32 px.
pub(super) const LINE_TO_SIZE: f64 = 0.6 * 32.0 / 14.0;

/// Width of a text of that height, px.
pub(super) fn text_width(text: &str, height: f64) -> f64 {
    text.chars().count() as f64 * get_raster_width(FONT.0, FONT.1) as f64 * height / GLYPH_PX
}

/// Characters of that height that fit into a width.
pub(super) fn characters(width: f64, height: f64) -> usize {
    (width / text_width("0", height)).floor().max(1.0) as usize
}

/// One line of that height: 255 where the ink covers the pixel.
pub(super) fn line(text: &str, height: f64) -> GrayImage {
    let width = text_width(text, height).round().max(1.0) as u32;
    let height = height.round().max(1.0) as u32;
    imageops::resize(&raster(text), width, height, FilterType::CatmullRom)
}

/// The line at the font's own size; a character that the font lacks becomes a question mark.
fn raster(text: &str) -> GrayImage {
    let advance = get_raster_width(FONT.0, FONT.1) as u32;
    let count = text.chars().count().max(1) as u32;
    let mut line = GrayImage::new(advance * count, GLYPH_PX as u32);
    for (index, c) in text.chars().enumerate() {
        let glyph = get_raster(c, FONT.0, FONT.1).or_else(|| get_raster('?', FONT.0, FONT.1));
        let rows = glyph.iter().flat_map(RasterizedChar::rows).enumerate();
        for (row, column, &cover) in
            rows.flat_map(|(r, cells)| cells.iter().enumerate().map(move |(c, v)| (r, c, v)))
        {
            line.put_pixel(
                index as u32 * advance + column as u32,
                row as u32,
                Luma([cover]),
            );
        }
    }
    line
}

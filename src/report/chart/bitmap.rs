//! A bitmap to draw on that can write too: plotters' own needs font files for that.

use image::Luma;
use plotters::prelude::{BitMapBackend, DrawingBackend};
use plotters_backend::text_anchor::{HPos, VPos};
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingErrorKind,
};

use super::super::lettering;
use super::layout::shown_px;

type Fault<'a> = DrawingErrorKind<<BitMapBackend<'a> as DrawingBackend>::ErrorType>;

/// Pixels, three bytes each, with built-in letters.
pub(super) struct Lettered<'a> {
    bitmap: BitMapBackend<'a>,
}

impl<'a> Lettered<'a> {
    /// `pixels` must hold three bytes for each of the size's pixels.
    pub(super) fn over(pixels: &'a mut [u8], size: (u32, u32)) -> Self {
        Self {
            bitmap: BitMapBackend::with_buffer(pixels, size),
        }
    }
}

impl<'a> DrawingBackend for Lettered<'a> {
    type ErrorType = <BitMapBackend<'a> as DrawingBackend>::ErrorType;

    fn get_size(&self) -> (u32, u32) {
        self.bitmap.get_size()
    }

    fn ensure_prepared(&mut self) -> Result<(), Fault<'a>> {
        self.bitmap.ensure_prepared()
    }

    fn present(&mut self) -> Result<(), Fault<'a>> {
        self.bitmap.present()
    }

    fn draw_pixel(&mut self, at: BackendCoord, ink: BackendColor) -> Result<(), Fault<'a>> {
        self.bitmap.draw_pixel(at, ink)
    }

    fn draw_line<S: BackendStyle>(
        &mut self,
        from: BackendCoord,
        to: BackendCoord,
        style: &S,
    ) -> Result<(), Fault<'a>> {
        self.bitmap.draw_line(from, to, style)
    }

    fn draw_rect<S: BackendStyle>(
        &mut self,
        upper_left: BackendCoord,
        bottom_right: BackendCoord,
        style: &S,
        fill: bool,
    ) -> Result<(), Fault<'a>> {
        self.bitmap.draw_rect(upper_left, bottom_right, style, fill)
    }

    fn draw_text<S: BackendTextStyle>(
        &mut self,
        text: &str,
        style: &S,
        at: BackendCoord,
    ) -> Result<(), Fault<'a>> {
        let line = lettering::line(text, line_height(style));
        let (left, top) = held_at(style, line.width() as i32, line.height() as i32);
        let (turn, ink) = (style.transform(), style.color());
        for (column, row, &Luma([cover])) in line.enumerate_pixels() {
            let (x, y) = turn.transform(left + column as i32, top + row as i32);
            let ink = ink.mix(f64::from(cover) / 255.0);
            if cover > 0 {
                self.draw_pixel((at.0 + x, at.1 + y), ink)?;
            }
        }
        Ok(())
    }

    fn estimate_text_size<S: BackendTextStyle>(
        &self,
        text: &str,
        style: &S,
    ) -> Result<(u32, u32), Fault<'a>> {
        let height = line_height(style);
        let width = lettering::text_width(text, height);
        Ok((width.round() as u32, height.round() as u32))
    }
}

/// The glyphs' line is higher than the size of their letters, as in any font.
fn line_height<S: BackendTextStyle>(style: &S) -> f64 {
    shown_px(style.size()) * lettering::LINE_TO_SIZE
}

/// Left and top of the text from the point that it is held at.
fn held_at<S: BackendTextStyle>(style: &S, width: i32, height: i32) -> (i32, i32) {
    let anchor = style.anchor();
    let left = match anchor.h_pos {
        HPos::Left => 0,
        HPos::Center => -width / 2,
        HPos::Right => -width,
    };
    let top = match anchor.v_pos {
        VPos::Top => 0,
        VPos::Center => -height / 2,
        VPos::Bottom => -height,
    };
    (left, top)
}

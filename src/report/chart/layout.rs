//! Sizes in pixels: where title, caption, plot and legend lie.

use plotters::prelude::{FontFamily, FontStyle, IntoFont, RGBColor, TextStyle};
use plotters::style::text_anchor::{HPos, Pos, VPos};

/// Beside the plot, for an axis's numbers and its name.
pub(super) const BESIDE_PX: u32 = 160;
/// Left and right of that.
pub(super) const EDGE_PX: u32 = 8;
/// Wide enough for the caption and the legend.
const NARROWEST_PX: u32 = 1000;
/// Beyond this, viewers scale the picture down until nothing can be read.
const WIDEST_PX: u32 = 4800;
/// A check's mark and its interval side by side.
const COLUMN_PX: u32 = 30;
const PLOT_PX: u32 = 440;
/// Below the plot: numbers and dates of the checks.
const CHECKS_PX: u32 = 66;
pub(super) const MARGIN_PX: u32 = 20;
pub(super) const TITLE_PX: f64 = 24.0;
pub(super) const LETTERS_PX: f64 = 16.0;
pub(super) const TITLE_LINE_PX: u32 = 38;
pub(super) const LINE_PX: u32 = 24;
pub(super) const LEGEND_LINE_PX: u32 = 28;
/// Plotters makes letters smaller by this factor than it is told.
const FONT_FACTOR: f64 = 1.24;
/// Advance of a letter of a monospaced font, in its size.
const ADVANCE: f64 = 0.6;

/// Where everything lies.
pub(super) struct Layout {
    width: u32,
    columns: usize,
    caption_lines: u32,
    legend_lines: u32,
    plot: bool,
}

impl Layout {
    pub(super) fn of(columns: usize) -> Self {
        let wanted = u32::try_from(columns)
            .unwrap_or(u32::MAX)
            .saturating_mul(COLUMN_PX);
        Self {
            width: wanted
                .saturating_add(2 * (BESIDE_PX + EDGE_PX))
                .clamp(NARROWEST_PX, WIDEST_PX),
            columns,
            caption_lines: 0,
            legend_lines: 0,
            plot: true,
        }
    }

    pub(super) fn make_room(&mut self, caption_lines: usize, legend_lines: usize) {
        self.caption_lines = caption_lines as u32;
        self.legend_lines = legend_lines as u32;
    }

    pub(super) fn leave_out_plot(&mut self) {
        self.plot = false;
    }

    pub(super) fn size(&self) -> (u32, u32) {
        let plot = if self.plot {
            PLOT_PX + self.below_plot()
        } else {
            MARGIN_PX
        };
        (self.width, self.top() + plot)
    }

    /// Of the caption, which is the same width as the legend.
    pub(super) fn text_width(&self) -> u32 {
        self.width - 2 * MARGIN_PX
    }

    /// Letters that fit into a line.
    pub(super) fn characters(&self) -> usize {
        (f64::from(self.text_width()) / (LETTERS_PX * ADVANCE)) as usize
    }

    /// Where the plot begins.
    pub(super) fn top(&self) -> u32 {
        2 * MARGIN_PX + TITLE_LINE_PX + self.caption_lines * LINE_PX
    }

    pub(super) fn below_plot(&self) -> u32 {
        CHECKS_PX + self.legend_lines * LEGEND_LINE_PX + 2 * MARGIN_PX
    }

    /// Middle of the legend's first line.
    pub(super) fn legend_top(&self) -> u32 {
        self.top() + PLOT_PX + CHECKS_PX + MARGIN_PX + LEGEND_LINE_PX / 2
    }

    /// From one check to the next.
    pub(super) fn pitch(&self) -> f64 {
        f64::from(self.width - 2 * (BESIDE_PX + EDGE_PX)) / self.columns.max(1) as f64
    }
}

/// Width of a text in letters of that size.
pub(super) fn width_px(text: &str, size_px: f64) -> i32 {
    (textwrap::core::display_width(text) as f64 * size_px * ADVANCE).ceil() as i32
}

/// Plain letters, held where told.
pub(super) fn letters(h_pos: HPos, v_pos: VPos) -> TextStyle<'static> {
    text_style(LETTERS_PX, FontStyle::Normal, super::BLACK).pos(Pos::new(h_pos, v_pos))
}

/// Bold letters, held at their top left.
pub(super) fn title_letters() -> TextStyle<'static> {
    text_style(TITLE_PX, FontStyle::Bold, super::BLACK)
}

fn text_style(size_px: f64, style: FontStyle, ink: RGBColor) -> TextStyle<'static> {
    (FontFamily::Monospace, size_px * FONT_FACTOR, style)
        .into_font()
        .color(&ink)
}

/// The size of letters on the picture, of the size that plotters was told.
pub(super) fn shown_px(told: f64) -> f64 {
    told / FONT_FACTOR
}

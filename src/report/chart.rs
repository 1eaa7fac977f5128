//! A jaw set's history as a picture: taper against checks, and the interval of the needed taper as it
//! shrinks from check to check.
//!
//! The picture is laid out once in pixels and drawn by plotters on two backends: its SVG one, and a bitmap
//! (`bitmap`) that writes with the same built-in glyphs as the pictures of readings. Tapers are its axis
//! values (`scale`), so the right axis is the left one's `.on_diameter()`. Look at the pictures after a
//! change: `SEEPLINE_CHARTS=DIR cargo test --test all pictures -- --ignored`.

mod axes;
mod bitmap;
mod caption;
mod columns;
mod content;
mod layout;
mod legend;
mod marks;
mod scale;

use std::io::Cursor;

use image::codecs::png::PngEncoder;
use image::{ExtendedColorType, ImageEncoder, ImageError};
use plotters::coord::Shift;
use plotters::prelude::{
    ChartBuilder, DrawingArea, DrawingAreaErrorKind, DrawingBackend, IntoDrawingArea, RGBColor,
    SVGBackend,
};

use super::HistoryReport;
use crate::units::PerSide;
use columns::Column;
use layout::Layout;
use scale::Scale;

/// Okabe–Ito palette (Okabe and Ito, “Color Universal Design”, 2008).
const GREEN: RGBColor = RGBColor(0, 158, 115);
const VERMILLION: RGBColor = RGBColor(213, 94, 0);
const BLUE: RGBColor = RGBColor(0, 114, 178);
const PURPLE: RGBColor = RGBColor(204, 121, 167);
const SKY_BLUE: RGBColor = RGBColor(86, 180, 233);
const BLACK: RGBColor = RGBColor(0, 0, 0);
const WHITE: RGBColor = RGBColor(255, 255, 255);
const DARK: RGBColor = RGBColor(70, 70, 70);
const PALE: RGBColor = RGBColor(222, 222, 222);

/// Why there is no picture.
#[derive(Debug, thiserror::Error)]
pub enum ChartError {
    /// The plotting library refused.
    #[error("the history could not be drawn ({0})")]
    Drawing(String),
    /// The pixels could not be encoded.
    #[error("the history could not be written as PNG")]
    Png(#[from] ImageError),
}

/// What drawing on a backend comes to.
type Drawn<DB> = Result<(), DrawingAreaErrorKind<<DB as DrawingBackend>::ErrorType>>;

/// Everything that is drawn, before it has a place.
struct Chart {
    title: String,
    caption: Vec<String>,
    columns: Vec<Column>,
    /// `None` where no taper is known, and so there is nothing to draw.
    scale: Option<Scale>,
    layout: Layout,
}

/// The history as an SVG document; text in it is of the reader's own monospaced font. Its size in px
/// grows with the number of checks up to a limit; the same history gives the same bytes.
///
/// # Errors
/// Where the plotting library refuses to draw.
pub fn history_to_svg(history: &HistoryReport<'_>) -> Result<String, ChartError> {
    let chart = Chart::of(history);
    let mut document = String::new();
    let backend = SVGBackend::with_string(&mut document, chart.layout.size());
    draw(&chart, backend)?;
    Ok(document)
}

/// The history as an RGB PNG of the same size in px as the SVG; letters beyond Latin-1 become question
/// marks.
///
/// # Errors
/// Where the plotting library refuses to draw, or the picture cannot be encoded.
pub fn history_to_png(history: &HistoryReport<'_>) -> Result<Vec<u8>, ChartError> {
    let chart = Chart::of(history);
    let (width, height) = chart.layout.size();
    let mut pixels = vec![0; width as usize * height as usize * 3];
    draw(&chart, bitmap::Lettered::over(&mut pixels, (width, height)))?;
    let mut png = Vec::new();
    PngEncoder::new(Cursor::new(&mut png)).write_image(
        &pixels,
        width,
        height,
        ExtendedColorType::Rgb8,
    )?;
    Ok(png)
}

impl Chart {
    fn of(history: &HistoryReport<'_>) -> Self {
        let columns = columns::columns(history);
        let scale = Scale::over(&columns);
        // Its width first: on it depends how caption and legend break, and on their lines the height.
        let mut layout = Layout::of(columns.len());
        let caption = caption::caption(history, layout.characters());
        layout.make_room(caption.len(), legend::rows(&columns, &layout).len());
        if scale.is_none() {
            layout.leave_out_plot();
        }
        Self {
            title: caption::title(history),
            caption,
            columns,
            scale,
            layout,
        }
    }
}

fn draw<DB: DrawingBackend>(chart: &Chart, backend: DB) -> Result<(), ChartError> {
    let area = backend.into_drawing_area();
    draw_on(chart, &area).map_err(|error| ChartError::Drawing(error.to_string()))
}

fn draw_on<DB: DrawingBackend>(chart: &Chart, area: &DrawingArea<DB, Shift>) -> Drawn<DB> {
    area.fill(&WHITE)?;
    caption::draw(chart, area)?;
    if let Some(scale) = &chart.scale {
        draw_plot(chart, scale, area)?;
        legend::draw(chart, area)?;
    }
    area.present()
}

fn draw_plot<DB: DrawingBackend>(
    chart: &Chart,
    scale: &Scale,
    area: &DrawingArea<DB, Shift>,
) -> Drawn<DB> {
    let layout = &chart.layout;
    // Columns are counted from 1, and each takes half a step to either side.
    let across = 0.5..chart.columns.len() as f64 + 0.5;
    let mut plot = ChartBuilder::on(area)
        .margin_left(layout::EDGE_PX)
        .margin_right(layout::EDGE_PX)
        .margin_top(layout.top())
        .margin_bottom(layout.below_plot())
        .y_label_area_size(layout::BESIDE_PX)
        .right_y_label_area_size(layout::BESIDE_PX)
        .build_cartesian_2d(across.clone(), scale.per_side())?
        .set_secondary_coord(across, scale.on_diameter());
    axes::draw(&mut plot)?;
    let at = |column: f64, taper: PerSide| plot.plotting_area().map_coordinate(&(column, taper));
    let (x, y) = plot.plotting_area().get_pixel_range();
    let content = content::Content {
        area,
        at: &at,
        x,
        y,
        pitch: layout.pitch(),
    };
    content.draw(&chart.columns)?;
    axes::draw_checks(&content, &chart.columns)
}

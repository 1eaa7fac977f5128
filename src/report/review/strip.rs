//! A photo's profile, drawn tip to base: the height of the dark part is the share of the width with
//! compound, hatching is what could not be judged. The same in greyscale.

use maud::{Markup, html};

use super::super::words;
use crate::reading::profile::Band;

/// Width of a station and height of the strip, in the drawing's own units.
const STATION: usize = 5;
const HEIGHT: usize = 44;

pub(super) fn strip(profile: &[Option<f64>], bands: &[Band]) -> Markup {
    if profile.is_empty() {
        return html! {};
    }
    let width = profile.len() * STATION;
    let says = format!("Profile from tip to base: {}", words::bands(bands));
    html! {
        figure .strip {
            div .ends { span { "tip" } span { "base" } }
            svg viewBox=(format!("0 0 {width} {HEIGHT}")) preserveAspectRatio="none" role="img" aria-label=(says) {
                rect width=(width) height=(HEIGHT) fill="#f4f4f4" {}
                path d=(compound(profile)) fill="#222" {}
                path d=(unjudged(profile)) fill="url(#h-up)" {}
            }
        }
    }
}

/// Neighbours of the same height are drawn as one.
fn compound(profile: &[Option<f64>]) -> String {
    let height = |clean: &Option<f64>| {
        // Nothing dark where nothing was judged: the hatching stands there.
        let covered = 1.0 - clean.unwrap_or(1.0).clamp(0.0, 1.0);
        (covered * HEIGHT as f64).round() as usize
    };
    let heights: Vec<usize> = profile.iter().map(height).collect();
    blocks(&heights)
}

fn unjudged(profile: &[Option<f64>]) -> String {
    let full = |clean: &Option<f64>| if clean.is_none() { HEIGHT } else { 0 };
    let heights: Vec<usize> = profile.iter().map(full).collect();
    blocks(&heights)
}

/// Standing on the lower edge.
fn blocks(heights: &[usize]) -> String {
    let mut blocks = Vec::new();
    let mut x = 0;
    for run in heights.chunk_by(|a, b| a == b) {
        let (width, height) = (run.len() * STATION, run[0]);
        if height > 0 {
            blocks.push(format!("M{x},{HEIGHT}v-{height}h{width}v{height}z"));
        }
        x += width;
    }
    blocks.concat()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_neighbours_are_one_block_and_gaps_are_none() {
        let profile = [Some(1.0), Some(0.0), Some(0.0), None, Some(0.5)];
        assert_eq!(compound(&profile), "M5,44v-44h10v44zM20,44v-22h5v22z");
        assert_eq!(unjudged(&profile), "M15,44v-44h5v44z");
    }
}

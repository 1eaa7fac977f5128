//! `seepline history`: a jaw set's cuts and checks, and how the taper that it needs became known.

use std::fs;
use std::path::Path;

use anyhow::{Context, bail};

use super::archive::{open, show};
use super::{Outcome, settings, text_options};
use crate::archive::shelf::history_of;
use crate::commands::cli::HistoryArgs;
use crate::report::{
    HistoryReport, history_to_json, history_to_png, history_to_svg, history_to_text,
};

pub(super) fn run(args: &HistoryArgs) -> anyhow::Result<Outcome> {
    let picture = args.picture.as_deref();
    let picture = picture.map(|file| Ok::<_, anyhow::Error>((file, Format::of(file)?)));
    // Before the archive is opened: an ending that is none is told at once.
    let picture = picture.transpose()?;
    let rules = settings::rules(&args.rules)?;
    let mut archive = open(&args.common.archive)?;
    let id = archive.jaw_set(&args.name)?.id;
    let known = history_of(&mut archive, id, &rules)?;
    let history = known.report();
    show(args.common.json, &history_to_json(&history), || {
        history_to_text(&history, text_options())
    })?;
    if let Some((file, format)) = picture {
        draw(&history, file, format)?;
    }
    Ok(Outcome::Done)
}

#[derive(Clone, Copy)]
enum Format {
    Svg,
    Png,
}

impl Format {
    /// By the file's ending, whatever its case.
    fn of(file: &Path) -> anyhow::Result<Self> {
        let ending = file.extension().map(|e| e.to_string_lossy().to_lowercase());
        match ending.as_deref() {
            Some("svg") => Ok(Self::Svg),
            Some("png") => Ok(Self::Png),
            _ => bail!(
                "the picture {} is to be SVG or PNG; let its name end in .svg or .png",
                file.display()
            ),
        }
    }
}

fn draw(history: &HistoryReport<'_>, file: &Path, format: Format) -> anyhow::Result<()> {
    let bytes = match format {
        Format::Svg => history_to_svg(history)?.into_bytes(),
        Format::Png => history_to_png(history)?,
    };
    fs::write(file, bytes).with_context(|| {
        format!(
            "the picture {} could not be written; check that its folder is there and may be \
             written to, and that the disk has room",
            file.display()
        )
    })
}

//! `seepline history`: a jaw set's cuts and checks, and how the taper that it needs became known.

use super::archive::{lessons, open, show};
use super::{Outcome, settings, text_options};
use crate::archive::Details;
use crate::cli::HistoryArgs;
use crate::learning::{knowledge, steps};
use crate::report::{HistoryReport, history_to_json, history_to_text};

pub(super) fn run(args: &HistoryArgs) -> anyhow::Result<Outcome> {
    let rules = settings::rules(args.rules.as_deref())?;
    let mut archive = open(&args.common.archive)?;
    let id = archive.jaw_set(&args.name)?.id;
    let timeline = archive.timeline(id, Details::LeftOut)?;
    let known = knowledge(
        &timeline,
        &lessons(&mut archive, id, &rules)?,
        rules.estimate(),
    );
    let steps = steps(&timeline, &known, rules.estimate());
    let history = HistoryReport {
        timeline: &timeline,
        steps: &steps,
    };
    show(args.common.json, &history_to_json(&history), || {
        history_to_text(&history, text_options())
    })?;
    Ok(Outcome::Done)
}

//! What a jaw set's earlier checks, and other sets, teach.

use crate::archive::{Archive, Details};
use crate::report::{HistoryReport, ProofNote};
use crate::taper::advice::Action;
use crate::taper::learning::{Lesson, Standing, Step, knowledge, steps};
use crate::taper::records::{FiledCheck, Id, Timeline};
use crate::taper::rules::Rules;

/// What is known of a jaw set.
pub(crate) struct Known {
    pub(crate) timeline: Timeline,
    /// What was known after each check.
    pub(crate) steps: Vec<Step>,
    pub(crate) proof: Option<ProofNote>,
}

impl Known {
    /// As the reports tell it.
    pub(crate) fn report(&self) -> HistoryReport<'_> {
        HistoryReport {
            timeline: &self.timeline,
            steps: &self.steps,
            proof: self.proof.as_ref(),
        }
    }
}

/// A jaw set's cuts and checks, and what was known after each check.
pub(crate) fn history_of(archive: &mut Archive, set: Id, rules: &Rules) -> anyhow::Result<Known> {
    let timeline = archive.timeline(set, Details::LeftOut)?;
    let others = lessons(archive, set, rules)?;
    let known = knowledge(&timeline, &others, None, rules.estimate());
    let mut steps = steps(&timeline, &known, rules.estimate());
    let proof = archive.proof(rules.estimate())?;
    let proof = proof.map(|p| ProofNote::of(&p, None));
    if proof.as_ref().is_some_and(|p| p.held) {
        keep_back(&timeline, &mut steps);
    }
    Ok(Known {
        timeline,
        steps,
        proof,
    })
}

/// Without the estimates from which a change that is kept back would follow. They are told after a check that gripped
/// along its whole length, and after one whose change was said when it was filed; not after one that said nothing of
/// a change for another reason, since it counts as those before it do.
fn keep_back(timeline: &Timeline, steps: &mut [Step]) {
    let mut kept_back = true;
    for step in steps {
        let check = timeline.checks().find(|c| c.id == step.check);
        if !matches!(step.standing, Standing::LeftOut(_)) {
            let said = |c: &FiledCheck| c.advice.leaves() || c.advice.action == Action::Recut;
            kept_back = !check.is_some_and(said);
        }
        step.estimate = step.estimate.take().filter(|_| !kept_back);
    }
}

/// What the shop's other sets teach.
pub(crate) fn lessons(
    archive: &mut Archive,
    except: Id,
    rules: &Rules,
) -> anyhow::Result<Vec<Lesson>> {
    let version = format!("{} {}", env!("CARGO_PKG_VERSION"), rules.version());
    let teach = |timeline: &Timeline| Lesson::of(timeline, rules.estimate());
    Ok(archive.lessons(except, &version, teach)?)
}

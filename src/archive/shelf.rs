//! A check among the others of its jaw set. What the set says fills in what was not given, its earlier
//! checks join the estimate, and the check is filed: for the command line and for the page alike.
//!
//! Place among the cuts ([`placing`]) → history ([`history`]) → advice → file, with the call ([`calls`]). A check that is filed is
//! advised on again as it was made, whatever the set's pressure and mounting are now. What is asked before a check is [`before`].

mod before;
mod calls;
mod history;
mod placing;
mod readings;

use std::collections::HashMap;
use std::path::PathBuf;

use anyhow::{Context, bail};
use jiff::civil::DateTime;
use jiff::{ToSpan, ZonedDateTime};

use crate::archive::{Archive, Details, Filed, Filing, fill_in, stamp};
use crate::people::opinion::Call;
use crate::people::prove::Under;
use crate::reading::method::Method;
use crate::reading::network;
use crate::report::check;
use crate::report::{CheckReport, FiledNote, PhotoReport, ProofNote};
use crate::taper::advice::Setup;
use crate::taper::learning::{Conditions, History, knowledge};
use crate::taper::records::{Cut, CutTimeline, FiledAdvice, FiledCheck, Id, JawSet, Timeline};
use crate::taper::rules::Rules;
use crate::under_way::Settings;
use crate::units::{PerSide, Pressure};

pub(crate) use before::{first_taper, mounted_again};
pub(crate) use calls::kept_back;
use history::lessons;
pub(crate) use history::{Known, history_of};
use placing::Place;
pub(crate) use readings::readings;
use readings::{hashes, labels_said, taken};

/// What the user says about the check that the photos do not.
#[derive(Debug, Clone, Default)]
pub(crate) struct CheckFacts {
    pub(crate) method: Method,
    pub(crate) compound: Option<String>,
    pub(crate) pressure: Option<Pressure>,
    pub(crate) taper: Option<PerSide>,
}

impl From<&Settings> for CheckFacts {
    fn from(said: &Settings) -> Self {
        Self {
            method: said.method,
            compound: said.compound.clone(),
            pressure: said.pressure,
            taper: said.taper,
        }
    }
}

/// The jaw set that a check is filed under.
pub(crate) struct Shelf {
    archive: Archive,
    pub(crate) set: JawSet,
    timeline: Timeline,
    /// Photos that a check was filed with and that are no longer of it, by SHA-256.
    left_out: Vec<String>,
}

/// The check before it is advised on: which cut it is of, and what it is compared with.
pub(crate) struct Draft {
    pub(crate) cut: Cut,
    /// The cut is not in the archive yet, or not as it is here.
    cut_is_new: bool,
    check: FiledCheck,
    /// As it is before a prove-out keeps anything of it back.
    answered: FiledAdvice,
    earlier: Timeline,
    notes: Vec<String>,
}

impl Shelf {
    pub(crate) fn of(archive: Archive, name: &str) -> anyhow::Result<Self> {
        let set = archive.jaw_set(name)?;
        let timeline = archive.timeline(set.id, Details::LeftOut)?;
        Ok(Self {
            archive,
            set,
            timeline,
            left_out: Vec::new(),
        })
    }

    /// Without photos that were taken out or replaced since the check was filed.
    pub(crate) fn leaving_out(self, left_out: Vec<String>) -> Self {
        Self { left_out, ..self }
    }

    fn left_out(&self) -> Vec<&str> {
        self.left_out.iter().map(String::as_str).collect()
    }

    /// Photos that were filed in one check with some of these, and are not among them: advice is about
    /// all photos of a check.
    pub(crate) fn missing_photos(&self, photos: &[PhotoReport]) -> anyhow::Result<Vec<PathBuf>> {
        let hashes = hashes(photos);
        let Some(check) = self.archive.filed_with(self.set.id, &hashes)? else {
            return Ok(Vec::new());
        };
        let others = check.readings.iter().map(|r| r.sha256.as_str());
        let left_out = self.left_out();
        others
            .filter(|hash| !hashes.contains(hash) && !left_out.contains(hash))
            .map(|hash| Ok(self.archive.photo_path(hash)?))
            .collect()
    }

    /// The jaw of each photo as it was filed, where nobody said it now.
    pub(crate) fn say_jaws(&self, photos: &mut [PhotoReport]) -> anyhow::Result<()> {
        let filed = self.jaws_filed(photos)?;
        for photo in photos.iter_mut().filter(|p| p.jaw.is_none()) {
            let jaw = photo.inspection().and_then(|i| filed.get(&i.photo.sha256));
            photo.jaw = jaw.copied();
        }
        Ok(())
    }

    /// Of the check that these photos were filed with: the jaws' numbers that were said, by photo.
    pub(crate) fn jaws_filed(&self, photos: &[PhotoReport]) -> anyhow::Result<HashMap<String, u8>> {
        let check = self.archive.filed_with(self.set.id, &hashes(photos))?;
        let readings = check.map(|c| c.readings).unwrap_or_default();
        let said = readings
            .into_iter()
            .filter_map(|r| Some((r.jaw()?, r.sha256)));
        Ok(said.map(|(jaw, sha256)| (sha256, jaw)).collect())
    }

    /// Places the check and advises on it with the set's history.
    ///
    /// # Errors
    /// Where the taper that was given contradicts the cut that the photos were filed under.
    pub(crate) fn advise(
        &mut self,
        photos: Vec<PhotoReport>,
        facts: &CheckFacts,
        setup: Setup,
        rules: &Rules,
    ) -> anyhow::Result<(Draft, CheckReport)> {
        let mut draft = self.draft(&photos, facts)?;
        let history = self.history(&draft, rules)?;
        // The cut's, also where none was given: the next taper follows from what was cut.
        let setup = Setup {
            taper: draft.cut.taper,
            ..setup
        };
        let report = check::report(photos, facts.method, setup, rules, &history);
        draft.answered = FiledAdvice::of(&report.advice);
        let read = report.photos.iter().filter_map(PhotoReport::inspection);
        let under = Under {
            // The draft has no readings yet.
            phones: Under::phones(read.map(|i| i.photo.phone.as_deref())),
            ..Under::of(&self.set, &draft.cut, &draft.check)
        };
        let proof = self.archive.proof(rules.estimate())?;
        let proof = proof.map(|p| ProofNote::of(&p, Some(&under)));
        Ok((draft, report.with_proof(proof)))
    }

    /// Under the cut that its photos were filed under, else under the last one.
    fn draft(&self, photos: &[PhotoReport], facts: &CheckFacts) -> anyhow::Result<Draft> {
        let filed = self.archive.filed_with(self.set.id, &hashes(photos))?;
        let taken = photos.iter().filter_map(taken).min();
        // A check that is filed keeps its time: it decides which checks count as earlier.
        let made = filed.as_ref().map(|f| f.made).or(taken);
        let mut notes = Vec::new();
        let made = made.unwrap_or_else(|| self.after_all(now(), &mut notes));
        let (cut, cut_is_new) = match &filed {
            Some(check) => self.cut_of_filed(check, facts.taper)?,
            None => self.cut_for(made, facts.taper, &mut notes)?,
        };
        let filed = match filed {
            None => self
                .archive
                .replaced(self.set.id, cut.id, &self.left_out())?,
            filed => filed,
        };
        let mut check = self.unadvised(&cut, made, facts);
        if let Some(filed) = &filed {
            as_filed(&mut check, filed, facts, &mut notes);
        }
        let earlier = self.before(&check);
        Ok(Draft {
            cut,
            cut_is_new,
            check,
            answered: FiledAdvice::none(),
            earlier,
            notes,
        })
    }

    /// And whether it must be written: where its taper was not known until now.
    fn cut_of_filed(
        &self,
        check: &FiledCheck,
        taper: Option<PerSide>,
    ) -> anyhow::Result<(Cut, bool)> {
        let cut = self.cuts().find(|c| c.id == check.cut).cloned();
        let mut cut = cut.context("the cut of that check is deleted; restore it first")?;
        match (taper, cut.taper) {
            (Some(_), None) => {
                cut.taper = taper;
                cut.changed = stamp(now(), cut.changed);
                Ok((cut, true))
            }
            (Some(given), Some(noted)) if given != noted => bail!(
                "these photos are filed under a cut of {} already, not {}; leave --taper out, or correct \
                 the cut with `seepline cut change {} --taper …`",
                noted.as_taper(),
                given.as_taper(),
                short(cut.id)
            ),
            _ => Ok((cut, false)),
        }
    }

    fn cuts(&self) -> impl DoubleEndedIterator<Item = &Cut> {
        self.timeline.cuts.iter().map(|c| &c.cut)
    }

    /// Photos that do not say when they were taken were taken after whatever was filed before, even where
    /// the clock was put back since.
    fn after_all(&self, now: DateTime, notes: &mut Vec<String>) -> DateTime {
        let checks = self.timeline.checks();
        let times = checks.map(|c| c.made).chain(self.cuts().map(|c| c.made));
        let Some(newest) = times.max().filter(|newest| *newest > now) else {
            return now;
        };
        notes.push(format!(
            "the clock says {now}, which is before {newest}, the last that was filed of this set: the check \
             counts as made after that; set the clock"
        ));
        newest.checked_add(1.second()).unwrap_or(newest)
    }

    /// The cut that a new check is of, and whether it must be written.
    ///
    /// # Errors
    /// Where the photos' times do not tell which cut they show.
    fn cut_for(
        &self,
        made: DateTime,
        taper: Option<PerSide>,
        notes: &mut Vec<String>,
    ) -> anyhow::Result<(Cut, bool)> {
        let cuts: Vec<&Cut> = self.cuts().collect();
        let (place, said) = placing::place(&cuts, made, taper, now())?;
        notes.extend(said);
        Ok(match place {
            Place::Noted(cut) => (cut, false),
            Place::WithTaper(cut) => (cut, true),
            Place::Begun => (self.begun(made, taper)?, true),
        })
    }

    fn begun(&self, made: DateTime, taper: Option<PerSide>) -> anyhow::Result<Cut> {
        let cut = Cut::of(&self.set, new_id()?, now());
        Ok(Cut { made, taper, ..cut })
    }

    fn unadvised(&self, cut: &Cut, made: DateTime, facts: &CheckFacts) -> FiledCheck {
        FiledCheck {
            // Filing gives the true one, which follows from the first photo.
            id: Id::derived(&[]),
            cut: cut.id,
            made,
            method: facts.method,
            compound: facts.compound.clone(),
            pressure: facts.pressure.or(self.set.production_pressure),
            mounting: self.set.mounting.clone(),
            readings: Vec::new(),
            program: network::VERSION.clone(),
            rules: String::new(),
            advice: FiledAdvice::none(),
            done: None,
            changed: now(),
        }
    }

    /// The timeline up to this check, without it.
    fn before(&self, check: &FiledCheck) -> Timeline {
        // A check must not learn from itself, nor from what was found out after it.
        let older = |c: &FiledCheck| c.id != check.id && c.made <= check.made;
        let cuts = self.timeline.cuts.iter().map(|of_cut| CutTimeline {
            cut: of_cut.cut.clone(),
            checks: of_cut.checks.iter().filter(|c| older(c)).cloned().collect(),
        });
        Timeline {
            jaw_set: self.timeline.jaw_set.clone(),
            cuts: cuts.collect(),
        }
    }

    /// What the earlier checks, and those of other sets, say for this one.
    fn history(&mut self, draft: &Draft, rules: &Rules) -> anyhow::Result<History> {
        let now = Conditions::of(&draft.cut, &draft.check);
        let others = lessons(&mut self.archive, self.set.id, rules)?;
        let known = knowledge(&draft.earlier, &others, Some(&now), rules.estimate());
        Ok(History::of(&draft.earlier, now, known, rules.estimate()))
    }

    /// What is to be said of the check before it is filed.
    pub(crate) fn not_filed_yet(&self, draft: &Draft) -> FiledNote {
        FiledNote::of(&self.set, None, draft.differences(), draft.notes.clone())
    }

    /// Files the check, and the call with it, and notes in the report what came of it; `bytes` gives those
    /// of the report's photo with that index.
    pub(crate) fn file(
        &mut self,
        draft: Draft,
        report: &mut CheckReport,
        bytes: impl Fn(usize) -> anyhow::Result<Vec<u8>>,
        call: Option<&Call>,
    ) -> anyhow::Result<()> {
        let differences = draft.differences();
        let Draft {
            cut,
            cut_is_new,
            mut check,
            answered,
            mut notes,
            ..
        } = draft;
        check.readings = readings(report)?;
        if check.readings.is_empty() {
            notes.push("nothing was filed: no photo could be opened".to_owned());
            report.filed = Some(FiledNote::of(&self.set, None, differences, notes));
            return Ok(());
        }
        check.rules.clone_from(&report.rules);
        check.advice = FiledAdvice::of(&report.advice);
        let counted = (0..report.photos.len()).filter(|i| report.photos[*i].counts());
        // All of them before anything is written: a photo that has gone since must not leave a cut without a check.
        let bytes = counted.map(bytes).collect::<anyhow::Result<Vec<_>>>()?;
        let borrowed: Vec<&[u8]> = bytes.iter().map(Vec::as_slice).collect();
        if cut_is_new {
            self.archive.put_cut(&cut)?;
        }
        let left_out: Vec<&str> = self.left_out.iter().map(String::as_str).collect();
        let filed =
            self.archive
                .file_answered(self.set.id, &check, &borrowed, &left_out, &answered)?;
        notes.extend(told(&filed));
        let by = call.map(|c| &c.by);
        self.archive.keep_labels(&labels_said(report, by)?)?;
        if let Some(call) = call {
            self.file_call(filed.check, call)?;
            notes.push(format!("the call of {} filed with it", call.by));
        }
        report.filed = Some(FiledNote::of(
            &self.set,
            Some(filed.check),
            differences,
            notes,
        ));
        Ok(())
    }
}

impl Draft {
    /// What changed since the check before this one, as learning from both sees it.
    fn differences(&self) -> Vec<crate::taper::records::Difference> {
        let of_cuts = self.earlier.cuts.iter();
        let checks = of_cuts.flat_map(|c| c.checks.iter().map(|check| (&c.cut, check)));
        let Some((cut, last)) = checks.max_by_key(|(_, check)| check.made) else {
            return Vec::new();
        };
        let now = Conditions::of(&self.cut, &self.check);
        now.differences_from(&Conditions::of(cut, last))
    }
}

/// A check that is filed already is advised on as it was made: what was noted of it then stands, whatever the
/// set's conditions are now, and what is given now fills in the rest.
fn as_filed(
    check: &mut FiledCheck,
    filed: &FiledCheck,
    facts: &CheckFacts,
    notes: &mut Vec<String>,
) {
    let given = check.clone();
    check.id = filed.id;
    check.compound.clone_from(&filed.compound);
    check.pressure = filed.pressure;
    check.mounting = filed.mounting.clone();
    fill_in(check, &given);
    if facts.pressure.is_some_and(|p| check.pressure != Some(p)) {
        notes.push("the check is filed with another pressure, which stands".to_owned());
    }
    if facts.compound.is_some() && check.compound != facts.compound {
        notes.push("the check is filed with another compound, which stands".to_owned());
    }
}

fn told(filed: &Filed) -> Vec<String> {
    let mut notes = vec![match filed.filing {
        Filing::New => format!("filed as check {}", short(filed.check)),
        Filing::Extended { added } => {
            format!("{added} more photos filed in check {}", short(filed.check))
        }
        Filing::Refreshed => format!("check {} brought up to date", short(filed.check)),
        Filing::Already => format!("filed already as check {}", short(filed.check)),
    }];
    for other in &filed.elsewhere {
        notes.push(format!(
            "a photo of these is also filed under the jaw set {}: one of the two names may be wrong",
            other.name
        ));
    }
    if !filed.in_other_checks.is_empty() {
        notes.push(
            "some of the photos are filed in another check of this set, and stay there".into(),
        );
    }
    notes
}

/// The first digits of an id, enough to type.
pub(crate) fn short(id: Id) -> String {
    id.to_string()[..8].to_owned()
}

/// A new record's id.
pub(crate) fn new_id() -> anyhow::Result<Id> {
    Id::random().context("the system gives no random numbers; do it again")
}

/// Local time to the second, as cameras write it.
pub(crate) fn now() -> DateTime {
    let time = ZonedDateTime::now().datetime();
    time.with().subsec_nanosecond(0).build().unwrap_or(time)
}

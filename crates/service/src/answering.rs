use std::sync::Arc;

use estimating::{
    Assumption, CountedPicture, Estimate, Job, KeptPicture, PictureOutline, PreparedSet,
    RenderingChoice, SizeRequest, estimate, estimates_with_verdicts, learned_start_up,
    ordered_picture, priced_assumptions,
};
use ledger::{AnswerKind, NewAnswer, StoredUpload, UploadState};
use pricing::{Order, quote};
use proof::Thresholds;
use report::{FileOutcome, QuoteContext, QuoteReport, Report};
use units::Length;

use crate::catalogue::{KeyedSet, SetKey};
use crate::clock::now;
use crate::recently_used::RecentlyUsed;
use crate::{PictureFacts, Problem, ProblemClass, Studio, WhatIf};

/// The program's name and version, as reports give it.
const PROGRAM: &str = concat!("inkfathom ", env!("CARGO_PKG_VERSION"));

/// What was asked lately, so that a further question about it costs next to nothing.
pub(crate) struct Answers {
    /// By upload: its colours.
    pictures: RecentlyUsed<i64, Arc<CountedPicture>>,
    /// By upload: what is said of its picture, so that looking at an upload recalls no colours.
    facts: RecentlyUsed<i64, Arc<PictureFacts>>,
    /// By upload and device: its ink, whatever its size.
    sizeless: RecentlyUsed<AnswerKey, Arc<Sizeless>>,
}

/// Counted pictures that are held: each takes 3 MB of preview and about 10 MB of colours. Our
/// choice.
const MOST_PICTURES: usize = 3;
/// Answers that are held, about 20 kB each, and facts of pictures. Our choice.
const MOST_ANSWERS: usize = 2000;

#[derive(Clone, PartialEq, Eq, Hash)]
struct AnswerKey {
    upload: i64,
    sets: Vec<SetKey>,
    rendering: &'static str,
    judged: bool,
}

impl AnswerKey {
    fn of(
        upload: &StoredUpload,
        sets: &[KeyedSet],
        rendering: RenderingChoice,
        judged: bool,
    ) -> Self {
        let sets = sets.iter().map(|(key, _)| key.clone()).collect();
        Self { upload: upload.number, sets, rendering: rendering.description(), judged }
    }
}

/// Estimates of a picture, from which those of any size follow.
struct Sizeless {
    outline: PictureOutline,
    estimates: Vec<Estimate>,
}

impl Default for Answers {
    fn default() -> Self {
        Self {
            pictures: RecentlyUsed::new(MOST_PICTURES),
            facts: RecentlyUsed::new(MOST_ANSWERS),
            sizeless: RecentlyUsed::new(MOST_ANSWERS),
        }
    }
}

impl Answers {
    pub(crate) fn keep_picture(&self, upload: i64, picture: Arc<CountedPicture>) {
        self.pictures.keep(upload, picture);
    }

    /// Lets go of everything about an upload that is deleted.
    pub(crate) fn forget(&self, upload: i64) {
        self.pictures.forget(|key| *key == upload);
        self.facts.forget(|key| *key == upload);
        self.sizeless.forget(|key| key.upload == upload);
    }
}

impl Studio {
    /// The ink of an upload on one set.
    pub(crate) fn estimate_of(
        &self,
        upload: &StoredUpload,
        what_if: &WhatIf,
    ) -> Result<Report, Problem> {
        let names = what_if.sets(&self.settings.ink_sets)?;
        if what_if.ink_set.len() > 1 {
            return Err(Problem::new(
                ProblemClass::Usage,
                "an estimate is of one ink set; ask for a comparison of several",
            ));
        }
        let sets = self.prepared(&names[..1], what_if)?;
        let estimates = self.estimates(upload, &sets, &what_if.job()?, false)?;
        Ok(report(upload, &sets, estimates))
    }

    /// The ink of an upload on several sets, with verdicts.
    pub(crate) fn comparison_of(
        &self,
        upload: &StoredUpload,
        what_if: &WhatIf,
    ) -> Result<Report, Problem> {
        let (sets, estimates) = self.compared(upload, what_if)?;
        Ok(report(upload, &sets, estimates))
    }

    /// The sets of a comparison with their estimates.
    pub(crate) fn compared(
        &self,
        upload: &StoredUpload,
        what_if: &WhatIf,
    ) -> Result<(Vec<KeyedSet>, Vec<Estimate>), Problem> {
        let names = what_if.sets(&self.settings.ink_sets)?;
        if names.len() < 2 {
            return Err(Problem::new(
                ProblemClass::Usage,
                "one ink set makes no comparison; name at least two",
            ));
        }
        let sets = self.prepared(&names, what_if)?;
        let estimates = self.estimates(upload, &sets, &what_if.job()?, true)?;
        Ok((sets, estimates))
    }

    /// The price of an upload on one set.
    pub(crate) fn quote_of(
        &self,
        upload: &StoredUpload,
        what_if: &WhatIf,
    ) -> Result<QuoteReport, Problem> {
        let names = what_if.sets(&self.settings.ink_sets)?;
        let list = self.catalogue.price_list(what_if.price_list.as_deref())?;
        let sets = self.prepared(&names[..1], what_if)?;
        let estimates = self.estimates(upload, &sets, &what_if.job()?, false)?;
        let (Some((_, set)), Some(estimate)) = (sets.first(), estimates.first()) else {
            return Err(Problem::internal("a quote without an estimate"));
        };
        let pictures = [ordered_picture(&upload.upload.name, estimate)];
        let order = Order {
            set: set.set(),
            substrate: &set.substrate().name,
            paper: what_if.paper.as_deref(),
            roll_width: what_if.roll_width()?,
            pictures: &pictures,
            start_up: learned_start_up([estimate]),
        };
        let context = QuoteContext {
            substrate: set.substrate().name.clone(),
            print_mode: set.print_mode().name.clone(),
            assumptions: priced_assumptions([estimate]),
            failed: Vec::new(),
        };
        Ok(QuoteReport::new(PROGRAM, &quote(list, &order)?, context))
    }

    /// The sets of a question, prepared.
    pub(crate) fn prepared(
        &self,
        names: &[&str],
        what_if: &WhatIf,
    ) -> Result<Vec<KeyedSet>, Problem> {
        let prepare = |name: &&str| self.catalogue.prepare(name, what_if, &self.asking);
        names.iter().map(prepare).collect()
    }

    /// What is said of the picture of a counted upload.
    pub(crate) fn facts(&self, upload: &StoredUpload) -> Result<Arc<PictureFacts>, Problem> {
        match self.answers.facts.get(&upload.number) {
            Some(facts) => Ok(facts),
            None => Ok(self.keep_facts(upload, self.picture(upload)?.as_ref())),
        }
    }

    pub(crate) fn keep_facts(
        &self,
        upload: &StoredUpload,
        picture: &CountedPicture,
    ) -> Arc<PictureFacts> {
        let facts = Arc::new(PictureFacts::of(picture));
        self.answers.facts.keep(upload.number, Arc::clone(&facts));
        facts
    }

    /// The colours of an upload.
    pub(crate) fn picture(&self, upload: &StoredUpload) -> Result<Arc<CountedPicture>, Problem> {
        let (UploadState::Counted, Some(facts)) = (upload.state, &upload.facts) else {
            return Err(not_counted(upload));
        };
        if let Some(picture) = self.answers.pictures.get(&upload.number) {
            return Ok(picture);
        }
        let census = self.asking.lock().census(&upload.upload.content_hash)?;
        let census = census.ok_or_else(|| {
            Problem::internal(format!("upload {} has lost its census", upload.number))
        })?;
        let kept = KeptPicture { census, facts: facts.clone() };
        let picture = Arc::new(kept.recall().map_err(Problem::internal)?);
        self.answers.keep_picture(upload.number, Arc::clone(&picture));
        Ok(picture)
    }

    pub(crate) fn estimates(
        &self,
        upload: &StoredUpload,
        sets: &[KeyedSet],
        job: &Job,
        judged: bool,
    ) -> Result<Vec<Estimate>, Problem> {
        if upload.state != UploadState::Counted {
            return Err(not_counted(upload));
        }
        let key = AnswerKey::of(upload, sets, job.rendering, judged);
        let sizeless = match self.answers.sizeless.get(&key) {
            Some(known) => known,
            None => {
                let picture = self.picture(upload)?;
                let _place = self.heavy.enter();
                self.answered(key, &picture, sets, job.rendering)?
            }
        };
        sizeless.sized(sets, job)
    }

    /// Separates a picture's colours, unless that was done, and keeps what follows from them.
    fn answered(
        &self,
        key: AnswerKey,
        picture: &CountedPicture,
        sets: &[KeyedSet],
        rendering: RenderingChoice,
    ) -> Result<Arc<Sizeless>, Problem> {
        // Another may have done it while this one waited.
        if let Some(known) = self.answers.sizeless.get(&key) {
            return Ok(known);
        }
        let sizeless = Arc::new(Sizeless::of(picture, sets, rendering, key.judged)?);
        self.answers.sizeless.keep(key, Arc::clone(&sizeless));
        self.metrics.count_separations(sets.len());
        Ok(sizeless)
    }

    /// Computes what is likely to be asked about an upload while its colours are at hand: its ink on
    /// each set on offer that is prepared already. Says whether that were all.
    pub(crate) fn ask_at_once(
        &self,
        upload: &StoredUpload,
        picture: &CountedPicture,
    ) -> Result<bool, Problem> {
        let (question, job) = likely_question(upload)?;
        let mut all = true;
        for name in &self.settings.ink_sets {
            let Some(set) = self.catalogue.ready(name, &question, &self.asking)? else {
                all = false;
                continue;
            };
            let sets = [set];
            let key = AnswerKey::of(upload, &sets, job.rendering, false);
            let _place = self.heavy.enter();
            self.answered(key, picture, &sets, job.rendering)?;
        }
        Ok(all)
    }

    /// The same for every set on offer, also those that must be prepared first.
    pub(crate) fn ask_in_advance(&self, upload: &StoredUpload) -> Result<(), Problem> {
        let (question, job) = likely_question(upload)?;
        for name in &self.settings.ink_sets {
            let sets = self.prepared(&[name.as_str()], &question)?;
            self.estimates(upload, &sets, &job, false)?;
        }
        Ok(())
    }

    /// The answer that an upload gets by itself: its ink on the wished set, where a size is known.
    pub(crate) fn first_answer(
        &self,
        upload: &StoredUpload,
        picture: &CountedPicture,
    ) -> Option<NewAnswer> {
        let wish: WhatIf = serde_json::from_str(&upload.upload.wish).unwrap_or_default();
        let document = self.first_document(upload, picture, &wish);
        let document = document.inspect_err(|problem| {
            // Without a size there is nothing to say yet.
            if problem.class != ProblemClass::Usage {
                crate::messages::tell("warning", &problem.detail);
            }
        });
        Some(NewAnswer {
            kind: AnswerKind::Estimate,
            made_at: now(),
            asked: upload.upload.wish.clone(),
            document: document.ok()?,
        })
    }

    fn first_document(
        &self,
        upload: &StoredUpload,
        picture: &CountedPicture,
        wish: &WhatIf,
    ) -> Result<String, Problem> {
        let names = wish.sets(&self.settings.ink_sets)?;
        let sets = self.prepared(&names[..1], wish)?;
        let job = wish.job()?;
        let key = AnswerKey::of(upload, &sets, job.rendering, false);
        let sizeless = self.answered(key, picture, &sets, job.rendering)?;
        let estimates = sizeless.sized(&sets, &job)?;
        report(upload, &sets, estimates).to_json().map_err(Problem::internal)
    }
}

/// What most people ask after the first answer: another set, with the rendering that was wished.
fn likely_question(upload: &StoredUpload) -> Result<(WhatIf, Job), Problem> {
    let wish: WhatIf = serde_json::from_str(&upload.upload.wish).unwrap_or_default();
    let job = Job { size: any_size()?, ..wish.job()? };
    Ok((WhatIf { copies: wish.copies, ..WhatIf::default() }, job))
}

/// A side of the box in which a picture is estimated before anybody says its size. Ink follows the
/// area; fifty metres leave room for the narrowest pictures. Our choice.
const ANY_SIDE_METRES: f64 = 50.0;

fn any_size() -> Result<SizeRequest, Problem> {
    let any = Some(Length::from_metres(ANY_SIDE_METRES).map_err(Problem::internal)?);
    Ok(SizeRequest { width: any, height: any })
}

impl Sizeless {
    fn of(
        picture: &CountedPicture,
        sets: &[KeyedSet],
        rendering: RenderingChoice,
        judged: bool,
    ) -> Result<Self, Problem> {
        let job = Job { size: any_size()?, copies: std::num::NonZeroU32::MIN, rendering };
        let estimates = if judged {
            let sets: Vec<&PreparedSet> = sets.iter().map(|(_, set)| set.as_ref()).collect();
            estimates_with_verdicts(picture, &sets, &job, Thresholds::default())?
        } else {
            let each = sets.iter().map(|(_, set)| estimate(picture, set, &job));
            each.collect::<Result<_, _>>()?
        };
        let mut outline = picture.outline();
        if rendering == RenderingChoice::Absolute && picture.format.alpha != colour::Alpha::None {
            outline.assumptions.push(Assumption::warning(
                "transparent parts were counted as laid on media white, not on the paper's colour",
            ));
        }
        Ok(Self { outline, estimates })
    }

    fn sized(&self, sets: &[KeyedSet], job: &Job) -> Result<Vec<Estimate>, Problem> {
        let each = self.estimates.iter().zip(sets);
        let sized = each.map(|(estimate, (_, set))| estimate.resized(&self.outline, set, job));
        Ok(sized.collect::<Result<_, _>>()?)
    }
}

/// The report on an upload.
pub(crate) fn report(upload: &StoredUpload, sets: &[KeyedSet], estimates: Vec<Estimate>) -> Report {
    let names = sets.iter().map(|(_, set)| set.set().name.clone()).collect();
    let outcome = FileOutcome { file: upload.upload.name.clone(), outcome: Ok(estimates) };
    Report::new(PROGRAM, names, vec![outcome])
}

fn not_counted(upload: &StoredUpload) -> Problem {
    let detail = match upload.state {
        UploadState::Received => "the picture waits to be counted; ask again in a second",
        _ => {
            "the picture could not be counted, so that nothing can be said of its ink; the upload \
              says why"
        }
    };
    Problem::new(ProblemClass::NotCountedYet, detail)
}

use std::collections::HashSet;
use std::path::PathBuf;
use std::sync::Arc;

use ledger::{Ledger, StoredUpload, UploadFilter, UploadState};
use tokio::sync::Semaphore;
use tokio::task::spawn_blocking;

use crate::answering::Answers;
use crate::catalogue::{Catalogue, SharedCache};
use crate::counting_queue::CountingQueue;
use crate::metrics::Metrics;
use crate::rate_limit::RateLimit;
use crate::shared_ledger::SharedLedger;
use crate::turnstile::Turnstile;
use crate::upload_folder::UploadFolder;
use crate::{Configuration, InkSetForm, PriceListForm, Problem, StudioUser, secrets};

/// Everything that the service knows and does, without HTTP.
pub struct Studio {
    pub(crate) configuration: Configuration,
    pub(crate) settings: Settings,
    pub(crate) catalogue: Catalogue,
    /// For what changes the ledger.
    pub(crate) writing: SharedLedger,
    /// For what asks it, so that questions don't wait for writers.
    pub(crate) asking: SharedLedger,
    pub(crate) folder: UploadFolder,
    pub(crate) queue: CountingQueue,
    pub(crate) answers: Answers,
    pub(crate) metrics: Metrics,
    pub(crate) link_secret: [u8; 32],
    pub(crate) public_uploads: RateLimit,
    pub(crate) public_questions: RateLimit,
    pub(crate) wrong_keys: RateLimit,
    /// Computing that takes more than a moment, all cores and memory: one at a time.
    pub(crate) heavy: Turnstile,
    /// Counting processes.
    pub(crate) processes: Semaphore,
    /// This program, for counting processes.
    pub(crate) program: PathBuf,
}

/// What pages need to know of the configuration.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Settings {
    /// What pages call the studio.
    pub studio_name: String,
    /// Whether anybody may upload without a key.
    pub public_page: bool,
    /// Whether picture files stay after counting.
    pub keep_pictures: bool,
    /// Largest file that is taken.
    pub max_upload_bytes: u64,
    /// Largest picture that is counted.
    pub max_pixels: u64,
    /// Names of the ink sets on offer, the default first.
    pub ink_sets: Vec<String>,
    /// Name of the price list for uploads.
    pub price_list: String,
}

/// Wrong keys from one address in an hour; a key of 256 bits is not guessed, but guessing costs the
/// machine time. Our choice.
const WRONG_KEYS_PER_HOUR: u32 = 600;

impl Studio {
    /// Opens the ledger and the data folder, reads ink sets and price lists, and puts the uploads
    /// that wait into the queue. `program` is the command that knows how to count.
    ///
    /// # Errors
    ///
    /// Every fault of what the configuration names.
    pub fn open(
        configuration: Configuration,
        cache: SharedCache,
        program: PathBuf,
    ) -> Result<Self, Vec<String>> {
        let told = |fault: String| vec![fault];
        let catalogue =
            Catalogue::read(&configuration.ink_sets, &configuration.price_lists, cache)?;
        let data = &configuration.data_folder;
        let folder = UploadFolder::begin(data).map_err(|cause| {
            told(format!("data folder {}: {cause}; choose one that can be written", data.display()))
        })?;
        let open = || SharedLedger::open(&configuration.ledger);
        let writing = open().map_err(|fault| told(fault.to_string()))?;
        let asking = open().map_err(|fault| told(fault.to_string()))?;
        let fresh = secrets::random().map_err(|problem| told(problem.detail))?;
        let link_secret =
            writing.lock().link_secret(&fresh).map_err(|fault| told(fault.to_string()))?;
        let studio = Self {
            settings: Settings::of(&configuration, &catalogue),
            catalogue,
            writing,
            asking,
            folder,
            queue: CountingQueue::default(),
            answers: Answers::default(),
            metrics: Metrics::default(),
            link_secret,
            public_uploads: RateLimit::per_hour(
                configuration.public_uploads_per_hour,
                configuration.public_uploads_at_once,
            ),
            public_questions: RateLimit::per_hour(
                configuration.public_questions_per_hour,
                configuration.public_questions_per_hour / 10,
            ),
            wrong_keys: RateLimit::per_hour(WRONG_KEYS_PER_HOUR, WRONG_KEYS_PER_HOUR / 10),
            heavy: Turnstile::new(1),
            processes: Semaphore::new(configuration.workers),
            program,
            configuration,
        };
        studio.resume().map_err(told)?;
        Ok(studio)
    }

    /// Takes up what a crash or a stop left: whole uploads are counted, the rest goes.
    fn resume(&self) -> Result<(), String> {
        let waiting = self.asking.lock().waiting_uploads().map_err(|fault| fault.to_string())?;
        let mut wanted: HashSet<String> =
            waiting.iter().map(|upload| upload.upload.id.clone()).collect();
        if self.configuration.keep_pictures {
            let every = UploadFilter { most: u32::MAX, ..UploadFilter::default() };
            let all = self.asking.lock().uploads(&every).map_err(|fault| fault.to_string())?;
            wanted.extend(all.into_iter().map(|upload| upload.upload.id));
        }
        self.folder.tidy(&wanted).map_err(|cause| format!("the folder of uploads: {cause}"))?;
        for upload in waiting {
            self.queue.add(upload);
        }
        Ok(())
    }

    /// What pages need to know of the configuration.
    #[must_use]
    pub const fn settings(&self) -> &Settings {
        &self.settings
    }

    /// The ink sets on offer.
    #[must_use]
    pub fn ink_sets(&self) -> &[InkSetForm] {
        self.catalogue.set_forms()
    }

    /// The price lists on offer.
    #[must_use]
    pub fn price_lists(&self) -> &[PriceListForm] {
        self.catalogue.list_forms()
    }

    /// Does work on the ledger, off the event loop.
    ///
    /// # Errors
    ///
    /// Whatever the work returns.
    pub async fn with_ledger<T: Send + 'static>(
        self: &Arc<Self>,
        _user: &StudioUser,
        work: impl FnOnce(&mut Ledger) -> Result<T, Problem> + Send + 'static,
    ) -> Result<T, Problem> {
        self.writing_with(move |_, ledger| work(ledger)).await
    }

    /// Changes the ledger, off the event loop.
    pub(crate) async fn writing_with<T: Send + 'static>(
        self: &Arc<Self>,
        work: impl FnOnce(&Self, &mut Ledger) -> Result<T, Problem> + Send + 'static,
    ) -> Result<T, Problem> {
        self.blocking(move |studio| work(studio, &mut studio.writing.lock())).await
    }

    /// Does work that waits for disks or computes, off the event loop.
    pub(crate) async fn blocking<T: Send + 'static>(
        self: &Arc<Self>,
        work: impl FnOnce(&Self) -> Result<T, Problem> + Send + 'static,
    ) -> Result<T, Problem> {
        let studio = Arc::clone(self);
        spawn_blocking(move || work(&studio)).await.map_err(Problem::internal)?
    }

    /// Whether the ledger answers.
    pub(crate) fn is_ready(&self) -> Result<(), Problem> {
        let one = UploadFilter { most: 1, ..UploadFilter::default() };
        self.asking.lock().uploads(&one)?;
        Ok(())
    }

    /// Deletes an upload with everything that is kept about it.
    pub(crate) async fn delete_upload(
        self: &Arc<Self>,
        upload: &StoredUpload,
    ) -> Result<(), Problem> {
        let (number, id) = (upload.number, upload.upload.id.clone());
        self.queue.forget(number);
        self.writing_with(move |studio, ledger| {
            ledger.delete_upload(number)?;
            studio.answers.forget(number);
            studio.folder.delete(&id).map_err(|cause| Problem::of_file(&cause))
        })
        .await
    }

    /// Ends an upload that can't be counted.
    pub(crate) async fn end_upload(
        self: &Arc<Self>,
        upload: &StoredUpload,
        state: UploadState,
        problem: Problem,
    ) -> Result<(), Problem> {
        let (number, id) = (upload.number, upload.upload.id.clone());
        let text = serde_json::to_string(&problem).map_err(Problem::internal)?;
        self.writing_with(move |studio, ledger| {
            if ledger.end_upload(number, state, &text)? {
                studio.metrics.count_ended(state);
            }
            studio.let_go(&id);
            Ok(())
        })
        .await
    }

    /// Deletes the file of an upload that is done, unless files are kept. One that can't be deleted
    /// goes when the service starts again.
    pub(crate) fn let_go(&self, id: &str) {
        if !self.configuration.keep_pictures
            && let Err(cause) = self.folder.delete(id)
        {
            crate::messages::tell("warning", &format!("an upload's file stays: {cause}"));
        }
    }
}

impl Settings {
    fn of(configuration: &Configuration, catalogue: &Catalogue) -> Self {
        let lists = catalogue.list_forms();
        Self {
            studio_name: configuration.studio_name.clone(),
            public_page: configuration.public_page,
            keep_pictures: configuration.keep_pictures,
            max_upload_bytes: configuration.most_upload_bytes,
            max_pixels: configuration.most_pixels,
            ink_sets: catalogue.set_names(),
            price_list: lists.first().map(|list| list.name.clone()).unwrap_or_default(),
        }
    }
}

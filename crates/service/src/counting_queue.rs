use std::collections::{HashSet, VecDeque};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use estimating::{CountedPicture, KeptPicture};
use ledger::{CountedUpload, StoredUpload, UploadState};
use tokio::sync::Semaphore;
use tokio::time::sleep;

use crate::counting_process::Counting;
use crate::counting_worker::CountingOrder;
use crate::messages::tell;
use crate::{Problem, ProblemClass, Studio};

/// Uploads that wait to be counted, in the order in which they came.
pub(crate) struct CountingQueue {
    line: Mutex<Line>,
    /// A permit for each upload in the line.
    ready: Semaphore,
}

#[derive(Default)]
struct Line {
    waiting: VecDeque<StoredUpload>,
    counting: HashSet<i64>,
    counted: VecDeque<StoredUpload>,
}

/// How long an upload waits after the disk was full, or no process could be started.
const PAUSE: Duration = Duration::from_secs(2);

/// Counted uploads that are noted; our choice, a night's.
const MOST_NOTED: usize = 500;

impl Default for CountingQueue {
    fn default() -> Self {
        Self { line: Mutex::default(), ready: Semaphore::new(0) }
    }
}

impl CountingQueue {
    pub(crate) fn add(&self, upload: StoredUpload) {
        self.line().waiting.push_back(upload);
        self.ready.add_permits(1);
    }

    /// Lets go of an upload that is not wanted any more.
    pub(crate) fn forget(&self, number: i64) {
        let mut line = self.line();
        let others = |upload: &StoredUpload| upload.number != number;
        line.waiting.retain(others);
        line.counted.retain(others);
    }

    pub(crate) fn is_counting(&self, number: i64) -> bool {
        self.line().counting.contains(&number)
    }

    /// How many wait, and how many are being counted.
    pub(crate) fn lengths(&self) -> (usize, usize) {
        let line = self.line();
        (line.waiting.len(), line.counting.len())
    }

    fn has_waiting(&self) -> bool {
        !self.line().waiting.is_empty()
    }

    /// Notes a counted upload that is to be asked about in advance when nothing waits.
    pub(crate) fn note_counted(&self, upload: StoredUpload) {
        let mut line = self.line();
        line.counted.push_back(upload);
        if line.counted.len() > MOST_NOTED {
            line.counted.pop_front();
        }
    }

    /// The upload that was counted last and not asked about, if nothing waits to be counted.
    fn idle_work(&self) -> Option<StoredUpload> {
        let mut line = self.line();
        if line.waiting.is_empty() { line.counted.pop_back() } else { None }
    }

    /// Waits for the next upload; nothing when the queue is closed.
    async fn next(&self) -> Option<StoredUpload> {
        loop {
            self.ready.acquire().await.ok()?.forget();
            let mut line = self.line();
            // One that was forgotten leaves its permit behind.
            if let Some(upload) = line.waiting.pop_front() {
                line.counting.insert(upload.number);
                return Some(upload);
            }
        }
    }

    fn is_done_with(&self, number: i64) {
        self.line().counting.remove(&number);
    }

    fn line(&self) -> MutexGuard<'_, Line> {
        self.line.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Studio {
    /// Counts uploads, one after the other, for as long as the service runs.
    pub(crate) async fn count_uploads(self: Arc<Self>) {
        loop {
            // What was put off when pictures were counted is done now.
            if let Some(counted) = self.queue.idle_work() {
                let asked = self.blocking(move |studio| studio.ask_in_advance(&counted)).await;
                if let Err(problem) = asked {
                    tell("warning", &problem.detail);
                }
                continue;
            }
            let Some(upload) = self.queue.next().await else { return };
            let begun = Instant::now();
            let ended = self.count_upload(&upload).await;
            self.metrics.count_time(begun.elapsed());
            self.queue.is_done_with(upload.number);
            if let Err(problem) = ended {
                self.try_later(upload, &problem);
            }
        }
    }

    /// Counts one upload and keeps what came of it. An error means that it is still to be done.
    async fn count_upload(self: &Arc<Self>, upload: &StoredUpload) -> Result<(), Problem> {
        let configuration = &self.configuration;
        let order = CountingOrder {
            picture: self.folder.file(&upload.upload.id),
            most_pixels: configuration.most_pixels,
            memory: configuration.worker_memory,
            time: configuration.worker_time,
        };
        let process = self.processes.acquire().await.map_err(Problem::internal)?;
        let counted = order.start(&self.program).await;
        drop(process);
        match counted {
            Counting::Counted(kept) => self.finish(upload, kept).await,
            Counting::Refused(problem) => {
                self.end_upload(upload, UploadState::Refused, problem).await
            }
            Counting::Failed(problem) => {
                self.end_upload(upload, UploadState::Failed, problem).await
            }
            Counting::NotTried(cause) => Err(self.not_tried(upload, &cause)),
        }
    }

    fn not_tried(&self, upload: &StoredUpload, cause: &str) -> Problem {
        let gone = !self.folder.file(&upload.upload.id).exists();
        let class = if gone { ProblemClass::Internal } else { ProblemClass::Unavailable };
        Problem::new(class, format!("upload {} could not be counted yet: {cause}", upload.number))
    }

    async fn finish(
        self: &Arc<Self>,
        upload: &StoredUpload,
        kept: KeptPicture,
    ) -> Result<(), Problem> {
        let upload = upload.clone();
        let counted = self.blocking(move |studio| {
            let _place = studio.heavy.enter();
            let picture = kept.recall()?;
            let answer = studio.first_answer(&upload, &picture);
            studio.keep_facts(&upload, &picture);
            let KeptPicture { census, facts } = kept;
            Ok((upload, picture, CountedUpload { census, facts, answer }))
        });
        let (upload, picture, counted) = counted.await?;
        let kept = self.writing_with(move |studio, ledger| {
            let was_wanted = ledger.finish_upload(upload.number, &counted)?;
            studio.let_go(&upload.upload.id);
            if !was_wanted {
                return Ok(None);
            }
            studio.metrics.count_ended(UploadState::Counted);
            let (state, facts) = (UploadState::Counted, Some(counted.facts));
            Ok(Some(StoredUpload { state, facts, ..upload }))
        });
        if let Some(upload) = kept.await? {
            self.ask_while_at_hand(upload, picture).await;
        }
        Ok(())
    }

    /// The first question about a set separates the picture's colours: better done before, and best
    /// while they need not be recalled. Those whose pictures wait to be counted come first, though: they
    /// have no answer at all. What goes wrong here is told when somebody asks.
    async fn ask_while_at_hand(self: &Arc<Self>, upload: StoredUpload, picture: CountedPicture) {
        let asked = self.blocking(move |studio| {
            if studio.queue.has_waiting() || !studio.ask_at_once(&upload, &picture)? {
                studio.queue.note_counted(upload);
            }
            Ok(())
        });
        if let Err(problem) = asked.await {
            tell("warning", &problem.detail);
        }
    }

    /// What was accepted stays accepted: where the disk is full or no process can be started, the
    /// upload waits. Where the program itself is at fault, it ends.
    fn try_later(self: &Arc<Self>, upload: StoredUpload, problem: &Problem) {
        tell("warning", &problem.detail);
        let studio = Arc::clone(self);
        let passes = matches!(problem.class, ProblemClass::DiskFull | ProblemClass::Unavailable);
        let problem = problem.clone();
        tokio::spawn(async move {
            sleep(PAUSE).await;
            let ended = if passes {
                Err(problem)
            } else {
                studio.end_upload(&upload, UploadState::Failed, problem).await
            };
            if ended.is_err() {
                studio.queue.add(upload);
            }
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ledger::NewUpload;

    fn upload(number: i64) -> StoredUpload {
        let upload = NewUpload {
            id: number.to_string(),
            owner: 0,
            name: String::new(),
            bytes: 1,
            received_at: 0,
            content_hash: [0; 32],
            wish: String::new(),
            idempotency_key: None,
        };
        let state = UploadState::Received;
        StoredUpload { number, upload, state, problem: None, facts: None, links: 0 }
    }

    #[tokio::test]
    async fn uploads_are_counted_in_their_order_and_forgotten_ones_are_passed_over() {
        let queue = CountingQueue::default();
        (1..=3).for_each(|number| queue.add(upload(number)));
        queue.forget(1);
        assert_eq!(queue.next().await.map(|next| next.number), Some(2));
        assert!(queue.is_counting(2));
        assert_eq!(queue.lengths(), (1, 1));
        queue.is_done_with(2);
        assert_eq!(queue.next().await.map(|next| next.number), Some(3));
    }

    #[test]
    fn what_was_put_off_is_done_when_nothing_waits_the_newest_first() {
        let queue = CountingQueue::default();
        (1..=3).for_each(|number| queue.note_counted(upload(number)));
        queue.forget(3);
        queue.add(upload(4));
        assert_eq!(queue.idle_work(), None);
        queue.forget(4);
        let done = || queue.idle_work().map(|upload| upload.number);
        assert_eq!([done(), done(), done()], [Some(2), Some(1), None]);
    }
}

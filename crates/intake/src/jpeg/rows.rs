use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::thread::{Builder, JoinHandle};

use colour::{Band, Damage, RasterFormat, RowSource};

use crate::bytes::Original;
use crate::{FileFormat, IntakeError};

use super::decoding::decode;

/// What the decoder is to deliver.
#[derive(Clone, Copy)]
pub(super) struct Wanted {
    pub(super) format: RasterFormat,
    /// Samples are stored upside down.
    pub(super) inverted: bool,
}

/// Bands that may wait for the reader; our choice: one to keep the decoder busy, one for uneven
/// steps.
const WAITING_BANDS: usize = 2;

/// What the decoding thread sends.
pub(super) enum Delivery {
    Band(Band),
    Damage(Damage),
    Failed(IntakeError),
    Complete,
}

/// Rows of a JPEG picture, decoded on a thread of their own.
///
/// The C decoder may not move between threads, and its caller may: so the decoder stays on a
/// thread that sends bands. The thread starts with the first band and ends with the last one or
/// when this value is dropped, whichever comes first.
pub(super) struct JpegRows {
    wanted: Wanted,
    state: State,
    damage: Vec<Damage>,
}

enum State {
    Waiting(Original),
    Decoding(Decoding),
    Done,
}

/// A running thread, and the two ways to stop it: it sees `abandoned` when it reads, and its
/// sending fails once `deliveries` is gone.
struct Decoding {
    deliveries: Option<Receiver<Delivery>>,
    abandoned: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl JpegRows {
    pub(super) const fn new(wanted: Wanted, original: Original) -> Self {
        Self { wanted, state: State::Waiting(original), damage: Vec::new() }
    }

    fn start(&mut self) -> Result<(), IntakeError> {
        self.state = match std::mem::replace(&mut self.state, State::Done) {
            State::Waiting(original) => State::Decoding(Decoding::start(self.wanted, original)?),
            other => other,
        };
        Ok(())
    }
}

impl RowSource for JpegRows {
    type Error = IntakeError;

    fn format(&self) -> RasterFormat {
        self.wanted.format
    }

    fn next_band(&mut self) -> Result<Option<Band>, IntakeError> {
        self.start()?;
        while let State::Decoding(decoding) = &self.state {
            match decoding.next() {
                Delivery::Band(band) => return Ok(Some(band)),
                Delivery::Damage(damage) if self.damage.contains(&damage) => {}
                Delivery::Damage(damage) => self.damage.push(damage),
                Delivery::Complete => self.state = State::Done,
                Delivery::Failed(fault) => {
                    self.state = State::Done;
                    return Err(fault);
                }
            }
        }
        Ok(None)
    }

    fn damage(&self) -> &[Damage] {
        &self.damage
    }
}

impl Decoding {
    fn start(wanted: Wanted, original: Original) -> Result<Self, IntakeError> {
        let (sender, deliveries) = sync_channel(WAITING_BANDS);
        let abandoned = Arc::new(AtomicBool::new(false));
        let seen_by_thread = Arc::clone(&abandoned);
        let thread = Builder::new()
            .name("jpeg rows".to_owned())
            .spawn(move || decode_and_send(wanted, original, seen_by_thread, &sender))
            .map_err(|fault| IntakeError::reading("starting the JPEG decoder", fault))?;
        Ok(Self { deliveries: Some(deliveries), abandoned, thread: Some(thread) })
    }

    fn next(&self) -> Delivery {
        let received = self.deliveries.as_ref().and_then(|from| from.recv().ok());
        received.unwrap_or_else(|| {
            let detail = "the decoder gave up without a reason";
            Delivery::Failed(IntakeError::corrupt(FileFormat::Jpeg, detail))
        })
    }
}

impl Drop for Decoding {
    fn drop(&mut self) {
        self.abandoned.store(true, Ordering::Relaxed);
        self.deliveries = None;
        if let Some(thread) = self.thread.take() {
            // A panic there has already shown as a missing delivery.
            let _ = thread.join();
        }
    }
}

fn decode_and_send(
    wanted: Wanted,
    original: Original,
    abandoned: Arc<AtomicBool>,
    sender: &SyncSender<Delivery>,
) {
    let last = match decode(wanted, original, abandoned, sender) {
        Ok(()) => Delivery::Complete,
        Err(fault) => Delivery::Failed(fault),
    };
    // Nobody is left to tell if the receiver is gone.
    let _ = sender.send(last);
}

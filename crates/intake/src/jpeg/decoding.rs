use std::cell::{Cell, RefCell};
use std::io::{self, BufRead, BufReader, Read};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::rc::Rc;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::SyncSender;

use colour::{Band, ColourModel, Damage, RasterFormat, Samples};
use mozjpeg::decompress::DecompressStarted;
use mozjpeg::{ColorSpace, Decompress};
use mozjpeg_sys::{
    JWRN_ADOBE_XFORM, JWRN_BOGUS_PROGRESSION, JWRN_EXTRANEOUS_DATA, JWRN_JFIF_MAJOR,
    JWRN_NOT_SEQUENTIAL, c_int,
};

use crate::bands::rows_per_band;
use crate::bytes::Original;
use crate::{FileFormat, IntakeError};

use super::ffi::{self, Warning};
use super::rows::{Delivery, Wanted};

/// Decodes a whole picture on this thread and sends it in bands.
///
/// The decoder reports errors by unwinding, reads on with invented samples after the end of the
/// file, and only warns of damaged data: all three become errors here.
pub(super) fn decode(
    wanted: Wanted,
    original: Original,
    abandoned: Arc<AtomicBool>,
    sender: &SyncSender<Delivery>,
) -> Result<(), IntakeError> {
    let progress = Rc::new(Progress::default());
    let reader = Watched {
        bytes: original
            .buffered()
            .map_err(|fault| IntakeError::reading("reading the JPEG file", fault))?,
        abandoned,
        progress: Rc::clone(&progress),
    };
    let mut unsent = Unsent::default();
    let outcome = catch_unwind(AssertUnwindSafe(|| {
        send_rows(wanted, reader, &progress, &mut unsent, sender)
    }));
    let message = match outcome {
        Ok(Ok(())) => return Ok(()),
        Ok(Err(stop)) => stop.to_string(),
        Err(payload) => payload.downcast_ref::<String>().cloned().unwrap_or_default(),
    };
    // The rows before the fault are right. Who is gone misses nothing.
    let _ = unsent.send(wanted, sender);
    Err(progress.explain(wanted.format, &message))
}

/// The band that is being filled, outside of what unwinds.
#[derive(Default)]
struct Unsent {
    first_row: u32,
    rows: u32,
    samples: Vec<u8>,
}

impl Unsent {
    fn start(&mut self, format: &RasterFormat, rows: u32) {
        self.samples = vec![0; rows as usize * format.samples_per_row()];
    }

    /// Sends the rows that are complete, if there are any.
    fn send(&mut self, wanted: Wanted, sender: &SyncSender<Delivery>) -> io::Result<()> {
        if self.rows == 0 {
            return Ok(());
        }
        let mut samples = std::mem::take(&mut self.samples);
        samples.truncate(self.rows as usize * wanted.format.samples_per_row());
        if wanted.inverted {
            samples.iter_mut().for_each(|sample| *sample = !*sample);
        }
        let (first_row, rows) = (self.first_row, std::mem::take(&mut self.rows));
        self.first_row += rows;
        let band = Band { first_row, rows, samples: Samples::Eight(samples) };
        send(sender, Delivery::Band(band))
    }
}

/// How far the decoder came and what it met.
#[derive(Default)]
struct Progress {
    rows: Cell<u32>,
    past_end: Cell<bool>,
    fault: RefCell<Option<io::Error>>,
}

impl Progress {
    /// The reason to stop, from the most to the least certain.
    fn explain(&self, format: RasterFormat, message: &str) -> IntakeError {
        if let Some(fault) = self.fault.take() {
            return IntakeError::reading("reading the JPEG file", fault);
        }
        let rows = self.rows.get();
        if self.past_end.get() {
            return IntakeError::cut_after(FileFormat::Jpeg, rows, format.height);
        }
        let place = format!("{message} after {rows} of {} rows", format.height);
        IntakeError::corrupt(FileFormat::Jpeg, place)
    }

    /// Stops at the end of the file and at broken pixels; tells of the rest.
    fn check(&self, stage: Stage, sender: &SyncSender<Delivery>) -> io::Result<()> {
        for warning in ffi::take_warnings() {
            let Some(detail) = harmless(warning, stage) else {
                return Err(io::Error::other("the coded pixels are broken"));
            };
            let damage = Damage { missing_rows: 0, detail: detail.to_owned() };
            send(sender, Delivery::Damage(damage))?;
        }
        if self.past_end.get() {
            return Err(io::ErrorKind::UnexpectedEof.into());
        }
        Ok(())
    }
}

/// What the decoder has read when it warns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stage {
    Header,
    Pixels,
}

/// Bytes between the pixels and the next marker that may be padding; our choice: after broken
/// codes the decoder has its last pixel long before the last byte.
const MOST_PADDING: c_int = 16;

/// Words for the warnings after which the pixels may still be right; `None` for the others:
/// broken codes and data that end early leave invented pixels up to the end of the picture.
fn harmless(warning: Warning, stage: Stage) -> Option<&'static str> {
    Some(match warning.code {
        JWRN_EXTRANEOUS_DATA if stage == Stage::Header || warning.amount <= MOST_PADDING => {
            "superfluous bytes between the parts of the JPEG file were skipped"
        }
        JWRN_BOGUS_PROGRESSION => "the scans of the progressive JPEG file are in an odd order",
        JWRN_NOT_SEQUENTIAL => "a scan of the JPEG file has odd parameters, which were ignored",
        JWRN_JFIF_MAJOR => "the JPEG file states an unknown version of JFIF",
        JWRN_ADOBE_XFORM => "the JPEG file states an unknown colour transform; YCbCr assumed",
        _ => return None,
    })
}

fn send_rows(
    wanted: Wanted,
    reader: Watched,
    progress: &Progress,
    unsent: &mut Unsent,
    sender: &SyncSender<Delivery>,
) -> io::Result<()> {
    let format = wanted.format;
    let mut decoder = start(format, reader, progress, sender)?;
    while progress.rows.get() < format.height {
        let rows = rows_per_band(&format).min(format.height - progress.rows.get());
        unsent.start(&format, rows);
        for row in unsent.samples.chunks_exact_mut(format.samples_per_row()) {
            decoder.read_scanlines_into(row)?;
            progress.check(Stage::Pixels, sender)?;
            progress.rows.set(progress.rows.get() + 1);
            unsent.rows += 1;
        }
        unsent.send(wanted, sender)?;
    }
    decoder.finish()?;
    progress.check(Stage::Pixels, sender)
}

fn start(
    format: RasterFormat,
    reader: Watched,
    progress: &Progress,
    sender: &SyncSender<Delivery>,
) -> io::Result<DecompressStarted<Watched>> {
    let decoder = Decompress::with_err(ffi::error_manager()).from_reader(reader)?;
    progress.check(Stage::Header, sender)?;
    if decoder.size() != (format.width as usize, format.height as usize) {
        return Err(io::Error::other("two sizes are stated"));
    }
    match format.model {
        ColourModel::Gray => decoder.grayscale(),
        ColourModel::Cmyk => decoder.to_colorspace(ColorSpace::JCS_CMYK),
        ColourModel::Rgb | ColourModel::Lab => decoder.rgb(),
    }
}

fn send(sender: &SyncSender<Delivery>, delivery: Delivery) -> io::Result<()> {
    let nobody_listens = |_| io::Error::other("the reader is gone");
    sender.send(delivery).map_err(nobody_listens)
}

/// The file, watched for its end, for faults, and for a reader who has lost interest.
struct Watched {
    bytes: BufReader<Original>,
    abandoned: Arc<AtomicBool>,
    progress: Rc<Progress>,
}

impl Read for Watched {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let read = self.fill_buf()?.read(buffer)?;
        self.consume(read);
        Ok(read)
    }
}

impl BufRead for Watched {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        if self.abandoned.load(Ordering::Relaxed) {
            return Err(io::Error::other("the reader is gone"));
        }
        match self.bytes.fill_buf() {
            Ok(bytes) => {
                if bytes.is_empty() {
                    self.progress.past_end.set(true);
                }
                Ok(bytes)
            }
            Err(fault) => {
                let kind = fault.kind();
                *self.progress.fault.borrow_mut() = Some(fault);
                Err(kind.into())
            }
        }
    }

    fn consume(&mut self, used: usize) {
        self.bytes.consume(used);
    }
}

use std::cell::{Cell, RefCell};
use std::io::{self, BufRead, BufReader, Read};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::rc::Rc;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::SyncSender;

use colour::{Band, ColourModel, Damage, RasterFormat, Samples};
use mozjpeg::Decompress;
use mozjpeg::decompress::DecompressStarted;
use mozjpeg_sys::{
    JWRN_ADOBE_XFORM, JWRN_BOGUS_PROGRESSION, JWRN_EXTRANEOUS_DATA, JWRN_JFIF_MAJOR,
    JWRN_NOT_SEQUENTIAL, c_int,
};

use crate::bands::rows_per_band;
use crate::bytes::Original;
use crate::{FileFormat, IntakeError};

use super::ffi::{self, Warning};
use super::rows::Delivery;

/// Decodes a whole picture on this thread and sends it in bands.
///
/// The decoder reports errors by unwinding, reads on with invented samples after the end of the
/// file, and only warns of damaged data: all three become errors here.
pub(super) fn decode(
    format: RasterFormat,
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
    let outcome = catch_unwind(AssertUnwindSafe(|| send_rows(format, reader, &progress, sender)));
    match outcome {
        Ok(Ok(())) => Ok(()),
        Ok(Err(stop)) => Err(progress.explain(format, &stop.to_string())),
        Err(payload) => {
            let message = payload.downcast_ref::<String>().map_or("", String::as_str);
            Err(progress.explain(format, message))
        }
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
    format: RasterFormat,
    reader: Watched,
    progress: &Progress,
    sender: &SyncSender<Delivery>,
) -> io::Result<()> {
    let mut decoder = start(format, reader, progress, sender)?;
    let mut first_row = 0;
    while first_row < format.height {
        let rows = rows_per_band(&format).min(format.height - first_row);
        let mut samples = vec![0; rows as usize * format.samples_per_row()];
        for row in samples.chunks_exact_mut(format.samples_per_row()) {
            decoder.read_scanlines_into(row)?;
            progress.check(Stage::Pixels, sender)?;
            progress.rows.set(progress.rows.get() + 1);
        }
        let band = Band { first_row, rows, samples: Samples::Eight(samples) };
        send(sender, Delivery::Band(band))?;
        first_row += rows;
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
        ColourModel::Rgb | ColourModel::Cmyk => decoder.rgb(),
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

use std::num::NonZeroUsize;
use std::panic::resume_unwind;
use std::sync::mpsc::{Receiver, TrySendError, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

use colour::{Band, BitDepth, Orientation, RasterFormat, RowSource};

use crate::cells::MOST_CHANNELS;
use crate::census::check_pixels;
use crate::counting::BandCounter;
use crate::delivered_rows::DeliveredRows;
use crate::lattice::Lattice;
use crate::preview_canvas::PreviewCanvas;
use crate::sample::Sample;
use crate::{Backdrop, CensusError, ColourCensus, Preview, TakingError};

/// Bands that may wait for each counter: one is ready when another is done, and memory stays
/// bounded when decoding is the faster side.
const BANDS_WAITING: usize = 2;
/// Bands with which the calling thread waits for counters that are behind before it counts itself: they
/// are slow only while they touch their memory for the first time. Our choice.
const PATIENCE: usize = 8;
/// Two count about as fast as one decoder delivers; more than eight would only take memory, up to 75 MB
/// of address space each. Our choice.
const MOST_COUNTERS: usize = 8;

/// Takes the census and the preview of pictures.
///
/// With one thread, decoding and counting take turns. With more, the calling thread takes rows from the
/// decoder and up to eight others count beside it, each with cells of its own; one or two are usually
/// enough. It counts too while they are behind.
/// The result is the same for any number.
#[derive(Clone, Copy, Debug)]
pub struct CensusTaker {
    /// How the stored rows are turned for the preview.
    pub orientation: Orientation,
    /// What shows through where the picture is not opaque.
    pub backdrop: Backdrop,
    /// The most pixels of the preview, up to [`MOST_PREVIEW_PIXELS`](crate::MOST_PREVIEW_PIXELS); it has
    /// one at least. A small one takes little time and memory.
    pub preview_pixels: u64,
    /// Whether the census is [`joined`](ColourCensus::joined); one that is to be merged with others must not
    /// be. Of RGB above two megapixels it takes a tenth of the room; other censuses are the same.
    pub joins: bool,
    /// Threads that may work at once, the calling one included.
    pub threads: NonZeroUsize,
}

/// What one pass over a picture leaves.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// The colours of all delivered rows.
    pub census: ColourCensus,
    /// The picture made small.
    pub preview: Preview,
    /// Rows that the source declared as damage and that are in neither.
    pub missing_rows: u32,
}

impl CensusTaker {
    /// Reads the source to its end and counts its pixels.
    ///
    /// # Errors
    ///
    /// `Source` when the source stops. `Census` when the picture has no pixels or too
    /// many, when the backdrop does not fit it, when a row comes twice or never (unless the
    /// source declares it as damage), or when a band does not have the promised samples.
    pub fn take<S>(&self, source: &mut S) -> Result<Taken, TakingError<S::Error>>
    where
        S: RowSource + ?Sized,
    {
        match source.format().depth {
            BitDepth::Eight => self.take_samples::<u8, S>(source),
            BitDepth::Sixteen => self.take_samples::<u16, S>(source),
        }
    }

    fn take_samples<T, S>(&self, source: &mut S) -> Result<Taken, TakingError<S::Error>>
    where
        T: Sample,
        S: RowSource + ?Sized,
    {
        let format = source.format();
        let lattice = check_format(&format)?;
        let job = CountingJob::<T> {
            format,
            lattice,
            backdrop: self.backdrop.samples(format.model)?,
            canvas: PreviewCanvas::new(format, self.preview_pixels),
            joins: self.joins,
        };
        let mut delivered = DeliveredRows::new(format.height);
        let threads = self.threads.get().min(MOST_COUNTERS);
        let parts = match NonZeroUsize::new(threads) {
            Some(parts) if threads > 1 => source.divide(parts),
            _ => Vec::new(),
        };
        let census = match (threads - 1, parts.is_empty()) {
            (0, _) => job.count_inline(source, &mut delivered)?,
            (counters, true) => job.count_beside(source, &mut delivered, counters)?,
            (_, false) => job.count_parts(parts, source, &mut delivered)?,
        };
        let missing_rows = check_missing(&delivered, format.height, source)?;
        let preview = job.canvas.into_preview(job.backdrop, self.orientation);
        Ok(Taken { census, preview, missing_rows })
    }
}

/// What all counters of a picture share.
struct CountingJob<T> {
    format: RasterFormat,
    lattice: Lattice,
    backdrop: [T; MOST_CHANNELS],
    canvas: PreviewCanvas,
    joins: bool,
}

impl<T: Sample> CountingJob<T> {
    fn counter(&self) -> BandCounter<'_, T> {
        BandCounter::new(&self.format, self.lattice, self.backdrop, &self.canvas)
    }

    fn count_inline<S: RowSource + ?Sized>(
        &self,
        source: &mut S,
        delivered: &mut DeliveredRows,
    ) -> Result<ColourCensus, TakingError<S::Error>> {
        let mut counter = self.counter();
        while let Some(band) = self.next_band(source, delivered)? {
            counter.count(&band);
        }
        Ok(BandCounter::into_census(vec![counter], self.lattice, self.joins)?)
    }

    fn count_beside<S: RowSource + ?Sized>(
        &self,
        source: &mut S,
        delivered: &mut DeliveredRows,
        counters: usize,
    ) -> Result<ColourCensus, TakingError<S::Error>> {
        thread::scope(|scope| {
            let (sender, receiver) = sync_channel(counters * BANDS_WAITING);
            let receiver = Arc::new(Mutex::new(receiver));
            let counting: Vec<_> = (0..counters)
                .map(|_| Arc::clone(&receiver))
                .map(|bands| scope.spawn(move || self.count_received(&bands)))
                .collect();
            // Only counters hold the receiver, so that sending fails when all have stopped.
            drop(receiver);
            let (mut own, mut patience) = (None, PATIENCE);
            while let Some(band) = self.next_band(source, delivered)? {
                match sender.try_send(band) {
                    Ok(()) => {}
                    Err(TrySendError::Full(band)) if patience > 0 => {
                        patience -= 1;
                        if sender.send(band).is_err() {
                            break;
                        }
                    }
                    // The others are behind, and a decoder with a thread of its own is ahead.
                    Err(TrySendError::Full(band)) => {
                        own.get_or_insert_with(|| self.counter()).count(&band);
                    }
                    Err(TrySendError::Disconnected(_)) => break,
                }
            }
            drop(sender);
            let counted = counting
                .into_iter()
                .map(|counter| counter.join().unwrap_or_else(|panic| resume_unwind(panic)));
            Ok(BandCounter::into_census(counted.chain(own).collect(), self.lattice, self.joins)?)
        })
    }

    /// Every thread decodes a part of the picture and counts it.
    fn count_parts<S: RowSource + ?Sized>(
        &self,
        parts: Vec<Box<dyn RowSource<Error = S::Error>>>,
        source: &mut S,
        delivered: &mut DeliveredRows,
    ) -> Result<ColourCensus, TakingError<S::Error>> {
        let shared = Mutex::new(delivered);
        let counted: Vec<_> = thread::scope(|scope| {
            let counting: Vec<_> = parts
                .into_iter()
                .map(|part| scope.spawn(|| self.count_part(part, &shared)))
                .collect();
            let joined = counting.into_iter().map(|part| part.join());
            joined.map(|part| part.unwrap_or_else(|panic| resume_unwind(panic))).collect()
        });
        let delivered = shared.into_inner().unwrap_or_else(PoisonError::into_inner);
        // What the source says now comes before what followed from it.
        let mut rest = None;
        while let Some(band) = self.next_band(source, delivered)? {
            rest.get_or_insert_with(|| self.counter()).count(&band);
        }
        let mut counters = counted.into_iter().collect::<Result<Vec<_>, _>>()?;
        counters.extend(rest);
        Ok(BandCounter::into_census(counters, self.lattice, self.joins)?)
    }

    fn count_part<E: std::error::Error + Send + 'static>(
        &self,
        mut part: Box<dyn RowSource<Error = E>>,
        delivered: &Mutex<&mut DeliveredRows>,
    ) -> Result<BandCounter<'_, T>, TakingError<E>> {
        let mut counter = self.counter();
        while let Some(band) = part.next_band().map_err(TakingError::Source)? {
            let mut delivered = delivered.lock().unwrap_or_else(PoisonError::into_inner);
            self.check(&band, &mut delivered)?;
            drop(delivered);
            counter.count(&band);
        }
        Ok(counter)
    }

    fn count_received(&self, bands: &Mutex<Receiver<Band>>) -> BandCounter<'_, T> {
        let mut counter = self.counter();
        let next = || bands.lock().unwrap_or_else(PoisonError::into_inner).recv();
        while let Ok(band) = next() {
            counter.count(&band);
        }
        counter
    }

    /// The next band, after checking that it has the samples that it should.
    fn next_band<S: RowSource + ?Sized>(
        &self,
        source: &mut S,
        delivered: &mut DeliveredRows,
    ) -> Result<Option<Band>, TakingError<S::Error>> {
        let Some(band) = source.next_band().map_err(TakingError::Source)? else {
            return Ok(None);
        };
        self.check(&band, delivered)?;
        Ok(Some(band))
    }

    /// Refuses a band whose rows have come before, or that lacks samples.
    fn check(&self, band: &Band, delivered: &mut DeliveredRows) -> Result<(), CensusError> {
        delivered.add(band.first_row, band.rows)?;
        let samples = T::of(&band.samples).unwrap_or_default().len();
        let expected = u64::from(band.rows) * self.format.samples_per_row() as u64;
        if samples as u64 != expected {
            let first = band.first_row;
            return Err(CensusError::BandShape { first, samples, expected });
        }
        Ok(())
    }
}

fn check_format(format: &RasterFormat) -> Result<Lattice, CensusError> {
    let &RasterFormat { width, height, model, depth, .. } = format;
    if format.pixels() == 0 {
        return Err(CensusError::NoPixels { width, height });
    }
    check_pixels(format.pixels())?;
    Ok(Lattice::of(model, depth))
}

/// Rows may only miss as far as the source declares them as damage; returns their number.
fn check_missing<S: RowSource + ?Sized>(
    delivered: &DeliveredRows,
    height: u32,
    source: &S,
) -> Result<u32, CensusError> {
    let missing = delivered.missing();
    let damage = source.damage().iter();
    let declared = damage.map(|damage| u64::from(damage.missing_rows)).sum();
    if u64::from(missing) == declared {
        return Ok(missing);
    }
    Err(CensusError::RowsMissing { missing, first: delivered.first_missing(), height, declared })
}

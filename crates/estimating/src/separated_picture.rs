use std::collections::BTreeMap;
use std::io::{Seek, Write};

use census::{Levels, Overlay};
use colour::{Band, BitDepth, RasterFormat};
use icc::{SourceProfile, SourceTransform};
use intake::{Picture, Rows};
use picture_files::{PixelResolution, Row, TiffColour, TiffPicture, TiffRows};
use units::{DotsPerInch, Share};

use crate::colour_memo::ColourMemo;
use crate::counted_picture::{backdrop, of_notice, transparency};
use crate::ink_previews::PreviewGathering;
use crate::profile_choice::ProfileChoice;
use crate::rendering::{intent, rendering};
use crate::sample_diffusion::SampleDiffusion;
use crate::stored_shape::StoredShape;
use crate::{
    Assumption, EstimatingError, InkPreview, PreparedSet, PrintSize, RenderingChoice, SizeRequest,
    paper_shown,
};

/// What is to be separated of a picture, apart from the ink set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeparationJob {
    /// Wanted size; empty takes the file's resolution.
    pub size: SizeRequest,
    /// How colours outside the set's reach are met.
    pub rendering: RenderingChoice,
    /// Bits of a written sample.
    pub depth: BitDepth,
}

/// What is known of a picture once its channels are written.
#[derive(Clone, Debug, PartialEq)]
pub struct SeparatedPicture {
    /// Names of the channels, in the order of the samples; idle ones are among them, empty.
    pub channels: Vec<String>,
    /// The printed size.
    pub size: PrintSize,
    /// Mean coverage of each channel as written.
    pub coverages: Vec<Share>,
    /// A small gray picture of each channel.
    pub previews: Vec<InkPreview>,
    /// What the channels rest on.
    pub assumptions: Vec<Assumption>,
}

/// Writes the coverage of every ink at every pixel as a TIFF file, a band at a time.
///
/// Samples say coverage, 0 none and full scale the channel's full drop volume, in the order of
/// the set's inks. They are rounded so that sums stay true. Rows stay as they are stored; the
/// file carries their orientation, and the resolution that the printed size gives. `assumed` is
/// the profile of pictures of its colour model that bring none that can be used. Rows that a
/// damaged picture lacks stay bare; coverages are means over the others.
///
/// # Errors
///
/// Whatever stops the reading; `SizeUnknown` and `SizeAbsurd` for the printed size; `Profile` when
/// the source profile can't be transformed; `PictureFile` when the file can't be written.
pub fn separate_picture<W: Write + Seek>(
    mut picture: Picture,
    assumed: Option<&SourceProfile>,
    prepared: &PreparedSet,
    job: &SeparationJob,
    to: W,
) -> Result<SeparatedPicture, EstimatingError> {
    let mut assumptions: Vec<Assumption> = picture.notices.iter().map(of_notice).collect();
    let format = picture.format;
    let choice =
        ProfileChoice { embedded: picture.profile.as_deref(), assumed, model: format.model };
    let (profile, _) = choice.choose(&mut assumptions);
    let paper = paper_shown(job.rendering, prepared);
    assumptions.extend(transparency(format.alpha, paper));
    let size = PrintSize::of_shape(&StoredShape::of_picture(&picture), job.size)?;
    let inks = prepared.set().inks.iter();
    let channels: Vec<String> = inks.map(|ink| ink.name.clone()).collect();
    let file = started(&picture, &channels, &size, job.depth, to)?;
    let transform = SourceTransform::new(&profile, intent(job.rendering))?;
    let rendering = rendering(job.rendering, &transform, prepared)?;
    let separation = prepared.separation_for(job.rendering);
    let mut writing = Writing {
        overlay: Overlay::new(format, backdrop(&profile, paper)?)?,
        memo: ColourMemo::new(&transform, rendering, separation, format.depth),
        rows: InkRows::new(file, &format, channels.len(), job.depth),
    };
    writing.all(&mut picture.rows)?;
    let damage = picture.rows.damage().iter();
    assumptions.extend(damage.map(|damage| Assumption::warning(&damage.detail)));
    assumptions.extend(size.assumption(job.size));
    assumptions.extend(of_job(prepared, job));
    let (coverages, previews) = writing.rows.finish(&channels, &picture, &mut assumptions)?;
    Ok(SeparatedPicture { channels, size, coverages, previews, assumptions })
}

fn started<W: Write + Seek>(
    picture: &Picture,
    channels: &[String],
    size: &PrintSize,
    depth: BitDepth,
    to: W,
) -> Result<TiffRows<W>, EstimatingError> {
    let Picture { format, orientation, .. } = picture;
    let names: Vec<&str> = channels.iter().map(String::as_str).collect();
    let file = TiffPicture {
        width: format.width,
        height: format.height,
        colour: TiffColour::Inks(&names),
        depth,
        orientation: *orientation,
        resolution: resolution(size, picture),
        profile: None,
    };
    Ok(file.start(to)?)
}

/// What a report must say apart from the picture.
fn of_job(prepared: &PreparedSet, job: &SeparationJob) -> Vec<Assumption> {
    let mut all = vec![Assumption::note(format!("rendering: {}", job.rendering.description()))];
    all.extend(prepared.separation_assumptions());
    all.push(Assumption::note(
        "samples say coverage, the share of a channel's full drop volume, and not device values",
    ));
    all
}

/// Pixels per inch as stored that make up the printed size; none outside what files state.
fn resolution(size: &PrintSize, picture: &Picture) -> Option<PixelResolution> {
    let (width, height) = StoredShape::of_picture(picture).upright_pixels();
    let dots = |pixels: u32, metres: f64| {
        DotsPerInch::from_dots_per_metre(f64::from(pixels) / metres).ok()
    };
    let across = dots(width, size.width.to_metres())?;
    let along = dots(height, size.height.to_metres())?;
    Some(if picture.orientation.swaps_sides() {
        PixelResolution { across: along, along: across }
    } else {
        PixelResolution { across, along }
    })
}

/// What stands between a band of pixels and rows of samples.
struct Writing<'a, W> {
    overlay: Overlay,
    memo: ColourMemo<'a>,
    rows: InkRows<W>,
}

impl<W: Write + Seek> Writing<'_, W> {
    fn all(&mut self, rows: &mut Rows) -> Result<(), EstimatingError> {
        let mut waiting = BandsInOrder::default();
        while let Some(band) = rows.next_band()? {
            for band in waiting.take(band) {
                self.band(&band)?;
            }
        }
        Ok(())
    }

    fn band(&mut self, band: &Band) -> Result<(), EstimatingError> {
        let pixels: Vec<Option<Levels>> = self.overlay.lay(&band.samples)?;
        let places = self.memo.places(&pixels)?;
        for row in places.chunks(self.rows.width) {
            self.rows.write(&self.memo, row)?;
        }
        Ok(())
    }
}

/// Rounds rows and hands them to the file and the previews.
struct InkRows<W> {
    file: TiffRows<W>,
    width: usize,
    channels: usize,
    depth: BitDepth,
    full: u16,
    rows: u32,
    diffusion: SampleDiffusion,
    previews: PreviewGathering,
    sums: Vec<u64>,
}

impl<W: Write + Seek> InkRows<W> {
    fn new(file: TiffRows<W>, format: &RasterFormat, channels: usize, depth: BitDepth) -> Self {
        let full = match depth {
            BitDepth::Eight => u16::from(u8::MAX),
            BitDepth::Sixteen => u16::MAX,
        };
        Self {
            file,
            width: format.width as usize,
            channels,
            depth,
            full,
            rows: 0,
            diffusion: SampleDiffusion::new(full),
            previews: PreviewGathering::new(format, channels, full),
            sums: vec![0; channels],
        }
    }

    fn write(&mut self, memo: &ColourMemo<'_>, row: &[usize]) -> Result<(), EstimatingError> {
        let mut samples = Vec::with_capacity(row.len() * self.channels);
        for place in row {
            self.diffusion.append(memo.fired(*place), self.channels, &mut samples);
        }
        self.rows += 1;
        self.add(&samples)
    }

    fn add(&mut self, samples: &[u16]) -> Result<(), EstimatingError> {
        self.previews.add_row(samples);
        for pixel in samples.chunks_exact(self.channels) {
            for (sum, sample) in self.sums.iter_mut().zip(pixel) {
                *sum += u64::from(*sample);
            }
        }
        match self.depth {
            BitDepth::Sixteen => self.file.write_row(Row::Sixteen(samples))?,
            BitDepth::Eight => {
                let narrow = |sample: &u16| u8::try_from(*sample).unwrap_or(u8::MAX);
                let bytes: Vec<u8> = samples.iter().map(narrow).collect();
                self.file.write_row(Row::Eight(&bytes))?;
            }
        }
        Ok(())
    }

    /// Leaves rows bare that the file lacks, and gives means over those that it has.
    fn finish(
        mut self,
        inks: &[String],
        picture: &Picture,
        assumptions: &mut Vec<Assumption>,
    ) -> Result<(Vec<Share>, Vec<InkPreview>), EstimatingError> {
        let missing = picture.format.height.saturating_sub(self.rows);
        if missing > 0 {
            let text = format!("{missing} missing rows are bare in the written channels");
            assumptions.push(Assumption::warning(text));
        }
        let bare = vec![0; self.width * self.channels];
        (0..missing).try_for_each(|_| self.add(&bare))?;
        self.file.finish()?;
        let pixels = u64::from(self.rows) * u64::from(picture.format.width);
        #[expect(clippy::cast_precision_loss, reason = "far below 2^52 pixels of 16 bits")]
        let mean = |sum: &u64| *sum as f64 / (pixels as f64 * f64::from(self.full));
        let share = |sum: &u64| Share::from_fraction(mean(sum).min(1.0)).unwrap_or(Share::MIN);
        let coverages = self.sums.iter().map(share).collect();
        Ok((coverages, self.previews.finish(inks.iter().cloned(), picture.orientation)))
    }
}

/// Holds bands back until those above them have come.
#[derive(Default)]
struct BandsInOrder {
    next_row: u32,
    waiting: BTreeMap<u32, Band>,
}

impl BandsInOrder {
    /// The bands that can go on, in the order of rows.
    fn take(&mut self, band: Band) -> Vec<Band> {
        self.waiting.insert(band.first_row, band);
        let mut ready = Vec::new();
        while let Some(band) = self.waiting.remove(&self.next_row) {
            self.next_row += band.rows;
            ready.push(band);
        }
        ready
    }
}

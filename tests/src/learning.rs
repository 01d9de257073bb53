//! Calibrations that learn the virtual printer from a few jobs, and how good they are.
//!
//! Tests run a small part of it, `benches` the long one.

use std::fs::{self, File};
use std::io::Cursor;
use std::path::{Path, PathBuf};

use colour::{Alpha, ColourModel, Samples};
use dosing::{
    Bootstrap, Calibration, CalibrationPrior, ChannelUse, Fit, MeasuredJob, Reading, fit, watch,
};
use estimating::{
    CountedPicture, NoCache, Preparation, PreparedSet, RenderingChoice, channel_uses,
};
use intake::{Limits, Picture};
use rayon::prelude::*;
use separation::Separation;
use units::{Area, Volume};

use crate::repository;
use crate::virtual_printer::{Dice, HiddenDevice, PrintedDrops, print, rounded};

/// A set with pictures that were printed by the virtual printer and counted by the product.
pub struct Studio {
    /// The pictures.
    pub pictures: Vec<StudioPicture>,
    /// What is held true of the set before anything is measured.
    pub prior: CalibrationPrior,
}

/// A picture on both sides.
pub struct StudioPicture {
    /// Where it comes from.
    pub name: String,
    /// Its drops, for the virtual printer.
    pub drops: PrintedDrops,
    /// Its use of the channels, for the calibration.
    pub uses: Vec<ChannelUse>,
}

/// What is read of a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Readout {
    /// Each ink.
    ByInk,
    /// All inks together.
    Total,
}

/// A job of the virtual printer: what it took, and what the calibration is told.
#[derive(Clone, Debug)]
pub struct PrintedJob {
    /// True millilitres by channel, with noise and start-up.
    pub ink: Vec<f64>,
    /// The record of it.
    pub record: MeasuredJob,
}

/// Smallest and largest area of a job in m²: tenfold.
pub const AREAS: [f64; 2] = [0.2, 2.0];
const RESOLUTION: f64 = 0.01;
/// Cells along a pixel of a studio picture.
const CELLS: usize = 2;
/// Pixels along the side of a part of a photograph.
const PART: usize = 120;
/// Parts of one photograph.
const MOST_PARTS: usize = 3;

impl Studio {
    /// Prints and counts parts of every photograph on a set.
    ///
    /// # Panics
    ///
    /// When the repository's pictures can't be read.
    #[must_use]
    pub fn of(prepared: &PreparedSet) -> Self {
        let mode = prepared.print_mode();
        let pictures = parts()
            .into_par_iter()
            .map(|(name, file)| StudioPicture {
                name,
                drops: print(opened(file.clone()), built(prepared), mode, CELLS),
                uses: uses(opened(file), prepared),
            })
            .collect();
        Self { pictures, prior: prepared.calibration_prior() }
    }

    /// Number of channels.
    #[must_use]
    pub fn channels(&self) -> usize {
        self.prior.channels.len()
    }

    /// A hidden device whose idle inks stay at rest.
    pub fn device(&self, dice: &mut Dice) -> HiddenDevice {
        self.at_rest_where_idle(HiddenDevice::thrown(self.channels(), dice))
    }

    /// A hidden device as far off as the stated widths allow.
    pub fn wide_device(&self, dice: &mut Dice) -> HiddenDevice {
        self.at_rest_where_idle(HiddenDevice::thrown_widely(self.channels(), dice))
    }

    fn at_rest_where_idle(&self, mut device: HiddenDevice) -> HiddenDevice {
        for (start_up, channel) in device.start_up.iter_mut().zip(&self.prior.channels) {
            if channel.idle {
                *start_up = 0.0;
            }
        }
        device
    }

    /// Prints one picture over an area.
    pub fn job(
        &self,
        device: &HiddenDevice,
        number: i64,
        square_metres: f64,
        readout: Readout,
        dice: &mut Dice,
    ) -> PrintedJob {
        let picture = &self.pictures[dice.one_of(self.pictures.len())];
        let ink = device.job_ink(&picture.drops, square_metres, dice);
        let reading = match readout {
            Readout::Total => Reading::Total(volume(rounded(ink.iter().sum()))),
            Readout::ByInk => {
                Reading::ByInk(ink.iter().map(|ml| Some(volume(rounded(*ml)))).collect())
            }
        };
        let record = MeasuredJob {
            number,
            uses: picture.uses.clone(),
            area: area(square_metres),
            reading,
            resolution: volume(RESOLUTION),
            includes_start_up: true,
        };
        PrintedJob { ink, record }
    }

    /// Jobs whose areas span the whole of [`AREAS`], evenly on a logarithmic scale.
    pub fn spanning_jobs(
        &self,
        device: &HiddenDevice,
        count: u32,
        readout: Readout,
        dice: &mut Dice,
    ) -> Vec<PrintedJob> {
        let [low, high] = AREAS;
        (0..count)
            .map(|place| {
                let share = f64::from(place) / f64::from(count.max(2) - 1);
                let square_metres = low * (high / low).powf(share);
                self.job(device, i64::from(place) + 1, square_metres, readout, dice)
            })
            .collect()
    }

    /// Later jobs of any area in [`AREAS`].
    pub fn later_jobs(
        &self,
        device: &HiddenDevice,
        count: u32,
        readout: Readout,
        dice: &mut Dice,
    ) -> Vec<PrintedJob> {
        let [low, high] = AREAS;
        (0..count)
            .map(|place| {
                let square_metres = dice.between_logarithms(low, high);
                self.job(device, i64::from(place) + 1001, square_metres, readout, dice)
            })
            .collect()
    }

    /// Learns from jobs.
    ///
    /// # Panics
    ///
    /// When there is no job.
    #[must_use]
    pub fn learned(&self, jobs: &[PrintedJob], draws: usize, seed: u64) -> Fit {
        let records: Vec<MeasuredJob> = jobs.iter().map(|job| job.record.clone()).collect();
        fit(&self.prior, &records, Bootstrap { draws, seed }).expect("jobs of the studio fit it")
    }
}

/// How a prediction compares with what a job took, all inks together.
#[derive(Clone, Copy, Debug)]
pub struct Judged {
    /// Relative error of the total, without its sign.
    pub error: f64,
    /// Half the width of the total's range, relative to its expected value.
    pub half_width: f64,
    /// Whether the range of the total holds the truth.
    pub held: bool,
}

/// Judges the prediction of a job with its start-up.
#[must_use]
pub fn judge(calibration: &Calibration, job: &PrintedJob) -> Judged {
    let dose = calibration.dose(&job.record.uses, job.record.area);
    let truth: f64 = job.ink.iter().sum();
    let [low, expected, high] = [dose.job_total.low, dose.job_total.expected, dose.job_total.high]
        .map(|volume| volume.to_millilitres());
    Judged {
        error: (expected / truth - 1.0).abs(),
        half_width: 0.5 * (high - low) / expected,
        held: (low..=high).contains(&truth),
    }
}

/// What control charts said of one device.
#[derive(Clone, Copy, Debug)]
pub struct Watched {
    /// Jobs until the drifting ink was signalled, within those that were watched.
    pub signalled_after: Option<usize>,
    /// Signals of any ink while nothing drifted.
    pub false_alarms: usize,
}

/// Jobs behind the calibration that charts hold jobs against.
const CALIBRATED_BY: u32 = 8;

impl Studio {
    /// Calibrates a device, watches `quiet` jobs in which nothing drifts, and then up to
    /// `drifting` jobs in which one ink takes 10 % more or less.
    ///
    /// The ink is one of those that carry at least 2 % of each job's ink in the mean: what isn't
    /// used can't be seen to drift.
    #[must_use]
    pub fn watched(&self, seed: u64, quiet: u32, drifting: u32) -> Watched {
        let mut dice = Dice::new(seed);
        let device = self.device(&mut dice);
        let jobs = self.spanning_jobs(&device, CALIBRATED_BY, Readout::ByInk, &mut dice);
        let calibration = self.learned(&jobs, DRIFT_DRAWS, seed).calibration;
        let records = |jobs: Vec<PrintedJob>| -> Vec<MeasuredJob> {
            jobs.into_iter().map(|job| job.record).collect()
        };
        let calm = records(self.later_jobs(&device, quiet, Readout::ByInk, &mut dice));
        let calm = watch(&calibration, &calm);
        let ink = self.drifting_ink(&mut dice);
        let mut drifted = device;
        let by = if dice.even() < 0.5 { 0.9 } else { 1.1 };
        // Larger or smaller drops fill the picture and start the job alike.
        drifted.lay_down[ink] *= by;
        drifted.start_up[ink] *= by;
        let later = records(self.later_jobs(&drifted, drifting, Readout::ByInk, &mut dice));
        let signalled = watch(&calibration, &later)
            .into_iter()
            .find(|step| step.channel == Some(ink) && step.signal.is_some());
        let place = |number: i64| later.iter().position(|job| job.number == number);
        Watched {
            signalled_after: signalled.and_then(|step| place(step.job)).map(|place| place + 1),
            false_alarms: calm.iter().filter(|step| step.signal.is_some()).count(),
        }
    }

    fn drifting_ink(&self, dice: &mut Dice) -> usize {
        let mean = |ink: usize| -> f64 {
            self.pictures.iter().map(|picture| picture.uses[ink].mean().to_fraction()).sum()
        };
        let total: f64 = (0..self.channels()).map(mean).sum();
        let carrying: Vec<usize> =
            (0..self.channels()).filter(|ink| mean(*ink) > CARRIES_INK * total).collect();
        carrying[dice.one_of(carrying.len())]
    }
}

const CARRIES_INK: f64 = 0.02;
const DRIFT_DRAWS: usize = 200;

/// The separation of a set that has no output profile.
///
/// # Panics
///
/// When it has one.
#[must_use]
pub fn built(prepared: &PreparedSet) -> &Separation {
    prepared.built_separation().expect("a separation by the print model")
}

/// A built-in set on its first paper, in its first mode.
///
/// # Panics
///
/// When there is no such set.
#[must_use]
pub fn prepared(set: &str) -> PreparedSet {
    let parsed = inkset::builtin(set).expect("a built-in set").parse().expect("a sound set");
    PreparedSet::new(parsed, Preparation::default(), &NoCache).expect("a set that separates")
}

fn uses(picture: Picture, prepared: &PreparedSet) -> Vec<ChannelUse> {
    let threads = std::num::NonZeroUsize::MIN;
    let counted = CountedPicture::count(picture, None, threads).expect("a countable picture");
    channel_uses(&counted, prepared, RenderingChoice::Relative).expect("colours that transform")
}

fn opened(file: Vec<u8>) -> Picture {
    intake::open(Cursor::new(file), &Limits::default()).expect("a readable picture")
}

/// Square parts of every RGB photograph of 8 bits, as PNG files with sRGB colours.
fn parts() -> Vec<(String, Vec<u8>)> {
    let folder = repository().join("testimages/photographs");
    let entries = fs::read_dir(&folder).expect("a folder of photographs");
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.expect("an entry").path()).collect();
    paths.sort();
    paths.iter().flat_map(|path| parts_of(path)).collect()
}

fn parts_of(path: &Path) -> Vec<(String, Vec<u8>)> {
    let file = File::open(path).expect("a file");
    let Ok(mut picture) = intake::open(file, &Limits::default()) else { return Vec::new() };
    let format = picture.format;
    let plain = (format.model, format.alpha) == (ColourModel::Rgb, Alpha::None);
    let mut samples = Vec::new();
    while let Some(band) = picture.rows.next_band().expect("a readable picture") {
        match band.samples {
            Samples::Eight(bytes) if plain => samples.extend(bytes),
            _ => return Vec::new(),
        }
    }
    let (width, height) = (format.width as usize, format.height as usize);
    let corners = (0..height / PART).flat_map(|y| (0..width / PART).map(move |x| (x, y)));
    corners
        .step_by(3)
        .take(MOST_PARTS)
        .map(|(x, y)| {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let rows = (y * PART..(y + 1) * PART).flat_map(|row| {
                let first = 3 * (row * width + x * PART);
                samples[first..first + 3 * PART].iter().copied()
            });
            (format!("{name} {x} {y}"), png_file(&rows.collect::<Vec<u8>>()))
        })
        .collect()
}

fn png_file(samples: &[u8]) -> Vec<u8> {
    let side = u32::try_from(PART).expect("a small side");
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, side, side);
    encoder.set_color(png::ColorType::Rgb);
    let mut writer = encoder.write_header().expect("memory to write to");
    writer.write_image_data(samples).expect("memory to write to");
    writer.finish().expect("memory to write to");
    file
}

/// An area of a job.
fn area(square_metres: f64) -> Area {
    Area::from_square_metres(square_metres).expect("an area")
}

/// A reading.
fn volume(millilitres: f64) -> Volume {
    Volume::from_millilitres(millilitres).expect("a volume")
}

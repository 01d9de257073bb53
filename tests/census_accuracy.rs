//! The census against the sum over all pixels, on every picture of `testimages`.
//!
//! The rule: the total within 0.05 %; a channel that carries at least 1 % of the total within
//! 0.5 % of itself; another channel within 0.02 % of the total.

#![expect(
    clippy::unwrap_used,
    clippy::cast_precision_loss,
    reason = "tests' own functions may panic as tests do, and pictures have far fewer than 2^52 pixels"
)]

use std::collections::{BTreeMap, HashMap, HashSet};
use std::fs::{self, File};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::num::{NonZeroU32, NonZeroUsize};
use std::ops::Range;
use std::path::PathBuf;

use colour::{Alpha, Band, RasterFormat, RowSource, Samples};
use dosing::VolumeRange;
use estimating::{
    CollectedColours, CountedPicture, Estimate, Job, NoCache, Preparation, PreparedSet,
    RenderingChoice, SizeRequest, estimate, estimate_collected,
};
use icc::{RenderingIntent, SourceTransform};
use inkfathom_tests::repository;
use intake::{IntakeError, Limits, Picture};
use rayon::ThreadPoolBuilder;
use rayon::prelude::*;
use separation::Rendering;
use units::Length;

/// The rule's shares; see the head of this file.
const OF_TOTAL: f64 = 0.0005;
const CARRIES_INK: f64 = 0.01;
const OF_CARRYING_CHANNEL: f64 = 0.005;
const OF_TOTAL_FOR_OTHERS: f64 = 0.0002;

/// Larger pictures give every second, third … row on both sides, so that the test stays fast.
const MOST_PIXELS: u64 = 200_000;

/// How many pictures there are to read at the least, so that none is lost unseen.
const PICTURES: usize = 85;

/// A picture's rows in memory.
struct HeldRows {
    format: RasterFormat,
    samples: Samples,
    delivered: u32,
}

/// Rows of a band: an odd number, so that bands end in the middle of a picture.
const BAND: u32 = 37;

impl RowSource for HeldRows {
    type Error = IntakeError;

    fn format(&self) -> RasterFormat {
        self.format
    }

    fn next_band(&mut self) -> Result<Option<Band>, IntakeError> {
        let first_row = self.delivered;
        let rows = BAND.min(self.format.height - first_row);
        self.delivered += rows;
        let row = self.format.samples_per_row();
        let place = first_row as usize * row..self.delivered as usize * row;
        let samples = part(&self.samples, place);
        Ok((rows > 0).then_some(Band { first_row, rows, samples }))
    }
}

/// A picture's rows, every `n`-th of them where it is large.
fn held(picture: &mut Picture) -> Result<HeldRows, IntakeError> {
    let mut format = picture.format;
    let step = u32::try_from(format.pixels().div_ceil(MOST_PIXELS)).unwrap();
    let row = format.samples_per_row();
    let mut rows: BTreeMap<u32, Samples> = BTreeMap::new();
    while let Some(Band { first_row, rows: count, samples }) = picture.rows.next_band()? {
        for index in (0..count).filter(|index| (first_row + index).is_multiple_of(step)) {
            let place = index as usize * row..(index as usize + 1) * row;
            rows.insert(first_row + index, part(&samples, place));
        }
    }
    format.height = u32::try_from(rows.len()).unwrap();
    let samples = rows.into_values().reduce(joined).unwrap();
    Ok(HeldRows { format, samples, delivered: 0 })
}

fn part(samples: &Samples, place: Range<usize>) -> Samples {
    match samples {
        Samples::Eight(all) => Samples::Eight(all[place].to_vec()),
        Samples::Sixteen(all) => Samples::Sixteen(all[place].to_vec()),
    }
}

fn joined(all: Samples, further: Samples) -> Samples {
    match (all, further) {
        (Samples::Eight(mut all), Samples::Eight(further)) => {
            all.extend(further);
            Samples::Eight(all)
        }
        (Samples::Sixteen(mut all), Samples::Sixteen(further)) => {
            all.extend(further);
            Samples::Sixteen(all)
        }
        (one, other) => panic!("bands of two depths: {one:?} and {other:?}"),
    }
}

/// Every picture of `testimages` that intake reads, with the path for messages.
fn readable_pictures() -> Vec<PathBuf> {
    let folders = ["testimages/photographs", "testimages/edge", "testimages"];
    let files = folders.iter().flat_map(|folder| fs::read_dir(repository().join(folder)).unwrap());
    let mut paths: Vec<PathBuf> =
        files.map(|file| file.unwrap().path()).filter(|path| open(path).is_some()).collect();
    paths.sort();
    paths
}

fn open(path: &PathBuf) -> Option<Picture> {
    intake::open(File::open(path).ok()?, &Limits::default()).ok()
}

fn prepared(name: &str) -> PreparedSet {
    let parsed = inkset::builtin(name).unwrap().parse().unwrap();
    PreparedSet::new(parsed, Preparation::default(), &NoCache).unwrap()
}

fn job() -> Job {
    let width = Some(Length::from_metres(0.6).unwrap());
    Job {
        size: SizeRequest { width, height: None },
        copies: NonZeroU32::MIN,
        rendering: RenderingChoice::Relative,
    }
}

/// The thinned picture as the product counts it, and the same rows for the sum over all pixels.
fn counted(path: &PathBuf, threads: usize) -> (CountedPicture, HeldRows) {
    let mut picture = open(path).unwrap();
    let rows = held(&mut picture).unwrap_or_else(|fault| panic!("{}: {fault}", path.display()));
    let HeldRows { format, ref samples, .. } = rows;
    picture.format = format;
    picture.rows = Box::new(HeldRows { format, samples: samples.clone(), delivered: 0 });
    let threads = NonZeroUsize::new(threads).unwrap();
    (CountedPicture::count(picture, None, threads).unwrap(), rows)
}

/// What a sum depends on: pictures of the same rows in other containers are summed once.
fn content(picture: &CountedPicture, rows: &HeldRows) -> u64 {
    let mut hasher = DefaultHasher::new();
    format!("{:?}", rows.format).hash(&mut hasher);
    picture.profile().embedded().hash(&mut hasher);
    match &rows.samples {
        Samples::Eight(all) => all.hash(&mut hasher),
        Samples::Sixteen(all) => all.hash(&mut hasher),
    }
    hasher.finish()
}

/// Mean coverage of each channel, pixel by pixel: opaque colours transformed and separated one
/// by one, partly opaque ones laid over white in floating point, unprinted ones left bare.
fn sum_over_pixels(picture: &CountedPicture, rows: &HeldRows, set: &PreparedSet) -> Vec<f64> {
    let colours = distinct_colours(rows);
    let transform =
        SourceTransform::new(picture.profile(), RenderingIntent::RelativeColorimetric).unwrap();
    let rendering = Rendering::BlackPointCompensated {
        source_black: transform.black_point().unwrap().unwrap(),
        darkest: set.separation_for(RenderingChoice::Relative).darkest_neutral(),
    };
    let encoded: Vec<f64> = colours.iter().flat_map(|(colour, _)| colour.clone()).collect();
    let separated: Vec<_> = transform
        .to_lab(&encoded)
        .unwrap()
        .into_par_iter()
        .map(|colour| {
            set.separation_for(RenderingChoice::Relative).separate(rendering.target(colour))
        })
        .collect();
    let mut sums = vec![0.0; set.set().inks.len()];
    for ((_, pixels), separated) in colours.iter().zip(&separated) {
        for (sum, coverage) in sums.iter_mut().zip(separated.coverages.iter()) {
            *sum += f64::from(*pixels) * coverage.to_fraction();
        }
    }
    let pixels = rows.format.pixels() as f64;
    sums.iter().map(|sum| sum / pixels).collect()
}

/// The printed colours as 0 to 1 with the number of their pixels.
fn distinct_colours(rows: &HeldRows) -> Vec<(Vec<f64>, u32)> {
    let (samples, full): (Vec<u16>, f64) = match &rows.samples {
        Samples::Eight(all) => (all.iter().copied().map(u16::from).collect(), 255.0),
        Samples::Sixteen(all) => (all.clone(), 65_535.0),
    };
    let mut pixels: HashMap<&[u16], u32> = HashMap::new();
    for pixel in samples.chunks_exact(rows.format.samples_per_pixel()) {
        *pixels.entry(pixel).or_default() += 1;
    }
    let channels = rows.format.model.channels();
    let laid = |pixel: &[u16]| -> Option<Vec<f64>> {
        let colour = pixel[..channels].iter().map(|sample| f64::from(*sample) / full);
        let Some(opacity) = pixel.get(channels).map(|sample| f64::from(*sample) / full) else {
            return Some(colour.collect());
        };
        let weight = if rows.format.alpha == Alpha::Associated { 1.0 } else { opacity };
        let over_white = |sample: f64| (sample * weight + 1.0 - opacity).min(1.0);
        (opacity > 0.0).then(|| colour.map(over_white).collect())
    };
    let mut colours: Vec<_> =
        pixels.into_iter().filter_map(|(pixel, count)| Some((laid(pixel)?, count))).collect();
    colours.sort_by(|(one, _), (other, _)| one.partial_cmp(other).unwrap());
    colours
}

/// What breaks the rule, in words; millilitres per square metre.
fn breaches(estimate: &Estimate, exact: &[f64], set: &PreparedSet) -> Vec<String> {
    let lay_down = set.separation_for(RenderingChoice::Relative).limits().lay_down();
    let per_area = |channel: usize| lay_down[channel].to_millilitres_per_square_metre();
    let of_census: Vec<f64> = (0..exact.len())
        .map(|channel| per_area(channel) * estimate.coverages[channel].to_fraction())
        .collect();
    let of_pixels: Vec<f64> =
        (0..exact.len()).map(|channel| per_area(channel) * exact[channel]).collect();
    let total: f64 = of_pixels.iter().sum();
    let mut found = Vec::new();
    let mut check = |what: &str, census: f64, pixels: f64, allowed: f64| {
        let off = census - pixels;
        if off.abs() > allowed {
            found.push(format!(
                "{what}: census {census:.6}, pixels {pixels:.6} ml/m², off {:+.4} % of itself, \
                 {:+.4} % of the total",
                100.0 * off / pixels,
                100.0 * off / total
            ));
        }
    };
    check("total", of_census.iter().sum(), total, OF_TOTAL * total);
    for channel in 0..exact.len() {
        let pixels = of_pixels[channel];
        let carries_ink = pixels >= CARRIES_INK * total;
        let allowed =
            if carries_ink { OF_CARRYING_CHANNEL * pixels } else { OF_TOTAL_FOR_OTHERS * total };
        check(&estimate.channels[channel], of_census[channel], pixels, allowed);
    }
    found
}

#[test]
fn the_census_gives_the_ink_of_the_sum_over_all_pixels() {
    let sets = ["five", "nine", "eleven"].map(prepared);
    let pictures = readable_pictures();
    assert!(pictures.len() >= PICTURES, "only {} pictures", pictures.len());
    let mut found = Vec::new();
    let mut summed = HashSet::new();
    for path in &pictures {
        let (picture, rows) = counted(path, 2);
        if !summed.insert(content(&picture, &rows)) {
            continue;
        }
        for set in &sets {
            let estimate = estimate(&picture, set, &job()).unwrap();
            let exact = sum_over_pixels(&picture, &rows, set);
            let name = path.file_name().unwrap().display();
            let broken = breaches(&estimate, &exact, set);
            found.extend(
                broken.iter().map(|breach| format!("{name} on {}: {breach}", estimate.ink_set)),
            );
        }
    }
    assert!(found.is_empty(), "the rule is broken:\n{}", found.join("\n"));
}

/// What collected colours may be off, as shares of the estimate's total: as far as they were
/// measured on the photographs, with a quarter of slack. Ink bends between the nodes of the grid.
const COLLECTED_TOTAL: f64 = 0.0022;
const COLLECTED_CHANNEL: f64 = 0.0042;

#[test]
fn collected_colours_give_the_ink_of_the_census_of_photographs() {
    let sets = ["five", "nine", "eleven"].map(prepared);
    let mut found = Vec::new();
    for path in
        readable_pictures().iter().filter(|path| path.parent().unwrap().ends_with("photographs"))
    {
        let (picture, _) = counted(path, 2);
        let collected = CollectedColours::of(&picture).unwrap();
        for set in &sets {
            let exact = estimate(&picture, set, &job()).unwrap().dose;
            let shared =
                estimate_collected(&[&collected], set, &job()).unwrap().remove(0).unwrap().dose;
            let total = exact.total.expected.to_millilitres();
            let off = |one: VolumeRange, other: VolumeRange| {
                (one.expected.to_millilitres() - other.expected.to_millilitres()).abs() / total
            };
            let channels = exact.channels.iter().zip(&shared.channels);
            let channel = channels.map(|(one, other)| off(*one, *other)).fold(0.0, f64::max);
            let of_total = off(exact.total, shared.total);
            if of_total > COLLECTED_TOTAL || channel > COLLECTED_CHANNEL {
                let name = path.file_name().unwrap().display();
                found.push(format!("{name} on {}: {of_total:.5}, {channel:.5}", set.set().name));
            }
        }
    }
    assert!(found.is_empty(), "collected colours are further off:\n{}", found.join("\n"));
}

/// Estimates made from the start with so many threads for each step.
fn estimates_with(threads: usize, paths: &[PathBuf]) -> Vec<(CountedPicture, Estimate)> {
    let pool = ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
    pool.install(|| {
        let set = prepared("five");
        let made = |picture: CountedPicture| {
            let made = estimate(&picture, &set, &job()).unwrap();
            (picture, made)
        };
        paths.iter().map(|path| made(counted(path, threads).0)).collect()
    })
}

#[test]
fn one_two_and_seven_threads_give_the_same_bits() {
    let paths = ["photographs/tulips.png", "photographs/stream-16-bit-wide.tif"]
        .map(|name| repository().join("testimages").join(name));
    let alone = estimates_with(1, &paths);
    for threads in [2, 7] {
        let beside = estimates_with(threads, &paths);
        for ((of_one, expected), (counted, estimated)) in alone.iter().zip(&beside) {
            assert_eq!(counted.census, of_one.census, "{threads} threads");
            // Figures are finite and none is −0, so that equal means the same bits.
            assert_eq!(estimated, expected, "{threads} threads");
        }
    }
}

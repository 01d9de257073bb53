//! How fast separations are built, taken from a cache and evaluated. Printed, never asserted.
//!
//! A cold build uses every core. Wall times grow with whatever else the machine does; beside them
//! stands the processor time of this program (Linux alone tells it), which grows less: on two idle
//! cores a build takes a little more than half of it. A warm load takes the stored bytes up with
//! their checksum. Evaluation runs on one thread, in batches so short that the fastest of them ran
//! undisturbed.

use std::convert::Infallible;
use std::fs;
use std::hint::black_box;
use std::path::Path;

use clap::Args;
use colour::Lab;
use estimating::{CountedPicture, EstimatingError};
use icc::{RenderingIntent, SourceTransform};
use inkfathom_tests::repository;
use separation::{Separation, SeparationInputs};

use crate::bench_error::BenchError;
use crate::built_in_names::{all_names, names};
use crate::photographs::open;
use crate::support::{Random, set};
use crate::table::Table;
use crate::timings::Timings;

/// Measure cold build, warm load and evaluation of the built-in ink sets
#[derive(Debug, Args)]
pub(crate) struct SeparationSpeeds {
    /// Built-in ink sets to look at
    #[arg(long, value_name = "NAME", default_values_t = all_names(), value_parser = names())]
    ink_set: Vec<String>,
    /// Cold builds of each set
    #[arg(long, value_name = "COUNT", default_value = "3",
          value_parser = clap::value_parser!(u16).range(1..))]
    rounds: u16,
}

/// Warm loads of each set.
const LOADS: usize = 50;
/// Colours of each kind.
const COLOURS: usize = 200_000;
/// Colours of a batch: under a millisecond, less than a scheduler gives at once.
const BATCH: usize = 1000;
const PHOTOGRAPH: &str = "testimages/photographs/mountain-path-landscape.jpg";

impl SeparationSpeeds {
    /// Measures, and describes the result.
    pub(crate) fn run(&self) -> Result<String, BenchError> {
        if cfg!(debug_assertions) {
            return Err(BenchError::DebugBuild);
        }
        let mut builds = Table::new([
            "set",
            "build: median s",
            "fastest",
            "processor s",
            "load: median ms",
            "fastest",
            "kB",
        ]);
        let mut speeds =
            Table::new(["set", "colours", "million a second: fastest batch", "median batch"]);
        let colours = [("random", random_colours()), ("photograph", colours_of(PHOTOGRAPH)?)];
        for name in &self.ink_set {
            let set = set(name);
            let Some(inputs) = SeparationInputs::defaults(&set) else { continue };
            let mut building = Timings::default();
            let before = processor_seconds();
            let mut separation = built(&inputs, &mut building)?;
            for _ in 1..self.rounds {
                separation = built(&inputs, &mut building)?;
            }
            let processor = processor_seconds().zip(before).map(|(after, before)| after - before);
            let bytes = separation.to_bytes(&inputs);
            let loading = loading(&inputs, &bytes);
            builds.row([
                name.clone(),
                format!("{:.2}", building.median()),
                format!("{:.2}", building.extremes()[0]),
                processor
                    .map_or_else(String::new, |all| format!("{:.2}", all / f64::from(self.rounds))),
                format!("{:.2}", 1000.0 * loading.median()),
                format!("{:.2}", 1000.0 * loading.extremes()[0]),
                (bytes.len() / 1000).to_string(),
            ]);
            for (kind, colours) in &colours {
                let batches = evaluating(&separation, colours);
                let rates = [batches.extremes()[0], batches.median()].map(million_a_second);
                speeds.row([name.clone(), (*kind).to_owned()].into_iter().chain(rates));
            }
        }
        Ok(format!("# Speeds of separations\n\n{builds}\n{speeds}"))
    }
}

fn built(inputs: &SeparationInputs<'_>, timings: &mut Timings) -> Result<Separation, BenchError> {
    Ok(timings.time(|| inputs.build()).map_err(EstimatingError::from)?)
}

fn loading(inputs: &SeparationInputs<'_>, bytes: &[u8]) -> Timings {
    let mut timings = Timings::default();
    for _ in 0..LOADS {
        let Ok(()) = timings.time(|| {
            black_box(inputs.restore(black_box(bytes)));
            Ok::<_, Infallible>(())
        });
    }
    timings
}

fn evaluating(separation: &Separation, colours: &[Lab]) -> Timings {
    let mut timings = Timings::default();
    for batch in colours.chunks_exact(BATCH) {
        let Ok(()) = timings.time(|| {
            for colour in batch {
                black_box(separation.separate(black_box(*colour)));
            }
            Ok::<_, Infallible>(())
        });
    }
    timings
}

fn million_a_second(seconds: f64) -> String {
    #[expect(clippy::cast_precision_loss, reason = "a thousand")]
    let batch = BATCH as f64;
    format!("{:.2}", batch / seconds / 1e6)
}

/// Colours anywhere in a wide picture encoding: neighbours lie far apart on the lattice.
fn random_colours() -> Vec<Lab> {
    let mut random = Random::new(1);
    std::iter::repeat_with(|| random.picture_colour()).take(COLOURS).collect()
}

/// The colours of a photograph's census in its order, over and over.
fn colours_of(photograph: &str) -> Result<Vec<Lab>, BenchError> {
    let picture = open(&repository().join(Path::new(photograph)))?;
    let counted = CountedPicture::count(picture, None, std::num::NonZeroUsize::MIN)?;
    let encoded: Vec<f64> =
        counted.census.entries().flat_map(|entry| entry.colour.samples().to_vec()).collect();
    let colours = SourceTransform::new(counted.profile(), RenderingIntent::RelativeColorimetric)
        .and_then(|transform| transform.to_lab(&encoded))
        .map_err(EstimatingError::from)?;
    Ok(colours.into_iter().cycle().take(COLOURS).collect())
}

/// Processor time of this program so far, on all cores; `None` where the system doesn't tell.
///
/// Fields 14 and 15 of proc(5)'s `stat`, in hundredths of a second on Linux.
fn processor_seconds() -> Option<f64> {
    let stat = fs::read_to_string("/proc/self/stat").ok()?;
    let (_, after_name) = stat.rsplit_once(')')?;
    let ticks =
        after_name.split_whitespace().skip(11).take(2).map(|ticks| ticks.parse::<f64>().ok());
    ticks.sum::<Option<f64>>().map(|ticks| ticks / 100.0)
}

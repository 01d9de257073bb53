use std::collections::HashMap;

use colour::{Alpha, Samples};
use icc::{RenderingIntent, SourceProfile, SourceTransform};
use inkset::PrintMode;
use intake::Picture;
use separation::{Rendering, Separation};

use super::error_diffusion::diffuse;

/// Coverages are told apart in so many steps for the hidden volume curve.
const STEPS: usize = 256;
const MILLILITRES_PER_PICOLITRE: f64 = 1e-9;
const METRES_PER_INCH: f64 = 0.0254;

/// The drops of a print, by channel and by the coverage at which they were fired.
#[derive(Clone, Debug)]
pub struct PrintedDrops {
    channels: Vec<ChannelDrops>,
    /// Printed area in m².
    pub square_metres: f64,
    /// Printed width in inches.
    pub width_inches: f64,
}

#[derive(Clone, Debug)]
struct ChannelDrops {
    /// By step of coverage: sum of the coverages of its cells, number of its cells.
    cells: Vec<(f64, u64)>,
    /// By step of coverage and size of drop.
    drops: Vec<Vec<u64>>,
    picolitres: Vec<f64>,
}

impl PrintedDrops {
    /// Number of channels.
    #[must_use]
    pub fn channels(&self) -> usize {
        self.channels.len()
    }

    /// Millilitres of a channel when the volume of a drop depends on the coverage at which it is
    /// fired by a factor.
    pub fn millilitres(&self, channel: usize, factor: impl Fn(f64) -> f64) -> f64 {
        let channel = &self.channels[channel];
        let steps = channel.cells.iter().zip(&channel.drops).filter(|((_, cells), _)| *cells > 0);
        let picolitres: f64 = steps
            .map(|((coverages, cells), drops)| {
                #[expect(clippy::cast_precision_loss, reason = "cells number far below 2^52")]
                let coverage = coverages / *cells as f64;
                #[expect(clippy::cast_precision_loss, reason = "drops number far below 2^52")]
                let volumes = drops.iter().zip(&channel.picolitres).map(|(n, pl)| *n as f64 * pl);
                let volume: f64 = volumes.sum();
                if volume > 0.0 { volume * factor(coverage) } else { 0.0 }
            })
            .sum();
        picolitres * MILLILITRES_PER_PICOLITRE
    }
}

/// Prints a gray or RGB picture without transparency, each pixel as `cells` × `cells` cells.
///
/// # Panics
///
/// When the picture can't be read, or the print mode fires several drops in a cell.
#[must_use]
pub fn print(
    mut picture: Picture,
    separation: &Separation,
    mode: &PrintMode,
    cells: usize,
) -> PrintedDrops {
    assert!(picture.format.alpha == Alpha::None, "the virtual printer knows no transparency");
    assert!((mode.drops_per_cell - 1.0).abs() < 1e-9, "one drop in each cell");
    let (width, height) = (picture.format.width as usize, picture.format.height as usize);
    let samples = samples(&mut picture);
    let profile = profile(&picture);
    let channels = picture.format.model.channels();
    let (palette, pixels) = palette(&samples, channels);
    let coverages = separated(&palette, channels, &profile, separation);
    let levels: Vec<f64> = std::iter::once(0.0)
        .chain(mode.drop_mix.volumes.iter().map(|volume| volume.to_picolitres()))
        .collect();
    let full = mode.drop_mix.mean_picolitres(units::Coverage::MAX);
    let wide = width * cells;
    let of_channel = |channel: usize| {
        let mut drops = ChannelDrops {
            cells: vec![(0.0, 0); STEPS],
            drops: vec![vec![0; levels.len()]; STEPS],
            picolitres: levels.clone(),
        };
        let at = |x: usize, y: usize| coverages[pixels[y / cells * width + x / cells]][channel];
        diffuse(
            wide,
            height * cells,
            &levels,
            |x, y| at(x, y) * full,
            |x, y, level| {
                let step = step(at(x, y));
                drops.cells[step].0 += at(x, y);
                drops.cells[step].1 += 1;
                drops.drops[step][level] += 1;
            },
        );
        drops
    };
    let across = mode.across.to_dots_per_inch();
    let along = mode.along.to_dots_per_inch();
    #[expect(clippy::cast_precision_loss, reason = "pictures have far fewer than 2^52 cells")]
    let (columns, rows) = (wide as f64, (height * cells) as f64);
    PrintedDrops {
        channels: (0..separation.model().channels()).map(of_channel).collect(),
        square_metres: columns / across * rows / along * METRES_PER_INCH * METRES_PER_INCH,
        width_inches: columns / across,
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "coverages lie in 0 to 1"
)]
fn step(coverage: f64) -> usize {
    ((coverage * STEPS as f64) as usize).min(STEPS - 1)
}

fn samples(picture: &mut Picture) -> Vec<f64> {
    let mut all = Vec::new();
    while let Some(band) = picture.rows.next_band().expect("a readable picture") {
        match band.samples {
            Samples::Eight(samples) => all.extend(samples.iter().map(|s| f64::from(*s) / 255.0)),
            Samples::Sixteen(samples) => {
                all.extend(samples.iter().map(|s| f64::from(*s) / 65_535.0));
            }
        }
    }
    all
}

fn profile(picture: &Picture) -> SourceProfile {
    let embedded = picture.profile.as_deref();
    let read = embedded.and_then(|bytes| SourceProfile::parse(bytes, picture.format.model).ok());
    read.unwrap_or_else(|| SourceProfile::assumed(picture.format.model))
}

/// The distinct colours, and each pixel's place among them.
fn palette(samples: &[f64], channels: usize) -> (Vec<f64>, Vec<usize>) {
    let mut places: HashMap<Vec<u64>, usize> = HashMap::new();
    let mut colours = Vec::new();
    let pixels = samples
        .chunks_exact(channels)
        .map(|pixel| {
            let next = places.len();
            let bits = pixel.iter().map(|sample| sample.to_bits()).collect();
            *places.entry(bits).or_insert_with(|| {
                colours.extend_from_slice(pixel);
                next
            })
        })
        .collect();
    (colours, pixels)
}

/// Coverages of each colour, media-relative with black-point compensation.
fn separated(
    palette: &[f64],
    channels: usize,
    profile: &SourceProfile,
    separation: &Separation,
) -> Vec<Vec<f64>> {
    let transform = SourceTransform::new(profile, RenderingIntent::RelativeColorimetric)
        .expect("a profile that transforms");
    let black = transform.black_point().expect("a black point");
    let rendering = black.map_or(Rendering::Relative, |source_black| {
        Rendering::BlackPointCompensated { source_black, darkest: separation.darkest_neutral() }
    });
    debug_assert!(palette.len().is_multiple_of(channels), "whole colours");
    let colours = transform.to_lab(palette).expect("colours that transform");
    colours
        .into_iter()
        .map(|colour| {
            let separated = separation.separate(rendering.target(colour));
            separated.coverages.iter().map(|coverage| coverage.to_fraction()).collect()
        })
        .collect()
}

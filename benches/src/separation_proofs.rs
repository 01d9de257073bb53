//! What a separation must show, in the full size that is too long for the tests.
//!
//! The tests of `separation` ask the same of fewer colours; what both measure with stands in its
//! test folder. Sets are separated on their first substrate in their first print mode.

use clap::Args;
use colour::{Lab, delta_e_00};
use rayon::prelude::*;
use separation::{ColourTolerance, InkPolicy, Separation, Toning};
use units::Share;

use crate::brute_force::brute_force;
use crate::built_in_names::{all_names, names};
use crate::steps::Steps;
use crate::support::{Random, by_policy, excess, printable, separation, set};
use crate::table::Table;

/// Prove round trip, clipping, limits, neutrals and smoothness of the built-in ink sets
#[derive(Debug, Args)]
pub(crate) struct SeparationProofs {
    /// Built-in ink sets to look at
    #[arg(long, value_name = "NAME", default_values_t = all_names(), value_parser = names())]
    ink_set: Vec<String>,
    /// Random printable colours of the round trip
    #[arg(long, value_name = "COUNT", default_value = "10000",
          value_parser = clap::value_parser!(u32).range(1..))]
    colours: u32,
    /// Unprintable targets, each of which is searched for by brute force
    #[arg(long, value_name = "COUNT", default_value = "500",
          value_parser = clap::value_parser!(u32).range(1..))]
    targets: u32,
    /// Random colours that are held against the limits, under each policy
    #[arg(long, value_name = "COUNT", default_value = "1000000")]
    inputs: u32,
}

/// How near to the optimum a clipped colour shall be.
const NEAR: f64 = 1.15;
/// A colour counts as unprintable from this ΔE00 on: below it ratios say nothing.
const UNPRINTABLE: f64 = 1.0;
/// Least move of a channel that is more than rounding.
const MOVE: f64 = 1e-4;
/// Colours that one piece of work holds against the limits.
const AT_ONCE: u32 = 10_000;

impl SeparationProofs {
    /// Proves, and describes the result.
    pub(crate) fn run(&self) -> String {
        let parts =
            [self.round_trip(), self.clipping(), self.limits(), self.neutrals(), self.smoothness()];
        format!("# Proofs of the separation\n\n{}", parts.join("\n"))
    }

    fn round_trip(&self) -> String {
        let mut table = Table::new(["set", "ΔE00 mean", "p95", "max"]);
        for name in &self.ink_set {
            let differences = round_trip(separation(name), self.colours as usize);
            let mean = differences.iter().sum::<f64>() / f64::from(self.colours);
            let p95 = differences[(differences.len() * 95).div_ceil(100) - 1];
            let max = differences.last().copied().unwrap_or_default();
            let figures = [mean, p95, max].map(|figure| format!("{figure:.3}"));
            table.row([name.clone()].into_iter().chain(figures));
        }
        format!(
            "## Round trip of {} random printable colours\n\nAims: mean 0.5 and p95 1.5 on five \
             inks, 0.7 and 2.0 on nine and eleven.\n\n{table}",
            self.colours
        )
    }

    fn clipping(&self) -> String {
        let mut table = Table::new(["set", "within 1.15 × %", "median ratio", "p95", "worst"]);
        for name in &self.ink_set {
            let ratios = ratios_to_optimum(separation(name), self.targets as usize);
            let within = ratios.iter().filter(|ratio| **ratio <= NEAR).count();
            let at = |percent: usize| ratios[(ratios.len() * percent).div_ceil(100) - 1];
            let figures = [at(50), at(95), at(100)].map(|ratio| format!("{ratio:.3}"));
            let share = format!("{:.1}", percent(within, ratios.len()));
            table.row([name.clone(), share].into_iter().chain(figures));
        }
        format!(
            "## {} unprintable targets against brute force\n\nAim: 95 % within 1.15 ×.\n\n{table}",
            self.targets
        )
    }

    fn limits(&self) -> String {
        let mut table = Table::new(["set", "policy", "worst excess", "colours over 10⁻⁶"]);
        for name in &self.ink_set {
            for policy in policies() {
                let (worst, over) = excesses(&by_policy(name, policy), self.inputs);
                let figures = [format!("{worst:.1e}"), over.to_string()];
                table.row([name.clone(), policy.to_string()].into_iter().chain(figures));
            }
        }
        format!(
            "## {} random colours against every limit\n\nIn ml/m² or as a coverage, whichever is \
             passed most; negative when nothing is.\n\n{table}",
            self.inputs
        )
    }

    fn neutrals(&self) -> String {
        let mut table = Table::new([
            "set",
            "farthest a*, b* from the line",
            "L* reversals",
            "longest",
            "falling channels: largest fall",
        ]);
        for name in &self.ink_set {
            let separation = separation(name);
            let ramp = ramp(separation);
            let (count, longest) = reversals(separation, &ramp);
            let figures = [format!("{:.3}", off_line(&ramp)), count.to_string()];
            let rest = [format!("{longest:.4}"), falls(name, &ramp)];
            table.row([name.clone()].into_iter().chain(figures).chain(rest));
        }
        format!(
            "## Neutral ramp\n\nFrom white to black in steps of L* 0.25; aims: 1.0 from the line \
             between paper and black, no reversal. Below the darkest neutral nothing is left to \
             darken, so that reversals count above it. Channels that fall on the way down give way \
             to darker inks.\n\n{table}"
        )
    }

    fn smoothness(&self) -> String {
        let mut table = Table::new([
            "set",
            "steps",
            "over",
            "over %",
            "longest, full strength",
            "light",
            "tint in crossovers",
        ]);
        for name in &self.ink_set {
            let steps = Steps::along_circles_and_lines(separation(name), &set(name));
            let counts = [steps.steps.to_string(), steps.over.to_string()];
            let share = format!("{:.2}", percent(steps.over, steps.steps));
            let longest = [steps.full, steps.light, steps.tint].map(|step| format!("{step:.3}"));
            let cells = [name.clone()].into_iter().chain(counts);
            table.row(cells.chain([share]).chain(longest));
        }
        format!(
            "## Steps of ΔE*ab 1 along 24 hue circles and 100 lines\n\nAims: no full-strength \
             channel, and in crossovers no tint, moves by more than 0.05, no light one by more than \
             0.10.\n\n{table}"
        )
    }
}

/// The policies whose limits are proved.
fn policies() -> impl Iterator<Item = InkPolicy> {
    let tolerance = ColourTolerance::from_delta_e_00(1.0).map(InkPolicy::LeastInk);
    let toned = Toning::new(2.0, 6.0).map(InkPolicy::Monochrome);
    let blacks = [Share::MIN, Share::MAX].map(InkPolicy::BlackReplacement);
    [InkPolicy::OfSet].into_iter().chain(blacks).chain(tolerance).chain(toned)
}

/// ΔE00 of printable colours after separation and prediction, rising.
fn round_trip(separation: &Separation, count: usize) -> Vec<f64> {
    let mut random = Random::new(1);
    let colours = std::iter::repeat_with(|| printable(separation, &mut random)).flatten();
    let colours: Vec<Lab> = colours.take(count).collect();
    rising(colours.par_iter().map(|colour| miss(separation, *colour)).collect())
}

fn miss(separation: &Separation, colour: Lab) -> f64 {
    delta_e_00(colour, separation.predict(&separation.separate(colour)))
}

/// How many times as far as the optimum clipped colours lie, rising.
fn ratios_to_optimum(separation: &Separation, targets: usize) -> Vec<f64> {
    let mut random = Random::new(7);
    let mut ratios = Vec::new();
    while ratios.len() < targets {
        let colours = std::iter::repeat_with(|| random.picture_colour());
        let unprintable = colours.filter(|colour| miss(separation, *colour) >= UNPRINTABLE);
        let batch: Vec<Lab> = unprintable.take(targets - ratios.len()).collect();
        let found = batch.par_iter().enumerate().map(|(seed, target)| {
            let best = brute_force(separation, *target, &mut Random::new(seed as u64));
            (best > UNPRINTABLE).then(|| miss(separation, *target) / best)
        });
        ratios.extend(found.collect::<Vec<_>>().into_iter().flatten());
    }
    rising(ratios)
}

/// The worst excess over a limit, and the number of colours that pass one by more than 10⁻⁶.
fn excesses(separation: &Separation, inputs: u32) -> (f64, u32) {
    let of_piece = |piece: u32| {
        let mut random = Random::new(u64::from(piece));
        let count = AT_ONCE.min(inputs - piece * AT_ONCE);
        let excesses = (0..count).map(|_| excess(separation, random.any_colour()));
        excesses.fold((f64::NEG_INFINITY, 0), |(worst, over), excess| {
            (excess.max(worst), over + u32::from(excess > 1e-6))
        })
    };
    let pieces = (0..inputs.div_ceil(AT_ONCE)).into_par_iter().map(of_piece);
    let join = |one: (f64, u32), other: (f64, u32)| (one.0.max(other.0), one.1 + other.1);
    pieces.reduce(|| (f64::NEG_INFINITY, 0), join)
}

/// Asked lightness, printed colour and coverages of neutrals from white to black.
struct Neutral {
    asked: f64,
    printed: Lab,
    coverages: Vec<f64>,
}

fn ramp(separation: &Separation) -> Vec<Neutral> {
    let at = |step: u32| {
        let asked = 100.0 - 0.25 * f64::from(step);
        let separated = separation.separate(Lab { l: asked, a: 0.0, b: 0.0 });
        let coverages = separated.coverages.iter().map(|coverage| coverage.to_fraction());
        let printed = separation.predict(&separated);
        Neutral { asked, printed, coverages: coverages.collect() }
    };
    (0..=400).map(at).collect()
}

/// Farthest a* or b* from the straight line between paper and black.
fn off_line(ramp: &[Neutral]) -> f64 {
    let Some(black) = ramp.last().map(|last| last.printed) else { return 0.0 };
    let away = |at: &Neutral| {
        let share = (100.0 - at.printed.l) / (100.0 - black.l);
        (at.printed.a - share * black.a).abs().max((at.printed.b - share * black.b).abs())
    };
    ramp.iter().map(away).fold(0.0, f64::max)
}

/// Number and longest of the steps towards black that print lighter, above the darkest neutral.
fn reversals(separation: &Separation, ramp: &[Neutral]) -> (usize, f64) {
    let darkest = separation.darkest_neutral().l;
    let rises = ramp.windows(2).map(|pair| (pair[1].printed.l - pair[0].printed.l, pair[1].asked));
    let reversals = rises.filter(|(rise, asked)| *rise > 1e-6 && *asked > darkest + 1.0);
    reversals.fold((0, 0.0), |(count, longest), (rise, _)| (count + 1, rise.max(longest)))
}

/// The channels that fall from somewhere on the ramp to its dark end, with the largest fall from
/// the highest coverage before.
fn falls(name: &str, ramp: &[Neutral]) -> String {
    let fall = |channel: usize| {
        let coverages = ramp.iter().map(|at| at.coverages[channel]);
        let step = |(highest, fall): (f64, f64), at: f64| (at.max(highest), fall.max(highest - at));
        coverages.fold((0.0, 0.0), step).1
    };
    let inks = set(name).inks;
    let falling = inks.iter().enumerate().map(|(channel, ink)| (&ink.name, fall(channel)));
    let named =
        falling.filter(|(_, fall)| *fall > MOVE).map(|(ink, fall)| format!("{ink} {fall:.2}"));
    named.collect::<Vec<_>>().join(", ")
}

fn rising(mut figures: Vec<f64>) -> Vec<f64> {
    figures.sort_by(f64::total_cmp);
    figures
}

#[expect(clippy::cast_precision_loss, reason = "counts far below 2^52")]
fn percent(part: usize, whole: usize) -> f64 {
    100.0 * part as f64 / whole as f64
}

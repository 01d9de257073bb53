//! Which lattice holds a separation best: a cube of wide RGB or a box of CIELAB, and of how many
//! nodes.
//!
//! The committed separation is itself a lattice, so that it can't be the judge. Here every
//! alternative gets nodes of its own, all made alike: the built separation of five inks gives each
//! node its start and its black, and cyan, magenta and yellow are then solved on the print model
//! until the node's colour is printed exactly. Random printable colours are interpolated between
//! such nodes, printed by the model and compared with themselves: what differs is the lattice's
//! fault. Nodes that can't be printed keep the answer of the separation. Interpolation and cube are
//! the separation's own code.

use clap::Args;
use colour::{Lab, delta_e_00, delta_e_ab};
use rayon::prelude::*;
use separation::Separation;

use crate::lattice::{Lattice, lattice_colour, position};
use crate::real_colours::RealColours;
use crate::support::{Random, coverages, printable, separation};
use crate::table::Table;

/// Compare the lattice of the separation with others of its kind and with boxes of CIELAB
#[derive(Debug, Args)]
pub(crate) struct LatticeAlternatives {
    /// Nodes on a side: odd numbers, so that neutrals fall on nodes of a box
    #[arg(long, value_name = "COUNT", default_values_t = [17, 25, 33, 65])]
    nodes: Vec<u16>,
    /// Random printable colours of each kind
    #[arg(long, value_name = "COUNT", default_value = "10000")]
    colours: u32,
}

/// The axes of a lattice.
#[derive(Clone, Copy, Debug)]
enum Axes {
    /// Of the committed lattice.
    Cube,
    /// L* of 0 to 100, a* and b* of ±128: the range of the 8-bit encoding of ICC.1, made even.
    Box,
}

const HALF_BOX: f64 = 128.0;

/// Colours that are looked at by themselves: up to this L*, and up to this chroma.
const DARK: f64 = 25.0;
const NEUTRAL: f64 = 8.0;
/// A node is printable if the separation misses it by less than this ΔE00.
const PRINTABLE: f64 = 1.0;

impl Axes {
    fn colour(self, at: [f64; 3]) -> Lab {
        match self {
            Self::Cube => lattice_colour(at),
            Self::Box => Lab {
                l: 100.0 * at[0],
                a: HALF_BOX * (2.0 * at[1] - 1.0),
                b: HALF_BOX * (2.0 * at[2] - 1.0),
            },
        }
    }

    fn place(self, colour: Lab) -> [f64; 3] {
        let across = |axis: f64| 0.5 * (axis / HALF_BOX + 1.0);
        match self {
            Self::Cube => position(colour),
            Self::Box => [colour.l / 100.0, across(colour.a), across(colour.b)],
        }
    }
}

impl LatticeAlternatives {
    /// Compares, and describes the result.
    pub(crate) fn run(&self) -> String {
        let separation = separation("five");
        let samples = Samples::of(separation, self.colours as usize);
        let real = RealColours::new();
        let mut places = Table::new([
            "lattice",
            "nodes a side",
            "real %",
            "printable %",
            "spacing ΔE*ab: darks",
            "neutrals",
        ]);
        let mut misses = Table::new([
            "lattice",
            "nodes a side",
            "ΔE00 mean",
            "p95",
            "darks mean",
            "p95",
            "neutrals mean",
            "p95",
        ]);
        for &nodes in &self.nodes {
            for axes in [Axes::Cube, Axes::Box] {
                let name = [format!("{axes:?}"), nodes.to_string()];
                let shares = shares(separation, &real, axes, nodes);
                let spacing = spacings(&real, axes, nodes);
                let figures =
                    shares.into_iter().chain(spacing).map(|figure| format!("{figure:.1}"));
                places.row(name.clone().into_iter().chain(figures));
                let lattice = sampled(separation, axes, nodes);
                let figures = samples.misses(separation, &lattice, axes).into_iter();
                misses.row(name.into_iter().chain(figures.map(|figure| format!("{figure:.3}"))));
            }
        }
        format!(
            "# Alternatives to the lattice\n\nDarks: L* up to {DARK}. Neutrals: chroma up to \
             {NEUTRAL}. Five inks.\n\n## Where the nodes lie\n\nShares of all nodes that are colours \
             of real surfaces, and that five inks print within ΔE00 {PRINTABLE}; mean distance of \
             neighbouring real nodes whose middle is dark or neutral.\n\n{places}\n## What \
             interpolation misses\n\n{misses}"
        )
    }
}

/// Printable colours: any, darks and neutrals.
struct Samples([Vec<Lab>; 3]);

impl Samples {
    fn of(separation: &Separation, count: usize) -> Self {
        let kinds: [fn(&Lab) -> bool; 3] =
            [|_| true, |colour| colour.l <= DARK, |colour| colour.chroma() <= NEUTRAL];
        Self(kinds.map(|kind| {
            let mut random = Random::new(1);
            let colours = std::iter::repeat_with(|| printable(separation, &mut random)).flatten();
            colours.filter(kind).take(count).collect()
        }))
    }

    /// Mean and 95th percentile of ΔE00 by kind.
    fn misses(&self, separation: &Separation, lattice: &Lattice, axes: Axes) -> Vec<f64> {
        let miss = |colour: &Lab| {
            let mut values = vec![0.0; separation.model().channels()];
            lattice.at_position(axes.place(*colour), &mut values);
            let printed = separation.model().predict(&coverages(&values));
            delta_e_00(*colour, printed)
        };
        let of_kind = |colours: &Vec<Lab>| {
            let mut misses: Vec<f64> = colours.par_iter().map(miss).collect();
            misses.sort_by(f64::total_cmp);
            [mean(misses.iter().copied()), misses[misses.len() * 95 / 100]]
        };
        self.0.iter().flat_map(of_kind).collect()
    }
}

/// Where each node stands.
fn places(nodes: u16) -> impl IndexedParallelIterator<Item = [f64; 3]> {
    let (side, last) = (u32::from(nodes), f64::from(nodes - 1));
    (0..side.pow(3)).into_par_iter().map(move |node| {
        [node / (side * side), node / side % side, node % side].map(|step| f64::from(step) / last)
    })
}

/// Percent of the nodes that are real, and that are printable.
fn shares(separation: &Separation, real: &RealColours, axes: Axes, nodes: u16) -> [f64; 2] {
    let share = |holds: &(dyn Fn(Lab) -> bool + Sync)| {
        let marks: Vec<f64> =
            places(nodes).map(|at| 100.0 * f64::from(u8::from(holds(axes.colour(at))))).collect();
        mean(marks.into_iter())
    };
    let is_printable = |colour| {
        let printed = separation.predict(&separation.separate(colour));
        delta_e_00(colour, printed) < PRINTABLE
    };
    [share(&|colour| real.contain(colour)), share(&is_printable)]
}

/// Mean ΔE*ab between neighbouring real nodes, among darks and among neutrals.
fn spacings(real: &RealColours, axes: Axes, nodes: u16) -> [f64; 2] {
    let step = 1.0 / f64::from(nodes - 1);
    let pairs: Vec<(Lab, f64)> = places(nodes)
        .flat_map_iter(|at| (0..3).map(move |axis| (at, axis)))
        .filter_map(|(at, axis)| {
            let moved = |by: f64| {
                let mut other = at;
                other[axis] += by;
                axes.colour(other)
            };
            let ends = [axes.colour(at), moved(step)];
            let both = at[axis] + step < 1.0 + 1e-9 && ends.iter().all(|end| real.contain(*end));
            both.then(|| (moved(0.5 * step), delta_e_ab(ends[0], ends[1])))
        })
        .collect();
    let among = |kind: &dyn Fn(Lab) -> bool| {
        mean(pairs.iter().filter(|(middle, _)| kind(*middle)).map(|(_, distance)| *distance))
    };
    [among(&|middle| middle.l <= DARK), among(&|middle| middle.chroma() <= NEUTRAL)]
}

/// A lattice of coverages that print the colours of its nodes.
fn sampled(separation: &Separation, axes: Axes, nodes: u16) -> Lattice {
    let values: Vec<f32> =
        places(nodes).flat_map_iter(|at| solved(separation, axes.colour(at))).map(single).collect();
    Lattice::new(usize::from(nodes), separation.model().channels(), &values)
}

#[expect(clippy::cast_possible_truncation, reason = "coverages are kept to 10⁻⁷")]
const fn single(value: f64) -> f32 {
    value as f32
}

/// Steps of Newton's method; three are enough from a start a fraction of ΔE00 away.
const STEPS: usize = 4;
/// Width of the difference that stands for a slope.
const WIDTH: f64 = 1e-4;
/// The process inks of five: the first three channels.
const PROCESS: [usize; 3] = [0, 1, 2];

/// The coverages of the separation, with the process inks solved until a printable colour is
/// printed exactly.
fn solved(separation: &Separation, colour: Lab) -> Vec<f64> {
    let start = separation.separate(colour).coverages;
    let mut values: Vec<f64> = start.iter().map(|coverage| coverage.to_fraction()).collect();
    let missed = |values: &[f64]| missed(separation, colour, values);
    let mut miss = missed(&values);
    for _ in 0..STEPS {
        let slopes = PROCESS.map(|channel| {
            let mut moved = values.clone();
            let by = if moved[channel] > 0.5 { -WIDTH } else { WIDTH };
            moved[channel] += by;
            let there = missed(&moved);
            std::array::from_fn(|axis| (there[axis] - miss[axis]) / by)
        });
        let mut next = values.clone();
        for (channel, step) in PROCESS.into_iter().zip(solution(slopes, miss)) {
            next[channel] = (next[channel] - step).clamp(0.0, 1.0);
        }
        let after = missed(&next);
        if square(after) >= square(miss) {
            break;
        }
        (values, miss) = (next, after);
    }
    values
}

/// What is printed less what is asked.
fn missed(separation: &Separation, colour: Lab, values: &[f64]) -> [f64; 3] {
    let printed = separation.model().predict(&coverages(values));
    [printed.l - colour.l, printed.a - colour.a, printed.b - colour.b]
}

/// The amounts of three columns that add up to a right side, by Cramer's rule; nothing where the
/// columns are dependent.
fn solution(columns: [[f64; 3]; 3], right: [f64; 3]) -> [f64; 3] {
    let whole = determinant(columns);
    std::array::from_fn(|place| {
        let mut replaced = columns;
        replaced[place] = right;
        let amount = determinant(replaced) / whole;
        if amount.is_finite() { amount } else { 0.0 }
    })
}

fn determinant([a, b, c]: [[f64; 3]; 3]) -> f64 {
    a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
        + a[2] * (b[0] * c[1] - b[1] * c[0])
}

fn square(vector: [f64; 3]) -> f64 {
    vector.iter().map(|axis| axis * axis).sum()
}

fn mean(figures: impl Iterator<Item = f64>) -> f64 {
    let (sum, count) = figures.fold((0.0, 0.0), |(sum, count), figure| (sum + figure, count + 1.0));
    sum / count
}

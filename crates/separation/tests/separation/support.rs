//! What the tests of the separation share, among themselves and with the long proofs of `benches`.

use std::sync::LazyLock;

use colour::{Lab, Xyz};
use inkfathom_separation::{InkPolicy, Separation, SeparationInputs};
use inkset::{InkSet, builtin};
use units::Coverage;

/// A built-in set.
pub(crate) fn set(name: &str) -> InkSet {
    builtin(name).and_then(|built_in| built_in.parse().ok()).expect("a built-in set").set
}

/// The separation of a built-in set on its first substrate in its first print mode; built once.
pub(crate) fn separation(name: &str) -> &'static Separation {
    static FIVE: LazyLock<Separation> = LazyLock::new(|| by_policy("five", InkPolicy::OfSet));
    static NINE: LazyLock<Separation> = LazyLock::new(|| by_policy("nine", InkPolicy::OfSet));
    static ELEVEN: LazyLock<Separation> = LazyLock::new(|| by_policy("eleven", InkPolicy::OfSet));
    match name {
        "five" => &FIVE,
        "nine" => &NINE,
        "eleven" => &ELEVEN,
        other => panic!("no test needs {other}"),
    }
}

/// The same by another policy.
pub(crate) fn by_policy(name: &str, policy: InkPolicy) -> Separation {
    let set = set(name);
    let inputs = SeparationInputs::defaults(&set).expect("a substrate and a print mode");
    SeparationInputs { policy, ..inputs }.build().expect("a separation")
}

/// Coverages from plain numbers of 0 to 1.
pub(crate) fn coverages(values: &[f64]) -> Vec<Coverage> {
    values.iter().map(|&value| Coverage::from_fraction(value).expect("a coverage")).collect()
}

/// A sequence of numbers that is the same in every run (Knuth's 64-bit linear congruence).
pub(crate) struct Random(u64);

impl Random {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// A number of 0 to 1.
    pub(crate) fn unit(&mut self) -> f64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A colour of any kind, far beyond what is real.
    pub(crate) fn any_colour(&mut self) -> Lab {
        Lab {
            l: 140.0 * self.unit() - 20.0,
            a: 400.0 * self.unit() - 200.0,
            b: 400.0 * self.unit() - 200.0,
        }
    }

    /// A colour of the widest usual picture encoding, IEC 61966-2-5 (opRGB), evenly random in its
    /// encoded values.
    pub(crate) fn picture_colour(&mut self) -> Lab {
        let linear = [self.unit(), self.unit(), self.unit()].map(|encoded| encoded.powf(2.2));
        let [x, y, z] = OP_RGB_TO_XYZ
            .map(|row| 100.0 * (row[0] * linear[0] + row[1] * linear[1] + row[2] * linear[2]));
        Xyz { x, y, z }.to_lab(Xyz::PCS_WHITE)
    }
}

/// The primaries of IEC 61966-2-5 adapted from D65 to D50 by the linear Bradford transform; from
/// memory, its rows add up to the profile connection space's white within 10⁻⁴.
const OP_RGB_TO_XYZ: [[f64; 3]; 3] = [
    [0.609_756, 0.205_240, 0.149_224],
    [0.311_124, 0.625_656, 0.063_220],
    [0.019_481, 0.060_890, 0.744_839],
];

/// Load in ml/m² and sum of channel values, written apart from the code under test.
pub(crate) fn load_and_total(separation: &Separation, values: &[f64]) -> (f64, f64) {
    let lay_down = separation.limits().lay_down().iter();
    let load = values.iter().zip(lay_down).map(|(v, l)| v * l.to_millilitres_per_square_metre());
    (load.sum(), values.iter().sum())
}

/// A random printable mixture within the limits, from light to full.
pub(crate) fn printable(separation: &Separation, random: &mut Random) -> Option<Lab> {
    let limits = separation.limits();
    let strength = random.unit();
    let values: Vec<f64> =
        (0..separation.model().channels()).map(|_| strength * random.unit()).collect();
    let (load, total) = load_and_total(separation, &values);
    let within = load <= limits.load().to_millilitres_per_square_metre()
        && total <= limits.total_area_coverage().to_fraction();
    within.then(|| separation.model().predict(&coverages(&values)))
}

/// How far the separation of a colour passes the limit that it passes most, in ml/m² or as a
/// coverage; negative within all limits.
pub(crate) fn excess(separation: &Separation, colour: Lab) -> f64 {
    let limits = separation.limits();
    let coverages = separation.separate(colour).coverages;
    let values: Vec<f64> = coverages.iter().map(|coverage| coverage.to_fraction()).collect();
    let (load, total) = load_and_total(separation, &values);
    let of_load = load - limits.load().to_millilitres_per_square_metre();
    let of_total = total - limits.total_area_coverage().to_fraction();
    let of_inks = values.iter().enumerate().map(|(ink, at)| at - limits.ink(ink).to_fraction());
    of_inks.fold(of_load.max(of_total), f64::max)
}

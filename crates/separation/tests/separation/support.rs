//! What the tests of the separation share.

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

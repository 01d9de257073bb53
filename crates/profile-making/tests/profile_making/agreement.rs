use std::sync::LazyLock;

use colour::{Lab, Xyz, delta_e_00};
use icc::{OutputProfile, OutputTransform, RenderingIntent};
use inkfathom_profile_making::ProfileMaking;
use inkset::{DeviceCurve, InkSet, builtin};
use separation::{Separating, Separation, SeparationInputs, lattice_colour};
use units::{Coverage, DeviceValue};

/// What tables on a grid may cost, ΔE00 in the mean over what the separation emits.
const GRID_UP_TO_SEVEN: f64 = 0.5;
const GRID_OF_MORE: f64 = 1.5;
/// What interpolating coverages in place of amounts may cost: a share of full coverage.
const INTERPOLATED_COVERAGE: f64 = 0.01;
/// The largest file.
const MOST_BYTES: usize = 40_000_000;
/// Colours on an axis of the cube that are tried: between the nodes of every table.
const TRIED: usize = 14;
/// Luminance between the nodes of a lattice, as a share of itself. The soft limit of load leaves the
/// darkest greys up to L* 0.3 too light, which is 4 % of their luminance.
const INTERPOLATED_LUMINANCE: f64 = 0.05;
/// Matrices in 16 binary places where black rises steeply: a share of full coverage.
const ROUNDED_SHADOW: f64 = 0.005;

const MADE: [u16; 6] = [2026, 2, 28, 12, 0, 0];

/// A set with its separation and the profile made of it, opened again.
struct Made {
    set: InkSet,
    separation: Separation,
    bytes: usize,
    profile: OutputProfile,
}

fn made(set: InkSet) -> Made {
    let inputs = SeparationInputs::defaults(&set).unwrap();
    let separation = inputs.build().unwrap();
    let (substrate, mode) = (inputs.substrate, inputs.mode);
    let making = ProfileMaking { separation: &separation, set: &set, substrate, mode };
    let bytes = making.profile(MADE).to_bytes();
    let profile = OutputProfile::parse(&bytes).unwrap();
    Made { bytes: bytes.len(), profile, separation, set }
}

fn built_in(name: &str) -> InkSet {
    builtin(name).unwrap().parse().unwrap().set
}

/// A built-in set of which some inks are taken out.
fn without(name: &str, inks: &[&str]) -> InkSet {
    let mut set = built_in(name);
    set.inks.retain(|ink| !inks.contains(&ink.name.as_str()));
    set
}

impl Made {
    fn transform(&self, intent: RenderingIntent) -> OutputTransform {
        OutputTransform::new(&self.profile, intent).unwrap()
    }

    /// Channels that the profile drives.
    fn driven(&self) -> Vec<usize> {
        let substrate = &self.set.substrates[0];
        let inks = self.set.inks.iter().enumerate();
        inks.filter(|(_, ink)| !self.set.is_idle(ink, substrate)).map(|(c, _)| c).collect()
    }

    /// The coverages that the separation emits for a colour, one a colorant.
    fn emitted(&self, colour: Lab) -> Vec<Coverage> {
        let separated = Separation::separate(&self.separation, colour);
        self.driven().into_iter().map(|channel| separated.coverages[channel]).collect()
    }
}

/// Colours all over the cube on which separations interpolate.
fn colours() -> Vec<Lab> {
    #[expect(clippy::cast_precision_loss, reason = "a few steps")]
    let steps: Vec<f64> = (0..TRIED).map(|step| (step as f64 + 0.37) / TRIED as f64).collect();
    let axis = || steps.iter().copied();
    axis()
        .flat_map(|r| axis().flat_map(move |g| axis().map(move |b| lattice_colour([r, g, b]))))
        .collect()
}

fn as_device(coverages: &[Coverage]) -> Vec<DeviceValue> {
    let value = |coverage: &Coverage| DeviceValue::from_fraction(coverage.to_fraction()).unwrap();
    coverages.iter().map(value).collect()
}

/// Mean ΔE00 between the forward tables and the print model.
fn forward_error(made: &Made) -> f64 {
    let transform = made.transform(RenderingIntent::RelativeColorimetric);
    let errors = colours().into_iter().map(|colour| {
        let separated = Separation::separate(&made.separation, colour);
        let values = as_device(&made.emitted(colour));
        delta_e_00(made.separation.predict(&separated), transform.to_lab(&values))
    });
    mean(errors)
}

/// By colorant: mean of the difference between inverse tables and separation, either way.
fn inverse_errors(made: &Made) -> Vec<f64> {
    let transform = made.transform(RenderingIntent::RelativeColorimetric);
    let tried: Vec<(Vec<DeviceValue>, Vec<Coverage>)> = colours()
        .into_iter()
        .map(|colour| (transform.to_device(colour), made.emitted(colour)))
        .collect();
    let error = |ink: usize| {
        let pairs = tried.iter().map(|(device, coverages)| (device[ink], coverages[ink]));
        mean(pairs.map(|(value, coverage)| (value.to_fraction() - coverage.to_fraction()).abs()))
    };
    (0..made.driven().len()).map(error).collect()
}

fn mean(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a few thousand values")]
    let count = values.len() as f64;
    values.sum::<f64>() / count
}

/// The smallest set, which several tests look at.
static FIVE: LazyLock<Made> = LazyLock::new(|| made(built_in("five")));

fn check(made: &Made, inks: usize, allowed: f64) {
    assert_eq!(made.profile.space().colorants(), inks);
    assert!(made.bytes <= MOST_BYTES, "{} bytes", made.bytes);
    let forward = forward_error(made);
    let inverse = inverse_errors(made);
    println!("{inks} inks: {} bytes, ΔE00 {forward:.3}, coverage {inverse:.4?}", made.bytes);
    assert!(forward <= allowed, "{forward}");
    assert!(inverse.iter().all(|error| *error <= INTERPOLATED_COVERAGE), "{inverse:?}");
    let white = made.transform(RenderingIntent::RelativeColorimetric).to_device(Lab::WHITE);
    assert!(white.iter().all(|value| *value == DeviceValue::MIN), "{white:?}");
}

#[test]
fn four_inks_agree_with_the_model_and_the_separation() {
    check(&FIVE, 4, GRID_UP_TO_SEVEN);
}

#[test]
fn seven_inks_agree_with_the_model_and_the_separation() {
    check(&made(without("nine", &["light grey"])), 7, GRID_UP_TO_SEVEN);
}

#[test]
fn ten_inks_agree_with_the_model_and_the_separation() {
    check(&made(built_in("eleven")), 10, GRID_OF_MORE);
}

#[test]
fn the_perceptual_black_is_that_of_the_reference_medium() {
    let made = &FIVE;
    let perceptual = made.transform(RenderingIntent::Perceptual);
    let relative = made.transform(RenderingIntent::RelativeColorimetric);
    // The library takes black to that of the reference medium before version 4's perceptual
    // tables, and back behind them.
    let black = Lab { l: 0.0, a: 0.0, b: 0.0 };
    let device = perceptual.to_device(black);
    let darkest = relative.to_device(Separating::darkest_neutral(&made.separation));
    for (one, other) in device.iter().zip(darkest) {
        let difference = (one.to_fraction() - other.to_fraction()).abs();
        assert!(difference < ROUNDED_SHADOW, "{difference}");
    }
    // From there on, colours keep their places on the way to white: ISO 18619.
    let luminance = |colour: Lab| colour.to_xyz(Xyz::PCS_WHITE).y / 100.0;
    let darkest = luminance(Separating::darkest_neutral(&made.separation));
    for l in [3.0, 10.0, 50.0, 90.0] {
        let neutral = Lab { l, ..black };
        let wanted = darkest + (1.0 - darkest) * luminance(neutral);
        let printed = luminance(perceptual.to_lab(&perceptual.to_device(neutral)));
        assert!((printed / wanted - 1.0).abs() < INTERPOLATED_LUMINANCE, "{printed} {wanted}");
    }
}

#[test]
fn device_curves_of_the_print_mode_lead_to_device_values() {
    let mut set = built_in("five");
    let half = (DeviceValue::from_fraction(0.5).unwrap(), Coverage::from_fraction(0.3).unwrap());
    let ends = [(DeviceValue::MIN, Coverage::MIN), (DeviceValue::MAX, Coverage::MAX)];
    let curve = DeviceCurve::Points(vec![ends[0], half, ends[1]]);
    let names: Vec<String> = set.inks.iter().map(|ink| ink.name.clone()).collect();
    set.print_modes[0].device_curve = names.into_iter().map(|name| (name, curve.clone())).collect();
    let made = made(set);
    let transform = made.transform(RenderingIntent::RelativeColorimetric);
    for l in [20.0, 40.0, 60.0, 80.0] {
        let colour = Lab { l, a: 0.0, b: 0.0 };
        let device = transform.to_device(colour);
        for (value, coverage) in device.iter().zip(made.emitted(colour)) {
            let expected = curve.device_value(coverage).to_fraction();
            assert!((value.to_fraction() - expected).abs() < INTERPOLATED_COVERAGE);
        }
        let error = delta_e_00(transform.to_lab(&device), colour);
        assert!(error < GRID_UP_TO_SEVEN, "{error} at L* {l}");
    }
}

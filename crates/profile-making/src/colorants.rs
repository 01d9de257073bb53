use colour::{Lab, Xyz};
use icc::ProfileCurve;
use inkset::{DeviceCurve, InkSet, PrintMode, Substrate};
use print_model::PrintModel;
use separation::ChannelCoverages;
use units::{Coverage, DeviceValue};

/// Steps of a tabulated axis. Our choice: 0.1 % of device value, with straight lines between.
const STEPS: usize = 1024;

/// The inks that a profile drives: all but those that the substrate leaves idle.
pub(crate) struct Colorants<'a> {
    model: &'a PrintModel,
    all_channels: usize,
    pub(crate) inks: Vec<Colorant>,
}

/// One ink with its way from device value to tone.
pub(crate) struct Colorant {
    pub(crate) channel: usize,
    pub(crate) name: String,
    pub(crate) family: String,
    pub(crate) is_full_strength: bool,
    curve: DeviceCurve,
    /// Share of the way from paper to solid, at even steps of device value.
    tones: Vec<f64>,
}

impl<'a> Colorants<'a> {
    pub(crate) fn new(
        model: &'a PrintModel,
        set: &InkSet,
        substrate: &Substrate,
        mode: &PrintMode,
    ) -> Self {
        let mut colorants = Self { model, all_channels: set.inks.len(), inks: Vec::new() };
        for (channel, ink) in set.inks.iter().enumerate() {
            if set.is_idle(ink, substrate) {
                continue;
            }
            let curve = known_or_straight(mode.device_curve.get(&ink.name));
            let tones = colorants.tones(channel, &curve);
            colorants.inks.push(Colorant {
                channel,
                name: ink.name.clone(),
                family: ink.family.clone(),
                is_full_strength: ink.is_full_strength(),
                curve,
                tones,
            });
        }
        colorants
    }

    /// The paper-relative colour that device values print, one a colorant.
    pub(crate) fn print(&self, values: &[DeviceValue]) -> Xyz {
        let mut coverages = vec![Coverage::MIN; self.all_channels];
        for (colorant, value) in self.inks.iter().zip(values) {
            coverages[colorant.channel] = colorant.curve.coverage(*value);
        }
        relative(self.model, &coverages)
    }

    /// The device values that fire coverages.
    pub(crate) fn device_values<'b>(
        &'b self,
        coverages: &'b ChannelCoverages,
    ) -> impl Iterator<Item = DeviceValue> + 'b {
        self.inks.iter().map(|colorant| colorant.curve.device_value(coverages[colorant.channel]))
    }

    /// How far an ink printed alone has come from the paper to its solid, in compressed
    /// reflectance, where halftones mix by shares.
    fn tones(&self, channel: usize, curve: &DeviceCurve) -> Vec<f64> {
        let alone = |value: DeviceValue| {
            let mut coverages = vec![Coverage::MIN; self.all_channels];
            coverages[channel] = curve.coverage(value);
            compressed(relative(self.model, &coverages))
        };
        let (paper, solid) = (alone(DeviceValue::MIN), alone(DeviceValue::MAX));
        let way: [f64; 3] = std::array::from_fn(|axis| solid[axis] - paper[axis]);
        let length: f64 = way.iter().map(|step| step * step).sum();
        let mut highest = 0.0_f64;
        let along = |step| {
            let here = alone(at_step(step, STEPS));
            let product: f64 = (0..3).map(|axis| (here[axis] - paper[axis]) * way[axis]).sum();
            // Tone never falls, whatever rounding says.
            highest = highest.max(product / length.max(f64::MIN_POSITIVE)).min(1.0);
            highest
        };
        (0..STEPS).map(along).collect()
    }
}

impl Colorant {
    /// The axis of the profile's grid, as a function of device value.
    pub(crate) fn axis(&self) -> ProfileCurve {
        ProfileCurve::Points(self.tones.clone())
    }

    /// The lowest device value that prints a tone.
    pub(crate) fn device_value_of(&self, tone: f64) -> DeviceValue {
        let above = self.tones.partition_point(|reached| *reached < tone).min(STEPS - 1);
        let Some(below) = above.checked_sub(1) else {
            return DeviceValue::MIN;
        };
        let (from, to) = (self.tones[below], self.tones[above]);
        let part = if to > from { (tone - from) / (to - from) } else { 1.0 };
        device((steps(below) + part.clamp(0.0, 1.0)) / steps(STEPS - 1))
    }
}

/// Without a curve in the print mode, device values are coverages: the built separation works in
/// coverage, and nobody said otherwise.
fn known_or_straight(curve: Option<&DeviceCurve>) -> DeviceCurve {
    match curve {
        Some(known) if !known.is_unknown() => known.clone(),
        _ => DeviceCurve::Points(vec![
            (DeviceValue::MIN, Coverage::MIN),
            (DeviceValue::MAX, Coverage::MAX),
        ]),
    }
}

/// XYZ relative to the paper, white being the connection space's with Y = 1.
fn relative(model: &PrintModel, coverages: &[Coverage]) -> Xyz {
    of_lab(model.predict(coverages))
}

/// A media-relative colour as XYZ, white being the connection space's with Y = 1.
pub(crate) fn of_lab(colour: Lab) -> Xyz {
    let Xyz { x, y, z } = colour.to_xyz(Xyz::PCS_WHITE);
    Xyz { x: x / 100.0, y: y / 100.0, z: z / 100.0 }
}

/// Exponent of the compression in which grids mix colours: near the Yule–Nielsen factor of most
/// papers, 2. Our choice; n = 1.7 to 3 moves the tables' error by less than a tenth.
pub(crate) const COMPRESSION: f64 = 2.0;

/// X, Y, Z as shares of white, compressed.
pub(crate) fn compressed(colour: Xyz) -> [f64; 3] {
    let white = Xyz::PCS_WHITE;
    [colour.x / white.x, colour.y / white.y, colour.z / white.z]
        .map(|share| (100.0 * share).clamp(0.0, 1.0).powf(1.0 / COMPRESSION))
}

/// The device value at one of some even steps.
pub(crate) fn at_step(step: usize, count: usize) -> DeviceValue {
    device(steps(step) / steps(count - 1))
}

fn device(fraction: f64) -> DeviceValue {
    DeviceValue::from_fraction(fraction.clamp(0.0, 1.0)).unwrap_or(DeviceValue::MIN)
}

#[expect(clippy::cast_precision_loss, reason = "a few thousand steps at most")]
pub(crate) const fn steps(count: usize) -> f64 {
    count as f64
}

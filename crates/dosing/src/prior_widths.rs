/// How far off an estimate may be before any job has been measured: half-widths of the 90 %
/// range, relative to the volume, for independent causes.
///
/// All of them are our choices within what the trade reports (common practice, no source).
/// Measured jobs narrow them: a calibration begins with these widths.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PriorWidths {
    /// Lay-down of all channels together: drop volumes follow temperature, drive and the maker's
    /// rounding of them.
    pub lay_down: f64,
    /// Lay-down of each channel by itself: spread between heads and inks.
    pub channel: f64,
    /// Tone curve of each channel: the ramp law and the dot gain stand for a medium that nobody
    /// measured.
    pub curve: f64,
    /// Further width of light inks: how much more of them a tone takes depends most on the ramp
    /// law and the dilution.
    pub light_ink: f64,
    /// Each piece of the volume curve of each channel by itself: drops of one size, and drops
    /// fired in a row, differ from the others by about as much.
    pub piece: f64,
    /// Ink of one channel at the start of a job beyond what the machine's facts state, in
    /// millilitres: wetting the heads takes from nothing to a few.
    pub start_up_ml: f64,
}

/// Standard deviations in the half-width of a normal distribution's 90 % range.
const DEVIATIONS: f64 = 1.644_854;

impl PriorWidths {
    /// The widths without calibration: a picture's total is known to about ± 25 %, a
    /// full-strength ink to ± 31 %, a light ink to ± 40 %.
    pub const UNCALIBRATED: Self = Self {
        lay_down: 0.20,
        channel: 0.10,
        curve: 0.22,
        light_ink: 0.25,
        piece: 0.25,
        start_up_ml: 2.0,
    };

    /// The widths for device values that nobody has related to coverage, common to all channels
    /// because a guess errs alike for each.
    ///
    /// Our choice: between no linearisation at all and half a value for a quarter of the drops, a
    /// mean value of a third takes 1.7 times and 0.6 times what the default curve says.
    #[must_use]
    pub fn with_unknown_device_curves(self) -> Self {
        const UNKNOWN_CURVE: f64 = 0.50;
        Self { lay_down: self.lay_down.hypot(UNKNOWN_CURVE), ..self }
    }

    /// Relative half-width of one channel's volume apart from the common lay-down.
    #[must_use]
    pub fn own(&self, light: bool) -> f64 {
        let further = if light { self.light_ink } else { 0.0 };
        self.channel.hypot(self.curve).hypot(further)
    }

    /// The standard deviation of a half-width.
    pub(crate) fn deviation(half_width: f64) -> f64 {
        half_width / DEVIATIONS
    }
}

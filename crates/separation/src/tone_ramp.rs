use colour::BANDS;
use print_model::{BandAmounts, PrintModel};
use units::Coverage;

/// The most strengths of one hue, full strength included.
pub(crate) const MAX_STRENGTHS: usize = 4;

/// The reach at which inks hand over where the set tells them to.
pub(crate) const AS_STATED_REACH: f64 = 0.5;

/// Coverage of each of a family's inks, lightest first; unused places stay zero.
pub(crate) type Split = [f64; MAX_STRENGTHS];

/// The tone that mixtures of a family's inks reach, and its inverse.
///
/// The lightest ink comes first. When it has reached the coverage at which it hands over, the
/// next darker one begins and the lighter one falls away until the darker one carries the tone
/// alone, and so on to the full-strength ink at tone 1.
pub(crate) struct ToneRamp<'model> {
    model: &'model PrintModel,
    family: usize,
    inks: usize,
    /// Weight of each band in the tone: where the full-strength ink absorbs.
    weights: [f64; BANDS],
    /// Coverage at which each ink hands over to the next; 1 for the last.
    tops: Vec<f64>,
    /// Exponent of a lighter ink's fall: 1 is a straight line, more keeps it longer.
    hold: f64,
    /// Tone of each ink alone at its top, but for the last.
    handovers: Vec<f64>,
}

impl<'model> ToneRamp<'model> {
    /// `crossover` gives the coverage at which each ink but the last hands over when the reach is
    /// a half; less reach lowers it towards none, more raises it towards full coverage.
    pub(crate) fn new(
        model: &'model PrintModel,
        family: usize,
        crossover: &[Coverage],
        reach: f64,
    ) -> Self {
        let inks = model.family_channels(family).len().min(MAX_STRENGTHS);
        let moved = |at: &Coverage| {
            let from_half = 2.0 * reach - 1.0;
            let room = if from_half < 0.0 { at.to_fraction() } else { 1.0 - at.to_fraction() };
            at.to_fraction() + from_half * room
        };
        let mut tops: Vec<f64> = crossover.iter().map(moved).take(inks - 1).collect();
        tops.resize(inks, 1.0);
        let weights = absorption(model, family);
        let mut ramp =
            Self { model, family, inks, weights, tops, hold: hold(reach), handovers: Vec::new() };
        ramp.handovers = (0..inks - 1)
            .map(|ink| {
                let mut alone = [0.0; MAX_STRENGTHS];
                alone[ink] = ramp.tops[ink];
                ramp.tone(&alone)
            })
            .collect();
        ramp
    }

    /// The first ink that hands over in a darker tone than the next one does, if there is one.
    pub(crate) fn falling_handover(&self) -> Option<usize> {
        self.handovers.windows(2).position(|pair| pair[0] >= pair[1])
    }

    /// The tint that coverages give.
    pub(crate) fn tint(&self, split: &Split) -> BandAmounts {
        let coverages: Vec<Coverage> = split[..self.inks]
            .iter()
            .map(|c| Coverage::from_fraction(c.clamp(0.0, 1.0)).unwrap_or(Coverage::MIN))
            .collect();
        self.model.tint(self.family, &coverages)
    }

    /// The coverages that give a tone of 0 to 1.
    pub(crate) fn split(&self, tone: f64) -> Split {
        // The last handover that has been passed: they rise, but for rounding between slices.
        let passed_ones = self.handovers.iter().rposition(|&handover| handover <= tone);
        let darker = passed_ones.map_or(0, |ink| ink + 1);
        let mut split = [0.0; MAX_STRENGTHS];
        if darker > 0 {
            let from = self.handovers[darker - 1];
            let to = self.handovers.get(darker).copied().unwrap_or(1.0);
            let passed = ((tone - from) / (to - from)).clamp(0.0, 1.0);
            split[darker - 1] = self.tops[darker - 1] * (1.0 - passed.powf(self.hold));
        }
        split[darker] = self.coverage_for(tone, split, darker);
        split
    }

    fn tone(&self, split: &Split) -> f64 {
        let tint = self.tint(split);
        tint.bands().iter().zip(&self.weights).map(|(amount, weight)| amount * weight).sum()
    }

    /// Finds the coverage of one ink that gives the tone, by false position with halving of the
    /// retained end (Dowell and Jarratt, BIT 11, 1971): tone rises with coverage.
    fn coverage_for(&self, tone: f64, others: Split, ink: usize) -> f64 {
        let excess = |coverage: f64| {
            let mut split = others;
            split[ink] = coverage;
            self.tone(&split) - tone
        };
        let (mut low, mut high) = ((0.0, excess(0.0)), (self.tops[ink], excess(self.tops[ink])));
        if low.1 >= 0.0 {
            return low.0;
        }
        if high.1 <= 0.0 {
            return high.0;
        }
        let mut last_side = 0;
        for _ in 0..MOST_STEPS {
            let middle = (low.0 * high.1 - high.0 * low.1) / (high.1 - low.1);
            let at = excess(middle);
            if at.abs() < SMALLEST_TONE {
                return middle;
            }
            if at < 0.0 {
                low = (middle, at);
                high.1 *= if last_side < 0 { 0.5 } else { 1.0 };
                last_side = -1;
            } else {
                high = (middle, at);
                low.1 *= if last_side > 0 { 0.5 } else { 1.0 };
                last_side = 1;
            }
        }
        0.5 * (low.0 + high.0)
    }
}

/// Exponent of a lighter ink's fall: straight up to half the reach, then held ever longer, to
/// nearly the end of the darker ink's rise at full reach. Our choice: 7 at full reach brought
/// clipped light colours within a few percent of what all channels free could print.
fn hold(reach: f64) -> f64 {
    const AT_FULL_REACH: f64 = 7.0;
    let beyond_half = (2.0 * reach - 1.0).max(0.0);
    1.0 + beyond_half * (AT_FULL_REACH - 1.0)
}

/// False position converges in about six steps; the bound only guards against rounding.
const MOST_STEPS: usize = 60;
/// Far below the resolution of the table.
const SMALLEST_TONE: f64 = 1e-10;

/// Share of each band in the light that the family's full-strength ink takes away.
fn absorption(model: &PrintModel, family: usize) -> [f64; BANDS] {
    let full = model.family_channels(family).last().map_or(*model.paper(), |&c| *model.solid(c));
    let taken: [f64; BANDS] =
        std::array::from_fn(|band| (model.paper().bands()[band] - full.bands()[band]).max(0.0));
    let sum: f64 = taken.iter().sum();
    #[expect(clippy::cast_precision_loss, reason = "there are 36 bands")]
    let even = 1.0 / BANDS as f64;
    taken.map(|band| if sum > 0.0 { band / sum } else { even })
}

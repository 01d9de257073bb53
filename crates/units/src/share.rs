use crate::quantity::quantity;

quantity! {
    /// What a file, a chart or an output profile asks of a channel, 0 to 1. Usually linearised:
    /// 0.5 may be 0.35 of the drops. Never a volume.
    DeviceValue, "device value", "(1 = 100 %)", 0.0, 1.0, from_fraction, to_fraction
}

quantity! {
    /// Share of a channel's full drop volume that is fired, 0 to 1. The only one that is dosed.
    Coverage, "coverage", "(1 = 100 %)", 0.0, 1.0, from_fraction, to_fraction
}

quantity! {
    /// What the eye sees of a coverage, 0 to 1: after optical and mechanical dot gain.
    EffectiveCoverage, "effective coverage", "(1 = 100 %)", 0.0, 1.0, from_fraction, to_fraction
}

quantity! {
    /// A plain share between nothing and all, such as the black replacement.
    Share, "share", "(1 = 100 %)", 0.0, 1.0, from_fraction, to_fraction
}

quantity! {
    /// The sum of the coverages of all channels at one place; 4 is 400 %.
    TotalAreaCoverage, "total area coverage", "(1 = 100 %)", 0.0, 12.0, from_fraction, to_fraction
}

impl std::iter::Sum<Coverage> for TotalAreaCoverage {
    /// The sum, held to the highest that twelve channels can have.
    fn sum<I: Iterator<Item = Coverage>>(coverages: I) -> Self {
        let sum: f64 = coverages.map(Coverage::to_fraction).sum();
        Self::from_fraction(sum).unwrap_or(Self::MAX)
    }
}

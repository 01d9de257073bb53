use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use units::{Area, Length, Share, Volume};

/// Decimals of a millilitre, metre or square metre that count: a millionth of any of them costs
/// less than a thousandth of the smallest coin. Our choice.
const DECIMALS: u32 = 6;

/// A share of a hundred, exact.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Percent(Decimal);

/// A time in minutes, exact.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Minutes(Decimal);

impl Percent {
    /// Nothing.
    pub const ZERO: Self = Self(Decimal::ZERO);

    /// So many of a hundred.
    #[must_use]
    pub const fn new(percent: Decimal) -> Self {
        Self(percent)
    }

    /// The number that stands before the percent sign.
    #[must_use]
    pub const fn to_percent(self) -> Decimal {
        self.0
    }

    /// The nearest number, for reports; `None` for one that is none.
    #[must_use]
    pub fn to_number(self) -> Option<f64> {
        self.0.to_f64()
    }

    pub(crate) fn of(self, amount: Decimal) -> Decimal {
        amount * self.0 / Decimal::ONE_HUNDRED
    }
}

impl Minutes {
    /// So many minutes.
    #[must_use]
    pub const fn new(minutes: Decimal) -> Self {
        Self(minutes)
    }

    /// The number of minutes.
    #[must_use]
    pub const fn to_minutes(self) -> Decimal {
        self.0
    }
}

pub(crate) fn millilitres(volume: Volume) -> Decimal {
    exact(volume.to_millilitres())
}

pub(crate) fn metres(length: Length) -> Decimal {
    exact(length.to_metres())
}

pub(crate) fn square_metres(area: Area) -> Decimal {
    exact(area.to_square_metres())
}

pub(crate) fn fraction(share: Share) -> Decimal {
    exact(share.to_fraction())
}

/// The quantity as a decimal number. All quantities of the house are finite and within what a
/// decimal holds, so that nothing is lost but digits beyond the sixth decimal.
pub(crate) fn exact(number: f64) -> Decimal {
    Decimal::try_from(number).unwrap_or(Decimal::ZERO).round_dp(DECIMALS)
}

/// The nearest number for drawing and for ratios that aren't money.
pub(crate) fn nearest(amount: Decimal) -> f64 {
    amount.to_f64().unwrap_or(f64::NAN)
}

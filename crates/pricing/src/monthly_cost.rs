use dosing::VolumeRange;
use rust_decimal::Decimal;
use units::{Money, Volume};

use crate::amounts::{End, overhead_ink, picture_ink};
use crate::exact::nearest;
use crate::ink_cost::InkPrices;
use crate::{JobOnSet, MonthlyMix, Percent, PricingError, to_minor_unit};

/// The ink of a month's jobs on every set, before rounding.
#[derive(Clone, Debug)]
pub(crate) struct MonthlyCosts {
    /// By job, then by set.
    pub(crate) jobs: Vec<Vec<InkOfMonth>>,
}

/// The ink of one job on one set: pictures, edges, start-ups and cleanings, and what is printed in
/// vain.
#[derive(Clone, Copy, Debug)]
pub(crate) struct InkOfMonth {
    pub(crate) ink: VolumeRange,
    pub(crate) low: Decimal,
    pub(crate) expected: Decimal,
    pub(crate) high: Decimal,
}

/// What a month is multiplied by to see how much depends on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Scale {
    pub(crate) ink_price: Decimal,
    pub(crate) volume: Decimal,
}

impl Scale {
    pub(crate) const AS_GIVEN: Self = Self { ink_price: Decimal::ONE, volume: Decimal::ONE };
}

impl MonthlyCosts {
    pub(crate) fn of(mix: &MonthlyMix<'_>) -> Result<Self, PricingError> {
        if mix.jobs.is_empty() {
            return Err(PricingError::NothingToPrice);
        }
        refuse_absurd_areas(mix)?;
        let prices: Vec<InkPrices> =
            mix.sets.iter().map(|set| InkPrices::of(mix.list, set)).collect::<Result<_, _>>()?;
        let jobs = mix.jobs.iter().map(|job| {
            let on = job.on.iter().zip(&prices).enumerate();
            on.map(|(set, (on, prices))| ink_of_month(mix, set, on, job.orders.get(), prices))
                .collect()
        });
        Ok(Self { jobs: jobs.collect() })
    }
}

/// A square kilometre of prints a month: more than any studio makes, and small enough for every
/// cost to fit a decimal.
const MOST_SQUARE_METRES: f64 = 1e6;

fn refuse_absurd_areas(mix: &MonthlyMix<'_>) -> Result<(), PricingError> {
    let mut pictures = mix.jobs.iter().flat_map(|job| &job.on).map(|on| &on.picture);
    let absurd = pictures.find(|it| it.area().to_square_metres() > MOST_SQUARE_METRES);
    absurd.map_or(Ok(()), |picture| {
        Err(PricingError::TooMuch { job: picture.name.clone(), area: picture.area() })
    })
}

impl InkOfMonth {
    /// The rounded line of this job, at one end of its range.
    pub(crate) fn line(&self, end: End, scale: Scale, mix: &MonthlyMix<'_>) -> Money {
        let cost = match end {
            End::Low => self.low,
            End::Expected => self.expected,
            End::High => self.high,
        };
        to_minor_unit(cost * scale.ink_price * scale.volume, mix.list.currency)
    }
}

fn ink_of_month(
    mix: &MonthlyMix<'_>,
    set: usize,
    on: &JobOnSet,
    orders: u32,
    prices: &InkPrices,
) -> InkOfMonth {
    let (start_up, cleaning) = overhead_ink(mix.list, mix.sets[set], None, prices);
    let beside = Decimal::from(orders) * (start_up.cost + cleaning.cost);
    let beside_ink = (start_up.quantity + cleaning.quantity).scaled(f64::from(orders));
    let at = |end: End| {
        let (ink, edges) = picture_ink(mix.list, &on.picture, prices, end);
        let cost = with_spoilage(mix.list.spoilage, ink.cost + edges.cost) + beside;
        let spoilt = nearest(with_spoilage(mix.list.spoilage, Decimal::ONE));
        let ink: Volume = (ink.quantity + edges.quantity).scaled(spoilt) + beside_ink;
        (ink, cost)
    };
    let [(low_ink, low), (ink, expected), (high_ink, high)] =
        [End::Low, End::Expected, End::High].map(at);
    let ink = VolumeRange { low: low_ink, expected: ink, high: high_ink };
    InkOfMonth { ink, low, expected, high }
}

fn with_spoilage(spoilage: Percent, amount: Decimal) -> Decimal {
    amount + spoilage.of(amount)
}

use rust_decimal::Decimal;
use units::Money;

use crate::monthly_cost::{MonthlyCosts, Scale};
use crate::payback::{MonthlyBalance, sent};
use crate::{OldMachine, PaybackTime, Percent, PricedRange, PricingError, Purchase, Tolerance};

/// One thing changed, everything else as it was.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SensitivityRow {
    /// What is changed.
    pub change: Change,
    /// What is saved in a month then.
    pub saving: PricedRange,
    /// Time until the price is earned then, with the least, the expected and the most saving.
    pub time: [PaybackTime; 3],
    /// Jobs that are printed on the new machine then.
    pub jobs_moved: usize,
    /// Jobs that are then on a machine that does not hold their colours.
    pub jobs_not_held: usize,
}

/// What is changed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Change {
    /// Nothing.
    None,
    /// The price of all ink, to so many percent.
    InkPrice(Percent),
    /// The copies and orders of all jobs, to so many percent.
    Volume(Percent),
    /// How far prints may differ from the wanted colours.
    Tolerance(Tolerance),
}

/// Prices of ink that are tried, in percent. Our choice: what another supplier or a rise over the
/// years does.
const INK_PRICES: [i64; 2] = [80, 120];
/// Volumes that are tried, in percent. Our choice: a bad year and a good one.
const VOLUMES: [i64; 2] = [50, 200];

pub(crate) fn sensitivity(
    purchase: &Purchase<'_>,
    costs: &MonthlyCosts,
    price: Money,
) -> Result<Vec<SensitivityRow>, PricingError> {
    let percent = |percent: i64| Percent::new(Decimal::from(percent));
    let tolerances = purchase.mix.tolerances.iter().copied();
    // Without the old machine no tolerance moves a job.
    let others = tolerances.filter(|tolerance| {
        purchase.old_machine == OldMachine::Stays && *tolerance != purchase.tolerance
    });
    std::iter::once(Change::None)
        .chain(INK_PRICES.map(|it| Change::InkPrice(percent(it))))
        .chain(VOLUMES.map(|it| Change::Volume(percent(it))))
        .chain(others.map(Change::Tolerance))
        .map(|change| row(purchase, costs, price, change))
        .collect()
}

fn row(
    purchase: &Purchase<'_>,
    costs: &MonthlyCosts,
    price: Money,
    change: Change,
) -> Result<SensitivityRow, PricingError> {
    let mut scale = Scale::AS_GIVEN;
    let mut tolerance = purchase.tolerance;
    match change {
        Change::None => {}
        Change::InkPrice(percent) => scale.ink_price = percent.of(Decimal::ONE),
        Change::Volume(percent) => scale.volume = percent.of(Decimal::ONE),
        Change::Tolerance(other) => tolerance = other,
    }
    let routing = sent(purchase, costs, tolerance, scale)?;
    let balance = MonthlyBalance::of(purchase, costs, &routing, scale)?;
    Ok(SensitivityRow {
        change,
        saving: balance.range(purchase.mix, MonthlyBalance::saving),
        time: balance.times(price),
        jobs_not_held: routing.routed.jobs_not_held,
        jobs_moved: routing.jobs.iter().filter(|job| job.chosen == 1).count(),
    })
}

use rust_decimal::Decimal;
use units::{Area, Money};

use crate::amounts::End;
use crate::exact::{exact, nearest, square_metres};
use crate::monthly_cost::{MonthlyCosts, Scale};
use crate::routing::routed;
use crate::sensitivity::sensitivity;
use crate::{
    MonthlyMix, PricedRange, PricingError, Routing, RunningCost, SensitivityRow, Tolerance,
    to_minor_unit,
};

/// A machine that a studio thinks of buying. The mix has two sets: first the one that it has, then
/// the one to buy.
#[derive(Clone, Copy, Debug)]
pub struct Purchase<'purchase> {
    /// The month's jobs on both.
    pub mix: &'purchase MonthlyMix<'purchase>,
    /// How far prints may differ from the wanted colours.
    pub tolerance: Tolerance,
    /// What becomes of the machine that the studio has.
    pub old_machine: OldMachine,
    /// Months within which the machine should have earned its price.
    pub horizon_months: u32,
}

/// What becomes of the machine that a studio has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OldMachine {
    /// It stays: jobs that only it holds go on it, and its idle ink is paid on.
    Stays,
    /// It goes: every job is printed on the new one, and its running cost ends.
    Goes,
}

/// When a machine has earned its price. It rests on estimates of the ink, which are not
/// measurements.
#[derive(Clone, Debug, PartialEq)]
pub struct Payback {
    /// The jobs as they were routed.
    pub routing: Routing,
    /// What becomes of the machine that the studio has.
    pub old_machine: OldMachine,
    /// Price of the machine.
    pub price: Money,
    /// What the machine that the studio has costs in a month without printing.
    pub running_old: RunningCost,
    /// What the new machine costs in a month without printing.
    pub running_new: RunningCost,
    /// Ink saved in a month, before running costs, with the range that follows from the ranges of
    /// both sets.
    pub ink_saving: PricedRange,
    /// Running cost that the purchase adds in a month; negative where it ends more.
    pub added_running_cost: Money,
    /// What is saved in a month; negative where the purchase costs.
    pub saving: PricedRange,
    /// Time until the price is earned, with the least, the expected and the most saving.
    pub time: [PaybackTime; 3],
    /// Area of the whole mix in a month.
    pub area: Area,
    /// Area of the same mix in a month from which on the machine saves anything.
    pub break_even: BreakEven,
    /// Area of the same mix in a month that earns the price within the horizon.
    pub within_horizon: BreakEven,
    /// The horizon.
    pub horizon_months: u32,
    /// How the answer moves with what it rests on.
    pub sensitivity: Vec<SensitivityRow>,
}

/// Time until a price is earned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PaybackTime {
    /// So many months, exact.
    Months(Decimal),
    /// The machine costs nothing and saves something.
    AtOnce,
    /// It saves nothing.
    Never,
    /// It costs nothing and saves nothing.
    Undefined,
}

/// An area in a month from which on something is earned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BreakEven {
    /// From so much on.
    Area(Area),
    /// With any area.
    Always,
    /// With no area: jobs save no ink.
    Never,
}

/// What a purchase saves in a month.
#[derive(Clone, Copy, Debug)]
pub(crate) struct MonthlyBalance {
    /// Ink, before running costs.
    pub(crate) ink: Decimal,
    /// Half the width of its range.
    pub(crate) half_width: Decimal,
    pub(crate) added_running_cost: Decimal,
}

/// Says when a machine has earned its price, and how sure that is.
///
/// # Errors
///
/// [`PricingError`] for a mix that has not two sets, a machine without price, an ink without
/// price, prices in two currencies and a tolerance that the jobs don't tell of.
pub fn pay_back(purchase: &Purchase<'_>) -> Result<Payback, PricingError> {
    let mix = purchase.mix;
    let &[old, new] = mix.sets.as_slice() else {
        return Err(PricingError::NotTwoSets { sets: mix.sets.len() });
    };
    let price = new.machine.price;
    let price = price.ok_or_else(|| PricingError::MachineWithoutPrice { set: new.name.clone() })?;
    mix.list.same_currency(price, || format!("the machine of `{}`", new.name))?;
    let costs = MonthlyCosts::of(mix)?;
    let routing = sent(purchase, &costs, purchase.tolerance, Scale::AS_GIVEN)?;
    let balance = MonthlyBalance::of(purchase, &costs, &routing, Scale::AS_GIVEN)?;
    let area: Area = routing.jobs.iter().map(|job| job.area).sum();
    let per_month = price.amount() / Decimal::from(purchase.horizon_months.max(1));
    Ok(Payback {
        old_machine: purchase.old_machine,
        price,
        running_old: RunningCost::of(mix.list, old)?,
        running_new: RunningCost::of(mix.list, new)?,
        ink_saving: balance.range(mix, |it| it.ink),
        added_running_cost: to_minor_unit(balance.added_running_cost, mix.list.currency),
        saving: balance.range(mix, MonthlyBalance::saving),
        time: balance.times(price),
        area,
        break_even: balance.area_that_earns(Decimal::ZERO, area),
        within_horizon: balance.area_that_earns(per_month, area),
        horizon_months: purchase.horizon_months,
        sensitivity: sensitivity(purchase, &costs, price)?,
        routing,
    })
}

/// The jobs where the purchase sends them.
pub(crate) fn sent(
    purchase: &Purchase<'_>,
    costs: &MonthlyCosts,
    tolerance: Tolerance,
    scale: Scale,
) -> Result<Routing, PricingError> {
    let routing = routed(purchase.mix, costs, tolerance, scale)?;
    Ok(match purchase.old_machine {
        OldMachine::Stays => routing,
        OldMachine::Goes => routing.all_sent_to(NEW),
    })
}

/// Places of the two sets in the mix.
const OLD: usize = 0;
const NEW: usize = 1;

impl MonthlyBalance {
    /// What is saved against all jobs on the old machine.
    ///
    /// Jobs that stay take the same ink before and after. Of those that move, the errors of one
    /// set are common to all jobs and add up; those of the two sets are independent.
    pub(crate) fn of(
        purchase: &Purchase<'_>,
        costs: &MonthlyCosts,
        routing: &Routing,
        scale: Scale,
    ) -> Result<Self, PricingError> {
        let mix = purchase.mix;
        let moved: Vec<usize> =
            (0..routing.jobs.len()).filter(|&job| routing.jobs[job].chosen == NEW).collect();
        let sum = |set: usize, end: End| -> Decimal {
            let lines = moved.iter().map(|&job| costs.jobs[job][set].line(end, scale, mix));
            lines.map(Money::amount).sum()
        };
        let half_width = |set: usize| nearest(sum(set, End::High) - sum(set, End::Low)) / 2.0;
        let running = |set: usize| {
            RunningCost::scaled(mix.list, mix.sets[set], scale.ink_price)
                .map(|running| running.sum.amount())
        };
        let ended = match purchase.old_machine {
            OldMachine::Stays => Decimal::ZERO,
            OldMachine::Goes => running(OLD)?,
        };
        Ok(Self {
            ink: sum(OLD, End::Expected) - sum(NEW, End::Expected),
            half_width: exact(half_width(OLD).hypot(half_width(NEW))),
            added_running_cost: running(NEW)? - ended,
        })
    }

    pub(crate) fn saving(&self) -> Decimal {
        self.ink - self.added_running_cost
    }

    pub(crate) fn range(&self, mix: &MonthlyMix<'_>, of: fn(&Self) -> Decimal) -> PricedRange {
        let line = |amount: Decimal| to_minor_unit(amount, mix.list.currency);
        let expected = of(self);
        PricedRange {
            low: line(expected - self.half_width),
            expected: line(expected),
            high: line(expected + self.half_width),
        }
    }

    /// With the least, the expected and the most saving.
    pub(crate) fn times(&self, price: Money) -> [PaybackTime; 3] {
        [-self.half_width, Decimal::ZERO, self.half_width]
            .map(|more| PaybackTime::of(price.amount(), self.saving() + more))
    }

    /// The area of the same mix with which so much is left in a month.
    fn area_that_earns(&self, wanted: Decimal, area: Area) -> BreakEven {
        let needed = wanted + self.added_running_cost;
        if needed <= Decimal::ZERO && self.ink >= Decimal::ZERO {
            return BreakEven::Always;
        }
        if self.ink <= Decimal::ZERO {
            return BreakEven::Never;
        }
        let part = needed.checked_div(self.ink).unwrap_or_default();
        let area = Area::from_square_metres(nearest(part * square_metres(area)));
        area.map_or(BreakEven::Never, BreakEven::Area)
    }
}

impl PaybackTime {
    /// The months for showing; `None` where there are none.
    #[must_use]
    pub fn to_months(self) -> Option<f64> {
        match self {
            Self::Months(months) => Some(nearest(months)),
            Self::AtOnce | Self::Never | Self::Undefined => None,
        }
    }

    fn of(price: Decimal, saving: Decimal) -> Self {
        match (price > Decimal::ZERO, saving > Decimal::ZERO) {
            (true, true) => Self::Months(price.checked_div(saving).unwrap_or_default()),
            (false, true) => Self::AtOnce,
            (true, false) => Self::Never,
            (false, false) if saving.is_zero() => Self::Undefined,
            (false, false) => Self::Never,
        }
    }
}

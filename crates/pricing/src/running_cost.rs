use inkset::InkSet;
use rust_decimal::Decimal;
use units::{Money, Volume};

use crate::exact::nearest;
use crate::ink_cost::InkPrices;
use crate::{PriceList, PricingError, to_minor_unit};

/// Days of an average month: a Gregorian year has 365.2425.
const DAYS_PER_MONTH: Decimal = Decimal::from_parts(30_436_875, 0, 0, false, 6);
const MONTHS_PER_YEAR: Decimal = Decimal::from_parts(12, 0, 0, false, 0);

/// What a machine costs in a month whether it prints or not, each rounded to a line.
#[derive(Clone, Debug, PartialEq)]
pub struct RunningCost {
    /// Name of its ink set.
    pub ink_set: String,
    /// Ink that it uses without printing.
    pub idle_ink: Volume,
    /// What that costs.
    pub idle: Money,
    /// Ink of its cleanings.
    pub cleaning_ink: Volume,
    /// What that costs.
    pub cleaning: Money,
    /// A month's part of its heads.
    pub heads: Money,
    /// A month's part of other parts that wear out.
    pub maintenance: Money,
    /// Sum of the lines.
    pub sum: Money,
    /// Facts that the ink set does not state and that count as nothing.
    pub unknown: Vec<&'static str>,
}

impl RunningCost {
    /// The running cost of the machine of an ink set.
    ///
    /// # Errors
    ///
    /// [`PricingError`] for an ink without price and prices in another currency.
    pub fn of(list: &PriceList, set: &InkSet) -> Result<Self, PricingError> {
        Self::scaled(list, set, Decimal::ONE)
    }

    /// The same with another price of ink.
    pub(crate) fn scaled(
        list: &PriceList,
        set: &InkSet,
        ink_price: Decimal,
    ) -> Result<Self, PricingError> {
        let prices = InkPrices::of(list, set)?;
        let machine = &set.machine;
        let line = |amount: Decimal| to_minor_unit(amount, list.currency);
        let ink = |volume: Volume| line(prices.cost_of_equal_parts(volume) * ink_price);
        let idle_ink = machine.idle_per_day.unwrap_or(Volume::ZERO).scaled(nearest(DAYS_PER_MONTH));
        let cleanings = f64::from(machine.cleanings_per_month.unwrap_or(0));
        let cleaning_ink = machine.cleaning.unwrap_or(Volume::ZERO).scaled(cleanings);
        let (heads, maintenance) = (heads(list, set)?, maintenance(list, set)?);
        let lines = [ink(idle_ink), ink(cleaning_ink), line(heads), line(maintenance)];
        let [idle, cleaning, heads, maintenance] = lines;
        let sum = lines.iter().map(|line| line.amount()).sum();
        Ok(Self {
            ink_set: set.name.clone(),
            idle_ink,
            idle,
            cleaning_ink,
            cleaning,
            heads,
            maintenance,
            sum: line(sum),
            unknown: unknown(set),
        })
    }
}

fn heads(list: &PriceList, set: &InkSet) -> Result<Decimal, PricingError> {
    let Some(heads) = set.machine.heads else {
        return Ok(Decimal::ZERO);
    };
    list.same_currency(heads.price, || format!("the head price of `{}`", set.name))?;
    let price = Decimal::from(heads.count) * heads.price.amount();
    Ok(price.checked_div(Decimal::from(heads.life_months)).unwrap_or_default())
}

fn maintenance(list: &PriceList, set: &InkSet) -> Result<Decimal, PricingError> {
    let Some(price) = set.machine.maintenance_per_year else {
        return Ok(Decimal::ZERO);
    };
    list.same_currency(price, || format!("the maintenance of `{}`", set.name))?;
    Ok(price.amount() / MONTHS_PER_YEAR)
}

fn unknown(set: &InkSet) -> Vec<&'static str> {
    let machine = &set.machine;
    let facts = [
        ("idle ink", machine.idle_per_day.is_some()),
        ("cleaning ink", machine.cleaning.is_some() && machine.cleanings_per_month.is_some()),
        ("heads", machine.heads.is_some()),
        ("maintenance", machine.maintenance_per_year.is_some()),
    ];
    facts.into_iter().filter(|(_, known)| !known).map(|(what, _)| what).collect()
}

use inkset::{Ink, InkSet};
use rust_decimal::Decimal;
use strict_toml::nearest_name;
use units::{Money, Share, Volume};

use crate::exact::{fraction, millilitres};
use crate::{InkPrice, InkPriceRule, PriceList, PricingError};

/// What the inks of a set cost.
#[derive(Clone, Debug)]
pub(crate) struct InkPrices {
    /// Exact price of a millilitre, by channel.
    per_millilitre: Vec<Decimal>,
}

impl InkPrices {
    pub(crate) fn of(list: &PriceList, set: &InkSet) -> Result<Self, PricingError> {
        refuse_unknown_inks(list, set)?;
        let prices = set.inks.iter().map(|ink| per_millilitre(list, set, ink));
        Ok(Self { per_millilitre: prices.collect::<Result<_, _>>()? })
    }

    /// What volumes of ink cost, by channel.
    pub(crate) fn cost(&self, volumes: impl IntoIterator<Item = Volume>) -> Decimal {
        let costs = volumes.into_iter().zip(&self.per_millilitre);
        costs.map(|(volume, price)| millilitres(volume) * price).sum()
    }

    /// What ink costs of which every channel takes the same: that of start-ups and cleanings.
    pub(crate) fn cost_of_equal_parts(&self, volume: Volume) -> Decimal {
        let channels = Decimal::from(self.per_millilitre.len().max(1));
        millilitres(volume) * self.per_millilitre.iter().sum::<Decimal>() / channels
    }
}

/// A price for one ink set must name inks that it has.
fn refuse_unknown_inks(list: &PriceList, set: &InkSet) -> Result<(), PricingError> {
    let names = || set.inks.iter().map(|ink| ink.name.as_str());
    let for_set = |rule: &&InkPriceRule| rule.ink_set.as_ref() == Some(&set.name);
    let mut inks = list.inks.iter().filter(for_set).flat_map(|rule| &rule.inks);
    match inks.find(|ink| !names().any(|name| name == **ink)) {
        None => Ok(()),
        Some(ink) => Err(PricingError::UnknownInk {
            ink: ink.clone(),
            list: list.name.clone(),
            set: set.name.clone(),
            nearest: nearest_name(ink, names()).map(str::to_owned),
            known: names().map(str::to_owned).collect(),
        }),
    }
}

fn per_millilitre(list: &PriceList, set: &InkSet, ink: &Ink) -> Result<Decimal, PricingError> {
    let fits = |rule: &&InkPriceRule| {
        rule.ink_set.as_ref().is_none_or(|name| *name == set.name)
            && (rule.inks.is_empty() || rule.inks.contains(&ink.name))
    };
    let of_machine = set.machine.residual_ink.unwrap_or(Share::MIN);
    match list.inks.iter().find(fits).map(|rule| rule.price) {
        Some(InkPrice::Litre(price)) => Ok(price.amount() / Decimal::ONE_THOUSAND),
        Some(InkPrice::Cartridge { size, price, residual }) => {
            Ok(of_cartridge(size, price, residual.unwrap_or(of_machine)))
        }
        None => {
            let cartridge = ink.cartridge;
            let priced = cartridge.and_then(|cartridge| Some((cartridge.size, cartridge.price?)));
            let (size, price) = priced.ok_or_else(|| PricingError::InkWithoutPrice {
                ink: ink.name.clone(),
                list: list.name.clone(),
                set: set.name.clone(),
            })?;
            list.same_currency(price, || format!("the cartridge of `{}`", ink.name))?;
            Ok(of_cartridge(size, price, of_machine))
        }
    }
}

/// Only what can be used of a cartridge is worth its price. Cartridges hold a millilitre at least
/// and half of it at least is used.
fn of_cartridge(size: Volume, price: Money, residual: Share) -> Decimal {
    let usable = millilitres(size) * (Decimal::ONE - fraction(residual));
    price.amount().checked_div(usable).unwrap_or_default()
}

impl PriceList {
    /// Refuses an amount in another currency than the list's.
    pub(crate) fn same_currency(
        &self,
        price: Money,
        what: impl FnOnce() -> String,
    ) -> Result<(), PricingError> {
        if price.currency() == self.currency {
            return Ok(());
        }
        Err(PricingError::OtherCurrency {
            what: what(),
            found: price.currency().code(),
            list: self.name.clone(),
            wanted: self.currency.code(),
        })
    }
}

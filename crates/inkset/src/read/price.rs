use iso_currency::Currency;
use rust_decimal::Decimal;
use units::Money;

use super::entry::Entry;
use super::quantity::PRICE;
use super::table::Table;
use crate::Fault;

/// The one currency of a file.
pub(super) struct Prices {
    currency: Option<Currency>,
    is_stated: bool,
}

impl Prices {
    pub(super) fn read(root: &Table) -> Self {
        let entry = root.get("currency");
        Self { is_stated: entry.is_some(), currency: entry.and_then(|entry| currency(&entry)) }
    }

    /// The price under a key, exactly as written.
    pub(super) fn price(&self, table: &Table, key: &str) -> Option<Money> {
        let entry = table.get(key)?;
        entry.number(&PRICE)?;
        let amount = amount(&entry)?;
        self.currency.map(|currency| Money::new(amount, currency))
    }

    /// Asks for the currency if there is a price without one.
    pub(super) fn need_currency(&self, root: &Table, first_price: Option<Entry>) {
        if let (false, Some(price)) = (self.is_stated, first_price) {
            let priced_line = price.line();
            root.fault("currency", Fault::CurrencyMissing { priced_line });
        }
    }
}

fn currency(entry: &Entry) -> Option<Currency> {
    let code = entry.text()?;
    let currency = Currency::from_code(code);
    if currency.is_none() {
        let code = code.to_owned();
        entry.fault(Fault::UnknownCurrency { code });
    }
    currency
}

fn amount(entry: &Entry) -> Option<Decimal> {
    let digits = entry.digits()?;
    let amount = digits.parse().ok();
    if amount.is_none() {
        let digits = digits.to_owned();
        entry.fault(Fault::UnfitPrice { digits });
    }
    amount
}

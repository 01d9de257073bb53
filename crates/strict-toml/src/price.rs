use iso_currency::Currency;
use units::Money;

use crate::{Entry, FormatFault, Table, quantities};

quantities! {
    /// Our choice: narrow enough to catch a price that was pasted twice.
    PRICE = "price", 0.0 to 100_000_000.0 "", "write a price that is not negative";
}

/// The one currency of a file.
#[derive(Clone, Copy, Debug)]
pub struct Prices {
    currency: Option<Currency>,
    is_stated: bool,
}

impl Prices {
    /// Reads the currency under `currency`, if it is stated.
    #[must_use]
    pub fn read<F: From<FormatFault>, R>(root: &Table<'_, F, R>) -> Self {
        let entry = root.get("currency");
        Self { is_stated: entry.is_some(), currency: entry.and_then(|entry| currency(&entry)) }
    }

    /// The currency; `None` where it is not stated or is at fault.
    #[must_use]
    pub const fn currency(&self) -> Option<Currency> {
        self.currency
    }

    /// The price under a key, exactly as written.
    #[must_use]
    pub fn price<F: From<FormatFault>, R>(
        &self,
        table: &Table<'_, F, R>,
        key: &str,
    ) -> Option<Money> {
        let amount = table.get(key)?.decimal(&PRICE)?;
        self.currency.map(|currency| Money::new(amount, currency))
    }

    /// A price that must be there.
    #[must_use]
    pub fn needed<F: From<FormatFault>, R>(
        &self,
        table: &Table<'_, F, R>,
        key: &str,
        remedy: &str,
    ) -> Option<Money> {
        table.need(key, remedy)?;
        self.price(table, key)
    }

    /// Asks for the currency if there is a price without one.
    pub fn need_currency<F: From<FormatFault>, R>(
        &self,
        root: &Table<'_, F, R>,
        first_price: Option<&Entry<'_, F, R>>,
    ) {
        if let (false, Some(price)) = (self.is_stated, first_price) {
            let priced_line = price.line();
            root.fault("currency", FormatFault::CurrencyMissing { priced_line });
        }
    }
}

fn currency<F: From<FormatFault>, R>(entry: &Entry<'_, F, R>) -> Option<Currency> {
    let code = entry.text()?;
    let currency = Currency::from_code(code);
    if currency.is_none() {
        let code = code.to_owned();
        entry.fault(FormatFault::UnknownCurrency { code });
    }
    currency
}

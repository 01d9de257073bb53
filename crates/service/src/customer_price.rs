use report::wire_quote::QuoteDocument;
use serde::Serialize;
use utoipa::ToSchema;

use crate::upload_form::Assumed;

/// A price without what the studio pays and earns. Amounts are exact decimal numbers in texts.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct CustomerPrice {
    /// What the form holds: "customer-price".
    pub kind: &'static str,
    /// Code of ISO 4217.
    pub currency: String,
    /// Before tax.
    pub net: String,
    /// The lower end that follows from the range of the ink.
    pub net_low: String,
    /// The upper end.
    pub net_high: String,
    /// With tax.
    pub total: String,
    /// Of one copy, before tax.
    pub net_per_copy: String,
    /// Number of prints.
    pub copies: u32,
    /// Ink of all copies.
    pub ink_ml: f64,
    /// Lower end of its 90 % range.
    pub ink_ml_low: f64,
    /// Upper end of its 90 % range.
    pub ink_ml_high: f64,
    /// Name of the ink set.
    pub ink_set: String,
    /// Name of the substrate.
    pub substrate: String,
    /// Name of the paper.
    pub paper: String,
    /// Printed width of a copy.
    pub width_mm: f64,
    /// Printed height of a copy.
    pub height_mm: f64,
    /// What it rests on.
    pub assumptions: Vec<Assumed>,
    /// Said by every report.
    pub disclaimer: &'static str,
}

impl CustomerPrice {
    /// What a customer sees of a quote of one picture.
    pub(crate) fn of(quote: &QuoteDocument) -> Self {
        let picture = quote.pictures.first();
        let of_picture =
            |of: fn(&report::wire_quote::QuotedPicture) -> f64| picture.map_or(0.0, of);
        let assumed = |assumption: &report::wire::Assumption| Assumed {
            weight: assumption.weight.to_owned(),
            text: assumption.text.clone(),
        };
        Self {
            kind: "customer-price",
            currency: quote.currency.to_owned(),
            net: quote.net.expected.clone(),
            net_low: quote.net.low.clone(),
            net_high: quote.net.high.clone(),
            total: quote.total.expected.clone(),
            net_per_copy: picture.map_or_else(String::new, |one| one.net_per_copy.clone()),
            copies: picture.map_or(0, |one| one.copies),
            ink_ml: quote.ink_ml,
            ink_ml_low: quote.ink_ml_low,
            ink_ml_high: quote.ink_ml_high,
            ink_set: quote.ink_set.clone(),
            substrate: quote.substrate.clone(),
            paper: quote.paper.clone(),
            width_mm: of_picture(|one| one.width_mm),
            height_mm: of_picture(|one| one.height_mm),
            assumptions: quote.assumptions.iter().map(assumed).collect(),
            disclaimer: quote.disclaimer,
        }
    }
}

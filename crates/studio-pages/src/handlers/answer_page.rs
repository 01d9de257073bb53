use std::sync::Arc;

use report::wire;
use service::{Access, CustomerPrice, PictureFacts, Problem, Studio, WhatIf};

use crate::print_length::resolution_advice;
use crate::views::{Answer, Price, ProofAddresses, SetAnswer};
use crate::wish::{Wish, address};

/// What the service worked out for a page.
pub(crate) struct WorkedOut {
    report: report::Report,
    prices: Vec<Result<CustomerPrice, Problem>>,
}

impl WorkedOut {
    /// Asks for ink, verdicts and prices.
    ///
    /// # Errors
    ///
    /// Whatever the service refuses; a price that can't be made is part of the answer.
    pub(crate) async fn ask(
        studio: &Arc<Studio>,
        access: &Access,
        what_if: &WhatIf,
    ) -> Result<Self, Problem> {
        let report = studio.judged(access, what_if).await?;
        let mut prices = Vec::new();
        for set in &what_if.ink_set {
            let of_set = WhatIf { ink_set: vec![set.clone()], ..what_if.clone() };
            prices.push(studio.price(access, &of_set).await);
        }
        Ok(Self { report, prices })
    }

    /// The estimates, one for each set.
    pub(crate) fn estimates(&self) -> &[wire::Estimate] {
        match self.report.document().files.first().map(|file| &file.status) {
            Some(wire::Status::Estimated { estimates, .. }) => estimates,
            _ => &[],
        }
    }

    /// The answer as the page shows it; `pictures` is the address of the upload in the interface.
    pub(crate) fn answer<'a>(
        &'a self,
        studio: &'a Studio,
        picture: &PictureFacts,
        wish: &Wish,
        what_if: &WhatIf,
        pictures: &str,
    ) -> Answer<'a> {
        let estimates = self.estimates();
        let sets = estimates.iter().zip(&self.prices).map(|(estimate, price)| {
            let offered = studio.ink_sets().iter().find(|set| set.name == estimate.ink_set);
            let title = offered.map_or(estimate.ink_set.as_str(), |set| set.title.as_str());
            let price = price.as_ref().map(price_of).map_err(|problem| problem.detail.clone());
            SetAnswer { title, estimate, price }
        });
        let advice = estimates
            .first()
            .and_then(|first| resolution_advice(picture.width_px, first.width_mm, wish.unit));
        Answer::Worked {
            document: self.report.document(),
            estimates,
            sets: sets.collect(),
            advice: advice.into_iter().collect(),
            proofs: proofs(picture, wish, what_if, pictures),
        }
    }
}

fn price_of(price: &CustomerPrice) -> Price {
    let CustomerPrice { currency, net, net_low, net_high, net_per_copy, copies, .. } = price;
    let mut notes = vec![format!("with tax; {net} {currency} without")];
    if *copies > 1 {
        notes.push(format!("{copies} prints, each {net_per_copy} {currency} before tax"));
    }
    if net_low != net_high {
        notes.push(format!("the ink's range moves it from {net_low} to {net_high} before tax"));
    }
    Price { total: price.total.clone(), currency: currency.clone(), notes }
}

/// Longest side of a proof on a page: as wide as the page shows it on a dense screen. Our choice.
const PROOF_SIDE: u32 = 1200;

/// Where the proofs are found. They don't depend on size, copies or price, so that their addresses
/// don't either and browsers keep them.
fn proofs(picture: &PictureFacts, wish: &Wish, what_if: &WhatIf, pictures: &str) -> ProofAddresses {
    let side = PROOF_SIDE.to_string();
    let least_ink = what_if.least_ink.map(|tolerance| tolerance.to_string());
    let shared = |sets: &[&String]| -> Vec<(&'static str, String)> {
        let mut pairs: Vec<(&str, String)> =
            sets.iter().map(|set| ("ink_set", (*set).clone())).collect();
        let optional = [
            ("substrate", wish.substrate.clone()),
            ("print_mode", wish.print_mode.clone()),
            ("least_ink", least_ink.clone()),
            ("monochrome", what_if.monochrome.clone()),
        ];
        pairs.extend(optional.into_iter().filter_map(|(name, value)| Some((name, value?))));
        pairs.push(("longest_side", side.clone()));
        pairs
    };
    let at = |which: &str, sets: &[&String]| {
        let pairs = shared(sets);
        let pairs: Vec<(&str, &str)> =
            pairs.iter().map(|(name, value)| (*name, value.as_str())).collect();
        address(&format!("{pictures}/pictures/{which}"), &pairs)
    };
    let sets = &what_if.ink_set;
    let (width, height) = shown_size(picture.width_px, picture.height_px);
    ProofAddresses {
        intended: address(&format!("{pictures}/pictures/intended"), &[("longest_side", &side)]),
        sets: sets
            .iter()
            .map(|set| (set.clone(), at("proof", &[set]), at("difference", &[set])))
            .collect(),
        between: match sets.as_slice() {
            [one, other, ..] => Some(at("between", &[one, other])),
            _ => None,
        },
        width,
        height,
    }
}

/// The sides of a proof: those of the picture, brought down to the longest side.
fn shown_size(width: u32, height: u32) -> (u32, u32) {
    let longest = u64::from(width.max(height)).max(1);
    let shown = u64::from(PROOF_SIDE).min(longest);
    let side = |side: u32| {
        let scaled = (u64::from(side) * shown).div_ceil(longest);
        u32::try_from(scaled).unwrap_or(PROOF_SIDE).max(1)
    };
    (side(width), side(height))
}

#[cfg(test)]
mod tests {
    use super::shown_size;

    #[test]
    fn proofs_keep_the_shape_of_the_picture() {
        assert_eq!(shown_size(4000, 3000), (1200, 900));
        assert_eq!(shown_size(300, 600), (300, 600));
        assert_eq!(shown_size(100_000, 1), (1200, 1));
    }
}

use dosing::VolumeRange;
use pricing::OrderedPicture;

use crate::estimate::OVERHEADS_LEFT_OUT;
use crate::{Assumption, Estimate};

/// What pricing needs of an estimate; `name` is what the quote calls the picture.
#[must_use]
pub fn ordered_picture(name: &str, estimate: &Estimate) -> OrderedPicture {
    OrderedPicture {
        name: name.to_owned(),
        width: estimate.size.width,
        height: estimate.size.height,
        copies: estimate.copies,
        inks: estimate.dose.channels.iter().map(|range| range.expected).collect(),
        ink: estimate.dose.total,
    }
}

/// The ink of a start-up, where measured jobs have taught it: the same for every picture of an order.
#[must_use]
pub fn learned_start_up<'estimate>(
    estimates: impl IntoIterator<Item = &'estimate Estimate>,
) -> Option<VolumeRange> {
    estimates.into_iter().find_map(|estimate| estimate.start_up).map(|start_up| start_up.ink)
}

/// What estimates rest on, each assumption once, without what only holds until prices are added.
pub fn priced_assumptions<'estimate>(
    estimates: impl IntoIterator<Item = &'estimate Estimate>,
) -> Vec<Assumption> {
    let mut all: Vec<Assumption> = Vec::new();
    for assumption in estimates.into_iter().flat_map(|estimate| &estimate.assumptions) {
        if assumption.text != OVERHEADS_LEFT_OUT && !all.contains(assumption) {
            all.push(assumption.clone());
        }
    }
    all
}

use dosing::VolumeRange;
use inkset::InkSet;
use rust_decimal::Decimal;
use units::{Area, Volume};

use crate::exact::{exact, nearest, square_metres};
use crate::ink_cost::InkPrices;
use crate::roll_choice::LaidOut;
use crate::{Minutes, Order, OrderedPicture, PriceList, WorkRate};

/// Minutes in an hour.
const MINUTES_PER_HOUR: Decimal = Decimal::from_parts(60, 0, 0, false, 0);

/// Which end of the ink's range is priced.
#[derive(Clone, Copy, Debug)]
pub(crate) enum End {
    Low,
    Expected,
    High,
}

impl End {
    fn of(self, range: VolumeRange) -> Volume {
        match self {
            Self::Low => range.low,
            Self::Expected => range.expected,
            Self::High => range.high,
        }
    }
}

/// A quantity with its exact, unrounded cost.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Costed<Q> {
    pub(crate) quantity: Q,
    pub(crate) cost: Decimal,
}

/// What an order takes and costs, before rounding.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Amounts {
    pub(crate) ink: Costed<Volume>,
    pub(crate) edge_ink: Costed<Volume>,
    pub(crate) start_up: Costed<Volume>,
    pub(crate) cleaning: Costed<Volume>,
    pub(crate) paper: Decimal,
    pub(crate) labour: Costed<Minutes>,
    pub(crate) machine_time: Costed<Minutes>,
}

impl Amounts {
    pub(crate) fn of(
        list: &PriceList,
        order: &Order<'_>,
        prices: &InkPrices,
        laid_out: &LaidOut<'_>,
        end: End,
    ) -> Self {
        let inks = order.pictures.iter().map(|picture| picture_ink(list, picture, prices, end));
        let (ink, edge_ink) = inks.fold((NO_INK, NO_INK), |(ink, edge), (more_ink, more_edge)| {
            (ink.and(more_ink), edge.and(more_edge))
        });
        let learned = order.start_up.map(|range| end.of(range));
        let (start_up, cleaning) = overhead_ink(list, order.set, learned, prices);
        let area = order.pictures.iter().map(OrderedPicture::area).sum();
        Self {
            ink,
            edge_ink,
            start_up,
            cleaning,
            paper: laid_out.cost,
            labour: work(&list.labour, area),
            machine_time: work(&list.machine_time, area),
        }
    }
}

const NO_INK: Costed<Volume> = Costed { quantity: Volume::ZERO, cost: Decimal::ZERO };

impl Costed<Volume> {
    fn and(self, more: Self) -> Self {
        Self { quantity: self.quantity + more.quantity, cost: self.cost + more.cost }
    }
}

/// The ink of a picture, and that of its edges: as much on an area as in the picture's mean.
pub(crate) fn picture_ink(
    list: &PriceList,
    picture: &OrderedPicture,
    prices: &InkPrices,
    end: End,
) -> (Costed<Volume>, Costed<Volume>) {
    let volume = end.of(picture.ink);
    let factor = ratio(volume, picture.ink.expected);
    let cost = prices.cost(picture.inks.iter().copied()) * exact(factor);
    let beyond = list.layout.edge.to_metres() + list.layout.overspray.to_metres();
    let part = exact(picture.edge_part(beyond));
    let edges = Costed { quantity: volume.scaled(nearest(part)), cost: cost * part };
    (Costed { quantity: volume, cost }, edges)
}

fn ratio(volume: Volume, expected: Volume) -> f64 {
    let expected = expected.to_millilitres();
    if expected > 0.0 { volume.to_millilitres() / expected } else { 1.0 }
}

/// Start-up and cleaning ink of one order: the list's volumes, else what jobs have taught, else the
/// machine's, else none.
pub(crate) fn overhead_ink(
    list: &PriceList,
    set: &InkSet,
    learned_start_up: Option<Volume>,
    prices: &InkPrices,
) -> (Costed<Volume>, Costed<Volume>) {
    let rules = &list.overhead_ink;
    let costed = |quantity: Volume| {
        let cost = prices.cost_of_equal_parts(quantity);
        Costed { quantity, cost }
    };
    let cleaning = rules.cleaning.or(set.machine.cleaning).unwrap_or(Volume::ZERO);
    let part = nearest(rules.cleanings_per_order.of(Decimal::ONE));
    let start_up = rules.start_up.or(learned_start_up).or(set.machine.start_up);
    let start_up = start_up.unwrap_or(Volume::ZERO);
    (costed(start_up), costed(cleaning.scaled(part)))
}

fn work(rate: &WorkRate, area: Area) -> Costed<Minutes> {
    let minutes =
        rate.per_order.to_minutes() + rate.per_square_metre.to_minutes() * square_metres(area);
    let cost = rate.hour.amount() * minutes / MINUTES_PER_HOUR;
    Costed { quantity: Minutes::new(minutes), cost }
}

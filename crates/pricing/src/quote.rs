use dosing::VolumeRange;
use rust_decimal::Decimal;
use units::{Area, Length, Money, Share, Volume};

use crate::amounts::{Amounts, End, picture_ink};
use crate::exact::{nearest, square_metres};
use crate::ink_cost::InkPrices;
use crate::lines::{Sums, add_up};
use crate::roll_choice::lay_out;
use crate::shares::split;
use crate::{
    Layout, Line, ListProvenance, Order, OrderedPicture, PriceList, PricingError, to_minor_unit,
};

/// The price of an order, line by line. It rests on an estimate of the ink, which is not a
/// measurement.
#[derive(Clone, Debug, PartialEq)]
pub struct Quote {
    /// Name of the price list.
    pub price_list: String,
    /// Name of the ink set.
    pub ink_set: String,
    /// Name of the paper.
    pub paper: String,
    /// The prints on the roll.
    pub layout: Layout,
    /// The pictures in the order given.
    pub pictures: Vec<QuotedPicture>,
    /// The lines with their sums, in the order in which they are added up.
    pub lines: Vec<Line>,
    /// What the order costs the studio.
    pub cost: Money,
    /// The price before tax, with the range that follows from the range of the ink.
    pub net: PricedRange,
    /// The price with tax, with the range that follows from the range of the ink.
    pub total: PricedRange,
    /// Ink of the pictures with its range, without edges, start-up and cleaning.
    pub ink: VolumeRange,
    /// All ink, edges, start-up and cleaning included, as a share of the cost; `None` where
    /// nothing costs anything.
    pub ink_share_of_cost: Option<Share>,
    /// All ink as a share of the net price.
    pub ink_share_of_net: Option<Share>,
    /// What the quote rests on.
    pub notes: Vec<String>,
}

/// An amount with the ends that follow from the ends of the ink's range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PricedRange {
    /// With the least ink.
    pub low: Money,
    /// With the expected ink.
    pub expected: Money,
    /// With the most ink.
    pub high: Money,
}

/// One picture of a quote.
#[derive(Clone, Debug, PartialEq)]
pub struct QuotedPicture {
    /// Its name.
    pub name: String,
    /// Printed width.
    pub width: Length,
    /// Printed height.
    pub height: Length,
    /// Number of prints.
    pub copies: u32,
    /// Area of all copies.
    pub area: Area,
    /// Ink of all copies without edges.
    pub ink: VolumeRange,
    /// What that ink costs, rounded for showing.
    pub ink_cost: Money,
    /// Its part of the net price. The parts of all pictures add up to the net price.
    pub net: Money,
    /// Its part for one copy, rounded for showing.
    pub net_per_copy: Money,
    /// Its part for one square metre, rounded for showing.
    pub net_per_square_metre: Money,
}

/// Prices an order.
///
/// Each line is rounded once, to the currency's minor unit; percentages are taken of rounded
/// lines, and sums are sums of rounded lines, so that the quote can be checked with a pencil.
///
/// # Errors
///
/// [`PricingError`] for an order without pictures, a paper or roll that the list lacks, a picture
/// wider than every roll, an ink without price, and prices in two currencies.
pub fn quote(list: &PriceList, order: &Order<'_>) -> Result<Quote, PricingError> {
    if order.pictures.is_empty() {
        return Err(PricingError::NothingToPrice);
    }
    let prices = InkPrices::of(list, order.set)?;
    let laid_out = lay_out(list, order)?;
    let copies = order.pictures.iter().map(|picture| u64::from(picture.copies.get())).sum();
    let sums = |end: End| {
        add_up(list, &Amounts::of(list, order, &prices, &laid_out, end), &laid_out, copies)
    };
    let (low, expected, high) = (sums(End::Low), sums(End::Expected), sums(End::High));
    let range = |of: fn(&Sums) -> Money| PricedRange {
        low: of(&low),
        expected: of(&expected),
        high: of(&high),
    };
    let ink_share = |of: Decimal| {
        let share = expected.ink.checked_div(of)?;
        Share::from_fraction(nearest(share).min(1.0)).ok()
    };
    Ok(Quote {
        price_list: list.name.clone(),
        ink_set: order.set.name.clone(),
        paper: laid_out.paper.name.clone(),
        pictures: quoted_pictures(list, order, &prices, &expected),
        cost: expected.cost,
        net: range(|sums| sums.net),
        total: range(|sums| sums.total),
        ink: all_ink(order.pictures),
        ink_share_of_cost: ink_share(expected.cost.amount()),
        ink_share_of_net: ink_share(expected.net.amount()),
        notes: notes(list, order),
        lines: expected.lines,
        layout: laid_out.layout,
    })
}

/// All pictures together. Ends are added to ends: the largest error is common to all of them.
fn all_ink(pictures: &[OrderedPicture]) -> VolumeRange {
    let sum = |end: fn(&VolumeRange) -> Volume| pictures.iter().map(|it| end(&it.ink)).sum();
    VolumeRange {
        low: sum(|ink| ink.low),
        expected: sum(|ink| ink.expected),
        high: sum(|ink| ink.high),
    }
}

/// Splits the net price: ink by what each picture takes, everything else by area.
fn quoted_pictures(
    list: &PriceList,
    order: &Order<'_>,
    prices: &InkPrices,
    sums: &Sums,
) -> Vec<QuotedPicture> {
    let pictures = order.pictures;
    let inks = pictures.iter().map(|picture| {
        let (ink, edges) = picture_ink(list, picture, prices, End::Expected);
        (ink.cost, ink.cost + edges.cost)
    });
    let (inks, with_edges): (Vec<Decimal>, Vec<Decimal>) = inks.unzip();
    let areas: Vec<Decimal> = pictures.iter().map(|it| square_metres(it.area())).collect();
    let area: Decimal = areas.iter().sum();
    let others = (sums.cost.amount() - with_edges.iter().sum::<Decimal>()).max(Decimal::ZERO);
    let by_area = others.checked_div(area).unwrap_or_default();
    let weights = with_edges.iter().zip(&areas).map(|(ink, area)| ink + by_area * area);
    let weights: Vec<Decimal> = weights.collect();
    let parts = split(sums.net, &weights);
    let parts = pictures.iter().zip(&inks).zip(parts);
    parts.map(|((picture, ink), net)| quoted(picture, *ink, net)).collect()
}

fn quoted(picture: &OrderedPicture, ink: Decimal, net: Money) -> QuotedPicture {
    let per = |count: Decimal| {
        let part = net.amount().checked_div(count).unwrap_or_default();
        to_minor_unit(part, net.currency())
    };
    QuotedPicture {
        name: picture.name.clone(),
        width: picture.width,
        height: picture.height,
        copies: picture.copies.get(),
        area: picture.area(),
        ink: picture.ink,
        ink_cost: to_minor_unit(ink, net.currency()),
        net,
        net_per_copy: per(Decimal::from(picture.copies.get())),
        net_per_square_metre: per(square_metres(picture.area())),
    }
}

fn notes(list: &PriceList, order: &Order<'_>) -> Vec<String> {
    let machine = &order.set.machine;
    let learned = order.start_up.map(|range| range.expected);
    let mut notes = Vec::new();
    if list.provenance == ListProvenance::Invented {
        notes.push(format!("prices of `{}` are invented", list.name));
    }
    if list.layout.edge > Length::MIN || list.layout.overspray > Length::MIN {
        notes.push("edges take as much ink on an area as their picture does on average".to_owned());
    }
    let unknown = [
        ("start-up", list.overhead_ink.start_up.or(learned).or(machine.start_up)),
        ("cleaning", list.overhead_ink.cleaning.or(machine.cleaning)),
    ];
    for (what, _) in unknown.iter().filter(|(_, volume)| volume.is_none()) {
        notes.push(format!("{what} ink is not known and left out"));
    }
    notes.push("cuts may have to stop inside the sheet".to_owned());
    notes
}

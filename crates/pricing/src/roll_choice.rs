use rust_decimal::Decimal;
use strict_toml::nearest_name;
use units::Length;

use crate::exact::{metres, square_metres};
use crate::{
    Layout, LayoutRules, Order, Paper, PaperPrice, Piece, PriceList, PricingError, Roll, TooBig,
    nest,
};

/// Widths closer than this are the same roll: a twentieth of an inch, less than rolls are cut to
/// and less than any two in use differ by. Our choice.
const SAME_WIDTH_MILLIMETRES: f64 = 1.27;

/// The prints of an order on the roll that costs least.
#[derive(Clone, Debug)]
pub(crate) struct LaidOut<'list> {
    pub(crate) paper: &'list Paper,
    pub(crate) layout: Layout,
    /// Exact cost of the paper.
    pub(crate) cost: Decimal,
}

/// Lays an order out on each roll of its paper and takes the cheapest; of equal ones the narrower.
pub(crate) fn lay_out<'list>(
    list: &'list PriceList,
    order: &Order<'_>,
) -> Result<LaidOut<'list>, PricingError> {
    let paper = paper(list, order)?;
    let pieces: Vec<Piece> = order.pictures.iter().map(piece).collect();
    let mut best: Option<LaidOut<'list>> = None;
    let mut refusal = None;
    for roll in rolls(paper, order)? {
        match nest(&pieces, roll.width, &list.layout) {
            Ok(layout) => {
                let cost = cost(&roll, &layout);
                if best.as_ref().is_none_or(|best| cost < best.cost) {
                    best = Some(LaidOut { paper, layout, cost });
                }
            }
            // Rolls come in rising width, so that the last refusal is that of the widest.
            Err(too_big) => refusal = Some((roll.width, too_big)),
        }
    }
    match (best, refusal) {
        (Some(best), _) => Ok(best),
        (None, Some((width, too_big))) => Err(refused(order, paper, width, &list.layout, too_big)),
        (None, None) => Err(PricingError::NothingToPrice),
    }
}

fn piece(picture: &crate::OrderedPicture) -> Piece {
    Piece { width: picture.width, height: picture.height, copies: picture.copies }
}

fn paper<'list>(list: &'list PriceList, order: &Order<'_>) -> Result<&'list Paper, PricingError> {
    let Some(wanted) = order.paper else {
        let is_substrate = |paper: &&Paper| paper.substrates.iter().any(|it| it == order.substrate);
        return list.papers.iter().find(is_substrate).ok_or_else(|| {
            let (substrate, list) = (order.substrate.to_owned(), list.name.clone());
            PricingError::NoPaperForSubstrate { substrate, list }
        });
    };
    let names = || list.papers.iter().map(|paper| paper.name.as_str());
    list.papers.iter().find(|paper| paper.name == wanted).ok_or_else(|| {
        PricingError::UnknownPaper {
            wanted: wanted.to_owned(),
            list: list.name.clone(),
            nearest: nearest_name(wanted, names()).map(str::to_owned),
            known: names().map(str::to_owned).collect(),
        }
    })
}

/// The rolls in rising width that the order asks for and the machine takes.
fn rolls(paper: &Paper, order: &Order<'_>) -> Result<Vec<Roll>, PricingError> {
    let mut rolls = paper.rolls.clone();
    rolls.sort_by(|one, other| one.width.to_metres().total_cmp(&other.width.to_metres()));
    if let Some(asked) = order.roll_width {
        let known = rolls.iter().map(|roll| roll.width).collect();
        rolls.retain(|roll| is_same(roll.width, asked));
        if rolls.is_empty() {
            return Err(PricingError::NoSuchRoll { paper: paper.name.clone(), asked, known });
        }
    }
    if let Some(widest) = order.set.machine.widest {
        rolls.retain(|roll| roll.width <= widest || is_same(roll.width, widest));
        if rolls.is_empty() {
            let (paper, set) = (paper.name.clone(), order.set.name.clone());
            return Err(PricingError::WiderThanMachine { paper, widest, set });
        }
    }
    Ok(rolls)
}

fn is_same(one: Length, other: Length) -> bool {
    (one.to_millimetres() - other.to_millimetres()).abs() < SAME_WIDTH_MILLIMETRES
}

fn cost(roll: &Roll, layout: &Layout) -> Decimal {
    match roll.price {
        PaperPrice::SquareMetre(price) => square_metres(layout.area()) * price.amount(),
        PaperPrice::RunningMetre(price) => metres(layout.length) * price.amount(),
    }
}

fn refused(
    order: &Order<'_>,
    paper: &Paper,
    widest_roll: Length,
    rules: &LayoutRules,
    too_big: TooBig,
) -> PricingError {
    match too_big {
        TooBig::Long { metres } => PricingError::TooLong { metres },
        TooBig::Wide { piece, needed, could_turn } => PricingError::WiderThanRoll {
            picture: order.pictures[piece].name.clone(),
            needed,
            widest_roll,
            free: free_width(widest_roll, rules),
            paper: paper.name.clone(),
            could_turn,
        },
    }
}

/// The list's reader keeps side margins inside every roll.
fn free_width(roll: Length, rules: &LayoutRules) -> Length {
    let metres = roll.to_metres() - 2.0 * rules.side_margin.to_metres();
    Length::from_metres(metres).unwrap_or(Length::MIN)
}

use std::num::NonZeroU32;

use units::{Area, Length};

use super::layout::{Block, Layout, Placement};
use super::order_search::search;
use super::packing::{Packing, Placed, Stretch};
use super::rows::{one_per_row, rows};
use super::single_kind::single_kind;
use super::strip::{Kind, Micrometres, Strip, Way};
use crate::LayoutRules;

/// Prints of one picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Printed width, without edges.
    pub width: Length,
    /// Printed height, without edges.
    pub height: Length,
    /// Number of prints.
    pub copies: NonZeroU32,
}

/// Why pieces can't be laid out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TooBig {
    /// A piece is wider than the roll.
    Wide {
        /// Which piece, counted from 0.
        piece: usize,
        /// The least free width that it needs, edges included.
        needed: Length,
        /// Whether it would fit if it were turned, which the rules forbid.
        could_turn: bool,
    },
    /// The pieces need more roll than a kilometre.
    Long {
        /// Length that they need at least, in metres.
        metres: u64,
    },
}

/// A kilometre, the longest that a length can be.
const LONGEST: Micrometres = 1_000_000_000;

/// Lays pieces out on a roll, close to the shortest way.
///
/// Several ways are tried: rows of pieces begun with the highest, for one size every mixture of
/// upright and turned rows, and for up to forty pieces orders of placing each as low as it goes.
/// The shortest counts; it is never longer than one piece in each row, and never shorter than the
/// area of the pieces over the free width. Cuts may have to stop inside the sheet.
///
/// # Errors
///
/// [`TooBig::Wide`] for a piece that fits in no way that the rules allow; [`TooBig::Long`] above
/// a kilometre.
pub fn nest(pieces: &[Piece], roll_width: Length, rules: &LayoutRules) -> Result<Layout, TooBig> {
    let gap = micrometres(rules.gap);
    let free = micrometres(roll_width).saturating_sub(2 * micrometres(rules.side_margin));
    let strip = Strip { width: free + gap, kinds: kinds(pieces, free, gap, rules)? };
    too_long(strip.least_length())?;
    let packing = shortest(&strip);
    let length = packing.length().saturating_sub(gap) + 2 * micrometres(rules.trim);
    too_long(length)?;
    let drawn = Drawn { gap, side_margin: micrometres(rules.side_margin) };
    Ok(Layout {
        roll_width,
        length: to_length(length),
        printed: pieces.iter().map(printed).sum(),
        blocks: packing.stretches.iter().map(|stretch| drawn.block(stretch)).collect(),
    })
}

fn printed(piece: &Piece) -> Area {
    (piece.width * piece.height).times(piece.copies.get())
}

/// The shortest of all tries; of equal ones the first, which is the simplest to cut.
fn shortest(strip: &Strip) -> Packing {
    let mut best = one_per_row(strip);
    let tried = [
        single_kind(strip),
        Some(rows(strip, Kind::lowest)),
        Some(rows(strip, Kind::slimmest)),
        search(strip),
    ];
    for packing in tried.into_iter().flatten() {
        if packing.length() < best.length() {
            best = packing;
        }
    }
    best
}

fn kinds(
    pieces: &[Piece],
    free: Micrometres,
    gap: Micrometres,
    rules: &LayoutRules,
) -> Result<Vec<Kind>, TooBig> {
    let edges = 2 * micrometres(rules.edge);
    let kind = |(number, piece): (usize, &Piece)| {
        let (width, height) = (micrometres(piece.width) + edges, micrometres(piece.height) + edges);
        let upright = Way { across: width + gap, along: height + gap, turned: false };
        let turned = Way { across: height + gap, along: width + gap, turned: true };
        let may_turn = rules.rotation && width != height;
        let ways = [Some(upright), may_turn.then_some(turned)];
        let ways = ways.into_iter().flatten().filter(|way| way.across <= free + gap);
        let ways: Vec<Way> = ways.collect();
        if ways.is_empty() {
            let could_turn = !rules.rotation && height <= free;
            let needed = to_length(if rules.rotation { width.min(height) } else { width });
            return Err(TooBig::Wide { piece: number, needed, could_turn });
        }
        Ok(Kind { ways, copies: piece.copies.get() })
    };
    pieces.iter().enumerate().map(kind).collect()
}

fn too_long(length: Micrometres) -> Result<(), TooBig> {
    if length > LONGEST {
        return Err(TooBig::Long { metres: length / 1_000_000 });
    }
    Ok(())
}

/// Turns stretches into blocks as they lie on the roll.
struct Drawn {
    gap: Micrometres,
    side_margin: Micrometres,
}

impl Drawn {
    fn block(&self, stretch: &Stretch) -> Block {
        Block {
            length: to_length(stretch.along),
            repeats: stretch.repeats,
            placements: stretch.placed.iter().map(|placed| self.placement(placed)).collect(),
        }
    }

    fn placement(&self, placed: &Placed) -> Placement {
        Placement {
            piece: placed.kind,
            across: to_length(placed.x + self.side_margin),
            along: to_length(placed.y),
            width: to_length(placed.way.across - self.gap),
            height: to_length(placed.way.along - self.gap),
            turned: placed.way.turned,
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lengths lie in 0 to a kilometre"
)]
fn micrometres(length: Length) -> Micrometres {
    (length.to_metres() * 1e6).round() as Micrometres
}

/// The length; a kilometre at most, which is checked before.
fn to_length(length: Micrometres) -> Length {
    #[expect(clippy::cast_precision_loss, reason = "a kilometre has 10⁹ micrometres")]
    let metres = length as f64 / 1e6;
    Length::from_metres(metres).unwrap_or(Length::MAX)
}

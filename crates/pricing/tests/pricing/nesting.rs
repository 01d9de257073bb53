//! Layouts worked by hand, and what holds for every layout.

use inkfathom_pricing::{Layout, LayoutRules, Piece, TooBig, nest};
use proptest::prelude::*;
use units::Length;

use crate::support::{copies, millimetres};

/// Lengths are whole micrometres; the comparison in millimetres.
const MICROMETRE: f64 = 1e-3;

pub(crate) fn rules(gap: f64, trim: f64, side_margin: f64, edge: f64) -> LayoutRules {
    LayoutRules {
        gap: millimetres(gap),
        trim: millimetres(trim),
        side_margin: millimetres(side_margin),
        edge: millimetres(edge),
        overspray: Length::MIN,
        rotation: true,
    }
}

pub(crate) fn piece(width: f64, height: f64, prints: u32) -> Piece {
    Piece { width: millimetres(width), height: millimetres(height), copies: copies(prints) }
}

fn length(pieces: &[Piece], roll: f64, rules: &LayoutRules) -> f64 {
    nest(pieces, millimetres(roll), rules).unwrap().length.to_millimetres()
}

/// | pieces | roll | rules | length |
/// |---|---|---|---|
/// | one of 300 × 200 | 610 | – | lies on its lower side: 200 |
/// | two of 300 × 200 | 610 | – | side by side: 200 |
/// | three of 300 × 200 | 610 | – | three turned side by side, 600 ≤ 610: 300 |
/// | three of 300 × 200 | 610 | gap 10 | turned they need 620: two and one, 200 + 10 + 200 = 410 |
/// | the same | 640 | gap 10, trim 15 | turned they need 620: 300 + 2 × 15 = 330 |
/// | the same | 640 | gap 10, margins 11 | 618 are left: 410 |
/// | one of 300 × 200 | 610 | edge 5 | 210 |
/// | 100 of 300 × 200 | 610 | – | 33 turned rows of 3 and an upright one: 33 × 300 + 200 = 10100; 50 upright rows of 2 take 10000 |
/// | one of 600 × 100 and four of 150 × 300 | 600 | – | 100 + 300 = 400 |
#[test]
fn layouts_agree_with_the_worked_examples() {
    let plain = rules(0.0, 0.0, 0.0, 0.0);
    let gap = rules(10.0, 0.0, 0.0, 0.0);
    let three = [piece(300.0, 200.0, 3)];
    let rows: [(&[Piece], f64, &LayoutRules, f64); 9] = [
        (&[piece(300.0, 200.0, 1)], 610.0, &plain, 200.0),
        (&[piece(300.0, 200.0, 2)], 610.0, &plain, 200.0),
        (&three, 610.0, &plain, 300.0),
        (&three, 610.0, &gap, 410.0),
        (&three, 640.0, &rules(10.0, 15.0, 0.0, 0.0), 330.0),
        (&three, 640.0, &rules(10.0, 0.0, 11.0, 0.0), 410.0),
        (&[piece(300.0, 200.0, 1)], 610.0, &rules(0.0, 0.0, 0.0, 5.0), 210.0),
        (&[piece(300.0, 200.0, 100)], 610.0, &plain, 10_000.0),
        (&[piece(600.0, 100.0, 1), piece(150.0, 300.0, 4)], 600.0, &plain, 400.0),
    ];
    for (pieces, roll, rules, expected) in rows {
        let length = length(pieces, roll, rules);
        assert!((length - expected).abs() < MICROMETRE, "{pieces:?} on {roll}: {length}");
    }
}

#[test]
fn without_rotation_a_picture_lies_as_it_is() {
    let upright = LayoutRules { rotation: false, ..rules(0.0, 0.0, 0.0, 0.0) };
    assert_eq!(length(&[piece(200.0, 300.0, 1)], 610.0, &upright).round(), 300.0);
    let too_big = nest(&[piece(700.0, 300.0, 1)], millimetres(610.0), &upright).unwrap_err();
    let needed = millimetres(700.0);
    assert_eq!(too_big, TooBig::Wide { piece: 0, needed, could_turn: true });
}

#[test]
fn more_than_a_kilometre_is_refused_before_it_is_laid_out() {
    let pieces = [piece(600.0, 500.0, u32::MAX)];
    let too_big = nest(&pieces, millimetres(610.0), &rules(0.0, 0.0, 0.0, 0.0)).unwrap_err();
    assert!(matches!(too_big, TooBig::Long { metres } if metres > 1_000_000), "{too_big:?}");
}

#[test]
fn a_kilometre_of_stamps_is_laid_out_at_once() {
    let pieces = [piece(10.0, 12.0, 5_000_000)];
    let layout = nest(&pieces, millimetres(610.0), &rules(0.0, 0.0, 0.0, 0.0)).unwrap();
    assert!(layout.length.to_metres() > 900.0);
}

/// Prints of each piece in a layout.
fn counted(layout: &Layout, pieces: usize) -> Vec<u32> {
    let mut counted = vec![0; pieces];
    for block in &layout.blocks {
        for placement in &block.placements {
            counted[placement.piece] += block.repeats;
        }
    }
    counted
}

/// Pairs of prints in a block that come closer than the gap, and prints outside the roll.
fn collisions(layout: &Layout, rules: &LayoutRules) -> usize {
    let mm = |length: Length| length.to_millimetres();
    let gap = mm(rules.gap) - MICROMETRE;
    let margin = mm(rules.side_margin) - MICROMETRE;
    let mut found = 0;
    for block in &layout.blocks {
        for (number, one) in block.placements.iter().enumerate() {
            let right = mm(one.across) + mm(one.width);
            let top = mm(one.along) + mm(one.height);
            let outside = mm(one.across) < margin
                || right > mm(layout.roll_width) - margin
                || top > mm(block.length) - gap;
            found += usize::from(outside);
            for other in &block.placements[number + 1..] {
                let apart = mm(other.across) >= right + gap
                    || mm(one.across) >= mm(other.across) + mm(other.width) + gap
                    || mm(other.along) >= top + gap
                    || mm(one.along) >= mm(other.along) + mm(other.height) + gap;
                found += usize::from(!apart);
            }
        }
    }
    found
}

fn any_piece() -> impl Strategy<Value = Piece> {
    (50_u32..600, 50_u32..600, 1_u32..30)
        .prop_map(|(width, height, prints)| piece(f64::from(width), f64::from(height), prints))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn every_print_lies_on_the_roll_with_its_gap_and_lengths_have_their_bounds(
        pieces in prop::collection::vec(any_piece(), 1..5),
        roll in 620_u32..1600,
        gap in 0_u32..20,
        edge in 0_u32..5,
    ) {
        let rules = rules(f64::from(gap), 12.0, 4.0, f64::from(edge));
        let layout = nest(&pieces, millimetres(f64::from(roll)), &rules).unwrap();
        let wanted: Vec<u32> = pieces.iter().map(|piece| piece.copies.get()).collect();
        prop_assert_eq!(counted(&layout, pieces.len()), wanted);
        prop_assert_eq!(collisions(&layout, &rules), 0);
        // Never less than the area of the prints over the width of the roll.
        let area = layout.printed.to_square_metres() * 1e6;
        let length = layout.length.to_millimetres();
        prop_assert!(length >= area / f64::from(roll) - MICROMETRE);
        // Never more than one in each row, on its lower side.
        let per_row: f64 = pieces.iter().map(|piece| {
            let lower = piece.width.to_millimetres().min(piece.height.to_millimetres());
            let row = lower + 2.0 * f64::from(edge) + f64::from(gap);
            row * f64::from(piece.copies.get())
        }).sum();
        prop_assert!(length <= per_row - f64::from(gap) + 2.0 * 12.0 + MICROMETRE);
    }

    #[test]
    fn the_same_order_is_laid_out_the_same_way(pieces in prop::collection::vec(any_piece(), 1..4)) {
        let rules = rules(5.0, 0.0, 0.0, 0.0);
        let once = nest(&pieces, millimetres(700.0), &rules);
        prop_assert_eq!(once, nest(&pieces, millimetres(700.0), &rules));
    }
}

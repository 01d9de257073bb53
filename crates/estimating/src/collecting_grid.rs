//! The grid on which colours of all pictures are collected.
//!
//! Its axes are those of CIELAB. Steps are our choice between speed and accuracy: photographs
//! of `testimages` are off by up to 0.17 % in total and 0.33 % of the total in one ink (see
//! `tests/census_accuracy.rs`), most in deep shadows on sets with light inks, where ink bends most.

use colour::Lab;

/// Nodes of L* for a step of lightness.
const L_PER_UNIT: f64 = 1.0;
/// Nodes of a* and b* for a unit.
const AB_PER_UNIT: f64 = 0.5;
/// Where a* and b* begin: beyond every surface colour and display colour.
const AB_FROM: f64 = -160.0;

/// Nodes along L*: 0 to 100.
const L_NODES: u32 = 101;
/// Nodes along a* and b*: −160 to 160.
const AB_NODES: u32 = 161;

/// Nodes of the grid.
pub(crate) const NODES: u32 = L_NODES * AB_NODES * AB_NODES;

/// The node of media white.
pub(crate) const fn node_of_white() -> u32 {
    number([L_NODES - 1, AB_NODES / 2, AB_NODES / 2])
}

/// The eight nodes around a colour with the share of each; they sum to one. Colours beyond the
/// grid count at its surface.
pub(crate) fn corners(colour: Lab) -> impl Iterator<Item = (u32, f64)> {
    let axes = [
        place(colour.l * L_PER_UNIT, L_NODES),
        place((colour.a - AB_FROM) * AB_PER_UNIT, AB_NODES),
        place((colour.b - AB_FROM) * AB_PER_UNIT, AB_NODES),
    ];
    (0..8_u32).map(move |corner| {
        let mut share = 1.0;
        let mut at = [0; 3];
        for (axis, (low, part)) in axes.into_iter().enumerate() {
            let high = corner >> axis & 1;
            at[axis] = low + high;
            share *= if high == 1 { part } else { 1.0 - part };
        }
        (number(at), share)
    })
}

/// The colour of a node.
pub(crate) fn colour_of(node: u32) -> Lab {
    let (l, a, b) = (node / (AB_NODES * AB_NODES), node / AB_NODES % AB_NODES, node % AB_NODES);
    Lab {
        l: f64::from(l) / L_PER_UNIT,
        a: AB_FROM + f64::from(a) / AB_PER_UNIT,
        b: AB_FROM + f64::from(b) / AB_PER_UNIT,
    }
}

const fn number([l, a, b]: [u32; 3]) -> u32 {
    (l * AB_NODES + a) * AB_NODES + b
}

/// The lower node along an axis, and the way to the next, 0 to 1.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "held to the axis")]
fn place(position: f64, nodes: u32) -> (u32, f64) {
    let position = position.clamp(0.0, f64::from(nodes - 1));
    let low = (position.floor() as u32).min(nodes - 2);
    (low, position - f64::from(low))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_mean_of_the_corners_is_the_colour(
            l in 0.0..100.0_f64, a in -128.0..128.0_f64, b in -128.0..128.0_f64,
        ) {
            let mut mean = [0.0; 4];
            for (node, share) in corners(Lab { l, a, b }) {
                let at = colour_of(node);
                for (sum, value) in mean.iter_mut().zip([1.0, at.l, at.a, at.b]) {
                    *sum += share * value;
                }
            }
            for (sum, value) in mean.into_iter().zip([1.0, l, a, b]) {
                prop_assert!((sum - value).abs() < 1e-9, "{sum} for {value}");
            }
        }
    }

    #[test]
    fn white_is_a_node() {
        assert_eq!(colour_of(node_of_white()), Lab::WHITE);
    }
}

use colour::Xyz;
use icc::{ForwardTables, GridTable, ProfileCurve, ProfileMatrix};
use rayon::prelude::*;
use units::DeviceValue;

use crate::colorants::{COMPRESSION, Colorant, Colorants, compressed, steps};

/// Nodes on the axis of a full-strength and of a light ink, by number of colorants from one on.
/// Our choice: as many as keep a profile's making below half a minute and both tables below 20 MB.
/// Light inks go to lighter solids and bend less on the way.
#[rustfmt::skip]
const NODES: [[u8; 2]; 12] = [
    [33, 33], [33, 33], [33, 33], [17, 17], [11, 11], [9, 9],
    [7, 7], [5, 4], [5, 3], [4, 3], [3, 3], [3, 3],
];

/// Samples the print model over a grid of tones.
pub(crate) fn forward_tables(colorants: &Colorants<'_>, matrix: ProfileMatrix) -> ForwardTables {
    let [full, light] = NODES[colorants.inks.len().clamp(1, NODES.len()) - 1];
    let nodes_of = |colorant: &Colorant| if colorant.is_full_strength { full } else { light };
    let nodes = colorants.inks.iter().map(nodes_of).collect();
    let mut grid = GridTable { nodes, outputs: 3, values: Vec::new() };
    let values: Vec<[u16; 3]> = (0..grid.node_count())
        .into_par_iter()
        .map(|node| {
            compressed(colorants.print(&values_at(colorants, &grid.nodes, node))).map(sample)
        })
        .collect();
    grid.values = values.into_iter().flatten().collect();
    ForwardTables {
        device: colorants.inks.iter().map(|colorant| colorant.axis()).collect(),
        grid,
        expansion: [(); 3].map(|()| ProfileCurve::Power(COMPRESSION)),
        matrix,
    }
}

/// The matrix that ends a table: shares of white to XYZ.
pub(crate) fn white_matrix() -> ProfileMatrix {
    let Xyz { x, y, z } = Xyz::PCS_WHITE;
    ProfileMatrix {
        rows: [[x / 100.0, 0.0, 0.0], [0.0, y / 100.0, 0.0], [0.0, 0.0, z / 100.0]],
        offset: [0.0; 3],
    }
}

/// The device values at a node, the last colorant running fastest.
fn values_at(colorants: &Colorants<'_>, nodes: &[u8], node: usize) -> Vec<DeviceValue> {
    let mut rest = node;
    let mut values: Vec<DeviceValue> = colorants
        .inks
        .iter()
        .zip(nodes)
        .rev()
        .map(|(colorant, nodes)| {
            let nodes = usize::from(*nodes);
            let step = rest % nodes;
            rest /= nodes;
            colorant.device_value_of(steps(step) / steps(nodes - 1))
        })
        .collect();
    values.reverse();
    values
}

/// A share as 16 bits.
pub(crate) fn sample(share: f64) -> u16 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to 16 bits before"
    )]
    let sample = (share.clamp(0.0, 1.0) * f64::from(u16::MAX)).round() as u16;
    sample
}

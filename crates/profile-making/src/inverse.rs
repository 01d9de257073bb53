use colour::{Lab, delta_e_00};
use icc::{GridTable, InverseTables, ProfileCurve, ProfileMatrix};
use rayon::prelude::*;
use separation::{LATTICE_FROM_XYZ, Separation, lattice_colour};

use crate::colorants::{Colorants, steps};
use crate::forward::sample;

/// Nodes on each axis of colour: twice as fine as the separation's own lattice, whose nodes are
/// among them. Our choice: between nodes light and dark inks change over along curves.
const NODES: u8 = 65;
/// Nodes on each axis of the gamut table, which only warns.
const GAMUT_NODES: u8 = 33;

/// ΔE00 that counts as within reach, and as far outside as can be told. Our choices: what is
/// hardly seen, and a strong difference.
const GAMUT_FROM: f64 = 2.0;
const GAMUT_TO: f64 = 20.0;

/// White is scaled up by this, so that rounding the matrix to 16 binary places can't leave a
/// trace of ink on it.
const OVER_WHITE: f64 = 1.0 + 4.0 / 65536.0;

/// Samples the separation over the cube on which it interpolates.
pub(crate) fn inverse_tables(
    separation: &Separation,
    colorants: &Colorants<'_>,
    matrix: ProfileMatrix,
) -> InverseTables {
    let vector = |colour: Lab| -> Vec<u16> {
        let separated = separation.separate(colour);
        let values = colorants.device_values(&separated.coverages);
        values.map(|value| sample(value.to_fraction())).collect()
    };
    tables(NODES, colorants.inks.len(), matrix, &vector)
}

/// Samples how far printed colours are from the wanted ones.
pub(crate) fn gamut_tables(separation: &Separation, matrix: ProfileMatrix) -> InverseTables {
    tables(GAMUT_NODES, 1, matrix, &|colour| {
        let printed = separation.predict(&separation.separate(colour));
        let away = delta_e_00(colour, printed);
        vec![sample((away - GAMUT_FROM) / (GAMUT_TO - GAMUT_FROM))]
    })
}

/// The matrix that begins a table: XYZ to the cube's linear axes.
pub(crate) fn cube_matrix() -> ProfileMatrix {
    ProfileMatrix {
        rows: LATTICE_FROM_XYZ.map(|row| row.map(|value| value * OVER_WHITE)),
        offset: [0.0; 3],
    }
}

fn tables(
    nodes: u8,
    outputs: usize,
    matrix: ProfileMatrix,
    vector: &(dyn Fn(Lab) -> Vec<u16> + Sync),
) -> InverseTables {
    let side = usize::from(nodes);
    let place = |node: usize| {
        [node / (side * side), node / side % side, node % side]
            .map(|step| steps(step) / steps(side - 1))
    };
    let vectors: Vec<Vec<u16>> =
        (0..side.pow(3)).into_par_iter().map(|node| vector(lattice_colour(place(node)))).collect();
    InverseTables {
        matrix,
        axes: [ProfileCurve::Lightness, ProfileCurve::Lightness, ProfileCurve::Lightness],
        grid: GridTable {
            nodes: vec![nodes; 3],
            outputs,
            values: vectors.into_iter().flatten().collect(),
        },
    }
}

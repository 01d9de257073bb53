use rayon::prelude::*;

use crate::MAX_CHANNELS;
use crate::inverse::{Answer, Goal, Inverse, Workspace};
use crate::lattice::{Lattice, colour_at};
use crate::policy::Policy;
use crate::recipe::Recipe;

/// Nodes on a side of the finest lattice: 2^k + 1, so that each level halves the last.
pub(crate) const NODES: usize = 33;
/// Nodes on a side of the lattice that holds the least and most black, which vary slowly.
const BLACK_NODES: usize = 17;
const FIRST_NODES: usize = 5;

/// Builds the lattice of recipes, from coarse to fine.
///
/// Every level starts its nodes from the interpolated level above, so that neighbours follow the
/// same branch of the many mixtures of a colour, and nodes of a level are independent: any number
/// of threads gives the same lattice.
pub(crate) fn build(inverse: &Inverse<'_>, policy: &Policy, length: usize) -> Lattice {
    let Some(black) = policy.black_family() else {
        return refine(inverse, length, NODES, &|_, colour| policy.least_black(colour));
    };
    let extreme = |goal: &(dyn Fn([f64; 3], colour::Lab) -> Goal + Sync)| {
        refine(inverse, length, BLACK_NODES, goal)
    };
    let least = extreme(&|_, colour| policy.least_black(colour));
    let most = extreme(&|_, colour| policy.most_black(colour));
    let black_at = |lattice: &Lattice, position| {
        let mut recipe: Recipe = [0.0; MAX_CHANNELS];
        lattice.at_position(position, &mut recipe[..length]);
        recipe[black]
    };
    refine(inverse, length, NODES, &|position, colour| {
        policy.wanted(colour, black_at(&least, position), black_at(&most, position))
    })
}

/// Solves every node, level by level.
fn refine(
    inverse: &Inverse<'_>,
    length: usize,
    finest: usize,
    goal: &(dyn Fn([f64; 3], colour::Lab) -> Goal + Sync),
) -> Lattice {
    let solve = |nodes: usize, starts: &(dyn Fn([f64; 3]) -> Vec<Recipe> + Sync)| {
        let values: Vec<f32> = (0..nodes * nodes * nodes)
            .into_par_iter()
            .map_init(Workspace::default, |workspace, node| {
                let position = place(node, nodes);
                let goal = goal(position, colour_at(position));
                inverse.solve_from(&goal, &starts(position), workspace)
            })
            .flat_map_iter(|answer| stored(&answer, length))
            .collect();
        Lattice::new(nodes, length, values)
    };
    let mut lattice = solve(FIRST_NODES, &|_| first_starts(inverse.families()));
    let mut nodes = FIRST_NODES;
    while nodes < finest {
        nodes = 2 * nodes - 1;
        let coarser = lattice;
        lattice = solve(nodes, &|position| {
            let mut start: Recipe = [0.0; MAX_CHANNELS];
            coarser.at_position(position, &mut start[..length]);
            vec![start]
        });
    }
    lattice
}

/// Starts that reach every corner of the colour solid: a little of everything, and each family
/// alone and with each other one.
fn first_starts(families: usize) -> Vec<Recipe> {
    let mut starts = vec![[0.3; MAX_CHANNELS]];
    for one in 0..families {
        for other in one..families {
            let mut start = [0.05; MAX_CHANNELS];
            start[one] = 0.7;
            start[other] = 0.7;
            starts.push(start);
        }
    }
    starts
}

fn stored(answer: &Answer, length: usize) -> impl Iterator<Item = f32> + use<> {
    #[expect(clippy::cast_possible_truncation, reason = "amounts of 0 to 1 are kept to 10⁻⁷")]
    answer.recipe.into_iter().take(length).map(|amount| amount as f32)
}

/// Where a node stands in the cube.
fn place(node: usize, nodes: usize) -> [f64; 3] {
    let steps = [node / (nodes * nodes), node / nodes % nodes, node % nodes];
    #[expect(clippy::cast_precision_loss, reason = "lattices have far fewer than 2^52 nodes")]
    steps.map(|step| step as f64 / (nodes - 1) as f64)
}

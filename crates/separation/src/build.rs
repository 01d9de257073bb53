use colour::Lab;
use rayon::prelude::*;

use crate::MAX_CHANNELS;
use crate::inverse::{Answer, Goal, Inverse, Workspace};
use crate::lattice::{Lattice, lattice_colour};
use crate::policy::{Policy, Usual};
use crate::recipe::Recipe;

/// Nodes on a side of the finest lattice: 2^k + 1, so that each level halves the last. Our choice:
/// steps of L* 3; with 41 nodes the round trip gained a tenth and the build took twice as long.
pub(crate) const NODES: usize = 33;
/// Nodes on a side of the lattice that holds the least and most black, which vary slowly.
const BLACK_NODES: usize = 17;
/// Coarse enough to try every kind of mixture at every node.
const FIRST_NODES: usize = 5;
/// How often and how strongly the finished nodes are drawn towards their neighbours, in ΔE00² per
/// amount² or reach². Our choice, on eleven inks outside crossovers: at 8 one step of ΔE*ab 1 in 45
/// moved a channel too far, at 100 one in 145, and printable colours came back better; at 600
/// hardly one did, but one unprintable colour in ten was further from the optimum than 1.15 ×.
/// Passes beyond four changed nothing.
const SMOOTHING_PASSES: usize = 4;
const SMOOTHING: f64 = 100.0;

/// Builds the lattice of recipes, from coarse to fine.
///
/// Every level starts its nodes from the interpolated level above, so that neighbours follow the
/// same branch of the many mixtures of a colour, and nodes of a level are independent: any number
/// of threads gives the same lattice.
pub(crate) fn build(inverse: &Inverse<'_>, policy: &Policy, length: usize) -> Lattice {
    let plan = Plan { length, finest: NODES, smoothing_passes: SMOOTHING_PASSES };
    if policy.is_monochrome() {
        return refine(inverse, &plan, &|_, colour| policy.monochrome(colour));
    }
    let Some(black) = policy.black_family() else {
        return refine(inverse, &plan, &|_, colour| policy.least_black(colour));
    };
    let extreme = |goal: &(dyn Fn([f64; 3], Lab) -> Goal + Sync)| {
        refine(inverse, &Plan { finest: BLACK_NODES, smoothing_passes: 0, ..plan }, goal)
    };
    let least = extreme(&|_, colour| policy.least_black(colour));
    let most = extreme(&|_, colour| policy.most_black(colour));
    let black_at = |lattice: &Lattice, position| {
        let mut recipe: Recipe = [0.0; MAX_CHANNELS];
        lattice.at_position(position, &mut recipe[..length]);
        recipe[black]
    };
    let usual = refine(inverse, &plan, &|position, colour| {
        policy.wanted(colour, black_at(&least, position), black_at(&most, position))
    });
    if !policy.is_least_ink() {
        return usual;
    }
    spare(inverse, &plan, &usual, &|usual, lightness, position| {
        let extremes = [black_at(&least, position), black_at(&most, position)];
        policy.least_ink(usual, lightness, extremes)
    })
}

/// Solves every node again for the least ink, from what is usually printed there.
///
/// `goal` is told the usual recipe with its colour, the lightness that is asked for, and the place.
fn spare(
    inverse: &Inverse<'_>,
    plan: &Plan,
    usual: &Lattice,
    goal: &(dyn Fn(&Usual, f64, [f64; 3]) -> Goal + Sync),
) -> Lattice {
    let usual_at = |position, workspace: &mut Workspace| {
        let mut recipe: Recipe = [0.0; MAX_CHANNELS];
        usual.at_position(position, &mut recipe[..plan.length]);
        Usual { recipe, colour: inverse.colour(&recipe, workspace) }
    };
    let goal_at = |position, asked: Lab| {
        let usual = usual_at(position, &mut Workspace::default());
        goal(&usual, asked.l, position)
    };
    let level = Level { inverse, nodes: plan.finest, goal: &goal_at };
    let mut answers = level.each_node(&|node, workspace| {
        let start = usual_at(place(node, plan.finest), workspace).recipe;
        inverse.solve_from(&level.goal_of(node), &[start], workspace)
    });
    for _ in 0..plan.smoothing_passes {
        answers = level.smoothed(&answers);
    }
    lattice_of(&answers, plan.finest, plan.length)
}

/// How a lattice is refined.
#[derive(Clone, Copy)]
struct Plan {
    /// Length of a recipe.
    length: usize,
    /// Nodes on a side of the last level.
    finest: usize,
    smoothing_passes: usize,
}

/// Solves every node, level by level.
fn refine(
    inverse: &Inverse<'_>,
    plan: &Plan,
    goal: &(dyn Fn([f64; 3], Lab) -> Goal + Sync),
) -> Lattice {
    let level = |nodes| Level { inverse, nodes, goal };
    let starts = first_starts(inverse.families());
    let mut answers = level(FIRST_NODES).solve(&|_| starts.clone());
    let mut nodes = FIRST_NODES;
    while nodes < plan.finest {
        let coarser = lattice_of(&answers, nodes, plan.length);
        nodes = 2 * nodes - 1;
        answers = level(nodes).solve(&|position| {
            let mut start: Recipe = [0.0; MAX_CHANNELS];
            coarser.at_position(position, &mut start[..plan.length]);
            vec![start]
        });
        answers = level(nodes).learn_from_neighbours(&answers);
    }
    for _ in 0..plan.smoothing_passes {
        answers = level(nodes).smoothed(&answers);
    }
    lattice_of(&answers, nodes, plan.length)
}

/// The nodes of one level and what each of them seeks.
struct Level<'a> {
    inverse: &'a Inverse<'a>,
    nodes: usize,
    goal: &'a (dyn Fn([f64; 3], Lab) -> Goal + Sync),
}

impl Level<'_> {
    fn solve(&self, starts: &(dyn Fn([f64; 3]) -> Vec<Recipe> + Sync)) -> Vec<Answer> {
        self.each_node(&|node, workspace| {
            let goal = self.goal_of(node);
            self.inverse.solve_from(&goal, &starts(place(node, self.nodes)), workspace)
        })
    }

    /// Solves a node again from a neighbour's recipe where that is the better start as it stands:
    /// neighbours that ended on different branches would show as a contour.
    fn learn_from_neighbours(&self, answers: &[Answer]) -> Vec<Answer> {
        self.each_node(&|node, workspace| {
            let own = answers[node];
            let goal = self.goal_of(node);
            let better = neighbours(node, self.nodes)
                .map(|other| answers[other].recipe)
                .map(|recipe| (self.inverse.cost(&goal, &recipe, workspace), recipe))
                .filter(|(cost, _)| *cost < own.cost)
                .min_by(|one, other| one.0.total_cmp(&other.0));
            match better {
                None => own,
                Some((_, recipe)) => self.inverse.solve_from(&goal, &[recipe], workspace),
            }
        })
    }

    /// Solves every node again, drawn towards the mean of its neighbours: among mixtures of
    /// nearly the same colour, those that vary smoothly are wanted.
    fn smoothed(&self, answers: &[Answer]) -> Vec<Answer> {
        let stiffness = [SMOOTHING; MAX_CHANNELS];
        self.each_node(&|node, workspace| {
            let mean = mean_recipe(neighbours(node, self.nodes).map(|other| answers[other].recipe));
            let goal = self.goal_of(node).drawn_towards(&mean, &stiffness);
            self.inverse.solve_from(&goal, &[answers[node].recipe], workspace)
        })
    }

    fn goal_of(&self, node: usize) -> Goal {
        let position = place(node, self.nodes);
        (self.goal)(position, lattice_colour(position))
    }

    fn each_node(&self, answer: &(dyn Fn(usize, &mut Workspace) -> Answer + Sync)) -> Vec<Answer> {
        (0..self.nodes.pow(3))
            .into_par_iter()
            .map_init(Workspace::default, |workspace, node| answer(node, workspace))
            .collect()
    }
}

fn mean_recipe(recipes: impl Iterator<Item = Recipe>) -> Recipe {
    let mut sum: Recipe = [0.0; MAX_CHANNELS];
    let mut count = 0.0;
    for recipe in recipes {
        count += 1.0;
        for (total, amount) in sum.iter_mut().zip(recipe) {
            *total += amount;
        }
    }
    sum.map(|total| total / count)
}

/// The nodes beside a node along each axis.
fn neighbours(node: usize, nodes: usize) -> impl Iterator<Item = usize> {
    [nodes * nodes, nodes, 1].into_iter().flat_map(move |stride| {
        let step = node / stride % nodes;
        let below = (step > 0).then(|| node - stride);
        let above = (step + 1 < nodes).then(|| node + stride);
        below.into_iter().chain(above)
    })
}

fn lattice_of(answers: &[Answer], nodes: usize, length: usize) -> Lattice {
    let values: Vec<f32> = answers.iter().flat_map(|answer| stored(answer, length)).collect();
    Lattice::new(nodes, length, &values)
}

/// Starts that reach every corner of the colour solid: a little of everything, and each family
/// alone and with each other one. The numbers only say "little" and "much".
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

use colour::{BANDS, Lab};
use print_model::{BandAmounts, PrintModel};
use rayon::prelude::*;

use crate::colour_residual::{ColourResidual, ELEMENTS};
use crate::dual::Dual;
use crate::family_split::Sloped;
use crate::family_tints::FamilyTints;
use crate::normal_equations::NormalEquations;
use crate::recipe::{Recipe, RecipeBook};
use crate::{Limits, MAX_CHANNELS};

/// What is sought: a colour, and among all mixtures that print it the one nearest to a
/// preferred recipe.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Goal {
    pub(crate) colour: Lab,
    pub(crate) preferred: Recipe,
    /// Weight of the distance from what is preferred, in ΔE00² per amount². With about 1 the
    /// preference moves the colour by about 0.01: a unit of amount moves it by 60 to 100.
    pub(crate) stiffness: Recipe,
    /// ΔE00 from the colour that costs nothing, with a steep edge beyond; `None` holds the colour
    /// as it is.
    pub(crate) tolerance: Option<f64>,
    /// ΔE00 per ml/m² of ink.
    pub(crate) ink_weight: f64,
}

impl Goal {
    /// The same goal, drawn towards another recipe as well.
    pub(crate) fn drawn_towards(mut self, recipe: &Recipe, stiffness: &Recipe) -> Self {
        for (place, (amount, stiffness)) in recipe.iter().zip(stiffness).enumerate() {
            let own = self.stiffness[place];
            let both = own + stiffness;
            self.preferred[place] = (own * self.preferred[place] + stiffness * amount) / both;
            self.stiffness[place] = both;
        }
        self
    }
}

/// A mixture that answers a goal.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Answer {
    pub(crate) recipe: Recipe,
    pub(crate) cost: f64,
}

/// Finds recipes for colours: damped Gauss–Newton within bounds.
///
/// Source of the damping: Marquardt, Journal of the Society for Industrial and Applied
/// Mathematics 11 (1963). Unknowns at a bound whose slope points outwards are held there.
pub(crate) struct Inverse<'model> {
    model: &'model PrintModel,
    book: &'model RecipeBook,
    tints: Vec<FamilyTints>,
    limits: &'model Limits,
    highest: Recipe,
}

/// Damping at the start, in the units of the squared slopes (about 60² to 100²).
const FIRST_DAMPING: f64 = 1.0;
/// What a step that helped and one that did not do to the damping. Our choice, as usual for the
/// method: loosen slowly, tighten quickly.
const LOOSEN: f64 = 0.2;
const TIGHTEN: f64 = 8.0;
/// The least damping keeps unneeded families from making the equations singular.
const LEAST_DAMPING: f64 = 1e-6;
/// Most starts need 5 to 15 steps; those that need more have a kink before them.
const MOST_STEPS: usize = 40;
/// A step shorter than this in every unknown ends the search, or one that gains less than this
/// share of the cost: both far below what a drop or an eye resolves.
const SMALLEST_STEP: f64 = 1e-4;
const SMALLEST_GAIN: f64 = 1e-5;
/// ΔE00 per ml/m² above the load limit, and per 100 % above the total: steep enough that
/// what is left for scaling is invisible. 100 % of coverage is about 10 ml/m², so both are alike.
const LOAD_WEIGHT: f64 = 20.0;
const TOTAL_WEIGHT: f64 = 200.0;
/// ΔE00 per ml/m² above three fifths of the load limit. Our choice: strong enough that black takes
/// over before the limit is met rather than at it, and that clipped blacks don't spend half the
/// load on the last tenth of L*; too weak to move a printable colour by more than 0.2.
const SOFT_LOAD_WEIGHT: f64 = 0.35;
const SOFT_LOAD_FROM: f64 = 0.6;

/// Buffers of one thread.
#[derive(Default)]
pub(crate) struct Workspace {
    levels: Vec<[f64; BANDS]>,
}

impl<'model> Inverse<'model> {
    /// `family_limits` gives the highest amount of each family.
    pub(crate) fn new(
        model: &'model PrintModel,
        book: &'model RecipeBook,
        limits: &'model Limits,
        family_limits: &[f64],
    ) -> Self {
        let mut highest = [1.0; MAX_CHANNELS];
        highest[..family_limits.len()].copy_from_slice(family_limits);
        let tints = (0..book.families())
            .into_par_iter()
            .map(|family| FamilyTints::new(model, family, book.split(family), limits))
            .collect();
        Self { model, book, tints, limits, highest }
    }

    /// Number of families, whose amounts come first in a recipe.
    pub(crate) fn families(&self) -> usize {
        self.book.families()
    }

    /// The best answer of several starts; the first wins a tie.
    pub(crate) fn solve_from(
        &self,
        goal: &Goal,
        starts: &[Recipe],
        workspace: &mut Workspace,
    ) -> Answer {
        starts
            .iter()
            .map(|start| self.solve(goal, *start, workspace))
            .min_by(|one, other| one.cost.total_cmp(&other.cost))
            .unwrap_or(Answer { recipe: [0.0; MAX_CHANNELS], cost: f64::INFINITY })
    }

    /// How far a recipe is from a goal, as the sum of squares that solving minimises.
    pub(crate) fn cost(&self, goal: &Goal, recipe: &Recipe, workspace: &mut Workspace) -> f64 {
        self.linearise(goal, &ColourResidual::new(goal.colour), recipe, workspace).cost
    }

    /// The colour that a recipe prints.
    pub(crate) fn colour(&self, recipe: &Recipe, workspace: &mut Workspace) -> Lab {
        self.print(recipe, workspace).colour
    }

    fn solve(&self, goal: &Goal, start: Recipe, workspace: &mut Workspace) -> Answer {
        let residual = ColourResidual::new(goal.colour);
        let mut recipe = self.within(start);
        let mut here = self.linearise(goal, &residual, &recipe, workspace);
        let mut damping = FIRST_DAMPING;
        for _ in 0..MOST_STEPS {
            let step = here.step(&recipe, &self.highest, damping);
            let next = self.within(std::array::from_fn(|place| recipe[place] + step[place]));
            let length = distance(&next, &recipe);
            let there = self.linearise(goal, &residual, &next, workspace);
            let gained = here.cost - there.cost;
            if gained > 0.0 {
                (recipe, here) = (next, there);
                damping = (damping * LOOSEN).max(LEAST_DAMPING);
            } else {
                damping *= TIGHTEN;
            }
            if length < SMALLEST_STEP || (gained > 0.0 && gained < SMALLEST_GAIN * here.cost) {
                break;
            }
        }
        Answer { recipe, cost: here.cost }
    }

    fn within(&self, mut recipe: Recipe) -> Recipe {
        for (amount, highest) in recipe.iter_mut().zip(self.highest) {
            *amount = amount.clamp(0.0, highest);
        }
        recipe
    }

    fn linearise(
        &self,
        goal: &Goal,
        residual: &ColourResidual,
        recipe: &Recipe,
        workspace: &mut Workspace,
    ) -> NormalEquations {
        let mut equations = NormalEquations::new(self.book.length());
        let printed = self.print(recipe, workspace);
        for element in tolerant(residual.at(printed.colour), goal.tolerance) {
            let slopes = printed.slopes.map(|over_lab| {
                (0..3).map(|axis| element.slopes[axis] * over_lab[axis]).sum::<f64>()
            });
            equations.add(element.value, &slopes);
        }
        if goal.ink_weight > 0.0 {
            let Summed { value, slopes } = &printed.load;
            equations.add(goal.ink_weight * value, &slopes.map(|slope| goal.ink_weight * slope));
        }
        for (place, amount) in recipe.iter().enumerate().take(self.book.length()) {
            let root = goal.stiffness[place].sqrt();
            equations.add_single(root * (amount - goal.preferred[place]), place, root);
        }
        self.add_limits(&printed, &mut equations);
        equations
    }

    /// The colour of a recipe and what it takes, with slopes.
    fn print(&self, recipe: &Recipe, workspace: &mut Workspace) -> Printed {
        let families = self.book.families();
        let mut tints = [BandAmounts::NONE; MAX_CHANNELS];
        let mut tint_slopes = [[0.0; BANDS]; MAX_CHANNELS];
        let (mut load, mut total) = (Summed::default(), Summed::default());
        for family in 0..families {
            let at = self.tints[family].at(self.book.place(family, recipe));
            tints[family] = at.tint;
            tint_slopes[family] = at.tint_over_amount;
            let reach = self.book.reach_place(family);
            if let Some(reach) = reach {
                tint_slopes[reach] = at.tint_over_reach;
            }
            load.add(family, reach, at.load);
            total.add(family, reach, at.total);
        }
        let mixture = self.model.mixture(&tints[..families], &mut workspace.levels);
        let xyz = self.model.tristimulus(&mixture.reflectance);
        let paper = self.model.paper_xyz();
        let (colour, over_xyz) = (xyz.to_lab(paper), xyz.lab_slopes(paper));
        let mut slopes = [[0.0; 3]; MAX_CHANNELS];
        let mut set_slope = |unknown: usize, family: usize| {
            let by_band: [f64; BANDS] = std::array::from_fn(|band| {
                mixture.slopes[family][band] * tint_slopes[unknown][band]
            });
            let xyz = self.model.tristimulus(&by_band);
            slopes[unknown] = over_xyz.map(|row| row[0] * xyz.x + row[1] * xyz.y + row[2] * xyz.z);
        };
        for family in 0..families {
            set_slope(family, family);
            if let Some(reach) = self.book.reach_place(family) {
                set_slope(reach, family);
            }
        }
        Printed { colour, slopes, load, total }
    }

    /// Adds what stands above the limits of load and total.
    fn add_limits(&self, printed: &Printed, equations: &mut NormalEquations) {
        let load_limit = self.limits.load().to_millilitres_per_square_metre();
        let total_limit = self.limits.total_area_coverage().to_fraction();
        for (sum, limit, weight) in [
            (&printed.load, SOFT_LOAD_FROM * load_limit, SOFT_LOAD_WEIGHT),
            (&printed.load, load_limit, LOAD_WEIGHT),
            (&printed.total, total_limit, TOTAL_WEIGHT),
        ] {
            if sum.value > limit {
                equations.add(weight * (sum.value - limit), &sum.slopes.map(|s| weight * s));
            }
        }
    }
}

/// Lets colour differences up to a tolerance cost nothing, and steeply more what exceeds it: each
/// element is scaled by (length − tolerance) / length.
fn tolerant(elements: [Dual; ELEMENTS], tolerance: Option<f64>) -> [Dual; ELEMENTS] {
    let Some(tolerance) = tolerance else {
        return elements;
    };
    let [l, a, b, hue] = elements;
    let length = (l * l + a * a + b * b).sqrt();
    if length.value <= tolerance {
        return [Dual::constant(0.0); ELEMENTS];
    }
    let excess = (length + -tolerance) / length;
    [l, a, b, hue].map(|element| element * excess * TOLERANCE_EDGE)
}

/// Steepness beyond a tolerance. Our choice: at 6 the pull of ink overstepped it by ΔE00 0.2, at 20 by
/// a few hundredths.
const TOLERANCE_EDGE: f64 = 6.0;

/// A printed recipe with its slopes over each unknown.
struct Printed {
    colour: Lab,
    /// By unknown: slopes of L*, a*, b*.
    slopes: [[f64; 3]; MAX_CHANNELS],
    /// Ink in ml/m².
    load: Summed,
    /// Sum of coverages.
    total: Summed,
}

/// A sum over families with its slopes over each unknown.
#[derive(Default)]
struct Summed {
    value: f64,
    slopes: Recipe,
}

impl Summed {
    fn add(&mut self, family: usize, reach: Option<usize>, term: Sloped) {
        self.value += term.value;
        self.slopes[family] = term.over_amount;
        if let Some(reach) = reach {
            self.slopes[reach] = term.over_reach;
        }
    }
}

fn distance(one: &Recipe, other: &Recipe) -> f64 {
    one.iter().zip(other).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

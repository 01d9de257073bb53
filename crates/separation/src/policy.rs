use colour::Lab;
use inkset::{BLACK_FAMILY, BuiltSeparation};
use print_model::PrintModel;

use crate::inverse::Goal;
use crate::recipe::Recipe;
use crate::tone_ramp::AS_STATED_REACH;
use crate::{ColourTolerance, InkPolicy, MAX_CHANNELS};

/// Turns an ink policy into the goal of each colour.
#[derive(Clone, Debug)]
pub(crate) struct Policy {
    roles: Vec<Role>,
    policy: InkPolicy,
    black_replacement: f64,
    black_start: f64,
    black_curve: f64,
}

/// What is printed for a colour without looking for the least ink.
pub(crate) struct Usual {
    pub(crate) recipe: Recipe,
    pub(crate) colour: Lab,
}

/// What a family is for.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Role {
    /// Cyan, magenta, yellow: carry colour everywhere.
    Process,
    /// Black: carries neutrals as far as black replacement says.
    Black,
    /// Orange, green, violet …: serves in its own hue sector.
    Extended {
        /// Hue of the solid in degrees.
        hue: f64,
        /// Degrees down and up to the next process families.
        sector: [f64; 2],
    },
}

/// How strongly amounts are drawn to what is preferred, in ΔE00² per amount² (see [`Goal`]).
/// Our choices: an extended family inside its sector costs a quarter of a process family, so
/// that it takes over most of the overprint that it replaces; in neutrals it hardly serves at all.
const PROCESS: f64 = 0.4;
const EXTENDED_INSIDE: f64 = 0.1;
const EXTENDED_OUTSIDE: f64 = 2.0;
const EXTENDED_NEUTRAL: f64 = 40.0;
/// Black follows its replacement closely: it outweighs the pull of neighbouring nodes.
const BLACK: f64 = 30.0;
/// Light inks away from their crossover: dear enough that only colours at the edge of the gamut
/// or of the load limit move it.
const REACH: f64 = 6.0;
/// Pull towards the most black: strong against the process families, weak against colour.
const MOST_BLACK: f64 = 4.0;

/// Under the least ink, black and light inks are held where the policy puts them: what saves ink
/// beyond that would show as grain. Ink pulls by up to 200 a unit, so these move by 0.01.
const BLACK_UNDER_LEAST_INK: f64 = 1e4;
const REACH_UNDER_LEAST_INK: f64 = 1e4;
/// Share of a tolerance that lattice nodes may spend. Our choice: the rest covers the
/// interpolation between them, which is off by 0.3 to 0.6 for one printable colour in twenty.
const AT_NODES: f64 = 0.65;
/// ΔE00 per ml/m² inside the tolerance: any positive weight leads to its edge.
const INK_WEIGHT: f64 = 0.3;
/// Black carries a toned monochrome print as far as it can: more would darken the tone.
const MONOCHROME_BLACK: f64 = 2.0;

/// Chroma C*ab over which an extended family comes in, because neutrals are built without it. Our
/// choice: 8 is a tinted grey, 30 a clearly coloured tone.
const CHROMA_IN: [f64; 2] = [8.0, 30.0];

const PROCESS_FAMILIES: [&str; 3] = ["cyan", "magenta", "yellow"];

impl Policy {
    pub(crate) fn new(model: &PrintModel, settings: &BuiltSeparation, policy: InkPolicy) -> Self {
        let black_replacement = match policy {
            InkPolicy::OfSet | InkPolicy::LeastInk(_) => settings.black_replacement.to_fraction(),
            InkPolicy::BlackReplacement(share) => share.to_fraction(),
            InkPolicy::Monochrome(_) => 1.0,
        };
        Self {
            roles: roles(model),
            policy,
            black_replacement,
            black_start: settings.black_start,
            black_curve: settings.black_curve,
        }
    }

    /// The mixture with the least black.
    pub(crate) fn least_black(&self, colour: Lab) -> Goal {
        self.goal(colour, 0.0, BLACK)
    }

    /// The mixture with the most black.
    pub(crate) fn most_black(&self, colour: Lab) -> Goal {
        self.goal(colour, 1.0, MOST_BLACK)
    }

    /// The mixture that the policy wants, knowing the least and the most black.
    pub(crate) fn wanted(&self, colour: Lab, least: f64, most: f64) -> Goal {
        self.goal(colour, self.black(self.black_replacement, colour.l, [least, most]), BLACK)
    }

    /// The mixture that takes the least ink within the tolerance around the usual print.
    ///
    /// It has the most black that the set's own start and curve allow, and light inks as usual:
    /// an earlier start or fewer light inks would save more, and show as grain.
    pub(crate) fn least_ink(&self, usual: &Usual, lightness: f64, extremes: [f64; 2]) -> Goal {
        let black = self.black(1.0, lightness, extremes);
        let mut goal = self.goal(usual.colour, black, BLACK_UNDER_LEAST_INK);
        let families = self.roles.len();
        goal.preferred[families..].copy_from_slice(&usual.recipe[families..]);
        goal.stiffness[families..].fill(REACH_UNDER_LEAST_INK);
        goal.tolerance = self.tolerance().map(|tolerance| AT_NODES * tolerance.to_delta_e_00());
        goal.ink_weight = INK_WEIGHT;
        goal
    }

    /// Black for a share of what is possible, between the least and the most.
    fn black(&self, replacement: f64, lightness: f64, [least, most]: [f64; 2]) -> f64 {
        least + replacement * self.black_rise(lightness) * (most - least).max(0.0)
    }

    const fn tolerance(&self) -> Option<ColourTolerance> {
        match self.policy {
            InkPolicy::LeastInk(tolerance) => Some(tolerance),
            InkPolicy::OfSet | InkPolicy::BlackReplacement(_) | InkPolicy::Monochrome(_) => None,
        }
    }

    /// Whether the least ink is wanted.
    pub(crate) const fn is_least_ink(&self) -> bool {
        self.tolerance().is_some()
    }

    /// The mixture of a monochrome print.
    pub(crate) fn monochrome(&self, colour: Lab) -> Goal {
        let pull = if self.only_black() { 0.0 } else { MONOCHROME_BLACK };
        self.goal(colour, 1.0, pull)
    }

    /// Whether families other than black are shut out.
    pub(crate) fn only_black(&self) -> bool {
        matches!(self.policy, InkPolicy::Monochrome(toning) if toning.is_neutral())
    }

    /// Whether lightness alone is printed.
    pub(crate) const fn is_monochrome(&self) -> bool {
        matches!(self.policy, InkPolicy::Monochrome(_))
    }

    /// Place of the black family among the model's, if there is one.
    pub(crate) fn black_family(&self) -> Option<usize> {
        self.roles.iter().position(|role| *role == Role::Black)
    }

    /// How far black has risen below its start: 0 there, 1 at half that lightness and below.
    fn black_rise(&self, lightness: f64) -> f64 {
        if self.black_start <= 0.0 {
            return 0.0;
        }
        let half = 0.5 * self.black_start;
        ((self.black_start - lightness) / half).clamp(0.0, 1.0).powf(self.black_curve)
    }

    fn goal(&self, colour: Lab, black: f64, black_stiffness: f64) -> Goal {
        let mut preferred: Recipe = [AS_STATED_REACH; MAX_CHANNELS];
        // What follows the families in a recipe is the reach of their light inks.
        let mut stiffness: Recipe = [REACH; MAX_CHANNELS];
        for (family, role) in self.roles.iter().enumerate() {
            preferred[family] = 0.0;
            stiffness[family] = match *role {
                Role::Process => PROCESS,
                Role::Black => {
                    preferred[family] = black;
                    black_stiffness
                }
                Role::Extended { hue, sector } => extended_stiffness(colour, hue, sector),
            };
        }
        Goal { colour, preferred, stiffness, tolerance: None, ink_weight: 0.0 }
    }
}

/// Falls from neutrals to chromatic colours, and further to the middle of the family's hue
/// sector, smoothly.
fn extended_stiffness(colour: Lab, hue: f64, sector: [f64; 2]) -> f64 {
    let away = (colour.hue_degrees() - hue + 180.0).rem_euclid(360.0) - 180.0;
    let towards = if away < 0.0 { sector[0] } else { sector[1] };
    let inside = smooth(1.0 - away.abs() / towards);
    let [from, to] = CHROMA_IN;
    let chromatic = smooth((colour.chroma() - from) / (to - from));
    let of_chromatic = between(EXTENDED_OUTSIDE, EXTENDED_INSIDE, inside);
    between(EXTENDED_NEUTRAL, of_chromatic, chromatic)
}

/// From one weight to another in equal ratios.
fn between(from: f64, to: f64, share: f64) -> f64 {
    from * (to / from).powf(share)
}

/// 3t² − 2t³ between 0 and 1.
fn smooth(t: f64) -> f64 {
    let t = t.clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

fn roles(model: &PrintModel) -> Vec<Role> {
    let hue_of = |family: usize| {
        let full = model.family_channels(family).last().copied();
        full.map_or(0.0, |channel| model.lab(model.solid(channel)).hue_degrees())
    };
    let families = 0..model.families();
    let process: Vec<f64> = families
        .clone()
        .filter(|&family| PROCESS_FAMILIES.contains(&model.family_name(family)))
        .map(hue_of)
        .collect();
    families
        .map(|family| match model.family_name(family) {
            BLACK_FAMILY => Role::Black,
            name if PROCESS_FAMILIES.contains(&name) || process.is_empty() => Role::Process,
            _ => {
                let hue = hue_of(family);
                Role::Extended { hue, sector: sector(hue, &process) }
            }
        })
        .collect()
}

/// Degrees from a hue to the nearest ones below and above it.
fn sector(hue: f64, others: &[f64]) -> [f64; 2] {
    let nearest = |distance: &dyn Fn(f64) -> f64| {
        others.iter().map(|&other| distance(other).rem_euclid(360.0)).fold(360.0, f64::min)
    };
    [nearest(&|other| hue - other), nearest(&|other| other - hue)]
}

use dosing::VolumeRange;
use rust_decimal::Decimal;
use units::{Area, Money, Volume};

use crate::amounts::End;
use crate::monthly_cost::{MonthlyCosts, Scale};
use crate::{ColourFit, JobOnSet, MonthlyMix, PricingError, Tolerance, to_minor_unit};

/// A month's jobs, each on the cheapest ink set that holds its colours. It rests on estimates of
/// the ink, which are not measurements.
#[derive(Clone, Debug, PartialEq)]
pub struct Routing {
    /// Names of the ink sets.
    pub sets: Vec<String>,
    /// How far prints may differ from the wanted colours.
    pub tolerance: Tolerance,
    /// The jobs in the order given.
    pub jobs: Vec<RoutedJob>,
    /// All jobs on one set, for each set.
    pub all_on: Vec<MonthlyTotal>,
    /// Each job where it is sent.
    pub routed: MonthlyTotal,
    /// What routing saves against all on one set, for each set.
    pub savings: Vec<MonthlySaving>,
}

/// A job and where it is sent.
#[derive(Clone, Debug, PartialEq)]
pub struct RoutedJob {
    /// Its name.
    pub name: String,
    /// Prints of a month.
    pub copies: u32,
    /// Their area.
    pub area: Area,
    /// The job on each set.
    pub on: Vec<RoutedChoice>,
    /// The set that it is sent to.
    pub chosen: usize,
}

/// A job on one set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RoutedChoice {
    /// Ink of a month: pictures, edges, start-ups and cleanings, and what is printed in vain.
    pub ink: VolumeRange,
    /// What it costs, rounded to a line.
    pub cost: Money,
    /// Whether the set holds the job's colours.
    pub holds: bool,
}

/// Ink of a month.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MonthlyTotal {
    /// The ink; ends are added to ends.
    pub ink: VolumeRange,
    /// Sum of the jobs' lines.
    pub cost: Money,
    /// Jobs on a set that does not hold their colours.
    pub jobs_not_held: usize,
}

/// What routing saves in a month; negative where it costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MonthlySaving {
    /// Ink in millilitres; negative where routing takes more.
    pub millilitres: f64,
    /// Money.
    pub money: Money,
}

/// A set loses about as little as the best one when the best one loses at least this part of it.
/// Our choice: a model that nobody calibrated does not tell smaller steps between two gamuts.
const NEAR_LEAST: f64 = 0.75;

/// Sends each job to the cheapest set that holds its colours at one of the mix's tolerances.
///
/// Where no set holds them, the cheapest of those is taken that lose about as little as the best
/// one: at most a third more. Of sets of the same cost the first is taken.
///
/// # Errors
///
/// [`PricingError`] for no jobs, a tolerance that the jobs don't tell of, an ink without price,
/// and prices in two currencies.
pub fn route(mix: &MonthlyMix<'_>, tolerance: Tolerance) -> Result<Routing, PricingError> {
    let costs = MonthlyCosts::of(mix)?;
    routed(mix, &costs, tolerance, Scale::AS_GIVEN)
}

pub(crate) fn routed(
    mix: &MonthlyMix<'_>,
    costs: &MonthlyCosts,
    tolerance: Tolerance,
    scale: Scale,
) -> Result<Routing, PricingError> {
    let known = mix.tolerances.iter().position(|it| *it == tolerance);
    let at = known.ok_or(PricingError::UnknownTolerance { asked: tolerance.to_difference() })?;
    let jobs: Vec<RoutedJob> =
        (0..mix.jobs.len()).map(|job| routed_job(mix, costs, job, at, scale)).collect();
    let total = |pick: &dyn Fn(&RoutedJob) -> usize| total(mix, &jobs, pick);
    let all_on: Vec<MonthlyTotal> =
        (0..mix.sets.len()).map(|set| total(&|_: &RoutedJob| set)).collect();
    let routed = total(&|job: &RoutedJob| job.chosen);
    Ok(Routing {
        sets: mix.sets.iter().map(|set| set.name.clone()).collect(),
        tolerance,
        savings: all_on.iter().map(|all| saving(all, &routed)).collect(),
        all_on,
        routed,
        jobs,
    })
}

fn routed_job(
    mix: &MonthlyMix<'_>,
    costs: &MonthlyCosts,
    job: usize,
    tolerance: usize,
    scale: Scale,
) -> RoutedJob {
    let fit = |on: &JobOnSet| on.fits.get(tolerance).copied().unwrap_or(ColourFit::UNKNOWN);
    let of_job = &mix.jobs[job].on;
    let volume = crate::exact::nearest(scale.volume);
    let on: Vec<RoutedChoice> = of_job
        .iter()
        .zip(&costs.jobs[job])
        .map(|(on, cost)| RoutedChoice {
            ink: scaled(cost.ink, volume),
            cost: cost.line(End::Expected, scale, mix),
            holds: fit(on).holds,
        })
        .collect();
    let losses: Vec<f64> = of_job.iter().map(|on| fit(on).loss).collect();
    // A routed mix has one set at least, and every job tells its ink for each.
    let picture = of_job.first().map(|on| &on.picture);
    RoutedJob {
        name: picture.map(|picture| picture.name.clone()).unwrap_or_default(),
        copies: picture.map_or(0, |picture| picture.copies.get()),
        area: picture.map_or(Area::ZERO, crate::OrderedPicture::area),
        chosen: choice(&on, &losses),
        on,
    }
}

fn choice(on: &[RoutedChoice], losses: &[f64]) -> usize {
    let cost = |&set: &usize| on[set].cost.amount();
    let holding = (0..on.len()).filter(|&set| on[set].holds).min_by_key(cost);
    holding.unwrap_or_else(|| {
        let least = losses.iter().copied().fold(f64::INFINITY, f64::min);
        let near_least = (0..on.len()).filter(|&set| losses[set] * NEAR_LEAST <= least);
        near_least.min_by_key(cost).unwrap_or_default()
    })
}

fn scaled(range: VolumeRange, factor: f64) -> VolumeRange {
    VolumeRange {
        low: range.low.scaled(factor),
        expected: range.expected.scaled(factor),
        high: range.high.scaled(factor),
    }
}

fn total(
    mix: &MonthlyMix<'_>,
    jobs: &[RoutedJob],
    pick: &dyn Fn(&RoutedJob) -> usize,
) -> MonthlyTotal {
    let picked: Vec<&RoutedChoice> = jobs.iter().map(|job| &job.on[pick(job)]).collect();
    let sum = |end: fn(&VolumeRange) -> Volume| picked.iter().map(|it| end(&it.ink)).sum();
    let cost: Decimal = picked.iter().map(|it| it.cost.amount()).sum();
    MonthlyTotal {
        ink: VolumeRange {
            low: sum(|ink| ink.low),
            expected: sum(|ink| ink.expected),
            high: sum(|ink| ink.high),
        },
        cost: to_minor_unit(cost, mix.list.currency),
        jobs_not_held: picked.iter().filter(|it| !it.holds).count(),
    }
}

fn saving(all: &MonthlyTotal, routed: &MonthlyTotal) -> MonthlySaving {
    let money = all.cost.amount() - routed.cost.amount();
    MonthlySaving {
        millilitres: all.ink.expected.to_millilitres() - routed.ink.expected.to_millilitres(),
        money: Money::new(money, all.cost.currency()),
    }
}

impl Routing {
    /// Every job on one set, whether it holds the colours or not.
    pub(crate) fn all_sent_to(mut self, set: usize) -> Self {
        for job in &mut self.jobs {
            job.chosen = set;
        }
        self.routed = self.all_on[set];
        self.savings = self.all_on.iter().map(|all| saving(all, &self.routed)).collect();
        self
    }
}

impl ColourFit {
    /// Where nobody judged: not held, and worse than any other.
    const UNKNOWN: Self = Self { holds: false, loss: f64::INFINITY };
}

use super::sheet::Combinations;

/// By ink: the amounts at which primaries are taken from the chart, 0 and 1 included.
pub(crate) type Levels = Vec<Vec<f64>>;

/// Shares of the new combinations that the chart must hold for an amount to become a level. Our
/// choice: some charts hold grids that thin out towards the darks; whether cells with some
/// predicted corners serve is decided by patches that were left out.
pub(crate) const COMPLETE: [f64; 2] = [0.9, 0.5];
/// The most combinations; our choice, the cost of writing and reading the ink set.
const MOST_NODES: usize = 2000;
/// Levels of a tone nearer than this to another are of no use; our choice, because cells of a tenth
/// are already flatter than the noise of a chart.
const NEAREST: f64 = 0.08;

/// The levels of the plain model: paper and solids.
pub(crate) fn solids(inks: usize) -> Levels {
    vec![vec![0.0, 1.0]; inks]
}

/// Finds amounts at which the chart holds the combinations with the other inks' levels.
///
/// `complete` is the share of new combinations that must be there. `tone` gives an ink's tone at an amount, so that cells become equally wide for the eye. The
/// amount that halves the widest cell best comes first.
pub(crate) fn cells(
    combinations: &Combinations,
    inks: usize,
    tone: &dyn Fn(usize, f64) -> f64,
    complete: f64,
) -> Levels {
    let mut levels = solids(inks);
    let candidates = candidates(combinations, inks);
    loop {
        let best = candidates
            .iter()
            .filter(|(ink, amount)| !levels[*ink].contains(amount))
            .map(|&(ink, amount)| (ink, amount, distance(&levels[ink], ink, amount, tone)))
            .filter(|(.., distance)| *distance >= NEAREST)
            .filter(|&(ink, amount, _)| is_complete(combinations, &levels, (ink, amount), complete))
            .max_by(|one, other| one.2.total_cmp(&other.2));
        let Some((ink, amount, _)) = best else { return levels };
        let place = levels[ink].partition_point(|&level| level < amount);
        levels[ink].insert(place, amount);
    }
}

/// Amounts between 0 and 1 that the chart mixes with other inks.
fn candidates(combinations: &Combinations, inks: usize) -> Vec<(usize, f64)> {
    let mut candidates: Vec<(usize, f64)> = combinations
        .iter()
        .filter(|(amounts, _)| !Combinations::is_ramp(amounts))
        .flat_map(|(amounts, _)| {
            let partial = |&ink: &usize| amounts[ink] > 0.0 && amounts[ink] < 1.0;
            (0..inks).filter(partial).map(|ink| (ink, amounts[ink])).collect::<Vec<_>>()
        })
        .collect();
    candidates.sort_by(|one, other| one.0.cmp(&other.0).then(one.1.total_cmp(&other.1)));
    candidates.dedup();
    candidates
}

/// How far an amount is from the levels in tone.
fn distance(levels: &[f64], ink: usize, amount: f64, tone: &dyn Fn(usize, f64) -> f64) -> f64 {
    let own = tone(ink, amount);
    levels.iter().map(|&level| (tone(ink, level) - own).abs()).fold(f64::INFINITY, f64::min)
}

/// Whether the chart holds nearly all combinations of an amount with the other inks' levels.
fn is_complete(
    combinations: &Combinations,
    levels: &Levels,
    (ink, amount): (usize, f64),
    complete: f64,
) -> bool {
    let mut with = levels.clone();
    with[ink] = vec![amount];
    let all = nodes(&with);
    let present = all.iter().filter(|amounts| combinations.get(amounts).is_some()).count();
    #[expect(clippy::cast_precision_loss, reason = "grids have far fewer than 2^52 nodes")]
    let share = present as f64 / all.len() as f64;
    let total = all.len() + levels.iter().map(Vec::len).product::<usize>();
    share >= complete && total <= MOST_NODES
}

/// All combinations of levels.
pub(crate) fn nodes(levels: &Levels) -> Vec<Vec<f64>> {
    levels.iter().fold(vec![Vec::new()], |nodes, own| {
        nodes
            .iter()
            .flat_map(|node| own.iter().map(move |&level| [&node[..], &[level]].concat()))
            .collect()
    })
}

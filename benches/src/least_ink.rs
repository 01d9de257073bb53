//! What the least ink within a tolerance saves, and what colour it costs.
//!
//! Four photographs, 60 cm wide, on the built-in sets. Everything is held against the set's own
//! black replacement under the same graininess bound: light inks hand over at the same crossovers.
//! Black replacement of 0 and 100 % stands beside it. Colour differences are those between the
//! usual print and the sparing one, over the area.

use std::path::PathBuf;

use clap::Args;
use estimating::{Estimate, EstimatingError};
use inkset::{BuiltIn, builtin};
use separation::{ColourTolerance, InkPolicy};
use units::Share;

use crate::bench_error::BenchError;
use crate::built_in_names::{all_names, names};
use crate::four_pictures::{FourPictures, total_ml};
use crate::separation_folder::SeparationFolder;
use crate::table::Table;

/// Print the curve of ink against tolerance, on four photographs and every built-in ink set
#[derive(Debug, Args)]
pub(crate) struct LeastInk {
    /// Built-in ink sets to look at
    #[arg(long, value_name = "NAME", default_values_t = all_names(), value_parser = names())]
    ink_set: Vec<String>,
    /// Keep separations in this folder for later runs
    #[arg(long, value_name = "PATH")]
    folder: Option<PathBuf>,
}

/// ΔE00 that may be spent.
const TOLERANCES: [f64; 5] = [0.0, 0.5, 1.0, 2.0, 3.0];
/// Shares of black replacement that stand beside them.
const BLACK_REPLACEMENTS: [f64; 2] = [0.0, 1.0];

const COLUMNS: [&str; 7] = [
    "policy",
    "total ml",
    "saved %",
    "by picture",
    "ΔE00 p95 by picture",
    "highest p95",
    "highest max",
];

impl LeastInk {
    /// Estimates, and describes the result.
    pub(crate) fn run(&self) -> Result<String, BenchError> {
        let pictures = FourPictures::count()?;
        let folder = SeparationFolder::new(self.folder.as_deref())?;
        let mut text = "# Least ink within a tolerance\n".to_owned();
        for set in self.ink_set.iter().filter_map(|name| builtin(name)) {
            text += &format!("\n## {}\n\n{}", set.name, of_set(set, &pictures, &folder)?);
        }
        Ok(text)
    }
}

fn of_set(
    set: &BuiltIn,
    pictures: &FourPictures,
    folder: &SeparationFolder,
) -> Result<Table, BenchError> {
    let mut table = Table::new(COLUMNS);
    for policy in policies() {
        let parsed = set.parse().map_err(EstimatingError::from)?;
        table.row(row(policy, &pictures.estimates(parsed, policy, folder)?));
    }
    Ok(table)
}

fn policies() -> impl Iterator<Item = InkPolicy> {
    let tolerances = TOLERANCES.into_iter().filter_map(ColourTolerance::from_delta_e_00);
    let blacks =
        BLACK_REPLACEMENTS.into_iter().filter_map(|share| Share::from_fraction(share).ok());
    std::iter::once(InkPolicy::OfSet)
        .chain(tolerances.map(InkPolicy::LeastInk))
        .chain(blacks.map(InkPolicy::BlackReplacement))
}

fn row(policy: InkPolicy, estimates: &[Estimate]) -> Vec<String> {
    let total: f64 = estimates.iter().map(total_ml).sum();
    let mut cells = vec![policy.to_string(), format!("{total:.3}")];
    // The set's own policy is what the others are held against: it has no effect of its own.
    let effects: Vec<_> = estimates.iter().filter_map(|e| e.policy_effect.as_ref()).collect();
    if effects.is_empty() {
        cells.resize(COLUMNS.len(), String::new());
        return cells;
    }
    let usual: f64 = effects.iter().map(|effect| effect.usual.to_millilitres()).sum();
    let saved = effects.iter().map(|effect| effect.saved_percent.unwrap_or(0.0));
    let p95 = effects.iter().map(|effect| effect.colour_cost.p95);
    let max = effects.iter().map(|effect| effect.colour_cost.max);
    cells.push(format!("{:.1}", 100.0 * (1.0 - total / usual)));
    cells.push(listed(saved, 1));
    cells.push(listed(p95.clone(), 2));
    cells.push(format!("{:.2}", p95.fold(0.0, f64::max)));
    cells.push(format!("{:.2}", max.fold(0.0, f64::max)));
    cells
}

fn listed(figures: impl Iterator<Item = f64>, digits: usize) -> String {
    figures.map(|figure| format!("{figure:.digits$}")).collect::<Vec<_>>().join(", ")
}

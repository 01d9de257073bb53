use std::collections::BTreeMap;
use std::path::PathBuf;

use units::{Coverage, Share};

/// How the set is separated unless a job says otherwise.
#[derive(Clone, Debug, PartialEq)]
pub enum SeparationDefaults {
    /// By the print model and its inverse.
    Built(BuiltSeparation),
    /// By an ICC output profile, CMYK or n-colour up to 12.
    OutputProfile(PathBuf),
}

/// Settings of the built separation.
#[derive(Clone, Debug, PartialEq)]
pub struct BuiltSeparation {
    /// Share of a neutral's possible black that is used: 0 the least black, 1 the most.
    pub black_replacement: Share,
    /// CIELAB lightness L* below which black begins, 0 to 100; at half of it the replacement is
    /// fully in force.
    pub black_start: f64,
    /// Exponent of the rise of black below the start, 0.2 to 5; 1 is straight.
    pub black_curve: f64,
    /// Where the next darker ink of a family begins, as coverage of the lighter one, by name of
    /// the lighter ink.
    pub crossover: BTreeMap<String, Coverage>,
    /// Highest amount of a family, by name of the family.
    pub family_limits: BTreeMap<String, Coverage>,
}

use crate::sentence::percent;
use crate::{Holding, Verdict};

/// Which of several ink sets a picture's colours need.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SetChoice {
    /// The smallest set holds the colours.
    Enough {
        /// Place of the set among those judged.
        set: usize,
    },
    /// A larger set loses clearly less than the smallest.
    Needs {
        /// Place of the smallest set that comes near the best.
        set: usize,
    },
    /// The smallest set loses colours, and no larger one loses clearly less.
    LittleGained {
        /// Place of the smallest set.
        set: usize,
    },
}

/// A set as it was judged.
#[derive(Clone, Copy, Debug)]
pub struct JudgedSet<'a> {
    /// Its name.
    pub name: &'a str,
    /// Number of inks that it prints with.
    pub inks: usize,
    /// Its verdict.
    pub verdict: &'a Verdict,
}

/// One set loses clearly less than another when its loss is less by this part. Our choice: a
/// model that nobody calibrated does not tell smaller steps between two gamuts.
const CLEARLY: f64 = 0.25;

impl SetChoice {
    /// Chooses among sets, by how much they lose; `None` when there is nothing to choose from.
    ///
    /// The smallest set that holds the colours, or that loses as little as nearly any, is enough.
    #[must_use]
    pub fn among(sets: &[JudgedSet<'_>]) -> Option<Self> {
        let mut by_size: Vec<usize> = (0..sets.len()).collect();
        by_size.sort_by_key(|&set| sets[set].inks);
        let smallest = *by_size.first().filter(|_| sets.len() > 1)?;
        if sets[smallest].verdict.holding == Holding::Holds {
            return Some(Self::Enough { set: smallest });
        }
        let loss = |set: usize| sets[set].verdict.loss;
        let least = by_size.iter().map(|&set| loss(set)).fold(f64::INFINITY, f64::min);
        let clearly_less = (1.0 - CLEARLY) * loss(smallest);
        let near_best = by_size.iter().copied().find(|&set| {
            least > clearly_less
                || loss(set) <= clearly_less && loss(set) <= least / (1.0 - CLEARLY)
        });
        Some(match near_best {
            Some(set) if set != smallest => Self::Needs { set },
            _ => Self::LittleGained { set: smallest },
        })
    }

    /// One plain sentence with its numbers. `sets` are those that were chosen among.
    #[must_use]
    pub fn sentence(&self, sets: &[JudgedSet<'_>]) -> String {
        let lost: Vec<String> = sets
            .iter()
            .map(|set| {
                let lost = percent(set.verdict.out_of_gamut);
                let depth = set.verdict.mean_depth();
                format!("{} loses {lost} of the area by {depth:.1}", set.name)
            })
            .collect();
        let lost = format!("{} (mean ΔE00 beyond the threshold)", lost.join(", "));
        let name = |set: usize| sets.get(set).map_or("", |set| set.name);
        match *self {
            Self::Enough { set } => format!("{} is enough: {lost}", name(set)),
            Self::Needs { set } => format!("needs the larger set {}: {lost}", name(set)),
            Self::LittleGained { set } => {
                format!("a larger set than {} gains little here: {lost}", name(set))
            }
        }
    }
}

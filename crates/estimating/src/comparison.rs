use proof::{JudgedSet, SetChoice};
use units::Volume;

use crate::Estimate;

/// Several pictures on several ink sets.
///
/// A saving over several pictures is the ratio of the totals, from unrounded figures, and not a
/// mean of percentages.
#[derive(Clone, Debug, Default)]
pub struct Comparison {
    /// Names of the ink sets, in the order asked for.
    pub ink_sets: Vec<String>,
    /// By picture: its name and its estimate on each ink set.
    pub pictures: Vec<(String, Vec<Estimate>)>,
}

/// How much less ink one set takes than another.
#[derive(Clone, Debug, PartialEq)]
pub struct Saving {
    /// The set that comes earlier in the comparison.
    pub ink_set: String,
    /// The set that it is held against.
    pub against: String,
    /// Percent that the first takes less; negative when it takes more. `None` when the other
    /// takes no ink at all.
    pub percent: Option<f64>,
}

impl Comparison {
    /// The ink of all pictures together, by ink set.
    #[must_use]
    pub fn totals(&self) -> Vec<Volume> {
        let of_set = |set: usize| {
            self.pictures.iter().map(|(_, estimates)| estimates[set].dose.total.expected).sum()
        };
        (0..self.ink_sets.len()).map(of_set).collect()
    }

    /// The savings over all pictures, for each pair of sets.
    #[must_use]
    pub fn savings(&self) -> Vec<Saving> {
        self.savings_of(&self.totals())
    }

    /// The savings of one picture, for each pair of sets.
    #[must_use]
    pub fn savings_of_picture(&self, picture: usize) -> Vec<Saving> {
        let (_, estimates) = &self.pictures[picture];
        let totals: Vec<Volume> = estimates.iter().map(|e| e.dose.total.expected).collect();
        self.savings_of(&totals)
    }

    /// Which of the sets a picture's colours need, and the sentence that says so; `None` where
    /// verdicts were not asked for.
    #[must_use]
    pub fn choice_of_picture(&self, picture: usize) -> Option<(SetChoice, String)> {
        let (_, estimates) = &self.pictures[picture];
        let judged: Vec<JudgedSet<'_>> = estimates.iter().filter_map(judged).collect();
        let choice = SetChoice::among(&judged).filter(|_| judged.len() == estimates.len())?;
        let sentence = choice.sentence(&judged);
        Some((choice, sentence))
    }

    /// What the pictures that need no larger set would save on the set with the fewest inks
    /// against that with the most, and how many they are; `None` where verdicts were not asked for
    /// or no picture is left.
    #[must_use]
    pub fn saving_without_need(&self) -> Option<(usize, Saving)> {
        let needs = |picture: &usize| {
            matches!(self.choice_of_picture(*picture), Some((SetChoice::Needs { .. }, _)) | None)
        };
        let rest: Vec<usize> = (0..self.pictures.len()).filter(|picture| !needs(picture)).collect();
        let (_, first) = self.pictures.get(*rest.first()?)?;
        let inks = |set: &usize| first[*set].idle.iter().filter(|idle| !**idle).count();
        let smallest = (0..self.ink_sets.len()).min_by_key(inks)?;
        let largest = (0..self.ink_sets.len()).max_by_key(inks)?;
        let total = |set: usize| -> Volume {
            rest.iter().map(|picture| self.pictures[*picture].1[set].dose.total.expected).sum()
        };
        let saving = Saving {
            ink_set: self.ink_sets[smallest].clone(),
            against: self.ink_sets[largest].clone(),
            percent: total(smallest).percent_below(total(largest)),
        };
        Some((rest.len(), saving)).filter(|_| smallest != largest)
    }

    fn savings_of(&self, totals: &[Volume]) -> Vec<Saving> {
        let sets = self.ink_sets.len();
        (0..sets)
            .flat_map(|one| (one + 1..sets).map(move |other| (one, other)))
            .map(|(one, other)| Saving {
                ink_set: self.ink_sets[one].clone(),
                against: self.ink_sets[other].clone(),
                percent: totals[one].percent_below(totals[other]),
            })
            .collect()
    }
}

fn judged(estimate: &Estimate) -> Option<JudgedSet<'_>> {
    let verdict = estimate.verdict.as_ref()?;
    let inks = estimate.idle.iter().filter(|idle| !**idle).count();
    Some(JudgedSet { name: &estimate.ink_set, inks, verdict })
}

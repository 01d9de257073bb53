use charts::OtherReading;
use colour::{BANDS, Lab, delta_e_00};
use inkset::RampLaw;

use super::fit_error::FitError;
use super::lines::{LinePrediction, along_lines};
use super::ramps::{Ends, Ramp};
use super::search::Trial;
use super::sheet::{Combination, Combinations, Sheet};

/// A patch that can't have been read right.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspect {
    /// The line of the file.
    pub line: usize,
    /// The sample.
    pub sample: String,
    /// Why, in a sentence.
    pub reason: String,
}

/// How far a patch may lie from what its neighbours suggest: so many times the median of all
/// patches, and in no case less than the second number, in ΔE00.
///
/// Our choice: readings of the published charts at hand, smoothed ones and one with noise of a raw
/// print, lie within 8 medians or 2.1; 2.5 leaves a little room.
pub(crate) struct Tolerance {
    medians: f64,
    least: f64,
}

const INSIDE: Tolerance = Tolerance { medians: 8.0, least: 2.5 };
/// Beyond the last patch of a line predictions are worse.
const BEYOND: Tolerance = Tolerance { medians: 8.0, least: 8.0 };
/// Paper and solids end the fit: so many times the tolerance must be passed. Our choice, because a
/// coarse chart of inks that sink in bends there, and refusing a sound chart is worse than keeping a
/// solid that the report's worst patches show.
const END_TOLERANCE: f64 = 2.0;
/// What a fitted model leaves is larger than what neighbours differ by.
pub(crate) const MODEL: Tolerance = Tolerance { medians: 8.0, least: 3.0 };
/// Where light and full-strength dots of a family overlap is predicted and not fitted: on an invented
/// chart without slips that left ΔE00 3.7 at most, and 5 leaves a little room.
pub(crate) const MODEL_WITH_LIGHT_INKS: Tolerance = Tolerance { medians: 8.0, least: 5.0 };
/// Single-ink ramps have few steps, and wide ones leave the dot gain between them open.
const RAMP: Tolerance = Tolerance { medians: 6.0, least: 4.0 };
/// Where more than one patch in so many is not explained, the model is at fault and not the chart; our
/// choice.
const MODEL_AT_FAULT: usize = 25;
/// How much lighter than two of its own tints a solid, or how much darker than two tints a paper may
/// be, in ΔE00 and L*: more than any print repeats itself.
const END: f64 = 4.0;
/// The law under which neighbours are compared: a factor of 2 fits most prints within the tolerance.
const LAW: RampLaw = RampLaw::YuleNielsen { n: 2.0 };
/// Below any reading; only keeps ratios finite.
const DARKEST: f64 = 1e-4;

/// Which patches are set aside, and why.
pub(crate) struct Aside {
    pub(crate) flags: Vec<bool>,
    reasons: Vec<Option<String>>,
}

impl Aside {
    /// Looks for patches that their neighbours in the chart contradict, without a fitted model.
    pub(crate) fn before_fitting(sheet: &Sheet<'_>, inks: &[String]) -> Result<Self, FitError> {
        let count = sheet.patches.len();
        let mut aside = Self { flags: vec![false; count], reasons: vec![None; count] };
        for (place, patch) in sheet.patches.iter().enumerate() {
            if let Some(difference) = patch.read.contradiction {
                aside.set(place, format!("its row contradicts itself by ΔE00 {difference:.1}"));
            }
            if let Some(OtherReading { line, difference }) = patch.read.other_reading {
                let reason =
                    format!("ΔE00 {difference:.1} from line {line}, of the same device values");
                aside.set(place, reason);
            }
        }
        aside.check_paper(sheet)?;
        for ink in 0..inks.len() {
            aside.check_solid(sheet, ink, inks)?;
            aside.check_ramp(sheet, ink);
        }
        aside.check_lines(sheet, inks)?;
        Ok(aside)
    }

    /// Sets aside what was suspected before, on another sheet of the same chart.
    pub(crate) fn take_over(&mut self, sheet: &Sheet<'_>, suspects: &[Suspect]) {
        for (place, patch) in sheet.patches.iter().enumerate() {
            if let Some(known) = suspects.iter().find(|suspect| suspect.line == patch.read.line) {
                self.set(place, known.reason.clone());
            }
        }
    }

    /// Looks at the differences that a fitted model leaves: sets aside what it can't explain, takes
    /// back what it can. Whether anything changed.
    pub(crate) fn after_fitting(
        &mut self,
        sheet: &Sheet<'_>,
        trial: &Trial,
        tolerance: &Tolerance,
    ) -> bool {
        // Patches that the model was made of say nothing of what it leaves.
        let left = trial.left_out.iter().zip(&self.flags).filter(|(_, aside)| !**aside);
        let most = tolerance.most(left.filter_map(|(difference, _)| *difference));
        let differences = &trial.fitted;
        let unexplained = differences.iter().zip(&self.flags);
        let unexplained = unexplained.filter(|(difference, aside)| !**aside && **difference > most);
        if unexplained.count() * MODEL_AT_FAULT > differences.len() {
            return false;
        }
        let mut has_changed = false;
        for (place, &difference) in differences.iter().enumerate() {
            let contradicts_itself = sheet.patches[place].read.contradiction.is_some();
            let is_end = is_end(&sheet.patches[place].amounts);
            if !self.flags[place] && difference > most && !is_end {
                self.set(place, format!("ΔE00 {difference:.1} from what the model predicts"));
                has_changed = true;
            } else if self.flags[place] && difference < 0.5 * most && !contradicts_itself {
                (self.flags[place], self.reasons[place]) = (false, None);
                has_changed = true;
            }
        }
        has_changed
    }

    /// The patches with their reasons; `predicted` tells readings that belong to other rows.
    pub(crate) fn suspects(&self, sheet: &Sheet<'_>, predicted: &[Lab]) -> Vec<Suspect> {
        let suspect = |(place, reason): (usize, &Option<String>)| {
            let read = sheet.patches[place].read;
            let reason = reason.as_ref()?;
            let other = self.true_row(sheet, predicted, place);
            Some(Suspect {
                line: read.line,
                sample: read.name.clone(),
                reason: other.map_or_else(|| reason.clone(), |other| format!("{reason}; {other}")),
            })
        };
        self.reasons.iter().enumerate().filter_map(suspect).collect()
    }

    /// Whether the reading is that of another suspect or of a neighbouring row.
    fn true_row(&self, sheet: &Sheet<'_>, predicted: &[Lab], place: usize) -> Option<String> {
        let fits = |reading: usize, row: usize| {
            delta_e_00(sheet.patches[reading].lab, predicted[row]) < MODEL.least
        };
        if fits(place, place) {
            return None;
        }
        let line = |row: usize| sheet.patches[row].read.line;
        let others = (0..self.flags.len()).filter(|&other| other != place && self.flags[other]);
        let exchanged = others.clone().find(|&other| fits(place, other) && fits(other, place));
        if let Some(other) = exchanged {
            return Some(format!("looks exchanged with line {}", line(other)));
        }
        let beside = [place.checked_sub(1), Some(place + 1)].into_iter().flatten();
        let slipped = beside.filter(|&row| row < predicted.len()).find(|&row| fits(place, row));
        slipped.map(|row| format!("looks like the reading of line {}", line(row)))
    }

    fn set(&mut self, place: usize, reason: String) {
        self.flags[place] = true;
        self.reasons[place].get_or_insert(reason);
    }

    /// Paper must not be darker than tints.
    fn check_paper(&self, sheet: &Sheet<'_>) -> Result<(), FitError> {
        let combinations = sheet.combinations(&self.flags);
        let paper = combinations.get(&vec![0.0; sheet.inks]).ok_or(FitError::NoPaper)?;
        let own = sheet.patches[paper.patch].lab.l;
        let others = sheet.patches.iter().zip(&self.flags).filter(|(_, aside)| !**aside);
        let mut above: Vec<f64> = others.map(|(patch, _)| patch.lab.l - own).collect();
        above.sort_by(|one, other| other.total_cmp(one));
        match above.get(1) {
            Some(&second) if second > END => {
                Err(suspect_end(sheet, paper, "bare paper".to_owned(), second, END))
            }
            _ => Ok(()),
        }
    }

    /// A solid must not be nearer to the paper than two of its tints.
    fn check_solid(&self, sheet: &Sheet<'_>, ink: usize, inks: &[String]) -> Result<(), FitError> {
        let combinations = sheet.combinations(&self.flags);
        let ramp = combinations.ramp(ink);
        let (Some((_, paper)), Some((_, solid))) = (ramp.first(), ramp.last()) else {
            return Ok(());
        };
        let paper = sheet.patches[paper.patch].lab;
        let depth = |step: &Combination| delta_e_00(paper, sheet.patches[step.patch].lab);
        let mut deeper: Vec<f64> =
            ramp.iter().map(|(_, step)| depth(step) - depth(solid)).collect();
        deeper.sort_by(|one, other| other.total_cmp(one));
        match deeper.get(1) {
            Some(&second) if second > END => {
                let what = format!("the solid of `{}`", inks[ink]);
                Err(suspect_end(sheet, solid, what, second, END))
            }
            _ => Ok(()),
        }
    }

    /// Sets aside steps of a ramp that its other steps contradict, the worst first.
    fn check_ramp(&mut self, sheet: &Sheet<'_>, ink: usize) {
        loop {
            let combinations = sheet.combinations(&self.flags);
            let steps = combinations.ramp(ink);
            // With fewer steps nothing tells which of them is wrong.
            if steps.len() < 5 {
                return;
            }
            let ends = ends_of(&steps);
            let differences: Vec<f64> = (1..steps.len() - 1)
                .map(|place| {
                    let mut others = steps.clone();
                    let (coverage, step) = others.remove(place);
                    let values = Ramp::new(&ends, &others).values(&ends, coverage);
                    sheet.difference(&values, step.patch)
                })
                .collect();
            let most = RAMP.most(differences.iter().copied());
            let worst = (0..differences.len())
                .max_by(|&a, &b| differences[a].total_cmp(&differences[b]))
                .filter(|&place| differences[place] > most);
            let Some(place) = worst else { return };
            let reason = format!("ΔE00 {:.1} from the ramp of its ink", differences[place]);
            self.set_combination(sheet, &steps[place + 1].1, &reason);
        }
    }

    /// Sets aside patches that the lines through them contradict, the worst first.
    fn check_lines(&mut self, sheet: &Sheet<'_>, inks: &[String]) -> Result<(), FitError> {
        /// Rounds: each sets aside the patches that are the worst of all their lines.
        const ROUNDS: usize = 12;
        for _ in 0..ROUNDS {
            let combinations = sheet.combinations(&self.flags);
            let ramps: Option<Vec<(Ends, Ramp)>> =
                (0..inks.len()).map(|ink| ramp_of(&combinations, ink)).collect();
            let Some(ramps) = ramps else { return Ok(()) };
            let predictions = along_lines(sheet, &combinations, &ramps);
            let of_kind = |inside: bool| {
                let of_kind = predictions.iter().filter(move |p| p.is_inside == inside);
                of_kind.map(|prediction| prediction.difference)
            };
            let most = [BEYOND.most(of_kind(false)), INSIDE.most(of_kind(true))];
            let most_of = |prediction: &LinePrediction| {
                let is_end = is_end(&sheet.patches[prediction.combination.patch].amounts);
                let most = most[usize::from(prediction.is_inside)];
                if is_end { END_TOLERANCE * most } else { most }
            };
            let is_suspect =
                |prediction: &&LinePrediction| prediction.difference > most_of(prediction);
            let suspects: Vec<&LinePrediction> = predictions.iter().filter(is_suspect).collect();
            let Some(worst) = suspects.iter().map(|p| p.difference).reduce(f64::max) else {
                return Ok(());
            };
            // A wrong patch pulls at its neighbours by up to half: those wait for the next round.
            for suspect in suspects.iter().filter(|suspect| suspect.difference > 0.5 * worst) {
                let patch = &sheet.patches[suspect.combination.patch];
                if is_end(&patch.amounts) {
                    let (end, what) = (&suspect.combination, end_name(&patch.amounts, inks));
                    return Err(suspect_end(
                        sheet,
                        end,
                        what,
                        suspect.difference,
                        most_of(suspect),
                    ));
                }
                let reason =
                    format!("ΔE00 {:.1} from what its neighbours suggest", suspect.difference);
                self.set_combination(sheet, &suspect.combination, &reason);
            }
        }
        Ok(())
    }

    /// Sets aside all patches of a combination that are far from the first as well.
    fn set_combination(&mut self, sheet: &Sheet<'_>, combination: &Combination, reason: &str) {
        let amounts = &sheet.patches[combination.patch].amounts;
        for (place, patch) in sheet.patches.iter().enumerate() {
            if patch.amounts == *amounts && !self.flags[place] {
                self.set(place, reason.to_owned());
            }
        }
    }
}

impl Tolerance {
    /// The most that is believed among some differences.
    fn most(&self, differences: impl Iterator<Item = f64>) -> f64 {
        let mut sorted: Vec<f64> = differences.collect();
        sorted.sort_by(f64::total_cmp);
        let median = sorted.get(sorted.len() / 2).copied().unwrap_or(0.0);
        (self.medians * median).max(self.least)
    }
}

/// Whether a combination is paper or a single solid, without which there is no model.
fn is_end(amounts: &[f64]) -> bool {
    Combinations::is_ramp(amounts) && amounts.iter().all(|amount| amount.fract() == 0.0)
}

fn end_name(amounts: &[f64], inks: &[String]) -> String {
    let solid = inks.iter().zip(amounts).find(|(_, amount)| **amount > 0.0);
    solid.map_or_else(|| "bare paper".to_owned(), |(ink, _)| format!("the solid of `{ink}`"))
}

fn suspect_end(
    sheet: &Sheet<'_>,
    end: &Combination,
    what: String,
    difference: f64,
    most: f64,
) -> FitError {
    let read = sheet.patches[end.patch].read;
    FitError::SuspectEnd { line: read.line, what, sample: read.name.clone(), difference, most }
}

fn ends_of(steps: &[(f64, Combination)]) -> Ends {
    let zero = [0.0; BANDS];
    let values = |step: Option<&(f64, Combination)>| step.map_or(zero, |(_, step)| step.values);
    Ends::new(LAW, DARKEST, &values(steps.first()), &values(steps.last()))
}

/// The ramp of an ink; `None` where the chart lacks paper or solid.
fn ramp_of(combinations: &Combinations, ink: usize) -> Option<(Ends, Ramp)> {
    let steps = combinations.ramp(ink);
    let is_whole = steps.first()?.0 == 0.0 && steps.last()?.0 == 1.0 && steps.len() > 1;
    let ends = ends_of(&steps);
    is_whole.then(|| Ramp::new(&ends, &steps)).map(|ramp| (ends, ramp))
}

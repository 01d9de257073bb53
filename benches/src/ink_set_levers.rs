//! What five inks save against nine and eleven, and what moves that.
//!
//! Four photographs, 60 cm wide, on the first substrate of the built-in sets in their first print
//! mode. The first table is to be held against a fact of the trade (common practice, no source):
//! on four such pictures together nine inks took 14.8 ml, eleven 14.2 ml and five 8.7 ml. The second
//! moves one lever at a time, in all sets that it concerns, and leaves the others as built in. A
//! lever that moves a figure against its sign fails the run.

use std::path::PathBuf;

use clap::Args;
use estimating::EstimatingError;
use inkset::{BuiltIn, InkSet, builtin};
use separation::InkPolicy;

use crate::bench_error::BenchError;
use crate::four_pictures::{FourPictures, total_ml};
use crate::levers::{Change, Figure, Lever, Sign, levers};
use crate::separation_folder::SeparationFolder;
use crate::table::Table;

/// Print savings between the built-in ink sets on four photographs, and what each lever does to them
///
/// Exits with an error when a lever moves a figure the other way than the trade expects.
#[derive(Debug, Args)]
pub(crate) struct InkSetLevers {
    /// Move only levers whose name contains this
    #[arg(long, value_name = "WORDS", default_value = "")]
    lever: String,
    /// Keep separations in this folder for later runs
    #[arg(long, value_name = "PATH")]
    folder: Option<PathBuf>,
}

const SETS: [&str; 3] = ["five", "nine", "eleven"];

/// Of the trade (common practice, no source): percent that five inks took less than nine and than
/// eleven, by picture and over all.
const OF_THE_TRADE: [[f64; 2]; 5] =
    [[42.0, 38.0], [49.0, 46.0], [30.0, 26.0], [52.0, 54.0], [41.0, 39.0]];

/// Millilitres over all pictures, by set.
#[derive(Clone, Copy)]
struct Totals([f64; 3]);

/// Millilitres by set, and within it by picture.
type Volumes = [Vec<f64>; 3];

/// What is needed to measure a change.
struct Measuring {
    pictures: FourPictures,
    folder: SeparationFolder,
}

impl InkSetLevers {
    /// Measures, and describes the result.
    pub(crate) fn run(&self) -> Result<String, BenchError> {
        let folder = SeparationFolder::new(self.folder.as_deref())?;
        let measuring = Measuring { pictures: FourPictures::count()?, folder };
        let built_in = measuring.volumes(&Change::Crossovers(None))?;
        let usual = Totals::of(&built_in);
        let mut text = format!("# Levers of ink sets\n\n## As built in\n\n{}\n", facts(&built_in));
        let mut flipped = Vec::new();
        for lever in levers().iter().filter(|lever| lever.name.contains(&self.lever)) {
            let totals: Vec<Totals> = lever
                .settings
                .iter()
                .map(|setting| measuring.volumes(&setting.change).map(|v| Totals::of(&v)))
                .collect::<Result<_, _>>()?;
            text += &format!("## {}\n\n{}\n", lever.name, effects(lever, usual, &totals));
            flipped.extend(flips(lever, &totals));
        }
        if flipped.is_empty() {
            return Ok(text);
        }
        Err(BenchError::FlippedSigns { table: text, flipped: flipped.join("; ") })
    }
}

impl Measuring {
    fn volumes(&self, change: &Change) -> Result<Volumes, BenchError> {
        let mut volumes = Volumes::default();
        for (name, volumes) in SETS.iter().zip(&mut volumes) {
            if let Some(set) = builtin(name) {
                *volumes = self.volumes_of(set, change)?;
            }
        }
        Ok(volumes)
    }

    fn volumes_of(&self, set: &BuiltIn, change: &Change) -> Result<Vec<f64>, BenchError> {
        let text = change.applied(set.name, set.text)?;
        let parsed = InkSet::parse(&text, set.name).map_err(EstimatingError::from)?;
        let estimates = self.pictures.estimates(parsed, InkPolicy::OfSet, &self.folder)?;
        Ok(estimates.iter().map(total_ml).collect())
    }
}

impl Totals {
    fn of(volumes: &Volumes) -> Self {
        Self(volumes.each_ref().map(|pictures| pictures.iter().sum()))
    }

    fn figure(self, figure: Figure) -> f64 {
        let Self([five, nine, eleven]) = self;
        match figure {
            Figure::Five => five,
            Figure::Nine => nine,
            Figure::Eleven => eleven,
            Figure::SavingOverNine => saving(five, nine),
            Figure::SavingOverEleven => saving(five, eleven),
        }
    }
}

/// Percent that one volume is below another.
fn saving(less: f64, more: f64) -> f64 {
    100.0 * (1.0 - less / more)
}

/// The savings by picture and over all, beside those of the trade.
fn facts(volumes: &Volumes) -> Table {
    let mut table = Table::new([
        "picture",
        "five ml",
        "nine ml",
        "eleven ml",
        "saved v. nine %",
        "v. eleven %",
        "trade v. nine",
        "trade v. eleven",
    ]);
    let by_picture = FourPictures::kinds()
        .enumerate()
        .map(|(at, kind)| (kind, Totals(volumes.each_ref().map(|set| set[at]))));
    let rows = by_picture.chain([("all", Totals::of(volumes))]);
    for ((kind, totals), trade) in rows.zip(OF_THE_TRADE) {
        let [nine, eleven] = trade.map(|percent| format!("{percent:.0}"));
        let figures = [Figure::Five, Figure::Nine, Figure::Eleven]
            .map(|f| format!("{:.3}", totals.figure(f)));
        let savings = [Figure::SavingOverNine, Figure::SavingOverEleven]
            .map(|f| format!("{:.1}", totals.figure(f)));
        table
            .row([kind.to_owned()].into_iter().chain(figures).chain(savings).chain([nine, eleven]));
    }
    table
}

/// What each setting of a lever gives, and the change from the sets as built in.
fn effects(lever: &Lever, usual: Totals, totals: &[Totals]) -> Table {
    let mut table = Table::new([
        "setting",
        "five ml",
        "nine ml",
        "eleven ml",
        "saved v. nine %",
        "change",
        "v. eleven %",
        "change",
    ]);
    for (setting, totals) in lever.settings.iter().zip(totals) {
        let mut cells = vec![setting.label.clone()];
        for figure in [Figure::Five, Figure::Nine, Figure::Eleven] {
            cells.push(format!("{:.2}", totals.figure(figure)));
        }
        for figure in [Figure::SavingOverNine, Figure::SavingOverEleven] {
            let saved = totals.figure(figure);
            cells.push(format!("{saved:.1}"));
            cells.push(format!("{:+.1}", saved - usual.figure(figure)));
        }
        table.row(cells);
    }
    table
}

/// The figures that a lever moved against its sign, from its first setting to its last.
fn flips(lever: &Lever, totals: &[Totals]) -> Vec<String> {
    let (Some(first), Some(last)) = (totals.first(), totals.last()) else {
        return Vec::new();
    };
    let flipped = |sign: &&Sign| {
        let change = last.figure(sign.figure) - first.figure(sign.figure);
        if sign.rises { change <= 0.0 } else { change >= 0.0 }
    };
    let say = |sign: &Sign| {
        let expected = if sign.rises { "rise" } else { "fall" };
        format!("{}: {:?} should {expected}", lever.name, sign.figure)
    };
    lever.signs.iter().filter(flipped).map(say).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_that_moves_against_its_sign_is_named() {
        let lever = Lever {
            name: "lever",
            settings: Vec::new(),
            signs: vec![
                Sign { figure: Figure::Five, rises: true },
                Sign { figure: Figure::Nine, rises: true },
                Sign { figure: Figure::SavingOverNine, rises: false },
            ],
        };
        let flipped = flips(&lever, &[Totals([5.0, 10.0, 10.0]), Totals([6.0, 9.0, 10.0])]);
        assert_eq!(flipped, ["lever: Nine should rise"; 1]);
    }
}

use crate::bench_error::BenchError;

/// Something about ink sets that could be otherwise, and what that is expected to do.
pub(crate) struct Lever {
    pub(crate) name: &'static str,
    pub(crate) settings: Vec<Setting>,
    /// What moves, from the first setting to the last.
    pub(crate) signs: Vec<Sign>,
}

/// One position of a lever, for all sets that it concerns.
pub(crate) struct Setting {
    pub(crate) label: String,
    pub(crate) change: Change,
}

/// A change of the text of an ink set.
pub(crate) enum Change {
    /// Every line of these keys gets another value.
    Keys(Vec<(&'static str, String)>),
    /// Density of the light inks of a third, in percent; the lighter grey keeps half of it.
    Strengths(f64),
    /// Percent of coverage at which all light inks hand over; `None` leaves it to graininess.
    Crossovers(Option<u32>),
}

/// A figure and the way that it moves.
pub(crate) struct Sign {
    pub(crate) figure: Figure,
    pub(crate) rises: bool,
}

/// What a lever moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Figure {
    /// Millilitres of a set over all pictures.
    Five,
    Nine,
    Eleven,
    /// What five inks save against nine and against eleven.
    SavingOverNine,
    SavingOverEleven,
}

use Figure::{Eleven, Five, Nine, SavingOverEleven, SavingOverNine};

const SAVINGS: [Figure; 2] = [SavingOverNine, SavingOverEleven];
const TOTALS: [Figure; 3] = [Five, Nine, Eleven];

/// The density of most light inks of the built-in sets, in percent.
const BUILT_IN_DENSITY: f64 = 33.0;

pub(crate) fn levers() -> Vec<Lever> {
    vec![
        strengths(),
        ramp_law(),
        crossovers(),
        black_replacement(),
        black_start(),
        load_limit(),
        total_limit(),
    ]
}

/// A light ink of less density takes more volume for the same tone, and only the larger sets have
/// any: the stronger their light inks, the less five inks save.
fn strengths() -> Lever {
    Lever {
        name: "density of light inks (light grey: half of it)",
        settings: [17.0, 25.0, BUILT_IN_DENSITY, 50.0]
            .map(|percent| setting(format!("{percent} %"), Change::Strengths(percent)))
            .into(),
        signs: falling([Nine, Eleven].into_iter().chain(SAVINGS)),
    }
}

/// A light ink's solid is a given share of the full ink's density. How many dots of the full ink
/// print the same tone is up to the law: with n = 1 dots hide the paper in proportion, with a higher
/// n they shade the paper between them, and in K/S a dot counts for the whole of its absorption. The
/// fewer dots of full ink do, the dearer the light ink is beside them; every set takes less.
fn ramp_law() -> Lever {
    let law = |law: &str, n: u32| {
        let keys = vec![("law", format!("\"{law}\"")), ("n", n.to_string())];
        setting(format!("{law}, n = {n}"), Change::Keys(keys))
    };
    let mut settings: Vec<Setting> = (1..=4).map(|n| law("yule-nielsen", n)).collect();
    settings.push(law("kubelka-munk", 2));
    Lever {
        name: "law of tints",
        settings,
        signs: falling(TOTALS).into_iter().chain(rising(SAVINGS)).collect(),
    }
}

/// The later light inks hand over, the more tones they print, each with more volume than the full
/// ink. What graininess asks for is the set as built in, against which changes are held.
fn crossovers() -> Lever {
    let stated = [25, 50, 100];
    Lever {
        name: "crossover of light inks",
        settings: stated
            .map(|percent| setting(format!("{percent} %"), Change::Crossovers(Some(percent))))
            .into(),
        signs: rising([Nine, Eleven].into_iter().chain(SAVINGS)),
    }
}

/// One black ink absorbs what takes three process inks.
fn black_replacement() -> Lever {
    Lever {
        name: "black replacement",
        settings: percents("black_replacement_percent", [0, 50, 100]),
        signs: falling(TOTALS),
    }
}

/// The lighter the tones in which black begins, the more of them it carries in place of three inks.
fn black_start() -> Lever {
    Lever {
        name: "lightness below which black begins",
        settings: [40, 70, 100].map(|l| keyed("black_start_lightness", l, "L*")).into(),
        signs: falling(TOTALS),
    }
}

/// What a place can take is what dark colours use up; light inks add up to more, so that their
/// sets are cut first.
fn load_limit() -> Lever {
    Lever {
        name: "load limit",
        settings: [12, 22, 30].map(|load| keyed("load_limit_ml_per_m2", load, "ml/m²")).into(),
        signs: rising(TOTALS.into_iter().chain(SAVINGS)),
    }
}

/// As the load limit, but it counts coverage.
fn total_limit() -> Lever {
    Lever {
        name: "total area coverage limit",
        settings: percents("total_area_coverage_limit_percent", [160, 220, 280]),
        signs: rising(TOTALS.into_iter().chain(SAVINGS)),
    }
}

fn setting(label: String, change: Change) -> Setting {
    Setting { label, change }
}

fn keyed(key: &'static str, value: u32, unit: &str) -> Setting {
    setting(format!("{value} {unit}"), Change::Keys(vec![(key, value.to_string())]))
}

fn percents<const COUNT: usize>(key: &'static str, values: [u32; COUNT]) -> Vec<Setting> {
    values.map(|value| keyed(key, value, "%")).into()
}

fn rising(figures: impl IntoIterator<Item = Figure>) -> Vec<Sign> {
    figures.into_iter().map(|figure| Sign { figure, rises: true }).collect()
}

fn falling(figures: impl IntoIterator<Item = Figure>) -> Vec<Sign> {
    figures.into_iter().map(|figure| Sign { figure, rises: false }).collect()
}

impl Change {
    /// The text of a set with the change.
    pub(crate) fn applied(&self, set: &'static str, text: &str) -> Result<String, BenchError> {
        match self {
            Self::Keys(keys) => keys.iter().try_fold(text.to_owned(), |text, (key, value)| {
                rewritten(&text, key, |_| value.clone())
                    .ok_or(BenchError::NothingToChange { set, key })
            }),
            // Sets without light inks stay as they are.
            Self::Strengths(percent) => {
                let scaled = |old: f64| format!("{:.1}", old * percent / BUILT_IN_DENSITY);
                let changed = rewritten(text, "density_percent", |old| {
                    old.parse().map_or_else(|_| old.to_owned(), scaled)
                });
                Ok(changed.unwrap_or_else(|| text.to_owned()))
            }
            Self::Crossovers(None) => Ok(text.to_owned()),
            Self::Crossovers(Some(percent)) => Ok(with_crossovers(text, *percent)),
        }
    }
}

/// The text with another value in every line of a key; `None` where there is no such line.
fn rewritten(text: &str, key: &str, value: impl Fn(&str) -> String) -> Option<String> {
    let start = format!("{key} = ");
    let mut found = false;
    let lines: Vec<String> = text
        .lines()
        .map(|line| match line.strip_prefix(&start) {
            None => line.to_owned(),
            Some(old) => {
                found = true;
                format!("{start}{}", value(old))
            }
        })
        .collect();
    found.then(|| lines.join("\n"))
}

/// The light inks of the built-in sets that have any.
const LIGHT_INKS: [&str; 4] = ["light cyan", "light magenta", "grey", "light grey"];

fn with_crossovers(text: &str, percent: u32) -> String {
    let stated = LIGHT_INKS.map(|ink| format!("\"{ink}\" = {percent}")).join(", ");
    let line = format!("[separation]\ncrossover_percent = {{ {stated} }}");
    let has_light_inks = text.contains("strength = \"light\"");
    if has_light_inks { text.replace("[separation]", &line) } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use inkset::{InkSet, builtin, builtin_names};

    #[test]
    fn every_setting_of_every_lever_is_a_readable_ink_set() {
        for set in builtin_names().filter_map(builtin) {
            for setting in levers().iter().flat_map(|lever| &lever.settings) {
                let text = setting.change.applied(set.name, set.text).unwrap();
                assert!(InkSet::parse(&text, set.name).is_ok(), "{}: {}", set.name, setting.label);
            }
        }
    }

    #[test]
    fn every_lever_changes_some_set() {
        let eleven = builtin("eleven").unwrap();
        for lever in levers() {
            let changes = lever.settings.iter().filter(|setting| {
                let text = setting.change.applied("eleven", eleven.text).unwrap();
                InkSet::parse(&text, "eleven").unwrap().set != eleven.parse().unwrap().set
            });
            assert!(changes.count() >= 2, "{}", lever.name);
        }
    }
}

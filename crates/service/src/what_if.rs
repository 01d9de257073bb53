use std::num::NonZeroU32;

use estimating::{Job, RenderingChoice, SizeRequest};
use separation::{ColourTolerance, InkPolicy, Toning};
use serde::{Deserialize, Serialize};
use units::{Length, Share};
use utoipa::ToSchema;

use crate::{Problem, ProblemClass};

/// What is asked about an upload, in the words of the command line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(default, deny_unknown_fields)]
pub struct WhatIf {
    /// Ink sets by name; the configured ones if empty.
    #[schema(max_items = 8)]
    pub ink_set: Vec<String>,
    /// Printed width, "60cm"; from the file if neither side is given.
    pub width: Option<String>,
    /// Printed height; with a width, the picture is fitted inside both.
    pub height: Option<String>,
    /// Number of prints.
    #[schema(value_type = u32, minimum = 1, maximum = 1_000_000)]
    pub copies: NonZeroU32,
    /// Substrate of the ink sets; the first one of each if not given.
    pub substrate: Option<String>,
    /// Print mode of the ink sets; the first one of each if not given.
    pub print_mode: Option<String>,
    /// How colours that a set can't print are met.
    pub intent: Intent,
    /// Whether shadows are lifted to the set's black; with the relative intent alone.
    pub black_point_compensation: bool,
    /// Share of a neutral's possible black that is used, in percent.
    #[schema(minimum = 0, maximum = 100)]
    pub black_replacement: Option<f64>,
    /// ΔE00 within which the least ink is taken.
    pub least_ink: Option<f64>,
    /// Toning of a print through black alone, "a*,b*".
    pub monochrome: Option<String>,
    /// Price list by name; the configured one if not given.
    pub price_list: Option<String>,
    /// Paper of the price list; the one for the substrate if not given.
    pub paper: Option<String>,
    /// Width of the roll, "61cm"; the cheapest if not given.
    pub roll: Option<String>,
    /// Whether the answer is kept.
    pub keep: bool,
}

/// Rendering intents.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Intent {
    /// Media-relative colorimetric.
    #[default]
    Relative,
    /// Pressed smoothly into what the set can print.
    Perceptual,
    /// Colours as measured, tinting the paper.
    Absolute,
}

impl Default for WhatIf {
    fn default() -> Self {
        Self {
            ink_set: Vec::new(),
            width: None,
            height: None,
            copies: NonZeroU32::MIN,
            substrate: None,
            print_mode: None,
            intent: Intent::default(),
            black_point_compensation: true,
            black_replacement: None,
            least_ink: None,
            monochrome: None,
            price_list: None,
            paper: None,
            roll: None,
            keep: false,
        }
    }
}

/// Most ink sets of one question: more columns than anybody reads. Our choice.
const MOST_SETS: usize = 8;
/// Most copies of one question; our choice, above any order.
const MOST_COPIES: u32 = 1_000_000;

impl WhatIf {
    /// Takes one pair of a query or of a plain form. Says whether its name is known; an empty value
    /// counts as not given.
    ///
    /// # Errors
    ///
    /// `Usage` for a value that can't be read.
    pub fn take(&mut self, name: &str, value: &str) -> Result<bool, Problem> {
        let text = || Some(value.to_owned());
        if value.trim().is_empty() {
            return Ok(NAMES.contains(&name));
        }
        match name {
            "ink_set" => {
                let names = value.split(',').map(|name| name.trim().to_owned());
                self.ink_set.extend(names.filter(|name| !name.is_empty()));
            }
            "width" => self.width = text(),
            "height" => self.height = text(),
            "copies" => self.copies = parsed(name, value, "a whole number above 0")?,
            "substrate" => self.substrate = text(),
            "print_mode" => self.print_mode = text(),
            "intent" => {
                let word = serde_json::Value::String(value.to_owned());
                self.intent = serde_json::from_value(word)
                    .map_err(|_| unfit(name, value, "relative, perceptual or absolute"))?;
            }
            "black_point_compensation" => {
                self.black_point_compensation = parsed(name, value, "true or false")?;
            }
            "black_replacement" => {
                self.black_replacement = Some(parsed(name, value, "a number of percent")?);
            }
            "least_ink" => self.least_ink = Some(parsed(name, value, "a number of ΔE00")?),
            "monochrome" => self.monochrome = text(),
            "price_list" => self.price_list = text(),
            "paper" => self.paper = text(),
            "roll" => self.roll = text(),
            "keep" => self.keep = parsed(name, value, "true or false")?,
            _ => return Ok(false),
        }
        Ok(true)
    }

    /// The job that is asked for.
    ///
    /// # Errors
    ///
    /// `Usage` for lengths that can't be read, too many copies, and a compensation that the intent
    /// does not have.
    pub fn job(&self) -> Result<Job, Problem> {
        if self.copies.get() > MOST_COPIES {
            let copies = self.copies;
            return Err(usage(format!("copies are {copies}, outside 1 to {MOST_COPIES}")));
        }
        let size = SizeRequest {
            width: length("width", self.width.as_deref())?,
            height: length("height", self.height.as_deref())?,
        };
        Ok(Job { size, copies: self.copies, rendering: self.rendering()? })
    }

    /// The width of the roll.
    pub(crate) fn roll_width(&self) -> Result<Option<Length>, Problem> {
        length("roll", self.roll.as_deref())
    }

    fn rendering(&self) -> Result<RenderingChoice, Problem> {
        match (self.intent, self.black_point_compensation) {
            (Intent::Relative, true) => Ok(RenderingChoice::Relative),
            (Intent::Relative, false) => Ok(RenderingChoice::RelativeUncompensated),
            (Intent::Perceptual, true) => Ok(RenderingChoice::Perceptual),
            (Intent::Absolute, true) => Ok(RenderingChoice::Absolute),
            (Intent::Perceptual | Intent::Absolute, false) => Err(usage(
                "black_point_compensation goes with the relative intent alone: perceptual rendering \
                 always compensates, absolute never does",
            )),
        }
    }

    /// The rule by which inks are chosen.
    pub(crate) fn policy(&self) -> Result<InkPolicy, Problem> {
        match (self.black_replacement, self.least_ink, self.monochrome.as_deref()) {
            (None, None, None) => Ok(InkPolicy::OfSet),
            (Some(percent), None, None) => black_replacement(percent),
            (None, Some(delta_e), None) => ColourTolerance::from_delta_e_00(delta_e)
                .map(InkPolicy::LeastInk)
                .ok_or_else(|| {
                    let most = ColourTolerance::MAX;
                    usage(format!("least_ink is {delta_e}, outside 0 to {most}"))
                }),
            (None, None, Some(toning)) => monochrome(toning),
            _ => Err(usage(
                "black_replacement, least_ink and monochrome exclude each other; give one of them",
            )),
        }
    }

    /// The names of the sets, or those on offer.
    pub(crate) fn sets<'a>(&'a self, offered: &'a [String]) -> Result<Vec<&'a str>, Problem> {
        let names = if self.ink_set.is_empty() { offered } else { &self.ink_set };
        if names.len() > MOST_SETS {
            let count = names.len();
            return Err(usage(format!("{count} ink sets are asked for, above {MOST_SETS}")));
        }
        for (place, name) in names.iter().enumerate() {
            if names[..place].contains(name) {
                return Err(usage(format!(
                    "ink set `{name}` is given twice; compare different sets"
                )));
            }
        }
        Ok(names.iter().map(String::as_str).collect())
    }
}

/// Every name that a query or a form may have.
const NAMES: [&str; 15] = [
    "ink_set",
    "width",
    "height",
    "copies",
    "substrate",
    "print_mode",
    "intent",
    "black_point_compensation",
    "black_replacement",
    "least_ink",
    "monochrome",
    "price_list",
    "paper",
    "roll",
    "keep",
];

fn usage(detail: impl Into<String>) -> Problem {
    Problem::new(ProblemClass::Usage, detail)
}

fn unfit(name: &str, value: &str, wanted: &str) -> Problem {
    usage(format!("{name} is `{value}`; write {wanted}"))
}

fn parsed<T: std::str::FromStr>(name: &str, value: &str, wanted: &str) -> Result<T, Problem> {
    value.trim().parse().map_err(|_| unfit(name, value, wanted))
}

fn length(name: &str, text: Option<&str>) -> Result<Option<Length>, Problem> {
    let length = text.filter(|text| !text.trim().is_empty()).map(str::parse).transpose();
    length.map_err(|fault: units::UnitError| usage(format!("{name}: {fault}")))
}

/// Percents are taken in whole numbers: each builds a separation of its own, and nobody tells half
/// a percent.
fn black_replacement(percent: f64) -> Result<InkPolicy, Problem> {
    Share::from_fraction(percent.round() / 100.0)
        .map(InkPolicy::BlackReplacement)
        .map_err(|_| usage(format!("black_replacement is {percent} %, outside 0 to 100 %")))
}

fn monochrome(text: &str) -> Result<InkPolicy, Problem> {
    let numbers = text
        .split_once(',')
        .and_then(|(a, b)| Some((a.trim().parse::<f64>().ok()?, b.trim().parse::<f64>().ok()?)));
    let (a, b) = numbers.ok_or_else(|| unfit("monochrome", text, "a* and b*, such as 2,6"))?;
    Toning::new(a, b).map(InkPolicy::Monochrome).ok_or_else(|| {
        let most = Toning::MAX;
        usage(format!("monochrome is {a},{b}, outside -{most} to {most}"))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(pairs: &[(&str, &str)]) -> Result<WhatIf, Problem> {
        let mut what_if = WhatIf::default();
        for (name, value) in pairs {
            assert!(what_if.take(name, value)?, "{name}");
        }
        Ok(what_if)
    }

    #[test]
    fn a_query_says_the_same_as_json() {
        let query = of(&[
            ("ink_set", "five,nine"),
            ("ink_set", "eleven"),
            ("width", "60cm"),
            ("height", ""),
        ]);
        let json = serde_json::json!({"ink_set": ["five", "nine", "eleven"], "width": "60cm"});
        assert_eq!(query, Ok(serde_json::from_value(json).expect("a question")));
    }

    #[test]
    fn every_name_is_taken() {
        for name in NAMES {
            assert_eq!(WhatIf::default().take(name, " "), Ok(true), "{name}");
        }
        assert_eq!(WhatIf::default().take("colour", "x"), Ok(false));
    }

    #[test]
    fn what_makes_no_sense_is_told_with_its_remedy() {
        let refused = |pairs: &[(&str, &str)]| {
            let what_if = of(pairs)?;
            what_if.job()?;
            what_if.policy()?;
            what_if.sets(&["five".to_owned()]).map(drop)
        };
        for (pairs, words) in [
            (&[("copies", "0")][..], "whole number above 0"),
            (&[("copies", "2000000")], "outside 1 to 1000000"),
            (&[("width", "60")], "60cm"),
            (&[("intent", "vivid")], "relative, perceptual or absolute"),
            (
                &[("intent", "absolute"), ("black_point_compensation", "false")],
                "relative intent alone",
            ),
            (&[("least_ink", "1"), ("monochrome", "0,0")], "exclude each other"),
            (&[("black_replacement", "101")], "outside 0 to 100 %"),
            (&[("ink_set", "five,five")], "twice"),
        ] {
            let problem = refused(pairs).expect_err(words);
            assert!(problem.detail.contains(words), "{}", problem.detail);
        }
    }
}

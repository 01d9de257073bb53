//! Renderings and policies as jobs are recorded with: the words of the options of `estimate`.

use estimating::RenderingChoice;
use separation::InkPolicy;

use crate::policies::{black_replacement, least_ink, monochrome};

const RENDERINGS: [(&str, RenderingChoice); 4] = [
    ("relative", RenderingChoice::Relative),
    ("relative-uncompensated", RenderingChoice::RelativeUncompensated),
    ("perceptual", RenderingChoice::Perceptual),
    ("absolute", RenderingChoice::Absolute),
];

/// Reads a rendering.
pub(crate) fn rendering(words: &str) -> Result<RenderingChoice, String> {
    let known = RENDERINGS.iter().find(|(name, _)| *name == words);
    known.map(|(_, rendering)| *rendering).ok_or_else(|| {
        let names: Vec<&str> = RENDERINGS.iter().map(|(name, _)| *name).collect();
        format!("`{words}` is no rendering; write one of {}", names.join(", "))
    })
}

/// Reads a policy: nothing for the ink set's own, or an option of `estimate` with its value.
pub(crate) fn policy(words: &str) -> Result<InkPolicy, String> {
    let (name, value) = words.trim().split_once(' ').unwrap_or((words.trim(), ""));
    match name {
        "" => Ok(InkPolicy::OfSet),
        "black-replacement" => black_replacement(value),
        "least-ink" => least_ink(value),
        "monochrome" => monochrome(if value.is_empty() { "0,0" } else { value }),
        unknown => Err(format!(
            "`{unknown}` is no policy; write `black-replacement 40`, `least-ink 1`, `monochrome \
             2,6`, or nothing"
        )),
    }
}

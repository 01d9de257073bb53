use std::fmt;

/// Something that an estimate rests on and that the picture or the job did not say.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Assumption {
    /// How much it may matter.
    pub weight: Weight,
    /// One sentence for people, lower case, without a full stop.
    pub text: String,
}

/// How much an assumption may matter to the result.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// Worth knowing.
    Note,
    /// May well be wrong, and would change the figures: must be seen.
    Warning,
}

impl Assumption {
    /// An assumption worth knowing.
    #[must_use]
    pub fn note(text: impl fmt::Display) -> Self {
        Self { weight: Weight::Note, text: text.to_string() }
    }

    /// An assumption that must be seen.
    #[must_use]
    pub fn warning(text: impl fmt::Display) -> Self {
        Self { weight: Weight::Warning, text: text.to_string() }
    }
}

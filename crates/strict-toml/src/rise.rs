use crate::{Entry, FormatFault};

/// How the values of a list must follow one another.
#[derive(Clone, Copy, Debug)]
pub enum Rise {
    /// Each above the one before.
    Strict,
    /// None below the one before.
    Level,
}

impl Rise {
    /// Nothing, with a fault at the list, where a value does not follow as it must.
    pub fn check<F: From<FormatFault>, R>(
        self,
        entry: &Entry<'_, F, R>,
        values: &[f64],
    ) -> Option<()> {
        let falls = |pair: &&[f64]| match self {
            Self::Strict => pair[1] <= pair[0],
            Self::Level => pair[1] < pair[0],
        };
        let Some(pair) = values.windows(2).find(falls) else {
            return Some(());
        };
        let (before, value) = (pair[0], pair[1]);
        let rule = self.rule();
        entry.fault(FormatFault::NotRising { value, before, rule });
        None
    }

    const fn rule(self) -> &'static str {
        match self {
            Self::Strict => "rise from each to the next",
            Self::Level => "never fall",
        }
    }
}

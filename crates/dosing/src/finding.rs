use std::fmt;

use units::{Area, Volume};

/// What a fit could not tell, or left out, in plain words by [`fmt::Display`].
#[derive(Clone, Debug, PartialEq)]
pub enum Finding {
    /// A reading so far from what the others say that it was left out.
    WildReading {
        /// The job.
        job: i64,
        /// The ink, or `None` for a total.
        ink: Option<String>,
        /// What was measured.
        measured: Volume,
        /// What the other readings let expect.
        expected: Volume,
    },
    /// The jobs' areas lie too close together.
    AreasTooAlike {
        /// The smallest area.
        smallest: Area,
        /// The largest area.
        largest: Area,
    },
    /// Totals don't tell the inks apart.
    TotalsOnly {
        /// The inks whose lay-down the totals leave as nominal as before.
        undecided: Vec<String>,
    },
    /// The readings hardly say anything of this; it stays near its nominal value.
    StaysNominal {
        /// What.
        what: Quantity,
        /// Of which inks.
        inks: Vec<String>,
    },
    /// No job was read with its start-up.
    NoStartUpRead,
}

/// A quantity of a channel that a calibration finds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Lay-down.
    LayDown,
    /// Volume curve.
    Curve,
    /// Start-up ink.
    StartUp,
}

impl fmt::Display for Finding {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::WildReading { job, ink, measured, expected } => write!(
                out,
                "job {job}: {} is {measured} where the other readings let expect {expected}; left \
                 out, check the record",
                ink.as_deref().unwrap_or("the total")
            ),
            Self::AreasTooAlike { smallest, largest } => write!(
                out,
                "areas too alike to tell start-up ink from lay-down ({smallest} to {largest}); \
                 measure a job at least three times as large or as small"
            ),
            Self::TotalsOnly { undecided } if undecided.is_empty() => out.write_str(
                "totals alone were read: how start-up ink is shared among inks is a guess",
            ),
            Self::TotalsOnly { undecided } => write!(
                out,
                "totals alone were read: they say little of single inks ({}), nor how start-up ink \
                 is shared; totals of pictures like those measured are sounder than others",
                undecided.join(", ")
            ),
            Self::StaysNominal { what, inks } => {
                write!(out, "{what} stays near its nominal value: {}", inks.join(", "))
            }
            Self::NoStartUpRead => out
                .write_str("no reading includes the start-up ink, so that nothing is known of it"),
        }
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::LayDown => "lay-down",
            Self::Curve => "volume curve",
            Self::StartUp => "start-up ink",
        })
    }
}

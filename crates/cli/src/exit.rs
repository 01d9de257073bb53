use std::process::ExitCode;

/// How a run ends. `inkfathom --help` prints the same table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// 0: everything that was asked for was answered.
    Answered,
    /// 2: the command line makes no sense.
    Usage,
    /// 3: some files could not be answered, the others were.
    SomeFilesFailed,
    /// 4: no file could be answered.
    AllFilesFailed,
    /// 5: an ink set is missing or faulty.
    InkSet,
    /// 6: the result could not be written.
    Output,
    /// 7: a price list or a list of jobs is missing or faulty.
    List,
    /// 8: what was asked for can't be priced.
    NoPrice,
    /// 9: the ledger, a job or a calibration can't be used.
    Ledger,
    /// 10: the service can't be configured or started.
    Service,
}

/// What `--help` ends with: the table of exit codes, and what an estimate is not.
pub(crate) const AFTER_HELP: &str = "\
Exit codes:
  0  everything was answered
  2  the command line makes no sense
  3  some files could not be answered, the others were
  4  no file could be answered
  5  an ink set is missing or faulty
  6  the result could not be written
  7  a price list or a list of jobs is missing or faulty
  8  what was asked for can't be priced
  9  the ledger, a job or a calibration can't be used
 10  the service can't be configured or started

An estimate is not a measurement. For handling ink, electrical work and ventilation see the
supplier's safety data sheet and local codes, and ask qualified people.";

impl Exit {
    /// How a run ends of whose files some failed.
    pub(crate) const fn of_files(failed: usize, all: usize) -> Self {
        match failed {
            0 => Self::Answered,
            _ if failed == all => Self::AllFilesFailed,
            _ => Self::SomeFilesFailed,
        }
    }

    /// The code that the shell sees.
    #[must_use]
    pub const fn code(self) -> u8 {
        match self {
            Self::Answered => 0,
            Self::Usage => 2,
            Self::SomeFilesFailed => 3,
            Self::AllFilesFailed => 4,
            Self::InkSet => 5,
            Self::Output => 6,
            Self::List => 7,
            Self::NoPrice => 8,
            Self::Ledger => 9,
            Self::Service => 10,
        }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit.code())
    }
}

use crate::{ChartError, ChartFault, ChartRemark, Notice, Problem};

/// More faults than this help nobody; our choice.
const MOST_PROBLEMS: usize = 100;

/// Collects what one reading finds.
pub(crate) struct Log {
    origin: String,
    problems: Vec<Problem>,
    notices: Vec<Notice>,
}

impl Log {
    pub(crate) fn new(origin: &str) -> Self {
        Self { origin: origin.to_owned(), problems: Vec::new(), notices: Vec::new() }
    }

    pub(crate) fn fault(&mut self, line: usize, fault: ChartFault) {
        if self.problems.len() < MOST_PROBLEMS {
            self.problems.push(Problem { origin: self.origin.clone(), line, fault });
        }
    }

    pub(crate) fn remark(&mut self, line: usize, remark: ChartRemark) {
        self.notices.push(Notice { origin: self.origin.clone(), line, remark });
    }

    pub(crate) const fn is_clean(&self) -> bool {
        self.problems.is_empty()
    }

    /// The notices, or all faults where there is one.
    pub(crate) fn finish(self) -> Result<Vec<Notice>, ChartError> {
        match self.problems {
            none if none.is_empty() => Ok(self.notices),
            problems => Err(ChartError::Faulty { problems }),
        }
    }
}

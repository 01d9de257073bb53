use std::cell::RefCell;
use std::ops::Range;

use crate::{Notice, Place, Problem};

/// The most problems that are kept; our choice: more than anyone mends before reading again.
const MOST_PROBLEMS: usize = 100;

/// Collects what reading finds, with places in the text.
pub(crate) struct Log<'text, F, R> {
    origin: &'text str,
    /// Where each line after the first begins.
    line_starts: Vec<usize>,
    problems: RefCell<Vec<Problem<F>>>,
    notices: RefCell<Vec<Notice<R>>>,
}

impl<'text, F, R> Log<'text, F, R> {
    pub(crate) fn new(text: &'text str, origin: &'text str) -> Self {
        let line_ends = text.bytes().enumerate().filter(|&(_, byte)| byte == b'\n');
        let line_starts = line_ends.map(|(end, _)| end + 1).collect();
        Self {
            origin,
            line_starts,
            problems: RefCell::new(Vec::new()),
            notices: RefCell::new(Vec::new()),
        }
    }

    pub(crate) fn fault(&self, key: &str, span: &Range<usize>, fault: impl Into<F>) {
        let mut problems = self.problems.borrow_mut();
        if problems.len() < MOST_PROBLEMS {
            let place = self.place(key, span);
            problems.push(Problem { place, fault: fault.into() });
        }
    }

    pub(crate) fn remark(&self, key: &str, span: &Range<usize>, remark: R) {
        let place = self.place(key, span);
        self.notices.borrow_mut().push(Notice { place, remark });
    }

    /// The line of a byte of the text, counted from 1.
    pub(crate) fn line(&self, span: &Range<usize>) -> usize {
        1 + self.line_starts.partition_point(|&start| start <= span.start)
    }

    /// What was found, each in the order of the lines.
    pub(crate) fn into_findings(self) -> (Vec<Problem<F>>, Vec<Notice<R>>) {
        let mut problems = self.problems.into_inner();
        problems.sort_by_key(|problem| problem.place.line);
        let mut notices = self.notices.into_inner();
        notices.sort_by_key(|notice| notice.place.line);
        (problems, notices)
    }

    fn place(&self, key: &str, span: &Range<usize>) -> Place {
        Place { origin: self.origin.to_owned(), line: self.line(span), key: key.to_owned() }
    }
}

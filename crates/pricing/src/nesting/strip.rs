/// Micrometres.
pub(super) type Micrometres = u64;

/// The roll and what is to lie on it. Every extent has one gap added, so that pieces may touch.
#[derive(Clone, Debug)]
pub(super) struct Strip {
    /// Free width.
    pub(super) width: Micrometres,
    pub(super) kinds: Vec<Kind>,
}

/// Prints of one size.
#[derive(Clone, Debug)]
pub(super) struct Kind {
    /// The ways in which it may lie and fits the width; one or two.
    pub(super) ways: Vec<Way>,
    pub(super) copies: u32,
}

/// One of the two ways in which a print may lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Way {
    pub(super) across: Micrometres,
    pub(super) along: Micrometres,
    pub(super) turned: bool,
}

impl Kind {
    /// The way that takes the least length of roll.
    pub(super) fn lowest(&self) -> Way {
        self.pick(|way| way.along)
    }

    /// The way that leaves most room beside it.
    pub(super) fn slimmest(&self) -> Way {
        self.pick(|way| way.across)
    }

    fn pick(&self, key: impl Fn(&Way) -> Micrometres) -> Way {
        // There is one way at least: what fits no way is refused before.
        let best = self.ways.iter().min_by_key(|way| key(way));
        best.copied().unwrap_or(Way { across: 0, along: 0, turned: false })
    }
}

impl Strip {
    /// No layout is shorter: all pieces side by side without waste, and none lower than its
    /// lowest way.
    pub(super) fn least_length(&self) -> Micrometres {
        let area = |kind: &Kind| {
            let way = kind.lowest();
            u128::from(way.across) * u128::from(way.along) * u128::from(kind.copies)
        };
        let area: u128 = self.kinds.iter().map(area).sum();
        let by_area = area.div_ceil(u128::from(self.width.max(1)));
        let highest = self.kinds.iter().map(|kind| kind.lowest().along).max().unwrap_or_default();
        u64::try_from(by_area).unwrap_or(u64::MAX).max(highest)
    }

    pub(super) fn pieces(&self) -> u64 {
        self.kinds.iter().map(|kind| u64::from(kind.copies)).sum()
    }
}

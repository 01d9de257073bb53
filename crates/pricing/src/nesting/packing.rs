use super::strip::{Micrometres, Way};

/// Stretches of roll that hold all pieces.
#[derive(Clone, Debug)]
pub(super) struct Packing {
    pub(super) stretches: Vec<Stretch>,
}

/// Pieces side by side and one above the other, repeated some times.
#[derive(Clone, Debug)]
pub(super) struct Stretch {
    pub(super) along: Micrometres,
    pub(super) repeats: u32,
    pub(super) placed: Vec<Placed>,
}

/// A piece in its place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placed {
    pub(super) kind: usize,
    pub(super) way: Way,
    pub(super) x: Micrometres,
    pub(super) y: Micrometres,
}

impl Packing {
    pub(super) fn length(&self) -> Micrometres {
        self.stretches.iter().map(|it| it.along * u64::from(it.repeats)).sum()
    }
}

impl Placed {
    pub(super) fn right(&self) -> Micrometres {
        self.x + self.way.across
    }

    pub(super) fn top(&self) -> Micrometres {
        self.y + self.way.along
    }
}

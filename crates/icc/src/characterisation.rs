use std::sync::LazyLock;

use colour::{Lab, Xyz};

/// What CMYK stands for where nothing says so: offset printing on coated paper, by a published
/// table of measured patches.
///
/// Black has six planes, and each plane is a grid of its own over cyan, magenta and yellow; the
/// levels become fewer as black rises. Between patches CIELAB is interpolated linearly along each
/// axis. On the 302 patches of the same table that are no grid points, that is off by ΔE*ab 0.08
/// in the mean and 0.66 at the most (`tests/icc/assumed_cmyk.rs`).
///
/// Source: ANSI/CGATS/GRACoL TR 006-2007; the table's own terms allow derivative work that names
/// it.
pub(crate) struct Characterisation {
    planes: Vec<Plane>,
    paper: Xyz,
}

/// The patches of one level of black.
struct Plane {
    levels: &'static [f64],
    /// CIELAB relative to the paper; yellow varies fastest, cyan slowest.
    nodes: Vec<Lab>,
}

const TABLE: &str = include_str!("../data/tr006-grid.txt");

/// Levels of cyan, magenta and yellow at each level of black, as shares: the full grids of the
/// IT8.7/4 chart.
const PLANES: [(f64, &[f64]); 6] = [
    (0.0, &[0.0, 0.1, 0.2, 0.3, 0.4, 0.55, 0.7, 0.85, 1.0]),
    (0.2, &[0.0, 0.1, 0.2, 0.4, 0.7, 1.0]),
    (0.4, &[0.0, 0.2, 0.4, 0.7, 1.0]),
    (0.6, &[0.0, 0.2, 0.4, 0.7, 1.0]),
    (0.8, &[0.0, 0.4, 0.7, 1.0]),
    (1.0, &[0.0, 0.4, 1.0]),
];

static COATED_OFFSET: LazyLock<Characterisation> = LazyLock::new(Characterisation::read);

impl Characterisation {
    /// The table that is built in.
    pub(crate) fn coated_offset() -> &'static Self {
        &COATED_OFFSET
    }

    fn read() -> Self {
        let measured: Vec<Xyz> =
            TABLE.lines().filter(|line| !line.starts_with('#')).filter_map(tristimulus).collect();
        let paper = measured.first().copied().unwrap_or(Xyz::PCS_WHITE);
        let mut colours = measured.into_iter().map(|xyz| xyz.to_lab(paper));
        let plane = |(_, levels): (f64, &'static [f64])| Plane {
            levels,
            nodes: colours.by_ref().take(levels.len().pow(3)).collect(),
        };
        Self { planes: PLANES.into_iter().map(plane).collect(), paper }
    }

    /// CIELAB relative to the paper, of device values 0 to 1.
    pub(crate) fn to_relative_lab(&self, [cyan, magenta, yellow, black]: [f64; 4]) -> Lab {
        let (below, share) = place(&PLANES.map(|(black, _)| black), black);
        let (low, high) = (&self.planes[below], &self.planes[below + 1]);
        let low = low.at([cyan, magenta, yellow]);
        mixed(low, high.at([cyan, magenta, yellow]), share)
    }

    /// CIELAB relative to the perfect diffuser.
    pub(crate) fn to_absolute_lab(&self, device: [f64; 4]) -> Lab {
        let relative = self.to_relative_lab(device);
        relative.to_xyz(self.paper).to_lab(Xyz::PCS_WHITE)
    }

    /// The darkest patch.
    pub(crate) fn darkest(&self) -> Option<Lab> {
        let nodes = self.planes.iter().flat_map(|plane| plane.nodes.iter().copied());
        nodes.min_by(|one, other| one.l.total_cmp(&other.l))
    }
}

impl Plane {
    fn at(&self, device: [f64; 3]) -> Lab {
        let [cyan, magenta, yellow] = device.map(|value| place(self.levels, value));
        let node = |cyan: usize, magenta: usize, yellow: usize| {
            let levels = self.levels.len();
            self.nodes[(cyan * levels + magenta) * levels + yellow]
        };
        let along_yellow = |cyan: usize, magenta: usize| {
            let (below, share) = yellow;
            mixed(node(cyan, magenta, below), node(cyan, magenta, below + 1), share)
        };
        let along_magenta = |cyan: usize| {
            let (below, share) = magenta;
            mixed(along_yellow(cyan, below), along_yellow(cyan, below + 1), share)
        };
        let (below, share) = cyan;
        mixed(along_magenta(below), along_magenta(below + 1), share)
    }
}

/// The level at or below a value, never the last, and the share of the way to the next one.
fn place(levels: &[f64], value: f64) -> (usize, f64) {
    let above = levels.partition_point(|level| *level <= value).clamp(1, levels.len() - 1);
    let (low, high) = (levels[above - 1], levels[above]);
    (above - 1, (value - low) / (high - low))
}

fn mixed(low: Lab, high: Lab, share: f64) -> Lab {
    let mix = |low: f64, high: f64| low + share * (high - low);
    Lab { l: mix(low.l, high.l), a: mix(low.a, high.a), b: mix(low.b, high.b) }
}

/// The last three of seven numbers of a row.
fn tristimulus(row: &str) -> Option<Xyz> {
    let mut numbers = row.split_ascii_whitespace().skip(4).map(str::parse);
    let mut next = || numbers.next()?.ok();
    Some(Xyz { x: next()?, y: next()?, z: next()? })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_plane_has_all_its_nodes() {
        let table = Characterisation::coated_offset();
        for plane in &table.planes {
            assert_eq!(plane.nodes.len(), plane.levels.len().pow(3));
        }
        let rows = TABLE.lines().filter(|line| !line.starts_with('#'));
        assert_eq!(rows.count(), 729 + 216 + 125 + 125 + 64 + 27);
    }

    #[test]
    fn rows_stand_in_the_order_in_which_they_are_looked_up() {
        let mut rows = TABLE.lines().filter(|line| !line.starts_with('#'));
        for (black, levels) in PLANES {
            for (cyan, magenta, yellow) in grid(levels) {
                let shares = [cyan, magenta, yellow, black];
                let [c, m, y, k] = shares.map(|share| (share * 100.0).round());
                let row = rows.next().unwrap();
                assert!(row.starts_with(&format!("{c} {m} {y} {k} ")), "{row}");
            }
        }
    }

    fn grid(levels: &[f64]) -> impl Iterator<Item = (f64, f64, f64)> + '_ {
        levels.iter().flat_map(move |cyan| {
            levels.iter().flat_map(move |magenta| {
                levels.iter().map(move |yellow| (*cyan, *magenta, *yellow))
            })
        })
    }
}

//! An invented separation into eleven channels with every kind of kink that a real one has.
//!
//! Seven families come from nodes that are interpolated, as a separation does: they know a black
//! that starts late, hue sectors that open at an edge, and clipping at nothing. The channels
//! are then split by crossovers from light to dark inks and held to a total limit that binds,
//! both exactly, colour by colour.

use std::sync::LazyLock;

pub(crate) const CHANNELS: usize = 11;

const FAMILIES: usize = 7;
/// Nodes along each axis: a usual density of separation tables (common practice, no source).
const NODES: usize = 33;
/// Coverage of all channels together above which they are scaled down.
const TOTAL_LIMIT: f64 = 2.2;

static TABLE: LazyLock<Vec<[f64; FAMILIES]>> = LazyLock::new(|| {
    let light = |node: usize| node as f64 / (NODES - 1) as f64;
    (0..NODES.pow(3))
        .map(|place| [place / NODES / NODES, place / NODES % NODES, place % NODES])
        .map(|nodes| families_at_node(nodes.map(light)))
        .collect()
});

/// Coverages of dark and light cyan, dark and light magenta, yellow, three blacks, orange,
/// green and violet for a gray or RGB colour of 0 to 1.
pub(crate) fn separate(colour: &[f64]) -> [f64; CHANNELS] {
    let rgb = match *colour {
        [gray] => [gray; 3],
        [red, green, blue] => [red, green, blue],
        _ => panic!("gray or RGB"),
    };
    let [cyan, magenta, yellow, black, orange, green, violet] = families(rgb);
    let (light_cyan, dark_cyan) = crossover(cyan, 0.35);
    let (light_magenta, dark_magenta) = crossover(magenta, 0.3);
    let (lightest_black, darker) = crossover(black, 0.25);
    let (light_black, dark_black) = crossover(darker, 0.5);
    limited([
        dark_cyan,
        light_cyan,
        dark_magenta,
        light_magenta,
        yellow,
        dark_black,
        light_black,
        lightest_black,
        orange,
        green,
        violet,
    ])
}

fn families_at_node(rgb: [f64; 3]) -> [f64; FAMILIES] {
    let [cyan, magenta, yellow] = rgb.map(|light| (1.0 - light).powf(1.4));
    let black = ((cyan.min(magenta).min(yellow) - 0.2) * 1.25).max(0.0);
    let orange = (magenta.min(yellow) - cyan - 0.15).max(0.0);
    let green = (cyan.min(yellow) - magenta - 0.1).max(0.0);
    let violet = (cyan.min(magenta) - yellow - 0.2).max(0.0);
    [
        (cyan - 0.8 * black - 0.5 * green).max(0.0),
        (magenta - 0.8 * black - 0.5 * orange).max(0.0),
        (yellow - 0.8 * black - 0.3 * orange).max(0.0),
        black,
        orange,
        green,
        violet,
    ]
}

/// Trilinear interpolation between the nodes.
fn families(rgb: [f64; 3]) -> [f64; FAMILIES] {
    let places = rgb.map(|sample| sample * (NODES - 1) as f64);
    let below = places.map(|place| (place as usize).min(NODES - 2));
    let mut sums = [0.0; FAMILIES];
    for corner in 0..8_usize {
        let mut node = 0;
        let mut weight = 1.0;
        for axis in 0..3 {
            let upper = corner >> axis & 1;
            let into = places[axis] - below[axis] as f64;
            weight *= if upper == 1 { into } else { 1.0 - into };
            node = node * NODES + below[axis] + upper;
        }
        for (sum, family) in sums.iter_mut().zip(&TABLE[node]) {
            *sum += weight * family;
        }
    }
    sums
}

/// The light ink rises to the crossover and falls behind it, where the dark one starts.
fn crossover(amount: f64, at: f64) -> (f64, f64) {
    let light = (amount / at).min(1.0 - 0.8 * (amount - at) / (1.0 - at));
    (light, ((amount - at) / (1.0 - at)).max(0.0))
}

fn limited(channels: [f64; CHANNELS]) -> [f64; CHANNELS] {
    let total: f64 = channels.iter().sum();
    let scale = (TOTAL_LIMIT / total).min(1.0);
    channels.map(|coverage| coverage * scale)
}

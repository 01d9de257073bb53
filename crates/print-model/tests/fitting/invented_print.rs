//! A print of seven inks whose every parameter is known, and charts of it as an instrument would write them.
//! INVENTED. It shares no code with the fit: the equations are written out here from the literature
//! that the room names.

use std::fmt::Write;

pub(crate) const BANDS: usize = 36;
pub(crate) type Bands = [f64; BANDS];

/// Centre and width in nanometres and strength of each ink's absorptions, invented.
const ABSORPTIONS: [&[(f64, f64, f64)]; 7] = [
    &[(640.0, 55.0, 2.2), (560.0, 40.0, 0.35)],
    &[(540.0, 38.0, 2.1), (430.0, 30.0, 0.25)],
    &[(430.0, 42.0, 2.0)],
    &[(400.0, 400.0, 1.7), (600.0, 400.0, 1.2)],
    &[(460.0, 55.0, 1.9), (520.0, 25.0, 0.6)],
    &[(420.0, 35.0, 1.3), (660.0, 50.0, 2.0)],
    &[(575.0, 50.0, 2.0), (660.0, 40.0, 0.7)],
];
/// Dot gain of each ink at half a coverage, in the short and long wavelengths, invented.
const GAINS: [[f64; 2]; 7] = [
    [0.14, 0.18],
    [0.12, 0.17],
    [0.10, 0.12],
    [0.20, 0.21],
    [0.11, 0.15],
    [0.16, 0.13],
    [0.13, 0.19],
];
/// The hidden Yule–Nielsen factor.
pub(crate) const FACTOR: f64 = 1.8;
/// How much overprints depart from the product of transmittances: the film that is printed on a wet
/// film is thinner. Invented.
const THINNING: f64 = 0.12;
/// Reading noise, a share of the reflectance.
pub(crate) const NOISE: f64 = 0.003;

/// Numbers that look random and are the same everywhere (the generator of Marsaglia, "Xorshift
/// RNGs", Journal of Statistical Software 8, 2003).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        low + (high - low) * ((self.0 >> 11) as f64 / (1_u64 << 53) as f64)
    }

    pub(crate) fn below(&mut self, count: usize) -> usize {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "the number lies in 0 to count"
        )]
        let drawn = self.between(0.0, count as f64) as usize;
        drawn.min(count - 1)
    }

    /// Nearly normal, of standard deviation 1: twelve uniform numbers.
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.between(-0.5, 0.5)).sum()
    }
}

pub(crate) fn nanometres(band: usize) -> f64 {
    380.0 + 10.0 * band as f64
}

pub(crate) fn paper(band: usize) -> f64 {
    0.88 - 0.25 * (-(nanometres(band) - 370.0) / 25.0).exp()
}

/// Density of an ink's solid.
pub(crate) fn density(ink: usize, band: usize) -> f64 {
    let of = |&(centre, width, strength): &(f64, f64, f64)| {
        strength * (-((nanometres(band) - centre) / width).powi(2)).exp()
    };
    ABSORPTIONS[ink].iter().map(of).sum()
}

/// The reflectance of an overprint; bit f says whether ink f is present.
fn overprint(index: usize, band: usize) -> f64 {
    let mut density_sum = 0.0;
    for (films, ink) in (0_i32..).zip((0..7).filter(|ink| index >> ink & 1 == 1)) {
        density_sum += density(ink, band) * (1.0 - THINNING).powi(films);
    }
    // 0.4 % of the light never enters the film.
    0.004 + (paper(band) - 0.004) * 10.0_f64.powf(-density_sum)
}

/// The effective coverage of a device value, hidden.
pub(crate) fn effective(ink: usize, device: f64, band: usize) -> f64 {
    let place = band as f64 / (BANDS - 1) as f64;
    let gain = GAINS[ink][0] + place * (GAINS[ink][1] - GAINS[ink][0]);
    device + 4.0 * gain * device * (1.0 - device)
}

/// The true reflectance of device values.
pub(crate) fn printed(device: &[f64; 7]) -> Bands {
    std::array::from_fn(|band| {
        let mut sum = 0.0;
        for index in 0..1_usize << 7 {
            let share: f64 = (0..7)
                .map(|ink| {
                    let dot = effective(ink, device[ink], band);
                    if index >> ink & 1 == 1 { dot } else { 1.0 - dot }
                })
                .product();
            if share > 0.0 {
                sum += share * overprint(index, band).powf(1.0 / FACTOR);
            }
        }
        sum.powf(FACTOR)
    })
}

/// The patches of a chart: paper, ramps, overprints of up to `films` solids, and mixtures of up to
/// four inks.
pub(crate) fn patches(films: u32, mixtures: usize, dice: &mut Dice) -> Vec<[f64; 7]> {
    let mut patches = Vec::new();
    for index in 0..1_usize << 7 {
        if index.count_ones() <= films {
            patches.push(std::array::from_fn(|ink| if index >> ink & 1 == 1 { 1.0 } else { 0.0 }));
        }
    }
    for ink in 0..7 {
        for percent in [5, 10, 20, 30, 40, 50, 60, 70, 80, 90] {
            let mut patch = [0.0; 7];
            patch[ink] = f64::from(percent) / 100.0;
            patches.push(patch);
        }
    }
    patches.extend((0..mixtures).map(|_| mixture(dice)));
    patches
}

/// Up to four inks at whole percentages.
pub(crate) fn mixture(dice: &mut Dice) -> [f64; 7] {
    let mut patch = [0.0; 7];
    for _ in 0..2 + dice.below(3) {
        patch[dice.below(7)] = dice.between(5.0, 100.0).round() / 100.0;
    }
    patch
}

/// A chart as CGATS text of seven numbered channels.
pub(crate) fn chart(patches: &[[f64; 7]], dice: &mut Dice) -> String {
    let columns: Vec<String> = (1..=7)
        .map(|channel| format!("7CLR_{channel}"))
        .chain((0..BANDS).map(|band| format!("nm{}", nanometres(band))))
        .collect();
    let mut text = format!(
        "ISO28178\nORIGINATOR \"invented\"\nMEASUREMENT_CONDITION \"M1\"\nSAMPLE_BACKING \"white\"\n\
         NUMBER_OF_FIELDS {}\nBEGIN_DATA_FORMAT\nSAMPLE_ID {}\nEND_DATA_FORMAT\n\
         NUMBER_OF_SETS {}\nBEGIN_DATA\n",
        columns.len() + 1,
        columns.join(" "),
        patches.len()
    );
    for (place, patch) in patches.iter().enumerate() {
        write!(text, "{}", place + 1).unwrap();
        for device in patch {
            write!(text, " {}", (device * 100.0).round()).unwrap();
        }
        for reflectance in printed(patch) {
            write!(text, " {:.5}", reflectance * (1.0 + NOISE * dice.normal())).unwrap();
        }
        text.push('\n');
    }
    text + "END_DATA\n"
}

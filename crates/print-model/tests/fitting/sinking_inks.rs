use std::fmt::Write;

use charts::SampleNames;
use inkfathom_print_model::Fit;
use inkset::RampLaw;

use super::invented_print::Dice;
use super::{fitted, kept, plain, read, within};

const TR006: &str = include_str!("../../../../tests/reference/tr006.txt");
const BANDS: usize = 36;

/// A print whose inks sink into each other, as dyes do, so that their K/S add. INVENTED, and written
/// out here from the literature that the room names: it shares no code with the fit.
struct SinkingInks {
    /// Share of the light that is thrown back at the surface from within (Saunderson, Journal of the
    /// Optical Society of America 32, 1942); 0 for Kubelka and Munk alone.
    thrown_back: f64,
    /// Reading noise, a share of the reflectance.
    noise: f64,
}

/// Centre and width in nanometres and K/S of each ink's absorptions, invented.
const ABSORPTIONS: [&[(f64, f64, f64)]; 4] = [
    &[(650.0, 60.0, 9.0), (560.0, 45.0, 0.7)],
    &[(545.0, 40.0, 8.0), (440.0, 35.0, 0.5)],
    &[(430.0, 45.0, 7.0)],
    &[(550.0, 600.0, 14.0)],
];

impl SinkingInks {
    fn reflectance(&self, device: &[f64], band: usize) -> f64 {
        let nm = 380.0 + 10.0 * band as f64;
        let paper = 0.9 - 0.2 * (-(nm - 370.0) / 25.0).exp();
        let ratio = |r: f64| (1.0 - r) * (1.0 - r) / (2.0 * r);
        let mut sum = ratio(paper);
        for (ink, value) in device.iter().enumerate() {
            let of = |&(centre, width, strength): &(f64, f64, f64)| {
                strength * (-((nm - centre) / width).powi(2)).exp()
            };
            let full: f64 = ABSORPTIONS[ink].iter().map(of).sum();
            // Drivers linearise what the eye sees: the ink rises late.
            sum += full * value.powf(1.6);
        }
        let inner = 1.0 + sum - (sum * (sum + 2.0)).sqrt();
        let k = self.thrown_back;
        (1.0 - k) * inner / (1.0 - k * inner)
    }

    /// The device values of TR 006 as this print shows them.
    fn chart(&self, dice: &mut Dice) -> String {
        let rows = TR006.split_once("BEGIN_DATA\n").unwrap().1;
        let rows: Vec<Vec<&str>> = rows
            .lines()
            .take_while(|line| !line.starts_with("END_DATA"))
            .map(|line| line.split_whitespace().take(5).collect())
            .collect();
        let columns: Vec<String> =
            (0..BANDS).map(|band| format!("nm{}", 380 + 10 * band)).collect();
        let mut text = format!(
            "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID CMYK_C CMYK_M CMYK_Y CMYK_K {}\nEND_DATA_FORMAT\n\
             NUMBER_OF_SETS {}\nBEGIN_DATA\n",
            columns.join(" "),
            rows.len()
        );
        for row in rows {
            text.push_str(&row.join(" "));
            let device: Vec<f64> =
                row[1..].iter().map(|cell| cell.parse::<f64>().unwrap() / 100.0).collect();
            for band in 0..BANDS {
                let read = self.reflectance(&device, band) * (1.0 + self.noise * dice.normal());
                write!(text, " {read:.5}").unwrap();
            }
            text.push('\n');
        }
        text + "END_DATA\n"
    }
}

/// Reading noise leaves a mean of 0.18 where the law is the print's own.
const OWN_LAW: f64 = 0.25;
/// What raw spectral sets must keep at least: mean and 95th percentile of cells. They came to 0.12 and
/// 0.37 here.
const CELLULAR: [f64; 2] = [0.25, 0.6];
/// The same of 16 primaries, which came to 0.59 and 1.36.
const PLAIN: [f64; 2] = [0.8, 1.8];

fn fit_of(print: &SinkingInks) -> Fit {
    let mut dice = Dice(0x9e37_79b9_7f4a_7c15);
    fitted(&read(&print.chart(&mut dice), &SampleNames::Labels), &[])
}

#[test]
fn inks_whose_absorptions_add_are_recognised_and_predicted_from_sixteen_primaries() {
    let fit = fit_of(&SinkingInks { thrown_back: 0.0, noise: 0.01 });
    let law = plain(&fit).law;
    assert!(matches!(law, RampLaw::KubelkaMunkMixtures { n } if n < 1.1), "{law:?}");
    within(plain(&fit).fitted, OWN_LAW, 2.5 * OWN_LAW);
    within(plain(&fit).left_out.unwrap(), OWN_LAW, 2.5 * OWN_LAW);
    assert!(fit.suspects.is_empty(), "{:?}", fit.suspects);
}

#[test]
fn light_that_the_surface_throws_back_leaves_them_predicted() {
    let fit = fit_of(&SinkingInks { thrown_back: 0.6, noise: 0.01 });
    within(plain(&fit).fitted, PLAIN[0], PLAIN[1]);
    within(kept(&fit).fitted, CELLULAR[0], CELLULAR[1]);
    within(kept(&fit).left_out.unwrap(), CELLULAR[0], CELLULAR[1]);
    assert!(fit.suspects.is_empty(), "{:?}", fit.suspects);
}

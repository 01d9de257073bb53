use colour::{Illuminant, delta_e_00};
use inkfathom_charts::{Chart, Measured, SampleNames};

const TR006: &[u8] = include_bytes!("../../../../tests/reference/tr006.txt");
const SPOT_RAMP: &[u8] = include_bytes!("../../../../tests/reference/spot-ramp-spectral.txt");

#[test]
fn tr006_is_read_whole() {
    let chart = Chart::read(TR006, "tr006.txt", &SampleNames::Labels).unwrap();
    assert_eq!((chart.patches.len(), chart.measured), (1617, Measured::Tristimulus));
    assert_eq!(chart.channels, ["cyan", "magenta", "yellow", "black"]);
    assert_eq!((chart.form.as_str(), chart.backing.as_deref()), ("CTI3", Some("white")));
    assert!(chart.notices.is_empty(), "{:?}", chart.notices);
    assert!(chart.patches.iter().all(|patch| patch.contradiction.is_none()));
    let last = chart.patches.last().unwrap();
    assert_eq!((last.name.as_str(), last.line), ("1617", 1646));
}

/// The ramp's CIELAB is printed with two decimals, by a program that may sum otherwise.
const PRINTED: f64 = 0.05;

#[test]
fn the_spot_ramp_agrees_with_its_own_cielab() {
    let names = SampleNames::StepsOf { ink: "teal".to_owned() };
    let chart = Chart::read(SPOT_RAMP, "ramp.txt", &names).unwrap();
    assert_eq!((chart.patches.len(), chart.measured), (15, Measured::Spectra));
    assert_eq!(chart.channels, ["teal"]);
    assert_eq!(chart.patches[1].device[0].to_fraction(), 0.05);
    let white = Illuminant::D50.white();
    let solid = chart.patches[14].measurement.xyz().to_lab(white);
    let printed = colour::Lab { l: 50.44, a: -29.94, b: -18.86 };
    assert!(delta_e_00(solid, printed) < PRINTED, "{solid}");
}

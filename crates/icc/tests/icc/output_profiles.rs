//! Output profiles, read and written.

use std::fs;
use std::path::Path;

use colour::{Lab, Xyz};
use inkfathom_icc::{
    DeviceSpace, ForwardTables, GridTable, IccError, InverseTables, NewOutputProfile,
    OutputProfile, OutputTransform, ProfileCurve, ProfileMatrix, RenderingIntent,
};
use units::DeviceValue;

use crate::made_profiles::{MadeProfile, display};

/// Tables of 16 bits and arithmetic in 32-bit floating point, in percent of a device value.
const TABLE_PERCENT: f64 = 0.003;
/// The same in CIELAB, where a step of 16 bits near black is some thousandths.
const TABLE_LAB: f64 = 0.02;
/// The truth is written with four decimals, and was computed by another version of the library.
const PRINTED_PERCENT: f64 = 0.01;
const PRINTED_LAB: f64 = 0.01;

const WHITE: [f64; 3] = [0.9642, 1.0, 0.8249];

/// Inks that each take the same share of all light, mixed by multiplication, and a way back that
/// uses the first one alone.
fn gray_inks(inks: usize) -> NewOutputProfile {
    let nodes = vec![2; inks];
    let share = |node: usize| 0.5_f64.powi(i32::try_from(node.count_ones()).unwrap());
    let values = (0..1 << inks).flat_map(|node| [word(share(node)); 3]).collect();
    let [x, y, z] = WHITE;
    let forward = ForwardTables {
        device: vec![ProfileCurve::Straight; inks],
        grid: GridTable { nodes, outputs: 3, values },
        expansion: [(); 3].map(|()| ProfileCurve::Power(1.0)),
        matrix: ProfileMatrix {
            rows: [[x, 0.0, 0.0], [0.0, y, 0.0], [0.0, 0.0, z]],
            offset: [0.0; 3],
        },
    };
    let back = |corner: usize| (0..inks).map(move |ink| word(f64::from(ink == 0 && corner < 4)));
    let inverse = |outputs: usize, values: Vec<u16>| InverseTables {
        matrix: ProfileMatrix { rows: [[0.0, 1.0, 0.0]; 3], offset: [0.0; 3] },
        axes: [(); 3].map(|()| ProfileCurve::Lightness),
        grid: GridTable { nodes: vec![2; 3], outputs, values },
    };
    let tables = (forward, inverse(inks, (0..8).flat_map(back).collect()));
    NewOutputProfile {
        description: "gray inks, made by a test".to_owned(),
        copyright: "none".to_owned(),
        made: [2026, 2, 28, 12, 30, 0],
        space: if inks == 4 { DeviceSpace::Cmyk } else { DeviceSpace::Inks(inks) },
        colorants: (1..=inks).map(|ink| (format!("gray {ink}"), WHITE.map(|w| 0.5 * w))).collect(),
        media_white: Xyz { x: 80.0, y: 85.0, z: 70.0 },
        perceptual: tables.clone(),
        colorimetric: tables,
        gamut: inverse(1, vec![0; 8]),
    }
}

fn word(share: f64) -> u16 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "shares lie within 0 to 1"
    )]
    let word = (share * 65535.0).round() as u16;
    word
}

fn values(fractions: &[f64]) -> Vec<DeviceValue> {
    fractions.iter().map(|fraction| DeviceValue::from_fraction(*fraction).unwrap()).collect()
}

fn transform(profile: &OutputProfile) -> OutputTransform {
    OutputTransform::new(profile, RenderingIntent::RelativeColorimetric).unwrap()
}

fn refusal(bytes: &[u8]) -> String {
    OutputProfile::parse(bytes).unwrap_err().to_string()
}

#[test]
fn a_written_profile_of_any_number_of_inks_is_read_again() {
    for inks in 1..=12 {
        let written = gray_inks(inks);
        let profile = OutputProfile::parse(&written.to_bytes()).unwrap();
        assert_eq!(profile.space(), written.space);
        assert_eq!(profile.description(), "gray inks, made by a test");
        let names = profile.colorant_names().unwrap();
        assert_eq!(names.last().unwrap(), &format!("gray {inks}"));
        let white = profile.media_white().unwrap();
        assert!((white.y - 85.0).abs() < 0.001, "{white:?}");
    }
}

#[test]
fn device_values_print_the_colours_of_the_tables() {
    for inks in [1, 4, 5, 12] {
        let transform = transform(&OutputProfile::parse(&gray_inks(inks).to_bytes()).unwrap());
        for used in 0..=inks {
            let fractions: Vec<f64> = (0..inks).map(|ink| f64::from(ink < used)).collect();
            let printed = transform.to_lab(&values(&fractions));
            let [x, y, z] = WHITE.map(|w| 100.0 * w * 0.5_f64.powi(i32::try_from(used).unwrap()));
            let expected = Xyz { x, y, z }.to_lab(Xyz::PCS_WHITE);
            assert!(colour::delta_e_ab(printed, expected) < TABLE_LAB, "{printed} {expected}");
        }
    }
}

#[test]
fn colours_are_separated_by_the_lightness_that_the_axes_run_in() {
    for inks in [1, 4, 5, 12] {
        let transform = transform(&OutputProfile::parse(&gray_inks(inks).to_bytes()).unwrap());
        for lightness in [0.0, 25.0, 60.0, 100.0] {
            let device = transform.to_device(Lab { l: lightness, a: 0.0, b: 0.0 });
            let first = 100.0 * device[0].to_fraction();
            assert!((first - (100.0 - lightness)).abs() < TABLE_PERCENT, "{first} at {lightness}");
            assert!(device[1..].iter().all(|value| *value == DeviceValue::MIN));
        }
    }
}

#[test]
fn a_published_printing_condition_separates_as_by_another_build_of_the_library() {
    let reference = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference");
    let profile = fs::read(reference.join("tr006-low.icc")).unwrap();
    let profile = OutputProfile::parse(&profile).unwrap();
    assert_eq!(profile.space(), DeviceSpace::Cmyk);
    let truth = fs::read_to_string(reference.join("tr006-device-values.csv")).unwrap();
    let mut compared = 0;
    for row in truth.lines().skip(1) {
        let (intent, numbers) = row.split_once(',').unwrap();
        let intent = match intent {
            "perceptual" => RenderingIntent::Perceptual,
            "relative" => RenderingIntent::RelativeColorimetric,
            other => panic!("unknown intent {other}"),
        };
        let numbers: Vec<f64> = numbers.split(',').map(|word| word.parse().unwrap()).collect();
        let transform = OutputTransform::new(&profile, intent).unwrap();
        let device = transform.to_device(Lab { l: numbers[0], a: numbers[1], b: numbers[2] });
        for (value, expected) in device.iter().zip(&numbers[3..7]) {
            assert!((100.0 * value.to_fraction() - expected).abs() < PRINTED_PERCENT, "{row}");
        }
        let printed = transform.to_lab(&device);
        let expected = Lab { l: numbers[7], a: numbers[8], b: numbers[9] };
        assert!(colour::delta_e_ab(printed, expected) < PRINTED_LAB, "{row}: {printed}");
        compared += 1;
    }
    assert_eq!(compared, 118);
}

#[test]
fn profiles_of_other_classes_are_refused_by_name() {
    for class in [b"mntr", b"scnr", b"link", b"nmcl"] {
        let made = MadeProfile { class: *class, ..display(2.2) };
        let name = class.escape_ascii();
        assert_eq!(
            refusal(&made.bytes()),
            format!(
                "an ICC profile of class `{name}` can't separate; name an output profile, which \
                 is of class `prtr`"
            )
        );
    }
}

#[test]
fn other_colours_than_inks_and_too_many_inks_are_refused_with_the_most() {
    for space in [b"RGB ", b"GRAY", b"DCLR", b"FCLR", b"0CLR"] {
        let made = MadeProfile { class: *b"prtr", colour_space: *space, ..display(2.2) };
        let message = refusal(&made.bytes());
        let name = space.trim_ascii_end().escape_ascii();
        assert!(message.contains(&format!("`{name}`")), "{message}");
        assert!(message.ends_with("name one for CMYK or for 1 to 12 inks"), "{message}");
    }
}

#[test]
fn cut_off_profiles_are_refused_wherever_they_end() {
    let whole = gray_inks(4).to_bytes();
    for length in (0..whole.len()).step_by(7) {
        let message = refusal(&whole[..length]);
        assert!(message.starts_with("damaged ICC profile: "), "{length}: {message}");
    }
}

#[test]
fn a_profile_without_a_way_from_colours_is_refused() {
    let mut bytes = gray_inks(4).to_bytes();
    let tags = bytes.windows(4).take(400).enumerate();
    let places: Vec<usize> =
        tags.filter(|(_, tag)| tag.starts_with(b"B2A")).map(|(place, _)| place).collect();
    assert_eq!(places.len(), 3);
    places.iter().for_each(|place| bytes[place + 1] = b'3');
    assert!(refusal(&bytes).contains("name one with tables in both directions"));
}

#[test]
fn no_change_of_a_byte_makes_reading_panic() {
    let whole = gray_inks(5).to_bytes();
    for place in 0..whole.len().min(700) {
        let mut bytes = whole.clone();
        bytes[place] ^= 0xFF;
        if let Ok(profile) = OutputProfile::parse(&bytes) {
            let device = transform(&profile).to_device(Lab { l: 40.0, a: 5.0, b: -5.0 });
            assert_eq!(device.len(), profile.space().colorants());
        }
    }
}

#[test]
fn more_bytes_than_any_profile_has_are_refused() {
    let bytes = vec![0; inkfathom_icc::MOST_PROFILE_BYTES + 1];
    assert!(matches!(OutputProfile::parse(&bytes), Err(IccError::TooLarge { .. })));
}

use colour::Spectrum;
use inkfathom_charts::{Chart, Measured, SampleNames};
use proptest::prelude::*;

use super::{PLAIN, read};

/// A dialect says the same as the plain chart.
#[track_caller]
fn says_the_same(text: &str) {
    let (plain, other) = (read(PLAIN), read(text));
    assert_eq!(other.channels, plain.channels);
    for (other, plain) in other.patches.iter().zip(&plain.patches) {
        assert_eq!((&other.name, &other.device), (&plain.name, &plain.device));
        assert_eq!(other.measurement, plain.measurement);
    }
    assert_eq!(other.patches.len(), plain.patches.len());
}

#[test]
fn first_lines_counts_tabs_quotes_case_and_comments_make_no_difference() {
    for first in ["CTI3   ", "IT8.7/4", "ISO28178", "CGATS.5"] {
        says_the_same(&PLAIN.replace("CGATS.17", first));
    }
    says_the_same(&PLAIN.replace(' ', "\t"));
    says_the_same(&PLAIN.replace('\n', "\r\n"));
    says_the_same(&PLAIN.replace("CMYK_C", "cmyk_c").replace("SAMPLE_ID", "SampleID"));
    says_the_same(&PLAIN.replace("\n2 ", "\n# a comment\n\"2\" ").replace("55.9", "55.9 # note"));
    says_the_same(&PLAIN.replace("NUMBER_OF_FIELDS 8\n", "").replace("NUMBER_OF_SETS 3\n", ""));
    says_the_same(&PLAIN.replace("CMYK_Y CMYK_K", "CMYK_Y\nCMYK_K"));
    says_the_same(&PLAIN.replace('.', ",").replace("CGATS,17", "CGATS.17"));
    says_the_same(&format!("{PLAIN}CAL\nBEGIN_DATA\n1 2 3\nEND_DATA\n"));
}

#[test]
fn bytes_of_old_encodings_and_wide_ones_are_read() {
    let mut latin = PLAIN.replace("a test", "G@nter").into_bytes();
    let place = latin.iter().position(|byte| *byte == b'@').unwrap();
    latin[place] = 0xfc;
    assert_eq!(Chart::read(&latin, "l", &SampleNames::Labels).unwrap().patches.len(), 3);
    let wide: Vec<u8> =
        [0xfeff].into_iter().chain(PLAIN.encode_utf16()).flat_map(u16::to_le_bytes).collect();
    assert_eq!(Chart::read(&wide, "w", &SampleNames::Labels).unwrap().patches.len(), 3);
}

#[test]
fn sample_names_with_spaces_are_kept_between_tabs() {
    let text = PLAIN.replace(' ', "\t").replace("\n1\t", "\nbare paper\t");
    assert_eq!(read(&text).patches[0].name, "bare paper");
}

/// A spectral chart of two patches, with names of columns and values made by the caller.
fn spectral(
    column: impl Fn(usize) -> String,
    value: impl Fn(f64) -> String,
    step: usize,
) -> String {
    let wavelengths: Vec<usize> = (380..=730).step_by(step).collect();
    let columns: Vec<String> = wavelengths.iter().map(|&nm| column(nm)).collect();
    let row = |level: f64| {
        let values = wavelengths.iter().map(|&nm| value(level * (0.5 + nm as f64 / 2000.0)));
        values.collect::<Vec<_>>().join(" ")
    };
    format!(
        "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID 5CLR_1 5CLR_2 5CLR_3 5CLR_4 5CLR_5 {}\n\
         END_DATA_FORMAT\nBEGIN_DATA\n1 0 0 0 0 0 {}\n2 100 0 0 0 0 {}\nEND_DATA\n",
        columns.join(" "),
        row(0.9),
        row(0.1)
    )
}

#[test]
fn spectra_are_read_in_all_spellings_scales_and_grids() {
    let unit = |value: f64| format!("{value:.6}");
    let percent = |value: f64| format!("{:.4}", 100.0 * value);
    let expected = read(&spectral(|nm| format!("SPECTRAL_{nm}"), unit, 10));
    assert_eq!((expected.measured, expected.channels.len()), (Measured::Spectra, 5));
    for text in [
        spectral(|nm| format!("nm{nm}"), unit, 10),
        spectral(|nm| format!("SPECTRAL_NM{nm}"), percent, 10),
        spectral(|nm| format!("SPECTRAL_NM_{nm}"), unit, 5),
        spectral(|nm| format!("SPECTRAL_{nm}"), percent, 2),
    ] {
        let chart = read(&text);
        for (patch, wanted) in chart.patches.iter().zip(&expected.patches) {
            let bands = |s: Option<&Spectrum>| *s.unwrap().bands();
            let pairs = bands(patch.measurement.spectrum());
            let wanted = bands(wanted.measurement.spectrum());
            // The ends of finer grids are averaged on one side alone.
            let inner = pairs.iter().zip(wanted).skip(1).take(34);
            assert!(inner.map(|(a, b)| (a - b).abs()).all(|miss| miss < 1e-5), "{patch:?}");
        }
    }
}

#[test]
fn columns_in_any_order_find_their_place() {
    let text = PLAIN
        .replace("XYZ_X XYZ_Y XYZ_Z", "XYZ_Z XYZ_X XYZ_Y")
        .replace("84.47 87.62 74.52", "74.52 84.47 87.62")
        .replace("16.1 23.2 55.9", "55.9 16.1 23.2")
        .replace("57.26 48.44 44.59", "44.59 57.26 48.44");
    says_the_same(&text);
}

#[test]
fn what_is_unusual_and_clear_becomes_a_notice() {
    let notice =
        |text: &str| read(text).notices.iter().map(ToString::to_string).collect::<String>();
    let extra = PLAIN.replace("XYZ_Z\n", "XYZ_Z D_RED\n").replace("FIELDS 8", "FIELDS 9");
    let extra =
        extra.replace("74.52", "74.52 1").replace("55.9", "55.9 1").replace("44.59", "44.59 1");
    assert!(notice(&extra).contains("columns without use here: D_RED"), "{}", notice(&extra));
    let again = PLAIN.replace("SETS 3", "SETS 4");
    let again = again.replace("44.59\nEND", "44.59\n4 0 40 0 0 57.9 52.4 44.6\nEND");
    assert!(notice(&again).contains("1 repeated patches differ"), "{}", notice(&again));
}

proptest! {
    #[test]
    fn no_text_makes_the_reader_panic(text in "[A-Z_ 0-9.,#\"\\n\\t<>/=&;-]{0,400}") {
        let _ = Chart::read(text.as_bytes(), "any", &SampleNames::Labels);
        let framed = format!("CGATS.17\nBEGIN_DATA_FORMAT\n{text}\nEND_DATA_FORMAT\nBEGIN_DATA\n{text}\nEND_DATA\n");
        let _ = Chart::read(framed.as_bytes(), "any", &SampleNames::StepsOf { ink: "teal".into() });
        let _ = Chart::read(format!("<CxF>{text}").as_bytes(), "any", &SampleNames::Labels);
    }

    #[test]
    fn a_plain_chart_that_is_cut_anywhere_is_refused(at in 0..PLAIN.len() - 10) {
        prop_assert!(Chart::read(&PLAIN.as_bytes()[..at], "cut", &SampleNames::Labels).is_err());
    }
}

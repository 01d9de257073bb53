use super::{PLAIN, refusal};
use inkfathom_charts::{Chart, Contradictions, SampleNames};

/// A change of the plain chart is refused with a message that says where, what and what to do.
#[track_caller]
fn refused(from: &str, to: &str, parts: &[&str]) {
    assert!(PLAIN.contains(from), "{from}");
    let message = refusal(&PLAIN.replace(from, to));
    for part in parts {
        assert!(message.contains(part), "`{part}` is not in: {message}");
    }
    assert!(message.starts_with("chart.txt, line "), "{message}");
}

#[test]
fn missing_and_repeated_columns_are_named() {
    refused("XYZ_Y ", "NOTE ", &["line 5", "XYZ lacks the column XYZ_Y", "export all"]);
    refused("CMYK_K", "NOTE", &["the device lacks the column CMYK_K"]);
    refused("XYZ_X XYZ_Y XYZ_Z", "A B C", &["no column holds a measurement", "SPECTRAL_nnn"]);
    refused("CMYK_Y", "CMYK_C", &["column `CMYK_C` stands twice"]);
    refused("CMYK_C CMYK_M CMYK_Y CMYK_K", "RGB_R RGB_G RGB_B NOTE", &["RGB, which name no inks"]);
    refused("CMYK_K", "4CLR_1", &["as CMYK_C and as 4CLR_1"]);
}

#[test]
fn what_is_no_number_or_out_of_range_is_named_with_its_row() {
    refused("16.1", "NaN", &["line 10", "XYZ_X of sample `2` is `NaN`", "0 to 130"]);
    refused("16.1", "n/a", &["is `n/a`, not a number"]);
    refused("16.1", "161", &["XYZ_X of sample `2` is 161, outside 0 to 130"]);
    refused("2 100", "2 101", &["CMYK_C of sample `2` is 101, outside 0 to 100"]);
    refused("2 100", "2 -1", &["CMYK_C of sample `2` is -1, outside 0 to 100"]);
}

#[test]
fn wrong_counts_and_lengths_are_named() {
    refused("SETS 3", "SETS 4", &["line 7", "NUMBER_OF_SETS states 4, but there are 3 rows"]);
    refused("FIELDS 8", "FIELDS 9", &["NUMBER_OF_FIELDS states 9, but there are 8 columns"]);
    refused("23.2 ", "", &["line 10", "the row has 7 values, not 8"]);
}

#[test]
fn wrong_scales_are_named() {
    let unit = PLAIN
        .replace("84.47 87.62 74.52", "0.8447 0.8762 0.7452")
        .replace("16.1 23.2 55.9", "0.161 0.232 0.559")
        .replace("57.26 48.44 44.59", "0.5726 0.4844 0.4459");
    let message = refusal(&unit);
    assert!(message.contains("Y reach 0.8762, outside 20 to 130; write them"), "{message}");
    let message = refusal(&PLAIN.replace("2 100", "2 1").replace("3 0 40", "3 0 0.4"));
    assert!(
        message.contains("device values reach 1, outside 1 to 100; device values are"),
        "{message}"
    );
}

#[test]
fn contradicting_duplicates_are_named_with_both_lines() {
    refused(
        "3 0 40",
        "3 100 0",
        &["line 11: sample `3`", "device values of line 10", "outside 0 to 10", "remove it"],
    );
}

/// A chart whose first patch was read again, with these colours.
fn with_further_readings(readings: &[&str]) -> String {
    let rows: String = readings.iter().map(|reading| format!("9 100 0 0 0 {reading}\n")).collect();
    PLAIN
        .replace("SETS 3", &format!("SETS {}", 3 + readings.len()))
        .replace("END_DATA\n", &format!("{rows}END_DATA\n"))
}

#[test]
fn a_reading_that_most_others_of_its_patch_contradict_is_doubted_and_not_refused() {
    let text = with_further_readings(&["57.26 48.44 44.59", "16.2 23.1 55.7"]);
    let chart = Chart::read(text.as_bytes(), "chart.txt", &SampleNames::Labels).unwrap();
    let doubted: Vec<usize> =
        chart.patches.iter().filter(|p| p.other_reading.is_some()).map(|p| p.line).collect();
    assert_eq!(doubted, [12]);
    assert_eq!(chart.patches[3].other_reading.as_ref().map(|other| other.line), Some(10));
}

#[test]
fn two_readings_that_contradict_each_other_are_both_doubted_where_that_was_asked_for() {
    let text = with_further_readings(&["57.26 48.44 44.59"]);
    assert!(refusal(&text).contains("have both set aside"), "{}", refusal(&text));
    let (names, aside) = (SampleNames::Labels, Contradictions::SetAside);
    let chart = Chart::read_with(text.as_bytes(), "chart.txt", &names, aside).unwrap();
    let lines: Vec<(usize, usize)> = chart
        .patches
        .iter()
        .filter_map(|patch| Some((patch.line, patch.other_reading.as_ref()?.line)))
        .collect();
    assert_eq!(lines, [(10, 12), (12, 10)]);
}

#[test]
fn colours_of_another_light_or_observer_are_refused() {
    refused("ORIGINATOR \"a test\"", "ILLUMINANT \"D65\"", &["ILLUMINANT is `D65`", "D50"]);
    refused(
        "ORIGINATOR \"a test\"",
        "WEIGHTING_FUNCTION \"OBSERVER, 10 degree\"",
        &["2° observer"],
    );
}

#[test]
fn cut_off_and_other_files_are_named() {
    refused("END_DATA\n", "", &["ends before END_DATA; it was cut off"]);
    refused("END_DATA_FORMAT\n", "", &["ends before END_DATA_FORMAT"]);
    assert!(refusal("a letter\n").contains("neither CGATS text"));
    assert!(refusal("").contains("neither CGATS text"));
    assert!(refusal("<html></html>").contains("neither CGATS text"));
}

#[test]
fn uneven_wavelengths_and_no_steps_are_named() {
    let columns: Vec<String> = [380, 390, 400, 420].map(|nm| format!("nm{nm}")).to_vec();
    let text = format!(
        "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID {}\nEND_DATA_FORMAT\nBEGIN_DATA\n1 1 1 1 1\nEND_DATA\n",
        columns.join(" ")
    );
    assert!(refusal(&text).contains("wavelengths go from"), "{}", refusal(&text));
    let steps = SampleNames::StepsOf { ink: "teal".to_owned() };
    let text = "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n\
                paper 95 0 0\nEND_DATA\n";
    let message = Chart::read(text.as_bytes(), "chart.txt", &steps).unwrap_err().to_string();
    assert!(message.contains("`paper` is not a step from 0 to 100 %"), "{message}");
    let message = Chart::read(PLAIN.as_bytes(), "chart.txt", &steps).unwrap_err().to_string();
    assert!(message.contains("beside steps in its sample names"), "{message}");
}

#[test]
fn a_file_that_is_no_chart_by_its_size_is_refused_unread() {
    let bytes = vec![b' '; (64 << 20) + 1];
    let message = Chart::read(&bytes, "big", &SampleNames::Labels).unwrap_err().to_string();
    assert!(message.contains("67108865 bytes, outside 1 to 67108864"), "{message}");
}

#[test]
fn all_faults_are_named_at_once() {
    let message =
        refusal(&PLAIN.replace("16.1", "x").replace("48.44", "y").replace("SETS 3", "SETS 9"));
    // Counts are checked before the numbers are looked at.
    assert_eq!(message.lines().count(), 1, "{message}");
    let message = refusal(&PLAIN.replace("16.1", "x").replace("48.44", "y"));
    assert_eq!(message.lines().count(), 2, "{message}");
}

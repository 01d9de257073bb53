//! Reading charts in all their dialects, and refusing what is not beyond doubt.

mod bad_input;
mod cxf;
mod dialects;
mod reference;

use inkfathom_charts::{Chart, SampleNames};

/// A sound chart of three patches in a plain dialect.
const PLAIN: &str = "\
CGATS.17
ORIGINATOR \"a test\"
NUMBER_OF_FIELDS 8
BEGIN_DATA_FORMAT
SAMPLE_ID CMYK_C CMYK_M CMYK_Y CMYK_K XYZ_X XYZ_Y XYZ_Z
END_DATA_FORMAT
NUMBER_OF_SETS 3
BEGIN_DATA
1 0 0 0 0 84.47 87.62 74.52
2 100 0 0 0 16.1 23.2 55.9
3 0 40 0 0 57.26 48.44 44.59
END_DATA
";

fn read(text: &str) -> Chart {
    Chart::read(text.as_bytes(), "chart.txt", &SampleNames::Labels)
        .unwrap_or_else(|error| panic!("{error}"))
}

/// The message of a refusal.
fn refusal(text: &str) -> String {
    match Chart::read(text.as_bytes(), "chart.txt", &SampleNames::Labels) {
        Err(error) => error.to_string(),
        Ok(chart) => panic!("accepted: {chart:?}"),
    }
}

use charts::{Chart, SampleNames};
use inkfathom_print_model::{Fit, FitError, FitRequest};

use super::{base, fitted, read};

const TR006: &str = include_str!("../../../../tests/reference/tr006.txt");
/// Line of the first row of the chart.
const FIRST_LINE: usize = 30;

/// TR 006 with readings moved among rows, all of them XYZ and CIELAB; rows are counted from 0.
fn moved(readings: &[(usize, usize)]) -> Chart {
    let (head, rest) = TR006.split_once("BEGIN_DATA\n").unwrap();
    let rows: Vec<Vec<&str>> = rest
        .lines()
        .take_while(|line| !line.starts_with("END_DATA"))
        .map(|line| line.split_whitespace().collect())
        .collect();
    let mut mixed = rows.clone();
    for &(to, from) in readings {
        mixed[to].splice(5.., rows[from][5..].iter().copied());
    }
    let body: Vec<String> = mixed.iter().map(|row| row.join(" ")).collect();
    read(&format!("{head}BEGIN_DATA\n{}\nEND_DATA\n", body.join("\n")), &SampleNames::Labels)
}

fn lines_of(fit: &Fit) -> Vec<usize> {
    fit.suspects.iter().map(|suspect| suspect.line).collect()
}

#[test]
fn exchanged_rows_are_found_and_named() {
    // A mixture with a mixture, and an overprint of solids with a grey; none of them is repeated.
    let pairs = [(523, 1275), (80, 364)];
    let readings: Vec<(usize, usize)> = pairs.iter().flat_map(|&(a, b)| [(a, b), (b, a)]).collect();
    let fit = fitted(&moved(&readings), &[]);
    let mut expected: Vec<usize> = readings.iter().map(|(row, _)| FIRST_LINE + row).collect();
    expected.sort_unstable();
    assert_eq!(lines_of(&fit), expected, "{:?}", fit.suspects);
    for suspect in &fit.suspects {
        assert!(suspect.reason.contains("looks exchanged with line"), "{suspect:?}");
    }
    assert!(fit.models[fit.chosen].fitted.maximum < 3.0);
}

#[test]
fn a_slip_by_one_row_is_found_and_named() {
    let readings: Vec<(usize, usize)> = (500..510).map(|row| (row, row + 1)).collect();
    let fit = fitted(&moved(&readings), &[]);
    let expected: Vec<usize> = (500..510).map(|row| FIRST_LINE + row).collect();
    assert_eq!(lines_of(&fit), expected, "{:?}", fit.suspects);
    assert!(fit.suspects[0].reason.contains("looks like the reading of line 531"));
}

#[test]
fn a_wrong_solid_ends_the_fit_with_its_line() {
    // Magenta at 100 %, which the chart has twice, with the reading of a grey.
    let chart = moved(&[(8, 400), (1306, 400)]);
    let base = base();
    let request = FitRequest {
        inks: Vec::new(),
        families: Vec::new(),
        name: "measured".to_owned(),
        title: "measured".to_owned(),
        substrate: "paper".to_owned(),
        base: &base,
    };
    let error = Fit::new(&chart, &request).unwrap_err();
    assert!(matches!(error, FitError::SuspectEnd { line: 38, .. }), "{error}");
    assert!(error.to_string().contains("the solid of `magenta`"), "{error}");
}

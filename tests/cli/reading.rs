//! The options of reading pictures do the same for every command that opens pictures.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use inkfathom_tests::{reference, repository};
use tempfile::{TempDir, tempdir};

use crate::program::{Run, assumptions, inkfathom, list, number, text};

const CUT: &str = "testimages/bad/cut-50-420.jpg";
const CMYK: &str = "testimages/formats/tiff-cmyk-8-none-strips.tif";
const UNMARKED: &str = "testimages/formats/jpeg-cmyk-unmarked.jpg";
const TRIMMED: &str = "testimages/formats/pdf-trim.pdf";
const PROFILE: &str = "tests/reference/tr006-low.icc";
const WIDE: [&str; 2] = ["--width", "60cm"];

fn run(words: &[&str], further: &[&str]) -> Run {
    inkfathom(words.iter().chain(further).copied())
}

/// Names and mean coverages of the channels that `separate` writes with some options.
fn separated(picture: &str, options: &[&str]) -> Vec<(String, f64)> {
    let folder = tempdir().unwrap();
    let output = folder.path().join("inks.tif");
    let words = ["separate", picture, "--output", output.to_str().unwrap()];
    let told = run(&words, &[&WIDE[..], options].concat()).ending_with(0).data;
    let rows = told.lines().filter_map(|line| line.strip_prefix("  ")?.strip_suffix(" %"));
    rows.map(|row| {
        let (name, percent) = row.rsplit_once(' ').unwrap();
        (name.trim().to_owned(), percent.trim().parse::<f64>().unwrap() / 100.0)
    })
    .collect()
}

/// The same of `estimate`.
fn estimated(picture: &str, options: &[&str]) -> Vec<(String, f64)> {
    let words = ["estimate", picture, "--format", "json"];
    let document = run(&words, &[&WIDE[..], options].concat()).ending_with(0).document();
    let channels = list(&document.estimate(picture, 0)["channels"]).iter();
    channels.map(|ink| (text(&ink["name"]).to_owned(), number(&ink["coverage"]))).collect()
}

/// The census's rule of half a percent, and the last printed digit.
fn agree(separated: &[(String, f64)], estimated: &[(String, f64)]) -> bool {
    separated.iter().zip(estimated).all(|((name, as_written), (other, as_estimated))| {
        name == other && (as_written - as_estimated).abs() <= 0.005 * as_estimated + 5.1e-5
    })
}

#[test]
fn separations_follow_the_options_as_estimates_do() {
    let options: [(&str, &[&str]); 4] = [
        (CMYK, &["--assume-profile", PROFILE]),
        (UNMARKED, &["--jpeg-cmyk", "inverted"]),
        (TRIMMED, &["--page-box", "media", "--draw-at", "100"]),
        (CUT, &["--accept-damaged"]),
    ];
    for (picture, options) in options {
        let (separated, estimated) = (separated(picture, options), estimated(picture, options));
        assert!(agree(&separated, &estimated), "{picture}: {separated:?} {estimated:?}");
    }
    // The options that matter to the same picture's colours do make a difference.
    assert!(!agree(&separated(UNMARKED, &["--jpeg-cmyk", "inverted"]), &estimated(UNMARKED, &[])));
    assert!(!agree(&separated(CMYK, &["--assume-profile", PROFILE]), &estimated(CMYK, &[])));
}

#[test]
fn every_command_refuses_a_cut_picture_and_accepts_it_when_told_to() {
    let folder = tempdir().unwrap();
    let inks = folder.path().join("inks.tif");
    let proofs = folder.path().join("proofs");
    let (inks, proofs) = (inks.to_str().unwrap(), proofs.to_str().unwrap());
    let sets = ["--ink-set", "five", "--ink-set", "eleven"];
    let commands: [&[&str]; 5] = [
        &["quote", CUT, "--width", "60cm"],
        &["separate", CUT, "--output", inks, "--width", "60cm"],
        &["proof", CUT, "--output", proofs, "--ink-set", "five"],
        &["routing", CUT, "--width", "60cm", sets[0], sets[1], sets[2], sets[3]],
        &["payback", CUT, "--width", "60cm", "--have", "eleven", "--buy", "five"],
    ];
    for command in commands {
        let refused = run(command, &[]);
        assert_ne!(refused.code, 0, "{command:?}");
        assert!(refused.messages.contains("ends early, after 62 of 150 rows"), "{command:?}");
        let accepted = run(command, &["--accept-damaged"]).ending_with(0);
        let told = accepted.messages + &accepted.data;
        assert!(told.contains("88 of 150 rows (58.7 %) are missing"), "{command:?}: {told}");
    }
}

/// A PDF file of two pages of 2 × 1 inch, one with a tenth of black and one with six tenths.
fn two_pages(folder: &Path) -> PathBuf {
    let page = |contents: u32| {
        format!("<< /Type /Page /Parent 2 0 R /MediaBox [0 0 144 72] /Contents {contents} 0 R >>")
    };
    let drawing = |gray: &str| {
        let words = format!("{gray} g 0 0 144 72 re f");
        format!("<< /Length {} >>\nstream\n{words}\nendstream", words.len())
    };
    let objects = [
        "<< /Type /Catalog /Pages 2 0 R >>".to_owned(),
        "<< /Type /Pages /Kids [3 0 R 4 0 R] /Count 2 >>".to_owned(),
        page(5),
        page(6),
        drawing("0.9"),
        drawing("0.4"),
    ];
    let (mut file, mut places) = ("%PDF-1.4\n".to_owned(), String::new());
    for (place, object) in objects.iter().enumerate() {
        let _ = writeln!(places, "{:010} 00000 n ", file.len());
        let _ = writeln!(file, "{} 0 obj\n{object}\nendobj", place + 1);
    }
    let table = file.len();
    let all = objects.len() + 1;
    let _ = write!(file, "xref\n0 {all}\n0000000000 65535 f \n{places}");
    let _ = write!(file, "trailer\n<< /Size {all} /Root 1 0 R >>\nstartxref\n{table}\n%%EOF\n");
    let path = folder.join("two.pdf");
    fs::write(&path, file).unwrap();
    path
}

#[test]
fn pages_are_quoted_and_proved_each_for_itself() {
    let folder = tempdir().unwrap();
    let pages = two_pages(folder.path());
    let pages = pages.to_str().unwrap();
    let quoted = run(&["quote", pages, "--page", "1-2", "--format", "json"], &[]).ending_with(0);
    let pictures = list(&quoted.document().0["pictures"]).clone();
    let named: Vec<&str> = pictures.iter().map(|picture| text(&picture["file"])).collect();
    assert_eq!(named, [format!("{pages} (page 1)"), format!("{pages} (page 2)")]);

    let proofs = folder.path().join("proofs");
    let output = ["--output", proofs.to_str().unwrap(), "--ink-set", "five"];
    run(&["proof", pages, "--page", "1-"], &output).ending_with(0);
    let mut made: Vec<_> = fs::read_dir(&proofs)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    made.sort();
    assert_eq!(made, ["two-page-1", "two-page-2"]);
}

#[test]
fn a_separation_takes_one_page_and_refuses_several() {
    let folder = tempdir().unwrap();
    let pages = two_pages(folder.path());
    let pages = pages.to_str().unwrap();
    let total = |page: &str| -> f64 {
        separated(pages, &["--page", page]).iter().map(|(_, coverage)| coverage).sum()
    };
    assert!(total("2") > 2.0 * total("1"));
    let output = folder.path().join("inks.tif");
    let words = ["separate", pages, "--output", output.to_str().unwrap(), "--page", "1-2"];
    let refused = run(&words, &WIDE).ending_with(2);
    assert!(refused.messages.contains("give --page one number"), "{}", refused.messages);
    assert!(!output.exists());
}

/// `five` with device curves that take device values for coverages, and no limit that binds.
fn undriven(folder: &TempDir) -> PathBuf {
    let built_in = repository().join("crates/inkset/sets/five.toml");
    let straight = "device_percent = [0, 100], coverage_percent = [0, 100]";
    let inks = ["cyan", "magenta", "yellow", "photo black", "matte black"];
    let curves: Vec<String> =
        inks.iter().map(|ink| format!("\"{ink}\" = {{ {straight} }}")).collect();
    let with_curves = format!("device_curve = {{ {} }}\n", curves.join(", "));
    let mut set = String::new();
    for line in fs::read_to_string(built_in).unwrap().lines() {
        let line = match line.split(" = ").next().unwrap() {
            "load_limit_ml_per_m2" => "load_limit_ml_per_m2 = 100",
            "total_area_coverage_limit_percent" => "total_area_coverage_limit_percent = 400",
            _ => line,
        };
        let _ = writeln!(set, "{line}");
        if line == "[[print_mode]]" {
            set.push_str(&with_curves);
        }
    }
    let path = folder.path().join("undriven.toml");
    fs::write(&path, set).unwrap();
    path
}

/// The means of a CMYK file's channels by an independent reader.
fn means(file: &str) -> Vec<f64> {
    let table = fs::read_to_string(reference("format-means.csv")).unwrap();
    let row = table.lines().find(|line| line.starts_with(&format!("{file},"))).unwrap();
    row.split(',').skip(8).take(4).map(|mean| mean.parse().unwrap()).collect()
}

/// Of the table's six digits, and of the census's sums.
const OF_A_MEAN: f64 = 1e-3;

#[test]
fn device_values_fire_what_the_files_own_channels_hold() {
    let folder = tempdir().unwrap();
    let set = undriven(&folder);
    for file in ["tiff-cmyk-8-none-strips.tif", "tiff-cmyk-16-zip-tiles.tif", "jpeg-cmyk.jpg"] {
        let picture = format!("testimages/formats/{file}");
        let words =
            ["estimate", &picture, "--device-values", "--width", "60cm", "--format", "json"];
        let run = run(&words, &["--ink-set", set.to_str().unwrap()]).ending_with(0);
        let document = run.document();
        let estimate = document.estimate(file, 0);
        let used = list(&estimate["channels"]).iter().filter(|ink| ink["idle"] != true);
        let fired: Vec<f64> = used.map(|ink| number(&ink["coverage"])).collect();
        assert_eq!(fired.len(), 4, "{file}");
        for (fired, mean) in fired.iter().zip(means(file)) {
            assert!((fired - mean).abs() <= OF_A_MEAN * mean, "{file}: {fired} for {mean}");
        }
        let warnings = assumptions(estimate, "warning");
        assert!(warnings.iter().any(|words| words.contains("own device values are printed")));
    }
}

#[test]
fn device_values_are_refused_of_other_pictures_and_of_other_devices() {
    let form = ["--device-values", "--width", "60cm"];
    let rgb = run(&["estimate", "testimages/formats/png-rgb-8.png"], &form).ending_with(4);
    assert!(rgb.messages.contains("CMYK"), "{}", rgb.messages);
    let many = run(&["estimate", CMYK, "--ink-set", "nine"], &form).ending_with(4);
    assert!(many.messages.contains("nine"), "{}", many.messages);
}

use std::fs;
use std::path::Path;

use tempfile::tempdir;

use crate::pictures::{TEXT_NAMED_LIKE_A_PICTURE, WHITE_PAGE};
use crate::program::{Run, inkfathom};

const UPRIGHT: &str = "testimages/edge/crop-420.jpg";
const TURNED: &str = "testimages/edge/crop-orientation-6.jpg";
const GRAY: &str = "testimages/edge/crop-gray-8.png";

fn prove(files: &[&str], folder: &Path, further: &[&str]) -> Run {
    let output = ["--output", folder.to_str().unwrap()];
    let arguments = ["proof"].into_iter().chain(files.iter().copied()).chain(output);
    inkfathom(arguments.chain(further.iter().copied()))
}

/// Width, height and red, green, blue of a PNG file.
fn read(path: &Path) -> (u32, u32, Vec<u8>) {
    let file = std::io::BufReader::new(fs::File::open(path).unwrap());
    let mut reader = png::Decoder::new(file).read_info().unwrap();
    let mut samples = vec![0; reader.output_buffer_size().unwrap()];
    let frame = reader.next_frame(&mut samples).unwrap();
    assert!(reader.info().srgb.is_some(), "{} does not say sRGB", path.display());
    assert_eq!(frame.color_type, png::ColorType::Rgb);
    (frame.width, frame.height, samples)
}

#[test]
fn a_proof_writes_what_it_says_and_nothing_else() {
    let folder = tempdir().unwrap();
    let sets = ["--ink-set", "five", "--ink-set", "nine"];
    let run = prove(&[UPRIGHT], folder.path(), &sets).ending_with(0);
    let mut written: Vec<&str> = run.data.lines().collect();
    written.sort_unstable();
    let entries = fs::read_dir(folder.path().join("crop-420")).unwrap();
    let mut found: Vec<String> =
        entries.map(|entry| entry.unwrap().path().to_str().unwrap().to_owned()).collect();
    found.sort();
    assert_eq!(written, found);
    for name in [
        "intended.png",
        "intended.tif",
        "five.proof.png",
        "five.difference.png",
        "five.load.png",
        "five.predicted.tif",
        "five.cyan.gray.png",
        "five.cyan.tinted.png",
        "nine.light-grey.tinted.png",
        "five.nine.difference.png",
    ] {
        assert!(folder.path().join("crop-420").join(name).exists(), "{name} in {found:?}");
    }
    assert!(!run.data.contains("matte-black"), "an idle ink has no separation");
}

#[test]
fn proofs_stand_upright() {
    let folder = tempdir().unwrap();
    prove(&[UPRIGHT, TURNED], folder.path(), &["--ink-set", "five"]).ending_with(0);
    let of = |name: &str| read(&folder.path().join(name).join("five.proof.png"));
    let (upright, turned) = (of("crop-420"), of("crop-orientation-6"));
    assert_eq!((upright.0, upright.1), (turned.0, turned.1));
    let apart: u64 = upright.2.iter().zip(&turned.2).map(|(a, b)| u64::from(a.abs_diff(*b))).sum();
    let mean = apart as f64 / upright.2.len() as f64;
    assert!(mean < 6.0, "turned and upright are {mean} apart: not the same picture");
}

#[test]
fn white_stays_white_unless_the_paper_is_shown() {
    let folder = tempdir().unwrap();
    let white = |options: &[&str]| {
        prove(&[WHITE_PAGE], folder.path(), &[&["--ink-set", "five"], options].concat())
            .ending_with(0);
        read(&folder.path().join("white-page/five.proof.png")).2
    };
    for light in ["D50", "D65", "A"] {
        assert!(white(&["--light", light]).iter().all(|sample| *sample == 255), "{light}");
    }
    let shown = white(&["--show-paper"]);
    assert!(shown.iter().all(|sample| (200..255).contains(sample)), "{:?}", &shown[..3]);
}

#[test]
fn gray_pictures_are_proved_and_files_of_one_name_kept_apart() {
    let folder = tempdir().unwrap();
    let run = prove(&[GRAY, GRAY], folder.path(), &["--ink-set", "five"]).ending_with(0);
    assert!(run.data.contains("crop-gray-8/") && run.data.contains("crop-gray-8-2/"));
}

#[test]
fn a_bad_file_among_good_ones_is_told_and_the_others_proved() {
    let folder = tempdir().unwrap();
    let run = prove(&[TEXT_NAMED_LIKE_A_PICTURE, GRAY], folder.path(), &["--ink-set", "five"]);
    let run = run.ending_with(3);
    assert!(run.messages.contains("text-named.png"), "{}", run.messages);
    assert!(folder.path().join("crop-gray-8/five.proof.png").exists());
    assert!(!folder.path().join("text-named").exists());
}

#[test]
fn what_makes_no_proof_is_refused() {
    let folder = tempdir().unwrap();
    let twice = ["--ink-set", "five", "--ink-set", "five"];
    let run = prove(&[GRAY], folder.path(), &twice).ending_with(2);
    assert!(run.messages.contains("given twice"), "{}", run.messages);
    let taken = folder.path().join("taken");
    fs::write(&taken, "a file").unwrap();
    let run = prove(&[GRAY], &taken, &["--ink-set", "five"]).ending_with(6);
    assert!(run.messages.contains("choose a path that can be written"), "{}", run.messages);
    prove(&[TEXT_NAMED_LIKE_A_PICTURE], folder.path(), &["--ink-set", "five"]).ending_with(4);
}

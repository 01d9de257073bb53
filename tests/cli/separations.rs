use std::fs;
use std::path::Path;

use tempfile::tempdir;

use crate::pictures::TEXT_NAMED_LIKE_A_PICTURE;
use crate::program::{Run, inkfathom, inkfathom_with_threads};

const POSTER: &str = "testimages/poster.png";

/// The rule of the census: a channel that carries ink, relative to itself; the print out rounds
/// to hundredths of a percent of coverage.
const OF_CARRYING_CHANNEL: f64 = 0.005;
const PRINTED: f64 = 5.1e-5;

fn separate(picture: &str, output: &Path, further: &[&str]) -> Run {
    let arguments = ["separate", picture, "--output", output.to_str().unwrap()];
    inkfathom(arguments.into_iter().chain(further.iter().copied()))
}

/// Names and mean coverages as they are told.
fn told(run: &Run) -> Vec<(String, f64)> {
    let rows = run.data.lines().filter_map(|line| line.strip_prefix("  ")?.strip_suffix(" %"));
    rows.map(|row| {
        let (name, percent) = row.rsplit_once(' ').unwrap();
        (name.trim().to_owned(), percent.trim().parse::<f64>().unwrap() / 100.0)
    })
    .collect()
}

#[test]
fn written_channels_sum_to_the_estimate() {
    let folder = tempdir().unwrap();
    let output = folder.path().join("inks.tif");
    for ink_set in ["five", "eleven"] {
        let form = ["--ink-set", ink_set, "--width", "60cm"];
        let run = separate(POSTER, &output, &form).ending_with(0);
        let estimate = ["estimate", POSTER, "--format", "json"].into_iter().chain(form);
        let document = inkfathom(estimate).ending_with(0).document();
        let channels = document.estimate(POSTER, 0)["channels"].as_array().unwrap().clone();
        let told = told(&run);
        assert_eq!(told.len(), channels.len(), "{}", run.data);
        for ((name, written), channel) in told.iter().zip(&channels) {
            assert_eq!(name, channel["name"].as_str().unwrap());
            let coverage = channel["coverage"].as_f64().unwrap();
            let allowed = OF_CARRYING_CHANNEL * coverage + PRINTED;
            assert!((written - coverage).abs() <= allowed, "{name}: {written} {coverage}");
        }
    }
}

#[test]
fn sixteen_bits_are_twice_the_samples_and_the_same_inks() {
    let folder = tempdir().unwrap();
    let [bytes, words] = ["8", "16"].map(|bits| {
        let output = folder.path().join(format!("{bits}.tif"));
        let run = separate(POSTER, &output, &["--width", "60cm", "--bits", bits]).ending_with(0);
        (told(&run), fs::read(&output).unwrap())
    });
    assert_eq!(bytes.0, words.0);
    assert!(words.1.len() > bytes.1.len());
}

#[test]
fn any_number_of_threads_writes_the_same_bytes() {
    let folder = tempdir().unwrap();
    let [one, many] = ["1", "7"].map(|threads| {
        let output = folder.path().join(format!("{threads}.tif"));
        let arguments = ["separate", POSTER, "--width", "60cm", "--output"];
        let arguments = arguments.into_iter().chain([output.to_str().unwrap()]);
        inkfathom_with_threads(threads, arguments).ending_with(0);
        fs::read(&output).unwrap()
    });
    assert!(one == many);
}

#[test]
fn previews_are_gray_pictures_named_after_the_inks() {
    let folder = tempdir().unwrap();
    let output = folder.path().join("poster inks.tif");
    separate(POSTER, &output, &["--width", "60cm", "--previews"]).ending_with(0);
    for name in ["01-cyan", "02-magenta", "03-yellow", "04-photo-black", "05-matte-black"] {
        let path = folder.path().join(format!("poster inks-{name}.png"));
        let file = std::io::BufReader::new(fs::File::open(&path).unwrap());
        let mut reader = png::Decoder::new(file).read_info().unwrap();
        assert_eq!(reader.info().color_type, png::ColorType::Grayscale);
        let mut samples = vec![0; reader.output_buffer_size().unwrap()];
        reader.next_frame(&mut samples).unwrap();
        let idle = name == "05-matte-black";
        assert_eq!(samples.iter().all(|gray| *gray == 255), idle, "{name}");
    }
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 6);
}

#[test]
fn what_stops_a_separation_leaves_no_file() {
    let folder = tempdir().unwrap();
    let output = folder.path().join("inks.tif");
    for (picture, further, code, words) in [
        (TEXT_NAMED_LIKE_A_PICTURE, &["--width", "1m"][..], 4, "choose a picture"),
        ("testimages/bad/cut-50-8.png", &["--width", "1m"], 4, "ends early"),
        ("testimages/edge/crop-8.png", &[], 4, "the printed size is unknown"),
        (POSTER, &["--width", "1m", "--ink-set", "six"], 5, "`six`"),
        (POSTER, &["--width", "1m", "--bits", "12"], 2, "12"),
    ] {
        let run = separate(picture, &output, further).ending_with(code);
        assert!(run.messages.contains(words), "{words} is not in {}", run.messages);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0, "{words}");
    }
    let nowhere = folder.path().join("no-such-folder/inks.tif");
    let run = separate(POSTER, &nowhere, &["--width", "1m"]).ending_with(6);
    assert!(run.messages.contains("choose a path that can be written"), "{}", run.messages);
}

#[cfg(target_os = "linux")]
#[test]
fn memory_does_not_grow_with_the_picture() {
    use crate::program::inkfathom_within;
    let folder = tempdir().unwrap();
    let picture = folder.path().join("tall.png");
    // Forty megapixels, of which the channels take 400 MB before compression.
    let (width, height) = (10_000_u32, 4_000_u32);
    let file = std::io::BufWriter::new(fs::File::create(&picture).unwrap());
    let mut encoder = png::Encoder::new(file, width, height);
    encoder.set_color(png::ColorType::Grayscale);
    let mut writer = encoder.write_header().unwrap();
    let mut stream = writer.stream_writer().unwrap();
    let row: Vec<u8> = (0..=u8::MAX).cycle().take(width as usize).collect();
    for _ in 0..height {
        std::io::Write::write_all(&mut stream, &row).unwrap();
    }
    stream.finish().unwrap();
    writer.finish().unwrap();
    let output = folder.path().join("inks.tif");
    let [picture, output] = [&picture, &output].map(|path| path.to_str().unwrap());
    let arguments = ["separate", picture, "--width", "1m", "--bits", "16", "--output", output];
    inkfathom_within(300 << 10, arguments).ending_with(0);
}

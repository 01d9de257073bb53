use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

use inkfathom_tests::repository;
use tempfile::{TempDir, tempdir};

use crate::program::{
    CACHE, Run, inkfathom, inkfathom_caching_in, inkfathom_reading, list, number,
};

/// A folder of small pictures that were changed long ago, with one bad file and one folder within.
struct Folder {
    folder: TempDir,
    cache: TempDir,
}

/// Longer ago than any file system's clock is coarse.
const LONG_AGO: Duration = Duration::from_secs(3600);

const PICTURES: [&str; 4] = ["crop-8.png", "crop-420.jpg", "crop-alpha.png", "crop-16.tif"];

impl Folder {
    fn new() -> Self {
        let folder = tempdir().unwrap();
        fs::create_dir(folder.path().join("within")).unwrap();
        let made = Self { folder, cache: cache_of_separations() };
        for name in PICTURES {
            let bytes = fs::read(repository().join("testimages/edge").join(name)).unwrap();
            made.write(name, &bytes);
        }
        let bytes = fs::read(repository().join("testimages/edge/crop-gray-8.png")).unwrap();
        made.write("within/crop-gray-8.png", &bytes);
        made
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Writes a file that was changed long ago.
    fn write(&self, name: &str, bytes: &[u8]) {
        fs::write(self.path(name), bytes).unwrap();
        let file = fs::File::options().write(true).open(self.path(name)).unwrap();
        file.set_modified(SystemTime::UNIX_EPOCH + LONG_AGO).unwrap();
    }

    fn words(&self) -> &str {
        self.folder.path().to_str().unwrap()
    }

    /// Runs a command on the folder with a cache that starts empty.
    fn run(&self, command: &str, further: &[&str]) -> Run {
        let arguments = [command, self.words(), "--width", "10cm"];
        inkfathom_caching_in(
            self.cache.path(),
            arguments.into_iter().chain(further.iter().copied()),
        )
    }

    /// Puts bytes of the same number and time in the place of every picture: what is still
    /// answered was not read.
    fn make_unreadable(&self) {
        for name in PICTURES {
            let length = fs::metadata(self.path(name)).unwrap().len();
            self.write(name, &vec![0; usize::try_from(length).unwrap()]);
        }
    }
}

/// A cache that knows the built-in sets and no picture.
fn cache_of_separations() -> TempDir {
    let cache = tempdir().unwrap();
    let own = cache.path().join("inkfathom/separations");
    fs::create_dir_all(&own).unwrap();
    for file in fs::read_dir(CACHE.join("inkfathom/separations")).unwrap() {
        let file = file.unwrap();
        fs::copy(file.path(), own.join(file.file_name())).unwrap();
    }
    cache
}

fn files(run: &Run) -> Vec<String> {
    let document = run.document();
    let name = |file: &serde_json::Value| {
        let path = Path::new(file["file"].as_str().unwrap());
        path.file_name().unwrap().to_str().unwrap().to_owned()
    };
    document.files().iter().map(name).collect()
}

#[test]
fn a_folder_gives_its_pictures_in_the_order_of_their_names() {
    let folder = Folder::new();
    fs::write(folder.path("notes.txt"), "no picture").unwrap();
    let run = folder.run("estimate", &["--format", "json"]).ending_with(0);
    assert_eq!(files(&run), ["crop-16.tif", "crop-420.jpg", "crop-8.png", "crop-alpha.png"]);
    assert_eq!(run.messages, "", "nothing but results where no terminal is");
    let deeper = folder.run("estimate", &["--format", "json", "--recursive"]).ending_with(0);
    assert_eq!(files(&deeper)[4], "crop-gray-8.png");
}

#[test]
fn bad_files_stop_no_other_and_are_listed_at_the_end() {
    let folder = Folder::new();
    folder.write("a-text.png", b"no picture");
    let empty = folder.path("within-nothing");
    fs::create_dir(&empty).unwrap();
    let empty = empty.to_str().unwrap();
    let run = folder.run("estimate", &[empty, "--format", "json"]).ending_with(3);
    let errors: Vec<&str> = run.messages.lines().collect();
    assert_eq!(errors.len(), 3, "{}", run.messages);
    assert!(errors[0].contains("a-text.png: "), "{}", errors[0]);
    assert!(errors[1].contains("within-nothing: the folder holds no picture"), "{}", errors[1]);
    assert_eq!(errors[2], "error: 2 of 6 files could not be answered");
    assert_eq!(run.document().files().len(), 6);
}

#[test]
fn patterns_and_lists_name_the_same_files_as_the_command_line() {
    let folder = Folder::new();
    let paths = ["crop-8.png", "crop-alpha.png"].map(|name| folder.path(name));
    let [one, other] = paths.each_ref().map(|path| path.to_str().unwrap());
    let form = ["--width", "10cm", "--format", "json"];
    let named = inkfathom(["estimate", one, other].into_iter().chain(form)).ending_with(0);
    let pattern = folder.path("*.png");
    let pattern = pattern.to_str().unwrap();
    let found = inkfathom(["estimate", pattern].into_iter().chain(form)).ending_with(0);
    assert_eq!(found.data, named.data);
    let lists =
        [format!("{one}\n{other}\n"), format!("{one}\0{other}\0"), format!("{pattern}\r\n")];
    for text in lists {
        for arguments in [&["estimate", "-"][..], &["estimate", "--list", "-"]] {
            let arguments = arguments.iter().copied().chain(form);
            let run = inkfathom_reading(&text, arguments).ending_with(0);
            assert_eq!(run.data, named.data, "{text:?}");
        }
    }
    inkfathom_reading("\n", ["estimate", "-", "--width", "10cm"]).ending_with(2);
    inkfathom(["estimate", "--list", "no-such-list", "--width", "10cm"]).ending_with(4);
}

#[test]
fn the_number_of_jobs_and_what_is_known_change_nothing() {
    let folder = Folder::new();
    let json = |command: &str, further: &[&str]| {
        let further: Vec<&str> = further.iter().copied().chain(["--format", "json"]).collect();
        let run = folder.run(command, &further).ending_with(0);
        (run.data, run.messages)
    };
    let sets = ["--ink-set", "five", "--ink-set", "nine"];
    let compared = |jobs: &str| json("compare", &[&sets[..], &["--jobs", jobs]].concat());
    let estimated = |jobs: &str| json("estimate", &["--jobs", jobs]);
    let counted = (estimated("1"), compared("3"));
    assert_eq!((estimated("3"), compared("1")), counted);
    folder.make_unreadable();
    for jobs in ["1", "4"] {
        assert_eq!((estimated(jobs), compared(jobs)), counted, "recalled with {jobs} jobs");
    }
    // Another ink set is no reason to read them, and neither is a quote.
    json("estimate", &["--ink-set", "nine"]);
    json("quote", &[]);
}

#[test]
fn a_changed_file_is_read_again() {
    let folder = Folder::new();
    folder.run("estimate", &["--format", "json"]).ending_with(0);
    let other = fs::read(folder.path("crop-alpha.png")).unwrap();
    folder.write("crop-8.png", &other);
    let run = folder.run("estimate", &["--format", "json"]).ending_with(0);
    let document = run.document();
    let hash = |place: usize| document.files()[place]["content_hash"].clone();
    assert_eq!(hash(2), hash(3), "both hold the same bytes now");
    fs::write(folder.path("crop-8.png"), "no picture any more").unwrap();
    folder.run("estimate", &["--format", "json"]).ending_with(3);
}

#[test]
fn collected_colours_give_the_estimate_and_are_not_read_twice() {
    /// What `--collected` promises of totals.
    const OF_TOTAL: f64 = 0.002;
    let folder = Folder::new();
    let totals = |run: &Run| -> Vec<f64> {
        let document = run.document();
        let of = |file: &serde_json::Value| number(&list(&file["estimates"])[0]["total_ml"]);
        document.files().iter().map(of).collect()
    };
    for set in ["five", "nine"] {
        let exact = folder.run("estimate", &["--ink-set", set, "--format", "json"]);
        let exact = totals(&exact.ending_with(0));
        let further = ["--ink-set", set, "--format", "json", "--collected"];
        let collected = folder.run("estimate", &further).ending_with(0);
        for (collected, exact) in totals(&collected).into_iter().zip(exact) {
            assert!(
                (collected - exact).abs() <= OF_TOTAL * exact,
                "{collected} for {exact} on {set}"
            );
        }
    }
    let further = ["--ink-set", "nine", "--format", "json", "--collected"];
    let before = folder.run("estimate", &further).ending_with(0).data;
    folder.make_unreadable();
    assert_eq!(folder.run("estimate", &further).ending_with(0).data, before);
}

#[test]
fn collected_colours_are_refused_where_they_can_not_answer() {
    let folder = Folder::new();
    for further in [["--intent", "absolute"], ["--least-ink", "1"], ["--draw-at", "300"]] {
        let run = folder.run("estimate", &[&further[..], &["--collected"]].concat());
        let run = run.ending_with(2);
        assert!(run.messages.contains("leave"), "{}", run.messages);
    }
}

#[test]
fn each_line_of_json_lines_is_a_document_of_a_file() {
    let folder = Folder::new();
    folder.write("a-text.png", b"no picture");
    let json =
        folder.run("compare", &["--ink-set", "five", "--ink-set", "nine", "--format", "json"]);
    let document = json.ending_with(3).document().0;
    let further = ["--ink-set", "five", "--ink-set", "nine", "--format", "json-lines"];
    let run = folder.run("compare", &further).ending_with(3);
    let lines: Vec<serde_json::Value> =
        run.data.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(lines.len(), 6);
    for (line, file) in lines.iter().zip(list(&document["files"])) {
        assert_eq!((&line["kind"], &line["version"]), (&"file".into(), &document["version"]));
        assert_eq!(line["disclaimer"], document["disclaimer"]);
        for (key, value) in file.as_object().unwrap() {
            assert_eq!(&line[key], value, "{key}");
        }
    }
    assert_eq!(lines[5]["kind"], "all");
    assert_eq!(lines[5]["totals"], document["totals"]);
}

#[test]
fn parquet_has_the_values_of_the_csv_form_with_types() {
    use arrow_array::cast::AsArray;
    use arrow_array::types::Float64Type;
    use parquet::arrow::arrow_reader::ParquetRecordBatchReaderBuilder;

    let folder = Folder::new();
    let sets = ["--ink-set", "five", "--ink-set", "nine"];
    let csv = folder.run("compare", &[&sets[..], &["--format", "csv"]].concat()).ending_with(0);
    let path = folder.path("result.parquet");
    let to_file = ["--format", "parquet", "--output", path.to_str().unwrap()];
    folder.run("compare", &[&sets[..], &to_file].concat()).ending_with(0);
    let file = fs::File::open(&path).unwrap();
    let reader = ParquetRecordBatchReaderBuilder::try_new(file).unwrap();
    let facts = reader.metadata().file_metadata().key_value_metadata().unwrap();
    assert!(facts.iter().any(|fact| fact.key == "disclaimer"));
    let mut batches = reader.build().unwrap();
    let batch = batches.next().unwrap().unwrap();
    assert!(batches.next().is_none());
    let mut text = csv::Reader::from_reader(csv.data.as_bytes());
    let header = text.headers().unwrap().clone();
    let rows: Vec<csv::StringRecord> = text.records().map(Result::unwrap).collect();
    assert_eq!(batch.num_rows(), rows.len());
    let cells = |name: &str| -> Vec<String> {
        let place = header.iter().position(|column| column == name).unwrap();
        rows.iter().map(|row| row[place].to_owned()).collect()
    };
    let channel = batch.column_by_name("channel").unwrap().as_string::<i32>();
    assert!(channel.iter().zip(cells("channel")).all(|(typed, text)| typed == Some(&*text)));
    for name in ["ml", "area_m2", "coverage", "delta_e_00_mean"] {
        let typed = batch.column_by_name(name).unwrap().as_primitive::<Float64Type>();
        for (typed, text) in typed.iter().zip(cells(name)) {
            assert_eq!(typed, text.parse().ok(), "{name}");
        }
    }
    let copies = batch.column_by_name("copies").unwrap();
    assert_eq!(copies.data_type().to_string(), "UInt32");
}

#[test]
fn completions_and_manual_pages_name_every_command() {
    let bash = inkfathom(["completions", "bash"]).ending_with(0).data;
    let folder = tempdir().unwrap();
    inkfathom(["man-pages", "--output", folder.path().to_str().unwrap()]).ending_with(0);
    for command in ["estimate", "compare", "quote", "jobs", "man-pages"] {
        assert!(bash.contains(command), "{command}");
        let page = fs::read_to_string(folder.path().join(format!("inkfathom-{command}.1")));
        assert!(page.unwrap().contains(".TH"), "{command}");
    }
    assert!(folder.path().join("inkfathom-jobs-add.1").exists());
}

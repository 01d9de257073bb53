use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use inkfathom_tests::repository;
use tempfile::{TempDir, tempdir};

use crate::program::{Run, inkfathom, number, text};

/// A folder with a ledger, made anew for each test.
pub(crate) struct Studio {
    folder: TempDir,
    pub(crate) ledger: String,
}

impl Studio {
    pub(crate) fn new() -> Self {
        let folder = tempdir().unwrap();
        let ledger = folder.path().join("ledger.sqlite").to_str().unwrap().to_owned();
        Self { folder, ledger }
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Runs a command on the studio's ledger.
    pub(crate) fn run(&self, arguments: &[&str]) -> Run {
        inkfathom(arguments.iter().copied().chain(["--ledger", &self.ledger]))
    }

    /// Imports a table with this text.
    pub(crate) fn import(&self, table: &str) -> Run {
        let path = self.path("jobs.csv");
        fs::write(&path, table).unwrap();
        self.run(&["jobs", "import", path.to_str().unwrap()])
    }

    /// The lines of `jobs list`.
    pub(crate) fn jobs(&self) -> Vec<String> {
        let run = self.run(&["jobs", "list"]).ending_with(0);
        run.data.lines().map(str::to_owned).collect()
    }
}

pub(crate) const PICTURES: [&str; 4] =
    ["shore.png", "tulips.png", "raccoon.jpg", "sunset-hills.jpg"];

pub(crate) fn picture(name: &str) -> String {
    repository()
        .join("testimages/photographs")
        .canonicalize()
        .unwrap()
        .join(name)
        .display()
        .to_string()
}

/// What the nominal set takes for each of [`PICTURES`] at 60 cm, by ink.
static NOMINAL: LazyLock<Vec<Vec<(String, f64)>>> = LazyLock::new(|| {
    let paths: Vec<String> = PICTURES.iter().map(|name| picture(name)).collect();
    let arguments = ["estimate", "--width", "60cm", "--format", "json"];
    let document =
        inkfathom(arguments.into_iter().chain(paths.iter().map(String::as_str))).document();
    let of_picture = |name: &&str| {
        let channels = document.estimate(name, 0)["channels"].as_array().unwrap().iter();
        channels.map(|c| (text(&c["name"]).to_owned(), number(&c["ml"]))).collect()
    };
    PICTURES.iter().map(of_picture).collect()
});

pub(crate) const HEADER: &str =
    "date,file,ink_set,width_mm,copies,measured_by,resolution_ml,includes";

/// Eight jobs of a device that lays down a tenth more than nominal, and 0.3 ml of each active ink
/// at the start; widths from 40 to 130 cm.
pub(crate) fn eight_jobs() -> String {
    let inks: Vec<&str> = NOMINAL[0].iter().map(|(ink, _)| ink.as_str()).collect();
    let mut table = HEADER.to_owned();
    for ink in &inks {
        table += &format!(",ml {ink}");
    }
    table.push('\n');
    for place in 0..8 {
        let width = 400 * (place + 4) / 4;
        let scale = f64::from(width * width) / 360_000.0;
        let name = PICTURES[usize::try_from(place).unwrap() % 4];
        table += &format!(
            "2026-11-{:02},{},five,{width},1,machine-count,0.01,start-up",
            place + 1,
            picture(name)
        );
        for (ink, ml) in &NOMINAL[usize::try_from(place).unwrap() % 4] {
            let start = if ink == "matte black" { 0.0 } else { 0.3 };
            table += &format!(",{:.2}", 1.1 * scale * ml + start);
        }
        table.push('\n');
    }
    table
}

#[test]
fn a_job_is_added_listed_corrected_and_exported_with_the_value_before() {
    let studio = Studio::new();
    let shore = picture("shore.png");
    let add = ["jobs", "add", &shore, "--width", "60cm", "--ml", "cyan=1.2", "--ml", "yellow=0.4"];
    let measured = ["--measured-by", "weighing", "--resolution-ml", "0.1", "--date", "2026-11-20"];
    studio.run(&[&add[..], &measured[..]].concat()).ending_with(0);
    studio
        .run(&["jobs", "correct", "1", "--ml", "cyan=1.3", "--copies", "2", "--reason", "misread"])
        .ending_with(0);
    let listed = studio.run(&["jobs", "list", "--corrections"]).ending_with(0).data;
    for words in ["cyan 1.3, yellow 0.4", "ml cyan was 1.2, is 1.3: misread", "copies was 1, is 2"]
    {
        assert!(listed.contains(words), "{words} is not in\n{listed}");
    }
    let exported = studio.run(&["jobs", "export"]).ending_with(0).data;
    assert!(exported.contains("2026-11-20,") && exported.contains(",1.3,0.4"), "{exported}");
}

#[test]
fn an_exported_table_can_be_imported_into_another_ledger() {
    let studio = Studio::new();
    studio.import(&eight_jobs()).ending_with(0);
    let table = studio.run(&["jobs", "export"]).ending_with(0).data;
    let other = Studio::new();
    other.import(&table).ending_with(0);
    assert_eq!(other.jobs(), studio.jobs());
    assert_eq!(other.run(&["jobs", "export"]).data, table);
}

#[test]
fn the_same_table_is_not_imported_twice() {
    let studio = Studio::new();
    studio.import(&eight_jobs()).ending_with(0);
    let again = studio.import(&eight_jobs()).ending_with(9);
    assert!(again.messages.contains("in the ledger already, as job 1"), "{}", again.messages);
    assert_eq!(studio.jobs().len(), 8);
}

#[test]
fn decimal_commas_between_semicolons_give_the_same_jobs() {
    let points = Studio::new();
    points.import(&eight_jobs()).ending_with(0);
    let commas = Studio::new();
    commas
        .import(
            &eight_jobs()
                .replace(',', ";")
                .replace("0.", "0,")
                .replace('.', ",")
                .replace(",png", ".png")
                .replace(",jpg", ".jpg"),
        )
        .ending_with(0);
    assert_eq!(commas.jobs(), points.jobs());
}

/// A faulty table, the words of its fault, and how it differs from a sound one.
const FAULTY: [(&str, &str, &str); 12] = [
    ("date,", "day,", "column `day` is unknown"),
    ("measured_by,", "", "column `measured_by` is missing"),
    ("1.25", "-1.25", "`ml cyan` is -1.25, outside 0 to 100000 ml"),
    ("1.25", "\"1,25\"", "write all numbers of the file the same way"),
    ("1.25", "1.25ml", "`ml cyan` is `1.25ml`, no number"),
    ("ml cyan", "ml cian", "has no ink `cian`"),
    ("five,600", "fife,600", "did you mean `five`?"),
    ("2026-11-20", "20.11.2026", "write year, month and day"),
    ("machine-count,", "guess,", "write one of machine-count"),
    ("start-up", "start", "`start` is not part of a reading"),
    ("shore.png", "shire.png", "shire.png"),
    ("0.01,", "0,", "`resolution_ml` is 0"),
];

#[test]
fn every_fault_of_a_table_is_told_with_its_line_and_nothing_is_added() {
    let sound = format!(
        "{HEADER},ml cyan\n2026-11-20,{},five,600,1,machine-count,0.01,start-up,1.25\n",
        picture("shore.png")
    );
    let studio = Studio::new();
    studio.import(&sound).ending_with(0);
    let before = fs::read(&studio.ledger).unwrap();
    for (part, faulty, words) in FAULTY {
        assert!(sound.contains(part), "{part}");
        let run = studio.import(&sound.replacen(part, faulty, 1)).ending_with(9);
        assert!(run.messages.contains(words), "{words} is not in {}", run.messages);
        assert!(run.messages.contains("line "), "{}", run.messages);
    }
    assert_eq!(fs::read(&studio.ledger).unwrap(), before, "the ledger was touched");
}

#[test]
fn a_faulty_table_begins_no_ledger() {
    let studio = Studio::new();
    studio.import("date;file\n").ending_with(9);
    assert!(!Path::new(&studio.ledger).exists());
}

#[test]
fn all_faults_of_a_table_are_told_at_once() {
    let table = format!(
        "{HEADER},ml cyan\n2026-13-20,x.png,five,600,1,guess,0.01,,1.25\n2026-11-20,{},five,0,0,weighing,0.01,,-1\n",
        picture("shore.png")
    );
    let messages = Studio::new().import(&table).ending_with(9).messages;
    for words in
        ["line 2: `2026-13-20`", "`guess`", "line 3: ", "`copies` is 0", "`width_mm` is 0", "is -1"]
    {
        assert!(messages.contains(words), "{words} is not in {messages}");
    }
}

#[test]
fn eight_jobs_calibrate_estimates_which_name_the_calibration_and_can_be_repeated() {
    let studio = Studio::new();
    studio.import(&eight_jobs()).ending_with(0);
    let fitted = studio.run(&["calibration", "fit", "--name", "harbour"]).ending_with(0).data;
    assert!(fitted.contains("harbour.1") && fitted.contains("8 jobs"), "{fitted}");
    let shore = picture("shore.png");
    let estimate = |further: &[&str]| {
        let arguments = ["estimate", &shore, "--width", "60cm", "--format", "json"];
        studio.run(&[&arguments[..], further].concat()).ending_with(0).document()
    };
    let total = |document: &crate::program::Document| {
        number(&document.estimate("shore.png", 0)["total_ml"])
    };
    let (calibrated, nominal) = (estimate(&[]), estimate(&["--no-calibration"]));
    let of = |document: &crate::program::Document| {
        text(&document.estimate("shore.png", 0)["ids"]["calibration"]).to_owned()
    };
    assert_eq!((of(&calibrated), of(&nominal)), ("harbour.1".to_owned(), "none".to_owned()));
    // Readings were made a tenth above nominal, rounded to a hundredth of a millilitre.
    assert!((total(&calibrated) / total(&nominal) - 1.1).abs() < 0.02);
    let start_up = &calibrated.estimate("shore.png", 0)["start_up"];
    assert!((number(&start_up["ml"]) - 1.2).abs() < 0.1, "{start_up}");
    let said = text(
        &calibrated.estimate("shore.png", 0)["assumptions"]
            .as_array()
            .unwrap()
            .iter()
            .find(|a| text(&a["text"]).contains("calibrated by"))
            .unwrap()["text"],
    )
    .to_owned();
    assert!(said.contains("8 measured jobs") && said.contains("harbour.1"), "{said}");
    // A later version takes over, and the earlier one gives its estimate again.
    studio.run(&["jobs", "correct", "3", "--left-out", "true"]).ending_with(0);
    studio.run(&["calibration", "fit", "--name", "harbour"]).ending_with(0);
    assert_eq!(of(&estimate(&[])), "harbour.2");
    assert_eq!(estimate(&["--calibration", "harbour.1"]).0, calibrated.0);
    studio.run(&["calibration", "use", "harbour.1"]).ending_with(0);
    assert_eq!(estimate(&[]).0, calibrated.0);
    let listed = studio.run(&["calibration", "list"]).ending_with(0).data;
    assert!(listed.lines().next().unwrap().ends_with("8 jobs, in use"), "{listed}");
    assert_eq!(
        studio.run(&["calibration", "show", "harbour.1"]).data.split_once(", 8 jobs").unwrap().1,
        fitted.split_once(", 8 jobs").unwrap().1
    );
    let unknown = studio.run(&["calibration", "use", "harbour.9"]).ending_with(9);
    assert!(unknown.messages.contains("there are harbour.1, harbour.2"), "{}", unknown.messages);
}

#[test]
fn a_drifting_ink_is_signalled_with_what_may_be_behind_it() {
    let studio = Studio::new();
    studio.import(&eight_jobs()).ending_with(0);
    studio.run(&["calibration", "fit"]).ending_with(0);
    let quiet = studio.run(&["drift"]).ending_with(0).data;
    assert!(quiet.contains("0 jobs") && quiet.contains("nothing to hold against it"), "{quiet}");
    // The same prints later: cyan takes a seventh less.
    let later = eight_jobs().replace("2026-11", "2026-12");
    let later: String = later
        .lines()
        .enumerate()
        .map(|(line, text)| match (line, text.split(',').collect::<Vec<_>>()) {
            (0, _) => format!("{text}\n"),
            (_, mut cells) => {
                let weaker = format!("{:.2}", cells[8].parse::<f64>().unwrap() / 1.15);
                cells[8] = &weaker;
                cells.join(",") + "\n"
            }
        })
        .collect();
    studio.import(&later).ending_with(0);
    let told = studio.run(&["drift"]).ending_with(0).data;
    assert!(told.contains("cyan takes less than predicted"), "{told}");
    assert!(
        told.contains("nozzle") && told.contains("ink lot") && told.contains("medium"),
        "{told}"
    );
    assert!(!told.contains("magenta takes"), "{told}");
}

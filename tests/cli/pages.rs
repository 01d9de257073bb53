use std::fs;
use std::sync::LazyLock;

use tempfile::tempdir;

use crate::pictures::{BLOSSOM, BRUSHES, TEXT_NAMED_LIKE_A_PICTURE};
use crate::program::{Run, inkfathom, list, number, text};

const SETS: [&str; 4] = ["--ink-set", "five", "--ink-set", "eleven"];

fn compare_as(form: &str, further: &[&str]) -> Run {
    let arguments = ["compare", "--width", "60cm", "--format", form].into_iter().chain(SETS);
    inkfathom(arguments.chain(further.iter().copied()))
}

/// Two good pictures and a file that is none, from a sender whose name needs care.
static PAGE: LazyLock<Run> = LazyLock::new(|| {
    let letter = ["--sender", "Farrowsay <Print> & Studio", "--note", "Invented", "--date", "May"];
    let files = [BLOSSOM, TEXT_NAMED_LIKE_A_PICTURE, BRUSHES];
    compare_as("html", &[&letter[..], &files[..]].concat()).ending_with(3)
});

/// The words of a page, without what it carries of pictures.
fn words(page: &str) -> String {
    let mut parts = page.split("data:image/jpeg;base64,");
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |words, part| words + part.split_once('"').map_or("", |(_, rest)| rest))
}

#[test]
fn a_page_fetches_nothing() {
    let page = words(&PAGE.data);
    for address in ["http:", "https:", "//", "@import", "url(h", "src=\"/", "<link"] {
        let mut lines = page.lines().filter(|line| line.contains(address));
        assert_eq!(lines.next(), None, "{address}");
    }
    assert!(page.contains("default-src 'none'"));
}

#[test]
fn a_page_holds_the_figures_of_json() {
    let run = compare_as("json", &[BLOSSOM, TEXT_NAMED_LIKE_A_PICTURE, BRUSHES]);
    let document = run.ending_with(3).document();
    let page = words(&PAGE.data);
    for picture in [BLOSSOM, BRUSHES] {
        for set in 0..2 {
            let estimate = document.estimate(picture, set);
            let verdict = &estimate["verdict"];
            let share = format!("{:.1} %", 100.0 * number(&verdict["out_of_gamut_share"]));
            let mean = format!("{:.2}", number(&verdict["against_intended"]["mean"]));
            let max = format!("{:.2}", number(&verdict["after_black_point_compensation"]["max"]));
            let ids = text(&estimate["ids"]["separation"]).to_owned();
            for printed in [share, mean, max, ids] {
                assert!(page.contains(&printed), "{printed} of {picture}");
            }
            for assumption in list(&estimate["assumptions"]) {
                let escaped = text(&assumption["text"]).replace('&', "&amp;");
                assert!(page.contains(&escaped), "{escaped}");
            }
        }
        assert!(page.contains(text(&document.file(picture)["content_hash"])));
    }
    let saving = number(&document.0["savings"][0]["percent"]);
    assert!(page.contains(&format!("{:.1} % less ink than eleven", saving.abs())), "{saving}");
}

#[test]
fn a_file_without_an_answer_is_told_inside_the_page() {
    let page = words(&PAGE.data);
    assert!(page.contains("1 file gave no answer"));
    assert!(page.contains("text-named.png") && page.contains("choose a picture"));
    assert!(PAGE.messages.contains("text-named.png"));
}

#[test]
fn what_comes_from_outside_is_escaped() {
    let page = words(&PAGE.data);
    assert!(page.contains("Farrowsay &lt;Print&gt; &amp; Studio"));
    assert!(!page.contains("<Print>"));
}

#[test]
fn a_page_says_what_it_is() {
    let page = words(&PAGE.data);
    for words in ["An estimate is not a measurement.", "safety data", "Invented", "not calibrated"]
    {
        assert!(page.contains(words), "{words}");
    }
}

#[test]
fn the_same_page_is_written_every_time() {
    let page = || compare_as("html", &[BLOSSOM]).ending_with(0).data;
    assert_eq!(page(), page());
}

#[test]
fn a_folder_with_nothing_readable_gives_a_page_without_figures() {
    let folder = tempdir().unwrap();
    fs::write(folder.path().join("notes.txt"), "no picture").unwrap();
    let (inside, itself) = (folder.path().join("notes.txt"), folder.path());
    let files = [inside.to_str().unwrap(), itself.to_str().unwrap()];
    let run = compare_as("html", &files).ending_with(4);
    assert!(run.data.contains("No picture could be compared"));
    assert!(run.data.contains("notes.txt"));
    for form in ["json", "csv", "table"] {
        compare_as(form, &files).ending_with(4);
    }
}

#[test]
fn a_page_goes_whole_to_its_path_or_not_at_all() {
    let folder = tempdir().unwrap();
    let path = folder.path().join("page.html");
    let run = compare_as("html", &[BLOSSOM, "--output", path.to_str().unwrap()]).ending_with(0);
    assert_eq!(run.data, "");
    assert!(fs::read_to_string(&path).unwrap().starts_with("<!DOCTYPE html>"));
    let nowhere = folder.path().join("no-such-folder/page.html");
    compare_as("html", &[BLOSSOM, "--output", nowhere.to_str().unwrap()]).ending_with(6);
}

#[test]
fn a_page_needs_two_sets_of_different_names() {
    let run =
        inkfathom(["estimate", BLOSSOM, "--width", "60cm", "--format", "html"]).ending_with(2);
    assert!(run.messages.contains("use compare"), "{}", run.messages);
    let twice = ["compare", BLOSSOM, "--width", "60cm", "--format", "html"];
    let same = ["--ink-set", "five", "--ink-set", "five"];
    let run = inkfathom(twice.into_iter().chain(same)).ending_with(2);
    assert!(run.messages.contains("given twice"), "{}", run.messages);
}

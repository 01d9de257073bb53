use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::{Duration, Instant};

use inkfathom_tests::repository;
use serde_json::Value;
use tempfile::{TempDir, tempdir};

use crate::pictures::{BLOSSOM, TEXT_NAMED_LIKE_A_PICTURE};
use crate::program::{CACHE, Run, inkfathom, number, text};

/// A folder with some of the repository's pictures.
fn folder_with(files: &[(&str, &str)]) -> TempDir {
    let folder = tempdir().unwrap();
    for (name, file) in files {
        put(folder.path(), name, file);
    }
    folder
}

fn put(folder: &Path, name: &str, file: &str) {
    fs::copy(repository().join(file), folder.join(name)).unwrap();
}

fn watch_once(folder: &Path, further: &[&str]) -> Run {
    let arguments = ["watch", folder.to_str().unwrap(), "--once", "--settle", "0.05"];
    inkfathom(arguments.into_iter().chain(["--width", "60cm"]).chain(further.iter().copied()))
}

fn result(folder: &Path, name: &str) -> Value {
    let path = folder.join(format!("{name}.ink.json"));
    serde_json::from_slice(&fs::read(&path).unwrap()).unwrap()
}

fn written_at(folder: &Path, name: &str) -> std::time::SystemTime {
    fs::metadata(folder.join(format!("{name}.ink.json"))).unwrap().modified().unwrap()
}

#[test]
fn every_picture_of_a_folder_gets_its_result_and_bad_ones_stop_nobody() {
    let folder = folder_with(&[
        ("a bad one.png", TEXT_NAMED_LIKE_A_PICTURE),
        ("blossom.jpg", BLOSSOM),
        ("unfinished.jpg.part", BLOSSOM),
    ]);
    let run = watch_once(folder.path(), &["--ink-set", "five", "--ink-set", "eleven"]);
    let run = run.ending_with(3);
    assert!(run.data.starts_with("blossom.jpg: "), "{}", run.data);
    assert!(run.messages.contains("a bad one.png"), "{}", run.messages);
    let watched = result(folder.path(), "blossom.jpg");
    assert_eq!(text(&watched["files"][0]["file"]), "blossom.jpg");
    let sets = ["--ink-set", "five", "--ink-set", "eleven"];
    let compare = ["compare", BLOSSOM, "--width", "60cm", "--format", "json"];
    let compared = inkfathom(compare.into_iter().chain(sets)).ending_with(0).document();
    assert_eq!(watched["files"][0]["estimates"], compared.files()[0]["estimates"]);
    let bad = result(folder.path(), "a bad one.png");
    assert_eq!(text(&bad["files"][0]["status"]), "failed");
    assert!(!folder.path().join("unfinished.jpg.part.ink.json").exists());
}

#[test]
fn nothing_is_done_twice() {
    let folder = folder_with(&[("blossom.jpg", BLOSSOM)]);
    watch_once(folder.path(), &[]).ending_with(0);
    let first = written_at(folder.path(), "blossom.jpg");
    let again = watch_once(folder.path(), &[]).ending_with(0);
    assert_eq!(again.data, "");
    assert_eq!(written_at(folder.path(), "blossom.jpg"), first);
    // Another picture under the same name is new.
    put(folder.path(), "blossom.jpg", "testimages/photographs/brushes-saturated.jpg");
    let changed = watch_once(folder.path(), &[]).ending_with(0);
    assert!(changed.data.contains("blossom.jpg"), "{}", changed.data);
}

#[test]
fn a_result_written_just_before_a_kill_is_not_made_again() {
    let folder = folder_with(&[("blossom.jpg", BLOSSOM)]);
    watch_once(folder.path(), &[]).ending_with(0);
    let first = written_at(folder.path(), "blossom.jpg");
    let journal = folder.path().join(".inkfathom-watch.json");
    let as_if = |before: &Value| {
        let mut content: Value = serde_json::from_slice(&fs::read(&journal).unwrap()).unwrap();
        content["files"]["blossom.jpg"]["step"] =
            serde_json::json!({ "begun": { "result_before": before } });
        fs::write(&journal, content.to_string()).unwrap();
    };
    // The result came after the beginning.
    as_if(&Value::Null);
    assert_eq!(watch_once(folder.path(), &[]).ending_with(0).data, "");
    assert_eq!(written_at(folder.path(), "blossom.jpg"), first);
    // What lies there lay there before: the estimate did not end.
    let found = fs::metadata(folder.path().join("blossom.jpg.ink.json")).unwrap();
    let modified = found.modified().unwrap().duration_since(std::time::UNIX_EPOCH).unwrap();
    let nanoseconds = u64::try_from(modified.as_nanos()).unwrap();
    as_if(&serde_json::json!({ "bytes": found.len(), "modified_ns": nanoseconds }));
    assert!(watch_once(folder.path(), &[]).ending_with(0).data.contains("blossom.jpg"));
}

/// A running watch, which ends with the test.
struct Running(Child);

impl Running {
    fn begin(folder: &Path) -> Self {
        let child = std::process::Command::new(env!("CARGO_BIN_EXE_inkfathom"))
            .args(["watch", folder.to_str().unwrap(), "--settle", "2", "--width", "60cm"])
            .env("XDG_CACHE_HOME", &*CACHE)
            .env("XDG_DATA_HOME", CACHE.join("no-ledger-here"))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        Self(child)
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        // Kill -9 on Unix, which is what a power cut looks like to files.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Waits for a file, as long as a slow machine may need.
fn wait_for(path: &Path) {
    let begun = Instant::now();
    while !path.exists() {
        assert!(begun.elapsed() < Duration::from_secs(120), "{} never came", path.display());
        thread::sleep(Duration::from_millis(20));
    }
}

#[test]
fn a_slow_copy_is_estimated_when_it_is_whole_and_a_kill_forgets_nothing() {
    let folder = tempdir().unwrap();
    let result_path = |name: &str| -> PathBuf { folder.path().join(format!("{name}.ink.json")) };
    let watch = Running::begin(folder.path());
    // Under its last name from the start, in pieces closer together than the watch's patience.
    let bytes = fs::read(repository().join(BLOSSOM)).unwrap();
    let mut slow = fs::File::create(folder.path().join("slow.jpg")).unwrap();
    for piece in bytes.chunks(bytes.len().div_ceil(10)) {
        slow.write_all(piece).unwrap();
        slow.flush().unwrap();
        thread::sleep(Duration::from_millis(100));
        assert!(!result_path("slow.jpg").exists());
    }
    drop(slow);
    wait_for(&result_path("slow.jpg"));
    assert_eq!(text(&result(folder.path(), "slow.jpg")["files"][0]["status"]), "estimated");
    let first = written_at(folder.path(), "slow.jpg");
    drop(watch);
    put(folder.path(), "meanwhile.jpg", BLOSSOM);
    let _watch = Running::begin(folder.path());
    wait_for(&result_path("meanwhile.jpg"));
    assert_eq!(written_at(folder.path(), "slow.jpg"), first);
    let ml = |name: &str| {
        number(&result(folder.path(), name)["files"][0]["estimates"][0]["total_ml"]).to_bits()
    };
    assert_eq!(ml("slow.jpg"), ml("meanwhile.jpg"));
}

#[test]
fn a_folder_is_watched_by_one_run_alone() {
    let folder = folder_with(&[("blossom.jpg", BLOSSOM)]);
    let _watch = Running::begin(folder.path());
    wait_for(&folder.path().join("blossom.jpg.ink.json"));
    let second = watch_once(folder.path(), &[]).ending_with(2);
    assert!(second.messages.contains("watched by another run"), "{}", second.messages);
}

#[test]
fn a_faulty_journal_is_told_and_left_alone() {
    let folder = folder_with(&[("blossom.jpg", BLOSSOM)]);
    let journal = folder.path().join(".inkfathom-watch.json");
    for (content, words) in
        [("{", "EOF"), (r#"{"version":2,"files":{}}"#, "only 1 is known"), ("[]", "expected")]
    {
        fs::write(&journal, content).unwrap();
        let run = watch_once(folder.path(), &[]).ending_with(4);
        assert!(run.messages.contains(".inkfathom-watch.json"), "{}", run.messages);
        assert!(run.messages.contains(words), "{}", run.messages);
        assert_eq!(fs::read_to_string(&journal).unwrap(), content);
    }
}

/// What a receiver was sent.
struct Posted {
    head: Vec<String>,
    body: String,
}

impl Posted {
    fn header(&self, name: &str) -> &str {
        let of_name = |line: &&String| line.to_lowercase().starts_with(&format!("{name}:"));
        let line = self.head.iter().find(of_name).unwrap_or_else(|| panic!("no {name}"));
        line.split_once(':').unwrap().1.trim()
    }
}

/// A receiver on this machine that gives these answers, one after the other, and ends.
fn receiver(answers: &'static [&'static str]) -> (String, Receiver<Posted>) {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = format!("http://{}/results", listener.local_addr().unwrap());
    let (sender, posted) = channel();
    thread::spawn(move || {
        for answer in answers {
            let (stream, _) = listener.accept().unwrap();
            sender.send(answered(stream, answer)).unwrap();
        }
    });
    (address, posted)
}

fn answered(mut stream: TcpStream, answer: &str) -> Posted {
    let mut reader = BufReader::new(stream.try_clone().unwrap());
    let lines = reader.by_ref().lines().map(Result::unwrap);
    let head: Vec<String> = lines.take_while(|line| !line.is_empty()).collect();
    let mut posted = Posted { head, body: String::new() };
    let length: u64 = posted.header("content-length").parse().unwrap();
    reader.take(length).read_to_string(&mut posted.body).unwrap();
    write!(stream, "HTTP/1.1 {answer}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n").unwrap();
    posted
}

#[test]
fn results_are_posted_until_they_are_accepted_and_then_never_again() {
    let folder = folder_with(&[("blossom.jpg", BLOSSOM)]);
    let (address, posted) = receiver(&["503 Service Unavailable", "202 Accepted"]);
    let run = watch_once(folder.path(), &["--post-to", &address]).ending_with(6);
    assert!(run.messages.contains("answered 503"), "{}", run.messages);
    let first = written_at(folder.path(), "blossom.jpg");
    watch_once(folder.path(), &["--post-to", &address]).ending_with(0);
    // The receiver is gone: another posting would fail.
    watch_once(folder.path(), &["--post-to", &address]).ending_with(0);
    assert_eq!(written_at(folder.path(), "blossom.jpg"), first);
    let tries: Vec<Posted> = posted.iter().collect();
    assert_eq!(tries.len(), 2);
    let file = fs::read_to_string(folder.path().join("blossom.jpg.ink.json")).unwrap();
    for posted in &tries {
        assert_eq!(posted.body, file);
        assert_eq!(posted.header("content-type"), "application/json");
        assert_eq!(posted.header("idempotency-key"), tries[0].header("idempotency-key"));
    }
}

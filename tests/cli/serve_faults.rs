//! Whatever goes wrong: each its own status, and the service stays up.

use std::fs;
use std::io::Write as _;
use std::net::Shutdown;
use std::thread::sleep;
use std::time::Duration;

use inkfathom_tests::RunningService;
use inkfathom_tests::http::{Question, connected, read_answer};
use rustix::process::{Resource, Rlimit, getrlimit, setrlimit};
use serde_json::json;
use tempfile::TempDir;

use crate::program::text;
use crate::serve::{SHORE, Served, command, picture, refused};

#[test]
fn a_bad_file_fails_alone_with_the_words_of_the_command_line() {
    let served = Served::new(&[]);
    for (file, words) in [
        ("testimages/bad/cut-50-420.jpg", "ends early"),
        ("testimages/bad/huge-claim.png", "over the limit"),
        ("testimages/bad/damaged-scan.jpg", "damaged"),
        ("testimages/README.md", "no picture of a known kind"),
    ] {
        let (shared, form) = served.counted("name=x.jpg", &picture(file));
        assert_eq!(form["state"], "refused", "{file}: {form}");
        let problem = &form["problem"];
        assert_eq!((&problem["status"], &problem["class"]), (&json!(422), &json!("picture")));
        assert!(text(&problem["detail"]).contains(words), "{file}: {problem}");
        let asked = served.post(&format!("{shared}/estimate"), &json!({"ink_set": ["five"]}));
        refused(&asked, 409, "not-counted-yet");
    }
    assert_eq!(served.counted("name=shore.png", &picture(SHORE)).1["state"], "counted");
}

#[test]
fn a_picture_that_takes_too_much_is_refused_and_the_next_one_is_counted() {
    let served = Served::new(&["most_megapixels=1"]);
    // 1424 by 949 pixels.
    let large = picture("testimages/photographs/sunset-hills.jpg");
    let (_, form) = served.counted("name=x.jpg", &large);
    assert_eq!(form["state"], "refused", "{form}");
    assert!(text(&form["problem"]["detail"]).contains("over the limit"), "{form}");
    let small = picture("testimages/edge/crop-8.png");
    assert_eq!(served.counted("name=a.png", &small).1["state"], "counted");
}

#[test]
fn what_is_too_large_or_cut_or_slow_has_a_status_of_its_own() {
    let served = Served::new(&["most_upload_mib=1", "client_seconds=1"]);
    let address = served.service.address;
    refused(&served.send("name=x", &vec![0; (1 << 20) + 1]), 413, "too-large");
    refused(&served.send("name=x", b""), 422, "picture");
    let asked = Question::new("POST", "/api/v1/public/uploads?name=x");

    // In pieces of no stated length, the limit is met on the way.
    let mut stream = connected(address).unwrap();
    let head = asked.head(0).replace("Content-Length: 0", "Transfer-Encoding: chunked");
    stream.write_all(head.as_bytes()).unwrap();
    let piece = [b"40000\r\n".to_vec(), vec![0; 0x40000], b"\r\n".to_vec()].concat();
    for _ in 0..5 {
        // The service may have hung up already.
        let _ = stream.write_all(&piece);
    }
    refused(&read_answer(&mut stream).unwrap(), 413, "too-large");

    let mut stream = connected(address).unwrap();
    stream.write_all(asked.head(1000).as_bytes()).unwrap();
    stream.write_all(&[0; 10]).unwrap();
    stream.shutdown(Shutdown::Write).unwrap();
    refused(&read_answer(&mut stream).unwrap(), 400, "wrong-length");

    let mut stream = connected(address).unwrap();
    stream.write_all(asked.head(1000).as_bytes()).unwrap();
    refused(&read_answer(&mut stream).unwrap(), 408, "timeout");

    let mut stream = connected(address).unwrap();
    let question = Question::new("POST", "/api/v1/shared/x/estimate");
    let question = question.header("Content-Type", "application/json");
    stream.write_all(question.head(10).as_bytes()).unwrap();
    let status = read_answer(&mut stream).unwrap().status;
    assert!([404, 408].contains(&status), "{status}");
    // Nothing of all that was kept.
    sleep(Duration::from_millis(100));
    assert_eq!(fs::read_dir(served.folder.path().join("uploads")).unwrap().count(), 0);
    assert_eq!(served.get("/health/ready").status, 204);
}

#[test]
fn questions_that_make_no_sense_are_told_what_would() {
    let served = Served::new(&[]);
    let (shared, _) = served.counted("name=shore.png", &picture("testimages/edge/crop-8.png"));
    let estimate = format!("{shared}/estimate");
    for (question, status, class, words) in [
        (json!({"ink_set": ["fife"]}), 422, "ink-set", "did you mean `five`?"),
        (json!({"ink_set": ["five"], "width": "60"}), 422, "usage", "60cm"),
        (json!({"ink_set": ["five"], "width": "6km"}), 422, "usage", "60cm"),
        (json!({"ink_set": ["five"], "width": "600m"}), 422, "usage", "outside"),
        (json!({"ink_set": ["five"], "colour": 1}), 422, "usage", "unknown field"),
        (json!({"ink_set": ["five", "nine"], "width": "60cm"}), 422, "usage", "comparison"),
        (json!({"ink_set": ["five"], "substrate": "slate"}), 422, "ink-set", "slate"),
    ] {
        let detail = refused(&served.post(&estimate, &question), status, class);
        assert!(detail.contains(words), "{detail}");
    }
    let price = json!({"ink_set": ["five"], "width": "10cm", "paper": "slate"});
    refused(&served.post(&format!("{shared}/quote"), &price), 422, "no-price");
    let list = json!({"ink_set": ["five"], "width": "10cm", "price_list": "demi"});
    refused(&served.post(&format!("{shared}/quote"), &list), 422, "price-list");
    let plain = served.ask(&Question::new("POST", &estimate).with(b"width=60cm"));
    refused(&plain, 415, "kind");
    // A wish that can't be answered is told before anything is sent.
    refused(&served.send("name=a&width=60", b"x"), 422, "usage");
    refused(&served.send("name=a&ink_set=fife", b"x"), 422, "ink-set");
}

#[test]
fn idle_connections_are_held_and_do_no_harm() {
    let served = Served::new(&["idle_seconds=2"]);
    raise_file_limit(IDLE);
    let held: Vec<_> = (0..IDLE).map(|_| connected(served.service.address).unwrap()).collect();
    assert_eq!(served.get("/health/ready").status, 204);
    assert_eq!(served.counted("name=shore.png", &picture(SHORE)).1["state"], "counted");
    sleep(Duration::from_secs(3));
    for mut stream in held {
        let mut byte = [0];
        let closed = std::io::Read::read(&mut stream, &mut byte);
        assert!(!matches!(closed, Ok(1..)), "an idle connection is closed without an answer");
    }
}

/// Connections that nobody uses.
const IDLE: u64 = 1000;

/// Lets this process open so many files beside those of the other tests.
fn raise_file_limit(files: u64) {
    let limit = getrlimit(Resource::Nofile);
    let wanted = files + 1000;
    if limit.current.is_some_and(|current| current < wanted) {
        setrlimit(Resource::Nofile, Rlimit { current: Some(wanted), ..limit }).unwrap();
    }
}

#[test]
fn an_accepted_upload_is_counted_once_after_the_service_was_killed() {
    let folder = TempDir::new().unwrap();
    let bytes = picture(SHORE);
    let mut sent = Vec::new();
    for kill in 0_u64..5 {
        let service = RunningService::start(command(), folder.path(), &["workers=1"]).unwrap();
        for upload in 0..3 {
            let path = format!("/api/v1/public/uploads?name={kill}-{upload}.png&width=10cm");
            let answer = service.ask(&Question::new("POST", &path).with(&bytes)).unwrap();
            assert_eq!(answer.status, 202, "{}", answer.text());
            sent.push(text(&answer.json()["token"]).to_owned());
        }
        sleep(Duration::from_millis(60 * kill));
        service.kill().unwrap();
    }
    // What never came in whole is cleared away.
    let uploads = folder.path().join("uploads");
    fs::write(uploads.join("left.part"), b"half").unwrap();
    let service = RunningService::start(command(), folder.path(), &[]).unwrap();
    for token in &sent {
        let form = service.counted(&format!("/api/v1/shared/{token}"), None).unwrap();
        assert_eq!(form["state"], "counted", "{form}");
    }
    let served = Served { folder, service };
    let key = served.key("studio");
    let all = served.with_key("GET", "/api/v1/uploads?state=counted", &key).json();
    let listed = all["uploads"].as_array().unwrap();
    assert_eq!(listed.len(), sent.len());
    for upload in listed {
        let path = format!("/api/v1/uploads/{}/answers", text(&upload["id"]));
        assert_eq!(served.with_key("GET", &path, &key).json().as_array().unwrap().len(), 1);
    }
    assert_eq!(fs::read_dir(&uploads).unwrap().count(), 0);
}

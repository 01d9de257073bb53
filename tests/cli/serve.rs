//! Uploads and questions over HTTP, on this machine alone.

use std::fs;
use std::io::Write as _;
use std::path::Path;
use std::process::Command;
use std::thread;
use std::time::{Duration, Instant};

use inkfathom_tests::http::{Answer, Question, connected, read_answer};
use inkfathom_tests::{RunningService, repository};
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::program::{CACHE, inkfathom, inkfathom_caching_in, number, text};

/// A service on an empty data folder.
pub(crate) struct Served {
    pub(crate) folder: TempDir,
    pub(crate) service: RunningService,
}

/// A photograph that is soon counted.
pub(crate) const SHORE: &str = "testimages/photographs/shore.png";

pub(crate) fn command() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_inkfathom"));
    command.env("XDG_CACHE_HOME", &*CACHE).current_dir(repository());
    command
}

pub(crate) fn picture(path: &str) -> Vec<u8> {
    fs::read(repository().join(path)).unwrap()
}

impl Served {
    pub(crate) fn new(settings: &[&str]) -> Self {
        let folder = TempDir::new().unwrap();
        let service = RunningService::start(command(), folder.path(), settings).unwrap();
        Self { folder, service }
    }

    /// A key of a role, made by the command while the service runs.
    pub(crate) fn key(&self, role: &str) -> String {
        let folder = self.folder.path().to_str().unwrap();
        let words =
            ["keys", "make", "--role", role, "--label", "of a test", "--data-folder", folder];
        inkfathom(words).ending_with(0).data.trim().to_owned()
    }

    pub(crate) fn get(&self, path: &str) -> Answer {
        self.service.get(path).unwrap()
    }

    pub(crate) fn ask(&self, question: &Question<'_>) -> Answer {
        self.service.ask(question).unwrap()
    }

    pub(crate) fn with_key(&self, method: &str, path: &str, key: &str) -> Answer {
        let bearer = format!("Bearer {key}");
        self.ask(&Question::new(method, path).header("Authorization", &bearer))
    }

    /// Sends a picture to the public page's address.
    pub(crate) fn send(&self, query: &str, bytes: &[u8]) -> Answer {
        let path = format!("/api/v1/public/uploads?{query}");
        self.ask(&Question::new("POST", &path).with(bytes))
    }

    /// Sends a picture and waits until it is done; gives the link's address and the last form.
    pub(crate) fn counted(&self, query: &str, bytes: &[u8]) -> (String, Value) {
        let sent = self.send(query, bytes);
        assert_eq!(sent.status, 202, "{}", sent.text());
        let shared = format!("/api/v1/shared/{}", text(&sent.json()["token"]));
        assert_eq!(sent.header("location"), Some(shared.as_str()));
        let form = self.service.counted(&shared, None).unwrap();
        (shared, form)
    }

    pub(crate) fn post(&self, path: &str, question: &Value) -> Answer {
        self.service.post(path, question).unwrap()
    }
}

/// The problem of a class, with its status.
pub(crate) fn refused(answer: &Answer, status: u16, class: &str) -> String {
    assert_eq!(answer.status, status, "{}", answer.text());
    assert_eq!(answer.header("content-type"), Some("application/problem+json"));
    let problem = answer.json();
    assert_eq!(problem["class"], class, "{problem}");
    assert_eq!(problem["status"], status, "{problem}");
    text(&problem["detail"]).to_owned()
}

#[test]
fn an_upload_is_answered_with_the_figures_of_the_command_line() {
    let served = Served::new(&[]);
    let (shared, form) = served.counted("name=shore.png&width=60cm", &picture(SHORE));
    assert_eq!(form["state"], "counted", "{form}");
    assert_eq!(form["name"], "shore.png");
    assert!(number(&form["picture"]["width_px"]) > 0.0);

    let question = json!({"ink_set": ["five"], "width": "60cm", "copies": 3});
    let estimated = served.post(&format!("{shared}/estimate"), &question);
    assert_eq!(estimated.status, 200, "{}", estimated.text());
    let words = ["estimate", SHORE, "--width", "60cm", "--copies", "3", "--format", "json"];
    let mut own = inkfathom(words).ending_with(0).document().0;
    own["files"][0]["file"] = "shore.png".into();
    assert_eq!(estimated.json(), own);

    let question = json!({"ink_set": ["five", "eleven"], "width": "60cm"});
    let compared = served.post(&format!("{shared}/comparison"), &question);
    let sets = ["--ink-set", "five", "--ink-set", "eleven"];
    let words = ["compare", SHORE, "--width", "60cm", "--format", "json"];
    let own = inkfathom(words.into_iter().chain(sets)).ending_with(0).document().0;
    let verdict = |document: &Value| {
        let estimates = &document["files"][0]["estimates"];
        (estimates[0]["verdict"]["holding"].clone(), estimates[1]["total_ml"].clone())
    };
    assert_eq!(verdict(&compared.json()), verdict(&own));
    assert_eq!(compared.json()["savings"], own["savings"]);
}

#[test]
fn a_customer_sees_a_price_and_nothing_of_costs_and_the_studio_sees_the_quote() {
    let served = Served::new(&[]);
    let (shared, form) = served.counted("name=shore.png", &picture(SHORE));
    let question = json!({"ink_set": ["five"], "width": "60cm", "copies": 2});
    let price = served.post(&format!("{shared}/quote"), &question).json();
    assert_eq!(price["kind"], "customer-price");
    assert!(price.get("cost").is_none() && price.get("lines").is_none(), "{price}");

    let (key, body) = (served.key("studio"), question.to_string());
    let path = format!("/api/v1/uploads/{}/quote", text(&form["id"]));
    let asked = Question::new("POST", &path).header("Content-Type", "application/json");
    let asked = asked.header("Authorization", &format!("Bearer {key}")).with(body.as_bytes());
    let quote = served.ask(&asked).json();
    let words = ["quote", SHORE, "--ink-set", "five", "--width", "60cm", "--copies", "2"];
    let own = inkfathom(words.into_iter().chain(["--format", "json"])).ending_with(0).document().0;
    assert_eq!((&quote["net"], &quote["lines"]), (&own["net"], &own["lines"]));
    assert_eq!(price["net"], own["net"]["expected"]);
}

#[test]
fn a_form_without_script_is_taken_like_a_bare_body() {
    let served = Served::new(&[]);
    let mut form = Vec::new();
    let field = |name: &str| format!("--edge\r\nContent-Disposition: form-data; name=\"{name}\"");
    write!(form, "{}\r\n\r\n60cm\r\n", field("width")).unwrap();
    write!(form, "{}; filename=\"../a/shore.png\"\r\n\r\n", field("file")).unwrap();
    form.extend(picture(SHORE));
    write!(form, "\r\n{}\r\n\r\nfive\r\n--edge--\r\n", field("ink_set")).unwrap();
    let asked = Question::new("POST", "/api/v1/public/uploads")
        .header("Content-Type", "multipart/form-data; boundary=edge");
    let sent = served.ask(&asked.with(&form));
    assert_eq!(sent.status, 202, "{}", sent.text());
    let form = sent.json();
    assert_eq!((&form["name"], &form["wish"]["width"]), (&json!("shore.png"), &json!("60cm")));
    assert_eq!(form["wish"]["ink_set"], json!(["five"]));
}

#[test]
fn reports_and_proofs_are_downloaded_through_a_link() {
    let served = Served::new(&[]);
    let (shared, _) = served.counted("name=shore.png", &picture(SHORE));
    let query = "ink_set=five&ink_set=eleven&width=30cm";
    for (form, kind, start) in [
        ("html", "text/html; charset=utf-8", "<!DOCTYPE html>"),
        ("csv", "text/csv; charset=utf-8", "file,"),
        ("json", "application/json", "{"),
    ] {
        let report = served.get(&format!("{shared}/report?format={form}&{query}"));
        assert_eq!(report.header("content-type"), Some(kind), "{}", report.text());
        assert!(report.text().to_lowercase().starts_with(&start.to_lowercase()), "{form}");
        let file = report.header("content-disposition").unwrap();
        assert!(file.starts_with("attachment; filename=\"inkfathom-comparison."), "{file}");
    }
    let costs = served.get(&format!("{shared}/report?kind=quote&format=csv&{query}"));
    refused(&costs, 403, "forbidden");
    for which in ["intended", "proof", "difference", "load", "between"] {
        let drawn = served.get(&format!("{shared}/pictures/{which}?{query}&longest_side=200"));
        assert_eq!(drawn.status, 200, "{}", drawn.text());
        let (header, _) = png::Decoder::new(std::io::Cursor::new(&drawn.body))
            .read_info()
            .map(|reader| (reader.info().size(), ()))
            .unwrap();
        assert!(header.0.max(header.1) <= 201, "{which}: {header:?}");
    }
    refused(&served.get(&format!("{shared}/pictures/negative?{query}")), 404, "unknown");
}

#[test]
fn what_is_kept_outlives_the_service_and_a_picture_does_not_stay() {
    let served = Served::new(&[]);
    let (shared, _) = served.counted("name=shore.png&width=60cm", &picture(SHORE));
    let uploads = served.folder.path().join("uploads");
    let files = || fs::read_dir(&uploads).unwrap().count();
    assert_eq!(files(), 0, "the picture is deleted once it is counted");
    let question = json!({"ink_set": ["nine"], "width": "60cm"});
    let before = served.post(&format!("{shared}/estimate"), &question).json();
    let Served { folder, service } = served;
    assert_eq!(service.stop().unwrap(), Some(0));
    let service = RunningService::start(command(), folder.path(), &["keep_pictures=true"]).unwrap();
    let served = Served { folder, service };
    assert_eq!(served.post(&format!("{shared}/estimate"), &question).json(), before);
    served.counted("name=shore.png", &picture(SHORE));
    assert_eq!(fs::read_dir(&uploads).unwrap().count(), 1, "kept where the studio says so");
}

#[test]
fn a_copy_made_while_the_service_runs_serves_the_same() {
    let served = Served::new(&[]);
    let (shared, _) = served.counted("name=shore.png", &picture(SHORE));
    let other = TempDir::new().unwrap();
    let copy = other.path().join("ledger.sqlite");
    let folder = served.folder.path().to_str().unwrap();
    let words = ["backup", copy.to_str().unwrap(), "--data-folder", folder];
    inkfathom(words).ending_with(0);
    inkfathom(words).ending_with(6);
    let again = RunningService::start(command(), other.path(), &[]).unwrap();
    assert_eq!(again.get(&shared).unwrap().json(), served.get(&shared).json());
}

#[test]
fn the_same_idempotency_key_gives_the_same_upload() {
    let served = Served::new(&[]);
    let send = |key: &str, bytes: &[u8]| {
        let asked = Question::new("POST", "/api/v1/public/uploads?name=a.png");
        served.ask(&asked.header("Idempotency-Key", key).with(bytes))
    };
    let (one, other) = (picture(SHORE), picture("testimages/edge/crop-8.png"));
    let key = "3b0f4f0c-6f9e-4c1c-9a53-0b51c1a3f5d2";
    let first = send(key, &one);
    assert_eq!(first.status, 202, "{}", first.text());
    assert_eq!(send(key, &one).json()["id"], first.json()["id"]);
    refused(&send(key, &other), 409, "conflict");
    refused(&send("short", &one), 422, "usage");
    let studio = served.key("studio");
    let all = served.with_key("GET", "/api/v1/uploads", &studio).json();
    assert_eq!(all["uploads"].as_array().unwrap().len(), 1, "{all}");
}

#[test]
fn uploads_are_listed_in_pages_and_found_by_their_names() {
    let served = Served::new(&[]);
    let small = picture("testimages/edge/crop-8.png");
    for name in ["harbour.png", "fern.png", "Harbour-2.png"] {
        assert_eq!(served.send(&format!("name={name}"), &small).status, 202);
    }
    let key = served.key("studio");
    let list = |query: &str| served.with_key("GET", &format!("/api/v1/uploads?{query}"), &key);
    let names = |page: &Value| -> Vec<String> {
        let uploads = page["uploads"].as_array().unwrap().iter();
        uploads.map(|upload| text(&upload["name"]).to_owned()).collect()
    };
    let first = list("limit=2").json();
    assert_eq!(names(&first), ["Harbour-2.png", "fern.png"]);
    let rest = list(&format!("limit=2&after={}", text(&first["next"]))).json();
    assert_eq!((names(&rest), &rest["next"]), (vec!["harbour.png".to_owned()], &Value::Null));
    assert_eq!(names(&list("search=harbour").json()), ["Harbour-2.png", "harbour.png"]);
    refused(&list("limit=0"), 422, "usage");
    refused(&list("state=lost"), 422, "usage");
    refused(&list("colour=red"), 422, "usage");
}

#[test]
fn an_answer_is_kept_where_that_is_wanted_and_an_upload_goes_with_everything() {
    let served = Served::new(&[]);
    let (shared, form) = served.counted("name=shore.png&width=60cm", &picture(SHORE));
    let (key, path) = (served.key("studio"), format!("/api/v1/uploads/{}", text(&form["id"])));
    let question = json!({"ink_set": ["five"], "width": "20cm", "keep": true}).to_string();
    let asking = format!("{path}/estimate");
    let asked = Question::new("POST", &asking).header("Content-Type", "application/json");
    let asked = asked.header("Authorization", &format!("Bearer {key}"));
    let kept = served.ask(&asked.with(question.as_bytes()));
    assert_eq!(kept.status, 201, "{}", kept.text());
    let place = kept.header("location").unwrap().to_owned();
    assert_eq!(served.with_key("GET", &place, &key).json(), kept.json());
    let answers = served.with_key("GET", &format!("{path}/answers"), &key).json();
    let widths: Vec<&Value> =
        answers.as_array().unwrap().iter().map(|answer| &answer["asked"]["width"]).collect();
    assert_eq!(widths, ["60cm", "20cm"], "the first is given by itself");

    assert_eq!(served.with_key("DELETE", &path, &key).status, 204);
    for gone in [&path, &place] {
        refused(&served.with_key("GET", gone, &key), 404, "unknown");
    }
    refused(&served.get(&shared), 404, "unknown");
}

#[test]
fn the_service_tells_how_it_is_and_describes_itself() {
    let served = Served::new(&[]);
    for path in ["/health/live", "/health/ready"] {
        assert_eq!(served.get(path).status, 204);
    }
    let described = served.get("/api/v1/openapi.json").json();
    assert!(described["paths"]["/api/v1/uploads/{id}/estimate"]["post"].is_object());
    let figures = served.get("/metrics").text();
    assert!(figures.contains("inkfathom_requests_total{method=\"GET\",path=\"/health/live\""));
    refused(&served.get("/nowhere"), 404, "unknown");
    refused(&served.ask(&Question::new("PUT", "/api/v1/ink-sets")), 405, "method");
    let sets = served.get("/api/v1/ink-sets").json();
    assert_eq!((&sets[0]["name"], &sets[2]["name"]), (&json!("five"), &json!("eleven")));
}

#[test]
fn what_is_likely_to_be_asked_is_worked_out_before_it_is() {
    let served = Served::new(&[]);
    let (shared, _) = served.counted("name=shore.png&width=60cm", &picture(SHORE));
    let separations = || {
        let figures = served.get("/metrics").text();
        let line =
            figures.lines().find_map(|line| line.strip_prefix("inkfathom_separations_total "));
        line.unwrap().parse::<u32>().unwrap()
    };
    // One for each set on offer, perhaps after the set itself was prepared.
    let begun = Instant::now();
    while separations() < 3 && begun.elapsed() < Duration::from_secs(120) {
        thread::sleep(Duration::from_millis(50));
    }
    assert_eq!(separations(), 3);
    for set in ["five", "nine", "eleven"] {
        let question = json!({"ink_set": [set], "width": "20cm", "copies": 3});
        assert_eq!(served.post(&format!("{shared}/estimate"), &question).status, 200);
    }
    assert_eq!(separations(), 3);
    let uncompensated =
        json!({"ink_set": ["five"], "width": "20cm", "black_point_compensation": false});
    assert_eq!(served.post(&format!("{shared}/estimate"), &uncompensated).status, 200);
    assert_eq!(separations(), 4);
}

#[test]
fn the_effective_configuration_is_printed_with_its_sources_and_faults_are_told() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("studio.toml");
    fs::write(&file, "public_page = false\nworkers = 3\n").unwrap();
    let words = |settings: &[&'static str]| {
        let mut words = vec!["serve", "--print-configuration", "--configuration"];
        words.push(file.to_str().unwrap().to_owned().leak());
        for setting in settings {
            words.extend(["--set", setting]);
        }
        inkfathom_caching_in(Path::new(&*CACHE), words)
    };
    let printed = words(&["workers=5"]).ending_with(0).data;
    assert!(printed.contains("# from the command line\nworkers = 5\n"), "{printed}");
    assert!(printed.contains("studio.toml, line 1\npublic_page = false\n"), "{printed}");
    fs::write(&file, "worker = 3\n").unwrap();
    let refused = words(&["most_upload_mib=0"]).ending_with(10).messages;
    assert!(refused.contains("did you mean `workers`?"), "{refused}");
    assert!(refused.contains("write a whole number from 1 to 1048576 MiB"), "{refused}");
}

#[test]
fn a_service_that_is_stopped_lets_an_upload_come_in_to_its_end() {
    let served = Served::new(&[]);
    let bytes = picture(SHORE);
    let asked = Question::new("POST", "/api/v1/public/uploads?name=shore.png");
    let mut stream = connected(served.service.address).unwrap();
    stream.write_all(asked.head(bytes.len()).as_bytes()).unwrap();
    stream.write_all(&bytes[..1000]).unwrap();
    // Whatever is asked afterwards is answered after the beginning was read.
    served.get("/health/ready");
    let Served { folder, service } = served;
    let ending = std::thread::spawn(move || service.stop().unwrap());
    std::thread::sleep(std::time::Duration::from_millis(200));
    stream.write_all(&bytes[1000..]).unwrap();
    let sent = read_answer(&mut stream).unwrap();
    assert_eq!(sent.status, 202, "{}", sent.text());
    assert_eq!(ending.join().unwrap(), Some(0));
    let service = RunningService::start(command(), folder.path(), &[]).unwrap();
    let shared = format!("/api/v1/shared/{}", text(&sent.json()["token"]));
    assert_eq!(service.counted(&shared, None).unwrap()["state"], "counted");
}

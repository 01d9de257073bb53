//! Who may ask a service what, and what a browser may be led to.

use inkfathom_tests::http::Question;
use serde_json::json;

use crate::program::{inkfathom, text};
use crate::serve::{SHORE, Served, picture, refused};

const SMALL: &str = "testimages/edge/crop-8.png";

#[test]
fn without_a_key_only_links_open_anything() {
    let served = Served::new(&[]);
    let (shared, form) = served.counted("name=a.png", &picture(SMALL));
    let upload = format!("/api/v1/uploads/{}", text(&form["id"]));
    for path in ["/api/v1/uploads", &upload, "/api/v1/answers/1"] {
        refused(&served.get(path), 401, "unauthorised");
        refused(&served.with_key("GET", path, "inkf_guessed"), 401, "unauthorised");
    }
    let mut wrong = shared.clone();
    wrong.pop();
    wrong.push(if shared.ends_with('A') { 'B' } else { 'A' });
    for path in [wrong.as_str(), "/api/v1/shared/x", "/api/v1/shared/..%2f..%2fetc"] {
        refused(&served.get(path), 404, "unknown");
    }
    let kept = json!({"width": "10cm", "ink_set": ["five"], "keep": true});
    refused(&served.post(&format!("{shared}/estimate"), &kept), 403, "forbidden");
}

#[test]
fn a_shop_sees_its_own_uploads_and_no_costs() {
    let served = Served::new(&["public_page=false"]);
    let (shop, other, studio) = (served.key("shop"), served.key("shop"), served.key("studio"));
    let bytes = picture(SMALL);
    let send = |key: &str| {
        let asked = Question::new("POST", "/api/v1/uploads?name=a.png&width=10cm");
        served.ask(&asked.header("Authorization", &format!("Bearer {key}")).with(&bytes))
    };
    let sent = send(&shop);
    assert_eq!(sent.status, 202, "{}", sent.text());
    let path = sent.header("location").unwrap().to_owned();
    served.service.counted(&path, Some(&shop)).unwrap();
    assert_eq!(served.with_key("GET", &path, &studio).status, 200);
    refused(&served.with_key("GET", &path, &other), 404, "unknown");
    let listed = |key: &str| {
        let page = served.with_key("GET", "/api/v1/uploads", key).json();
        page["uploads"].as_array().unwrap().len()
    };
    assert_eq!((listed(&shop), listed(&other), listed(&studio)), (1, 0, 1));
    let query = "kind=quote&format=json&ink_set=five&width=10cm";
    let price = served.with_key("GET", &format!("{path}/report?{query}"), &shop).json();
    assert_eq!(price["kind"], "customer-price", "{price}");
    refused(&served.send("name=a.png", &bytes), 403, "forbidden");

    // A link opens it without a key until links are made void.
    let link = served.with_key("POST", &format!("{path}/share"), &shop);
    assert_eq!(link.status, 201);
    let shared = format!("/api/v1/shared/{}", text(&link.json()["token"]));
    assert_eq!(served.get(&shared).status, 200);
    assert_eq!(served.with_key("DELETE", &format!("{path}/share"), &shop).status, 204);
    refused(&served.get(&shared), 404, "unknown");
}

#[test]
fn a_revoked_key_is_void_at_once_and_no_key_is_kept() {
    let served = Served::new(&[]);
    let key = served.key("studio");
    let folder = served.folder.path().to_str().unwrap();
    assert_eq!(served.with_key("GET", "/api/v1/uploads", &key).status, 200);
    let listed = inkfathom(["keys", "list", "--data-folder", folder]).ending_with(0).data;
    assert!(listed.starts_with("1  studio  of a test  made "), "{listed}");
    inkfathom(["keys", "revoke", "1", "--data-folder", folder]).ending_with(0);
    refused(&served.with_key("GET", "/api/v1/uploads", &key), 401, "unauthorised");
    inkfathom(["keys", "revoke", "1", "--data-folder", folder]).ending_with(10);
    for file in std::fs::read_dir(served.folder.path()).unwrap() {
        let bytes = std::fs::read(file.unwrap().path()).unwrap_or_default();
        let holds = bytes.windows(key.len()).any(|window| window == key.as_bytes());
        assert!(!holds, "the key itself is kept");
    }
}

#[test]
fn one_address_sends_only_so_many() {
    let served = Served::new(&["public_uploads_per_hour=2", "public_uploads_at_once=2"]);
    let bytes = picture(SMALL);
    for _ in 0..2 {
        assert_eq!(served.send("name=a.png", &bytes).status, 202);
    }
    let answer = served.send("name=a.png", &bytes);
    refused(&answer, 429, "too-many");
    assert!(answer.header("retry-after").is_some());
}

#[test]
fn another_sites_page_changes_nothing_and_every_answer_carries_a_policy() {
    let served = Served::new(&[]);
    let bytes = picture(SMALL);
    let from = |origin: &str| {
        let asked = Question::new("POST", "/api/v1/public/uploads?name=a.png");
        served.ask(&asked.header("Origin", origin).with(&bytes))
    };
    refused(&from("https://elsewhere.example"), 403, "forbidden");
    assert_eq!(from("http://127.0.0.1").status, 202);
    for path in ["/health/live", "/nowhere", "/api/v1/ink-sets"] {
        let answer = served.get(path);
        let policy = answer.header("content-security-policy").unwrap();
        assert!(policy.starts_with("default-src 'none'; script-src 'self'"), "{policy}");
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
    }
}

#[test]
fn a_studios_own_name_for_a_picture_is_no_path_and_no_header() {
    let served = Served::new(&[]);
    let name = "..%2F..%2Fetc%2Fpasswd%0D%0ASet-Cookie:%20a=b";
    let (shared, form) = served.counted(&format!("name={name}"), &picture(SHORE));
    assert_eq!(form["name"], "passwdSet-Cookie: a=b");
    let report = served.get(&format!("{shared}/report?format=csv&width=10cm"));
    assert!(report.header("set-cookie").is_none());
    assert_eq!(
        report.header("content-disposition"),
        Some("attachment; filename=\"inkfathom-comparison.csv\"")
    );
}

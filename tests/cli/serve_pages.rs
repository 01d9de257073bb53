//! The pages of a service as they are sent, without a browser.

use inkfathom_tests::http::{Answer, Question};

use crate::program::text;
use crate::serve::{SHORE, Served, picture};

const CUT: &str = "testimages/bad/cut-50-420.jpg";

/// Sends a picture as the plain form of the first page does.
fn send_form(served: &Served, name: &str, bytes: &[u8]) -> Answer {
    let head = format!(
        "--edge\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{name}\"\r\n\r\n"
    );
    let form = [head.as_bytes(), bytes, b"\r\n--edge--\r\n"].concat();
    let asked = Question::new("POST", "/upload")
        .header("Content-Type", "multipart/form-data; boundary=edge");
    served.ask(&asked.with(&form))
}

/// The page of a picture once it no longer waits.
fn page_of(served: &Served, sent: &Answer) -> (String, Answer) {
    assert_eq!(sent.status, 303, "{}", sent.text());
    let page = sent.header("location").unwrap().to_owned();
    let token = page.strip_prefix("/p/").unwrap();
    served.service.counted(&format!("/api/v1/shared/{token}"), None).unwrap();
    let answer = served.get(&page);
    (page, answer)
}

/// Posts a form of a page with the cookie of a session.
fn post(served: &Served, path: &str, fields: &str, cookie: &str) -> Answer {
    let asked = Question::new("POST", path)
        .header("Content-Type", "application/x-www-form-urlencoded")
        .header("Origin", "http://127.0.0.1")
        .header("Cookie", cookie);
    served.ask(&asked.with(fields.as_bytes()))
}

#[test]
fn a_plain_form_gives_a_price_for_any_size() {
    let served = Served::new(&["studio_name=Farrowsay Print Studio"]);
    let first = served.get("/");
    assert_eq!(first.status, 200);
    assert!(first.text().contains("The file is deleted as soon as its colours are counted."));
    let (page, answer) = page_of(&served, &send_form(&served, "shore.png", &picture(SHORE)));
    assert_eq!(answer.status, 200, "{}", answer.text());
    assert!(answer.text().contains("The file was deleted after its colours were counted."));
    let single = served.get(&format!("{page}?size=60")).text();
    assert_eq!(single.matches("class=\"standing ").count(), 1, "a single set is judged, too");
    let asked = format!("{page}?size=60&unit=cm&ink_set=five&ink_set=eleven");
    let compared = served.get(&asked).text();
    assert_eq!(compared.matches("data-price").count(), 2, "{compared}");
    for words in ["less ink than eleven", "An estimate is not a measurement.", "Low resolution"] {
        assert!(compared.contains(words), "{words}");
    }
    let field = compared.split("id=\"link\"").nth(1).unwrap();
    let link = field.split('"').find(|part| part.starts_with("/p/")).unwrap();
    assert_eq!(served.get(&link.replace("&amp;", "&")).text(), compared, "the link to hand on");
    assert!(!compared.contains("What it costs the studio"));
}

#[test]
fn pages_tell_in_words_what_can_t_be_answered() {
    let served = Served::new(&[]);
    let (page, _) = page_of(&served, &send_form(&served, "shore.png", &picture(SHORE)));
    for (query, words) in [
        ("size=-3&unit=cm", "No price yet."),
        ("size=60&copies=0", "whole number above 0"),
        ("size=60&ink_set=twelve", "is not on offer (five, nine, eleven)"),
        ("size=60&substrate=glass", "glass"),
    ] {
        let answer = served.get(&format!("{page}?{query}")).text();
        assert!(answer.contains(words), "{query}: {answer}");
        assert!(!answer.contains("data-price"), "{query}");
    }
    let (_, refused) = page_of(&served, &send_form(&served, "cut.jpg", &picture(CUT)));
    assert_eq!(refused.status, 422, "{}", refused.text());
    assert!(
        refused.text().contains("This picture can&#39;t be priced")
            || refused.text().contains("This picture can't be priced")
    );
    let unknown = served.get("/p/nothing");
    assert_eq!(unknown.status, 404);
    assert!(unknown.text().contains("There is no such link."));
}

#[test]
fn names_are_escaped_and_a_policy_forbids_what_stands_inline() {
    let served = Served::new(&[]);
    let sent = send_form(&served, "a<script>alert(1)<.png", &picture(SHORE));
    let (page, answer) = page_of(&served, &sent);
    assert!(!answer.text().contains("<script>alert"), "{}", answer.text());
    let reflected = served.get(&format!("{page}?size=%22%3E%3Cscript%3Ealert(1)%3C/script%3E"));
    assert!(!reflected.text().contains("<script>alert"), "{}", reflected.text());
    for path in ["/", &page, "/studio/sign-in"] {
        let answer = served.get(path);
        let policy = answer.header("content-security-policy").unwrap();
        assert!(policy.contains("default-src 'none'") && policy.contains("script-src 'self'"));
        assert!(!policy.contains("unsafe"), "{policy}");
        let page = answer.text();
        assert!(!page.contains("<style") && !page.contains(" style=\""), "{path}");
    }
}

#[test]
fn style_and_script_are_kept_for_good_under_their_own_names() {
    let served = Served::new(&[]);
    let page = served.get("/").text();
    for (start, kind) in [("/assets/studio-", "text/css"), ("/assets/studio-", "text/javascript")] {
        let names = page.split('"').filter(|part| part.starts_with(start));
        let answers: Vec<Answer> = names.map(|name| served.get(name)).collect();
        let found = answers.iter().find(|answer| {
            answer.header("content-type").is_some_and(|content| content.starts_with(kind))
        });
        let kept = found.unwrap().header("cache-control").unwrap();
        assert!(kept.contains("immutable"), "{kept}");
    }
    assert_eq!(served.get("/assets/studio-000000000000.js").status, 404);
}

#[test]
fn the_public_page_can_be_switched_off() {
    let served = Served::new(&["public_page=false"]);
    assert_eq!(served.get("/").status, 404);
    assert_eq!(send_form(&served, "shore.png", &picture(SHORE)).status, 403);
    assert_eq!(served.get("/studio/sign-in").status, 200);
}

#[test]
fn the_studio_signs_in_and_keeps_what_its_printer_reported() {
    let served = Served::new(&[]);
    let (_, form) = served.counted("name=shore.png&width=60cm", &picture(SHORE));
    let upload = format!("/studio/uploads/{}", text(&form["id"]));
    for path in ["/studio", "/studio/uploads", "/studio/printer", "/studio/new", &upload] {
        let answer = served.get(path);
        assert_eq!((answer.status, answer.header("location")), (303, Some("/studio/sign-in")));
    }
    assert_eq!(post(&served, "/studio/sign-in", "key=inkf_guessed", "").status, 401);
    let key = served.key("studio");
    let signed_in = post(&served, "/studio/sign-in", &format!("key={key}"), "");
    assert_eq!(signed_in.status, 303, "{}", signed_in.text());
    let cookie = signed_in.header("set-cookie").unwrap().to_owned();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
    let cookie = cookie.split(';').next().unwrap();
    let see = |path: &str| served.ask(&Question::new("GET", path).header("Cookie", cookie)).text();
    assert!(see("/studio").contains("shore.png"));
    assert!(see("/studio/uploads?search=SHO").contains("shore.png"));
    assert!(!see("/studio/uploads?search=tulip").contains("shore.png"));
    assert!(see(&upload).contains("What it costs the studio"));

    let measured = format!("{upload}/measured");
    let entry = "size=60&unit=cm&ink_set=five&printed_on=2026-11-01&measured_by=machine-count&resolution_ml=0.01";
    for (fault, words) in [
        ("", "Nothing was measured"),
        ("&total_ml=3&ml%3Acyan=1", "Both the total and single inks"),
        ("&total_ml=much", "is no number of millilitres"),
        ("&ml%3Acerise=1", "has no ink `cerise`"),
    ] {
        let sent = post(&served, &measured, &format!("{entry}{fault}"), cookie);
        let page = see(sent.header("location").unwrap().split('#').next().unwrap());
        assert!(page.contains(words), "{words}");
    }
    let sent =
        post(&served, &measured, &format!("{entry}&total_ml=3%2C4&includes=start-up"), cookie);
    let page = see(sent.header("location").unwrap().split('#').next().unwrap());
    assert!(page.contains("Kept as job 1.") && page.contains("total 3.4"), "{page}");
    let foreign = Question::new("POST", &measured)
        .header("Content-Type", "application/x-www-form-urlencoded")
        .header("Origin", "http://elsewhere.example")
        .header("Cookie", cookie);
    assert_eq!(served.ask(&foreign.with(entry.as_bytes())).status, 403);
    assert!(see("/studio/printer").contains("in the ledger"));
    post(&served, "/studio/sign-out", "", cookie);
    let gone = served.ask(&Question::new("GET", "/studio").header("Cookie", cookie));
    assert_eq!(gone.status, 303);
}

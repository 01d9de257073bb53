//! Small files that ask for more time or memory than any picture needs.

use std::fmt::Write as _;

use crate::support::{read, variant};

/// A PDF file of objects whose first is the catalogue.
fn pdf(objects: &[String]) -> Vec<u8> {
    let (mut file, mut places) = ("%PDF-1.4\n".to_owned(), String::new());
    for (place, object) in objects.iter().enumerate() {
        let _ = writeln!(places, "{:010} 00000 n ", file.len());
        let _ = writeln!(file, "{} 0 obj\n{object}\nendobj", place + 1);
    }
    let (table, all) = (file.len(), objects.len() + 1);
    let _ = write!(file, "xref\n0 {all}\n0000000000 65535 f \n{places}");
    let _ = write!(file, "trailer\n<< /Size {all} /Root 1 0 R >>\nstartxref\n{table}\n%%EOF\n");
    file.into_bytes()
}

/// A page of 144 × 72 points that shows what object 4 says, with object 5 as `/X`.
fn page(shown: &str, further: &[String]) -> Vec<u8> {
    let head = [
        "<< /Type /Catalog /Pages 2 0 R >>".to_owned(),
        "<< /Type /Pages /Kids [3 0 R] /Count 1 >>".to_owned(),
        "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 144 72] /Contents 4 0 R \
         /Resources << /XObject << /X 5 0 R >> >> >>"
            .to_owned(),
        stream("", shown),
    ];
    pdf(&[&head[..], further].concat())
}

fn stream(words: &str, content: &str) -> String {
    format!("<< /Length {} {words} >>\nstream\n{content}\nendstream", content.len())
}

fn form(content: &str, next: usize) -> String {
    let words = format!(
        "/Type /XObject /Subtype /Form /BBox [0 0 144 72] \
         /Resources << /XObject << /X {next} 0 R >> >>"
    );
    stream(&words, content)
}

fn picture(samples: &str) -> String {
    let words = "/Type /XObject /Subtype /Image /Width 4 /Height 4 /BitsPerComponent 8 \
                 /ColorSpace /DeviceRGB";
    stream(words, samples)
}

#[test]
fn forms_within_forms_are_counted_before_they_are_drawn() {
    let drawn = |levels: usize| {
        let forms = (0..levels).map(|level| form(&"/X Do ".repeat(10), 6 + level));
        let last = form("0 0 9 9 re f", 5);
        let all: Vec<String> = forms.chain([last]).collect();
        read(&page("/X Do", &all)).map(drop)
    };
    drawn(2).unwrap();
    let refused = drawn(12).unwrap_err();
    assert!(refused.to_string().contains("4000000 marks"), "{refused}");
}

#[test]
fn a_picture_on_a_page_must_hold_its_samples() {
    let shown = |samples: usize| read(&page("/X Do", &[picture(&"x".repeat(samples))])).map(drop);
    shown(48).unwrap();
    assert_eq!(variant(&shown(47).unwrap_err()), "Corrupt");
}

#[test]
fn filters_over_filters_are_counted_before_they_are_drawn() {
    let drawn = |filters: usize| {
        let blurred = "<feGaussianBlur stdDeviation=\"9\"/>".repeat(filters);
        let file = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"1000\" height=\"1000\">\
             <filter id=\"f\">{blurred}</filter>\
             <rect filter=\"url(#f)\" width=\"1000\" height=\"1000\"/></svg>"
        );
        read(file.as_bytes()).map(drop)
    };
    drawn(1).unwrap();
    assert_eq!(variant(&drawn(2000).unwrap_err()), "TooLarge");
}

#[test]
fn layers_within_layers_are_counted_before_they_are_drawn() {
    let (open, close) = ("<g opacity=\"0.9\">".repeat(500), "</g>".repeat(500));
    let file = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"1000\" height=\"1000\">{open}\
         <rect width=\"1000\" height=\"1000\"/>{close}</svg>"
    );
    assert_eq!(variant(&read(file.as_bytes()).map(drop).unwrap_err()), "TooLarge");
}

//! Small files that ask for more time or memory than any picture needs.

use std::fmt::Write as _;

use inkfathom_intake::{IntakeError, Limits};

use crate::support::{read, read_within, variant};

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

/// Within a million bytes of content and a thousand marks.
fn drawn(file: &[u8]) -> Result<(), IntakeError> {
    let limits = Limits { max_content_bytes: 1_000_000, max_marks: 1000, ..Limits::default() };
    read_within(file, &limits).map(drop)
}

fn forms_within_forms(levels: usize, last: &str) -> Vec<u8> {
    let forms = (0..levels).map(|level| form(&"/X Do ".repeat(10), 6 + level));
    let all: Vec<String> = forms.chain([form(last, 5)]).collect();
    page("/X Do", &all)
}

#[test]
fn forms_within_forms_are_weighed_before_they_are_followed() {
    drawn(&forms_within_forms(2, "0 0 9 9 re f")).unwrap();
    let refused = drawn(&forms_within_forms(12, "0 0 9 9 re f")).unwrap_err();
    let bytes = (5 + 256)
        + (0..12).map(|level| (60 + 10 * 256) * 10_u64.pow(level)).sum::<u64>()
        + 12 * 10_u64.pow(12);
    assert_eq!(
        refused.to_string(),
        format!(
            "the content of the PDF page, with forms as often as they are shown, is {bytes} bytes, \
             over the limit of 1000000 bytes; export the page's pixels"
        )
    );
}

/// The library of the renderer finds no form within itself.
#[test]
fn forms_that_show_one_another_are_followed_once() {
    let round = [form("/X Do /X Do", 6), form("/X Do /X Do", 5)];
    drawn(&page("/X Do", &round)).unwrap();
}

#[test]
fn marks_are_counted_before_they_are_drawn() {
    drawn(&page(&"0 0 9 9 re f ".repeat(1000), &[])).unwrap();
    let refused = drawn(&page(&"0 0 9 9 re f ".repeat(1001), &[])).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "what the PDF page draws, as far as it was counted, is 1001 marks, over the limit of 1000 \
         marks; export the page's pixels"
    );
}

/// A cell of so many points, set anew after each point, that is filled with the next object.
fn cell(points: u32, content: &str, next: usize) -> String {
    let words = format!(
        "/Type /Pattern /PatternType 1 /PaintType 1 /TilingType 1 /BBox [0 0 {points} {points}] \
         /XStep 1 /YStep 1 /Resources << /Pattern << /P {next} 0 R >> >>"
    );
    stream(&words, content)
}

/// A page of one square that the first of some cells fills.
fn filled_with(cells: &[String]) -> Vec<u8> {
    let words = "/Type /XObject /Subtype /Form /BBox [0 0 144 72] \
                 /Resources << /Pattern << /P 6 0 R >> >>";
    let shown = stream(words, "/Pattern cs /P scn 0 0 9 9 re f");
    page("/X Do", &[&[shown], cells].concat())
}

#[test]
fn patterns_within_patterns_are_counted_before_they_are_drawn() {
    let nested = |levels: usize| {
        let squares = "/Pattern cs /P scn ".to_owned() + &"0 0 1 1 re f ".repeat(5);
        let cells = (0..levels).map(|level| cell(1, &squares, 7 + level));
        drawn(&filled_with(&cells.chain([cell(1, "0 0 1 1 re f", 6)]).collect::<Vec<_>>()))
    };
    nested(1).unwrap();
    assert_eq!(variant(&nested(9).unwrap_err()), "TooLarge");
}

#[test]
fn copies_of_a_wide_cell_with_small_steps_are_counted() {
    let wide = |points: u32| drawn(&filled_with(&[cell(points, "0 0 1 1 re f", 6)]));
    wide(10).unwrap();
    assert_eq!(variant(&wide(1_000_000).unwrap_err()), "TooLarge");
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

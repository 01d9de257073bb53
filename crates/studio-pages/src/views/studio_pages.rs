use maud::{Markup, html};
use report::page_parts::{self, Fact, facts};
use service::{MonthForm, StandingForm, UploadForm, UploadPage, UploadState};

use super::frame::{Frame, capital};
use crate::wish::address;

/// The first page of the studio: this month, the months before, what came in last.
pub(crate) fn overview_page(
    frame: &Frame<'_>,
    months: &[MonthForm],
    latest: &[UploadForm],
) -> String {
    let content = html! {
        h1 { "Overview" }
        @match months.first() {
            Some(month) => (month_facts(month)),
            None => p.answer { "Nothing has been uploaded yet." },
        }
        section aria-labelledby="latest" {
            div.margin { h2 id="latest" { "Latest uploads" } p { a href="/studio/uploads" { "All uploads" } } }
            div.body { (upload_table(latest)) }
        }
        section aria-labelledby="months" {
            div.margin { h2 id="months" { "Totals per month" } p { "Ink and area of the pictures whose size was known when they came, as wished then. Months in universal time." } }
            div.body { (month_table(months)) }
        }
    };
    frame.document("Overview", &content)
}

fn month_facts(month: &MonthForm) -> Markup {
    let fact = |label: &str, value: String, note: Option<String>| Fact {
        label: label.to_owned(),
        value,
        note,
    };
    facts(&[
        fact("Uploads", month.uploads.to_string(), Some(format!("in {}", month.month))),
        fact(
            "Counted",
            month.counted.to_string(),
            Some(format!("{} could not be counted", month.refused)),
        ),
        fact(
            "Ink",
            format!("{} ml", page_parts::millilitres(month.ink_ml)),
            Some(format!("expected, of {} with a known size", month.answered)),
        ),
        fact("Area", format!("{:.2} m²", month.area_m2), None),
    ])
}

fn month_table(months: &[MonthForm]) -> Markup {
    let header = ["month", "uploads", "counted", "refused", "sized", "m²", "ml"].map(str::to_owned);
    let row = |month: &MonthForm| -> Vec<Markup> {
        let MonthForm { month, uploads, counted, refused, answered, area_m2, ink_ml } = month;
        vec![
            html! { (month) },
            html! { (uploads) },
            html! { (counted) },
            html! { (refused) },
            html! { (answered) },
            html! { (format!("{area_m2:.2}")) },
            html! { (page_parts::millilitres(*ink_ml)) },
        ]
    };
    let rows: Vec<Vec<Markup>> = months.iter().map(row).collect();
    page_parts::table("Estimates, which are no measurements", &header, &rows)
}

/// The list of uploads, a page of it, with a search.
pub(crate) fn uploads_page(frame: &Frame<'_>, page: &UploadPage, search: &str) -> String {
    let next = page
        .next
        .as_ref()
        .map(|next| address("/studio/uploads", &[("search", search), ("after", next)]));
    let content = html! {
        h1 { "Uploads" }
        form.share method="get" action="/studio/uploads" role="search" {
            label { "Part of the name" input type="search" name="search" value=(search); }
            button type="submit" { "Search" }
        }
        @if page.uploads.is_empty() { p.answer { "There is none." } } @else { (upload_table(&page.uploads)) }
        @if let Some(next) = next { nav.pages aria-label="Pages" { a.button.quiet href=(next) { "Older uploads" } } }
    };
    frame.document("Uploads", &content)
}

fn upload_table(uploads: &[UploadForm]) -> Markup {
    let header = ["picture", "received", "MB", "state"].map(str::to_owned);
    let row = |upload: &UploadForm| -> Vec<Markup> {
        vec![
            html! { a href={ "/studio/uploads/" (upload.id) } { (upload.name) } },
            html! { (upload.received_at.get(..16).unwrap_or(&upload.received_at).replace('T', " ")) },
            html! { (megabytes(upload.bytes)) },
            html! { (state_word(upload.state)) },
        ]
    };
    let rows: Vec<Vec<Markup>> = uploads.iter().map(row).collect();
    page_parts::table("Times in universal time", &header, &rows)
}

const fn state_word(state: UploadState) -> &'static str {
    match state {
        UploadState::Received => "waits",
        UploadState::Counting => "being counted",
        UploadState::Counted => "counted",
        UploadState::Refused => "refused",
        UploadState::Failed => "failed",
    }
}

#[expect(clippy::cast_precision_loss, reason = "a size is shown to ten kilobytes")]
fn megabytes(bytes: u64) -> String {
    format!("{:.2}", bytes as f64 / 1e6)
}

/// How well the printer is known, and whether it has changed.
pub(crate) fn printer_page(frame: &Frame<'_>, standings: &[StandingForm]) -> String {
    let content = html! {
        h1 { "Printer" }
        p.lead {
            "What measured jobs have taught of each ink set, and whether later ones still agree. Enter what a "
            "printer reports on the page of the upload that was printed."
        }
        @for (place, standing) in standings.iter().enumerate() { (standing_section(place, standing)) }
    };
    frame.document("Printer", &content)
}

fn standing_section(place: usize, standing: &StandingForm) -> Markup {
    html! {
        section aria-labelledby={ "set-" (place) } {
            div.margin { h2 id={ "set-" (place) } { (standing.ink_set) } p { (standing.print_mode) } }
            div.body {
                (facts(&standing_facts(standing)))
                (drift_notes(standing))
                @if !standing.findings.is_empty() {
                    h3 { "What the fit could not tell" }
                    (page_parts::notes(standing.findings.iter().map(|finding| (false, finding.as_str()))))
                }
            }
        }
    }
}

fn standing_facts(standing: &StandingForm) -> Vec<Fact> {
    let percent = |share: f64| format!("{:.1} %", 100.0 * share);
    let calibration = standing.calibration.clone();
    let mut facts = vec![Fact {
        label: "Calibration".to_owned(),
        value: calibration.unwrap_or_else(|| "none".to_owned()),
        note: Some(match &standing.fitted_on {
            Some(day) => format!("fitted on {day} to {} jobs", standing.jobs),
            None => "nominal values, wide ranges".to_owned(),
        }),
    }];
    if let Some(mean) = standing.leave_one_out_mean {
        facts.push(Fact {
            label: "Each job from the others".to_owned(),
            value: percent(mean),
            note: standing
                .leave_one_out_worst
                .map(|worst| format!("off in the mean, {} at worst", percent(worst))),
        });
    }
    facts.push(Fact {
        label: "Measured jobs".to_owned(),
        value: standing.jobs_since.to_string(),
        note: Some(
            if standing.calibration.is_some() { "since the calibration" } else { "in the ledger" }
                .to_owned(),
        ),
    });
    facts
}

fn drift_notes(standing: &StandingForm) -> Markup {
    html! {
        @if standing.calibration.is_none() {
            p {
                "Eight jobs of different sizes are a good beginning; then " code { "inkfathom calibration fit" }
                " learns from them."
            }
        } @else if standing.drift.is_empty() {
            p.done { "No drift: readings agree with their predictions." }
        } @else {
            h3 { "Drift" }
            @for sentence in &standing.drift { div.advice { p { (capital(sentence)) } } }
        }
    }
}

use maud::{Markup, html};
use report::page_parts;
use report::{wire, wire_quote};
use service::JobForm;

use super::frame::capital;

/// What the studio sees of a picture below what its customer sees.
pub(crate) struct StudioPart<'a> {
    /// Address of the upload's page.
    pub(crate) here: &'a str,
    /// What is asked now, for the fields of a measurement.
    pub(crate) pairs: Vec<(&'static str, &'a str)>,
    pub(crate) estimates: &'a [wire::Estimate],
    /// The quote on the first set, or why there is none.
    pub(crate) quote: Result<&'a wire_quote::QuoteDocument, String>,
    /// What was measured of this picture.
    pub(crate) jobs: &'a [JobForm],
    /// What became of the last entry.
    pub(crate) said: Option<(bool, String)>,
    /// Today, for the field of the day.
    pub(crate) today: String,
}

impl StudioPart<'_> {
    pub(crate) fn markup(&self) -> Markup {
        html! {
            (self.quote_section())
            (self.measured_section())
            section aria-labelledby="housekeeping" {
                div.margin { h2 id="housekeeping" { "Housekeeping" } }
                div.body.share {
                    form method="post" action={ (self.here) "/unshare" } {
                        button.quiet type="submit" { "Make every link void" }
                    }
                    form method="post" action={ (self.here) "/delete" } {
                        button.grave type="submit" { "Delete this upload" }
                    }
                }
            }
        }
    }

    fn quote_section(&self) -> Markup {
        html! {
            section aria-labelledby="quote" {
                div.margin { h2 id="quote" { "What it costs the studio" } p { "Not on the customer's page." } }
                div.body {
                    @match &self.quote {
                        Ok(quote) => (quote_table(quote)),
                        Err(reason) => p { (capital(reason)) },
                    }
                }
            }
        }
    }

    fn measured_section(&self) -> Markup {
        html! {
            section id="measured" aria-labelledby="measured-heading" {
                div.margin {
                    h2 id="measured-heading" { "Measured millilitres" }
                    p { "What the printer reported. The program learns the printer from it." }
                }
                div.body {
                    @if let Some((good, said)) = &self.said {
                        div class=(if *good { "done" } else { "advice" }) role=(if *good { "status" } else { "alert" }) {
                            p { (capital(said)) }
                        }
                    }
                    @if !self.jobs.is_empty() { (job_table(self.jobs)) }
                    @if let Some(first) = self.estimates.first() { (self.entry(first)) }
                }
            }
        }
    }

    /// The form for a measurement of the print as it is asked above.
    fn entry(&self, estimate: &wire::Estimate) -> Markup {
        let inks = estimate.channels.iter().filter(|ink| !ink.idle);
        html! {
            form method="post" action={ (self.here) "/measured" } {
                p {
                    "Of a print as chosen above: " (page_parts::printed_size(estimate)) ", " (estimate.ink_set) ", "
                    (estimate.substrate) ", " (estimate.print_mode) "."
                }
                @for (name, value) in &self.pairs { input type="hidden" name=(name) value=(value); }
                div.figures {
                    (number_field("total_ml", "All inks, ml"))
                    (self.day_field())
                    (resolution_field())
                    (measured_by_field())
                }
                details {
                    summary { "Each ink by itself, which is worth far more than the total" }
                    div.figures { @for ink in inks { (number_field(&format!("ml:{}", ink.name), &format!("{}, ml", ink.name))) } }
                }
                fieldset {
                    legend { "The reading includes" }
                    @for (value, words) in INCLUDED {
                        label.option { input type="checkbox" name="includes" value=(value); span { (words) } }
                    }
                }
                p { button type="submit" { "Keep this measurement" } }
            }
        }
    }

    fn day_field(&self) -> Markup {
        html! {
            div.field {
                label for="printed_on" { "Printed on" }
                input id="printed_on" type="text" name="printed_on" value=(self.today) pattern="[0-9]{4}-[0-9]{2}-[0-9]{2}"
                    required inputmode="numeric";
            }
        }
    }
}

/// What a reading may hold beside the picture's ink, in the ledger's words.
const INCLUDED: [(&str, &str); 3] = [
    ("start-up", "ink at the start of the job"),
    ("cleaning", "a cleaning"),
    ("margins", "margins, marks and strips"),
];

fn number_field(name: &str, label: &str) -> Markup {
    html! {
        label.field { (label) input type="number" name=(name) min="0" step="any" inputmode="decimal"; }
    }
}

fn resolution_field() -> Markup {
    html! {
        label.field {
            "Smallest step, ml"
            input type="number" name="resolution_ml" min="0" step="any" value="0.01" required;
        }
    }
}

fn measured_by_field() -> Markup {
    html! {
        div.field {
            label for="measured_by" { "Read from" }
            select id="measured_by" name="measured_by" {
                option value="machine-count" { "the printer's own count" }
                option value="weighing" { "weighing" }
                option value="cartridge-change" { "changed cartridges" }
            }
        }
    }
}

fn quote_table(quote: &wire_quote::QuoteDocument) -> Markup {
    let header = ["line".to_owned(), "from".to_owned(), quote.currency.to_owned()];
    let row = |line: &wire_quote::QuoteLine| -> Vec<Markup> {
        let amount = html! { (line.amount) };
        let label = html! { (capital(&line.label).trim_end_matches('.')) };
        if line.is_sum {
            vec![
                html! { strong { (label) } },
                html! { (line.basis) },
                html! { strong { (amount) } },
            ]
        } else {
            vec![label, html! { (line.basis) }, amount]
        }
    };
    let rows: Vec<Vec<Markup>> = quote.lines.iter().map(row).collect();
    let caption = format!("On {}, price list {}", quote.ink_set, quote.price_list);
    page_parts::table(&caption, &header, &rows)
}

fn job_table(jobs: &[JobForm]) -> Markup {
    let header = ["job", "printed", "print", "ml"].map(str::to_owned);
    let row = |job: &JobForm| -> Vec<Markup> {
        vec![
            html! { (job.number) },
            html! { (job.printed_on) },
            html! { (job.print) },
            html! { (job.readings) },
        ]
    };
    let rows: Vec<Vec<Markup>> = jobs.iter().map(row).collect();
    page_parts::table("Jobs of this picture in the ledger", &header, &rows)
}

use comfy_table::Table;

use crate::estimate_table::{millilitres, plain_table, push_assumptions, push_line, range};
use crate::wire;
use crate::wire_monthly::{Job, Month, PaybackDocument, RoutingDocument, Running, Total};

/// The jobs with their sets, the totals and what is saved.
pub(crate) fn routing(document: &RoutingDocument) -> String {
    let mut text = String::new();
    push_month(&mut text, &document.month);
    push_assumptions(&mut text, &document.assumptions);
    push_line(&mut text, wire::DISCLAIMER);
    text
}

/// The answer, what it is made of, and how much depends on what.
pub(crate) fn payback(document: &PaybackDocument) -> String {
    let mut text = String::new();
    for line in answer(document) {
        push_line(&mut text, &line);
    }
    text.push('\n');
    push_month(&mut text, &document.month);
    push_line(&mut text, "in a month without printing");
    push_line(&mut text, &running_table(document).to_string());
    push_line(&mut text, "\nif something else were so");
    push_line(&mut text, &sensitivity_table(document).to_string());
    push_assumptions(&mut text, &document.assumptions);
    push_line(&mut text, wire::DISCLAIMER);
    text
}

/// The answer in sentences.
pub(crate) fn answer(document: &PaybackDocument) -> Vec<String> {
    let PaybackDocument { buy, have, price, saving, month, .. } = document;
    let currency = month.currency;
    let fate = match document.old_machine {
        "goes" => format!("in place of {have}"),
        _ => format!("beside {have}"),
    };
    vec![
        format!(
            "{buy} {fate} for {price} {currency}, price earned in: {} (range: {} to {})",
            document.time.words,
            document.time_at_most_saving.words,
            document.time_at_least_saving.words
        ),
        format!(
            "saved in a month: {} {currency} (range {} to {}), of which ink {} less added running \
             cost {}",
            saving.expected,
            saving.low,
            saving.high,
            document.ink_saving.expected,
            document.added_running_cost
        ),
        format!(
            "the mix is {:.1} m² a month; it saves anything {}, and its price within {} months {}",
            document.area_m2_per_month,
            document.break_even.words,
            document.horizon_months,
            document.within_horizon.words
        ),
    ]
}

fn push_month(text: &mut String, month: &Month) {
    push_line(text, &format!("a month's ink, prices of {}", month.price_list));
    push_line(text, &job_table(month).to_string());
    push_line(text, &total_table(month).to_string());
    for line in saving_lines(month) {
        push_line(text, &line);
    }
    text.push('\n');
}

fn job_table(month: &Month) -> Table {
    let mut header = vec!["job".to_owned(), "copies".to_owned(), "m²".to_owned()];
    for set in &month.ink_sets {
        header.push(format!("{set}, ml"));
        header.push(format!("{set}, {}", month.currency));
    }
    header.push("sent to".to_owned());
    let mut table = plain_table(header);
    for job in &month.jobs {
        table.add_row(job_row(job));
    }
    table
}

fn job_row(job: &Job) -> Vec<String> {
    let mut row =
        vec![job.name.clone(), job.copies_per_month.to_string(), format!("{:.2}", job.area_m2)];
    for on in &job.on {
        let mark = if on.holds { "" } else { " (loses)" };
        row.push(millilitres(on.ink_ml));
        row.push(format!("{}{mark}", on.cost));
    }
    row.push(if job.held { job.sent_to.clone() } else { format!("{} (none holds)", job.sent_to) });
    row
}

fn total_table(month: &Month) -> Table {
    let cost = month.currency;
    let mut table = plain_table(["all jobs on", "ml", "range", cost, "jobs not held"]);
    for total in month.all_on.iter().chain([&month.routed]) {
        let Total { ink_set, ink_ml, ink_ml_low, ink_ml_high, cost, jobs_not_held } = total;
        table.add_row([
            ink_set.clone(),
            millilitres(*ink_ml),
            range(*ink_ml_low, *ink_ml_high),
            cost.clone(),
            jobs_not_held.to_string(),
        ]);
    }
    table
}

/// What routing saves, in sentences.
pub(crate) fn saving_lines(month: &Month) -> Vec<String> {
    let line = |saving: &crate::wire_monthly::Saving| {
        let (more, millilitres) = if saving.ink_ml < 0.0 {
            ("more", millilitres(-saving.ink_ml))
        } else {
            ("less", millilitres(saving.ink_ml))
        };
        let (does, money) = match saving.money.strip_prefix('-') {
            Some(costs) => ("costs", costs),
            None => ("saves", saving.money.as_str()),
        };
        format!(
            "each where it is sent, against all on {}: {millilitres} ml {more}, {does} {money} {}",
            saving.against, month.currency
        )
    };
    month.savings.iter().map(line).collect()
}

fn running_table(document: &PaybackDocument) -> Table {
    let currency = document.month.currency;
    let sum = format!("sum, {currency}");
    let mut table = plain_table([
        "machine of",
        "idle ink",
        "cleaning ink",
        "heads",
        "maintenance",
        sum.as_str(),
    ]);
    for Running {
        ink_set,
        idle_ink_ml,
        idle,
        cleaning_ink_ml,
        cleaning,
        heads,
        maintenance,
        sum,
    } in &document.running
    {
        table.add_row([
            ink_set.clone(),
            format!("{idle} ({} ml)", millilitres(*idle_ink_ml)),
            format!("{cleaning} ({} ml)", millilitres(*cleaning_ink_ml)),
            heads.clone(),
            maintenance.clone(),
            sum.clone(),
        ]);
    }
    table
}

fn sensitivity_table(document: &PaybackDocument) -> Table {
    let saved = format!("saved, {}", document.month.currency);
    let mut table =
        plain_table(["if", "jobs moved", "not held", saved.as_str(), "price earned in", "range"]);
    for row in &document.sensitivity {
        table.add_row([
            row.words.clone(),
            row.jobs_moved.to_string(),
            row.jobs_not_held.to_string(),
            row.saving.expected.clone(),
            row.time.words.clone(),
            format!("{} to {}", row.time_at_most_saving.words, row.time_at_least_saving.words),
        ]);
    }
    table
}

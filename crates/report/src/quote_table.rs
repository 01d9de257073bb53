use comfy_table::{CellAlignment, Table};

use crate::estimate_table::{millilitres, plain_table, push_assumptions, push_line, range};
use crate::wire;
use crate::wire_quote::{QuoteDocument, RollUse};

/// The pictures, the roll, the lines and what they rest on.
pub(crate) fn tables(document: &QuoteDocument) -> String {
    let mut text = String::new();
    push_line(&mut text, &heading(document));
    push_line(&mut text, &picture_table(document).to_string());
    push_line(&mut text, &roll_line(&document.roll));
    push_line(&mut text, &line_table(document).to_string());
    push_line(&mut text, &range_line(document));
    if let Some(line) = ink_share_line(document) {
        push_line(&mut text, &line);
    }
    push_assumptions(&mut text, &document.assumptions);
    push_line(&mut text, wire::DISCLAIMER);
    text
}

fn heading(document: &QuoteDocument) -> String {
    let QuoteDocument { ink_set, substrate, print_mode, paper, price_list, .. } = document;
    format!("{ink_set} ({substrate}, {print_mode}) on {paper}, price list {price_list}")
}

fn picture_table(document: &QuoteDocument) -> Table {
    let currency = document.currency;
    let mut table = plain_table([
        "picture".to_owned(),
        "cm".to_owned(),
        "copies".to_owned(),
        "ink, ml".to_owned(),
        "range".to_owned(),
        format!("net, {currency}"),
        "per copy".to_owned(),
        "per m²".to_owned(),
    ]);
    for picture in &document.pictures {
        table.add_row([
            picture.file.clone(),
            format!("{:.1} × {:.1}", picture.width_mm / 10.0, picture.height_mm / 10.0),
            picture.copies.to_string(),
            millilitres(picture.ink_ml),
            range(picture.ink_ml_low, picture.ink_ml_high),
            picture.net.clone(),
            picture.net_per_copy.clone(),
            picture.net_per_m2.clone(),
        ]);
    }
    table
}

pub(crate) fn roll_line(roll: &RollUse) -> String {
    format!(
        "{:.3} m of the {:.1} cm roll, {:.3} m², of which {:.3} m² are prints",
        roll.billed_length_mm / 1000.0,
        roll.width_mm / 10.0,
        roll.billed_area_m2,
        roll.printed_area_m2
    )
}

fn line_table(document: &QuoteDocument) -> Table {
    let mut table = plain_table(["line", "from", document.currency]);
    if let Some(column) = table.column_mut(1) {
        column.set_cell_alignment(CellAlignment::Left);
    }
    for line in &document.lines {
        let mark = if line.is_sum { "= " } else { "" };
        table.add_row([format!("{mark}{}", line.label), line.basis.clone(), line.amount.clone()]);
    }
    table
}

fn range_line(document: &QuoteDocument) -> String {
    let QuoteDocument { net, total, currency, .. } = document;
    format!(
        "by the range of the ink: net {} – {} {currency}, total {} – {} {currency}",
        net.low, net.high, total.low, total.high
    )
}

fn ink_share_line(document: &QuoteDocument) -> Option<String> {
    let percent = |share: f64| 100.0 * share;
    let of_cost = percent(document.ink_share_of_cost?);
    let of_net = percent(document.ink_share_of_net?);
    Some(format!("all ink is {of_cost:.1} % of the cost and {of_net:.1} % of the net price"))
}

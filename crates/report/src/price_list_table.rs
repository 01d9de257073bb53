use pricing::{InkPrice, InkPriceRule, ListProvenance, Paper, PaperPrice, PriceList, Profit};

use crate::estimate_table::push_line;

/// A price list in words, for a terminal.
#[must_use]
pub fn price_list_table(list: &PriceList) -> String {
    let mut text = String::new();
    push_line(&mut text, &format!("{}: {}", list.name, list.title));
    let provenance = match list.provenance {
        ListProvenance::Own => "the studio's own prices",
        ListProvenance::Invented => "invented prices",
    };
    push_line(&mut text, &format!("{provenance}, in {}", list.currency.code()));
    push_line(&mut text, "\nink, for each the first that fits");
    for rule in &list.inks {
        push_line(&mut text, &format!("  {}", ink(rule)));
    }
    push_line(&mut text, "\npapers");
    for it in &list.papers {
        push_line(&mut text, &format!("  {}", paper(it)));
    }
    push_line(&mut text, "\nterms");
    for term in terms(list) {
        push_line(&mut text, &format!("  {term}"));
    }
    text
}

fn ink(rule: &InkPriceRule) -> String {
    let set = rule.ink_set.as_ref().map_or_else(|| "any set".to_owned(), |set| format!("`{set}`"));
    let inks = if rule.inks.is_empty() { "any ink".to_owned() } else { rule.inks.join(", ") };
    let price = match rule.price {
        InkPrice::Litre(price) => format!("{price} a litre"),
        InkPrice::Cartridge { size, price, residual } => {
            let stays = residual.map_or_else(
                || "the machine's residual ink stays in".to_owned(),
                |share| format!("{} % stays in", percent(share.to_fraction())),
            );
            format!("{price} for {} ml, {stays}", size.to_millilitres())
        }
    };
    format!("{inks} of {set}: {price}")
}

fn percent(fraction: f64) -> String {
    format!("{:.1}", 100.0 * fraction)
}

fn paper(paper: &Paper) -> String {
    let rolls = paper.rolls.iter().map(|roll| {
        let price = match roll.price {
            PaperPrice::SquareMetre(price) => format!("{price} a m²"),
            PaperPrice::RunningMetre(price) => format!("{price} a running m"),
        };
        format!("{} at {price}", roll.width)
    });
    let of = match paper.substrates.as_slice() {
        [] => String::new(),
        substrates => format!(" ({})", substrates.join(", ")),
    };
    format!("{}{of}: {}", paper.name, rolls.collect::<Vec<_>>().join(", "))
}

fn terms(list: &PriceList) -> Vec<String> {
    let mut terms = vec![match list.profit {
        Profit::Margin(margin) => format!("margin {} % of the price", margin.to_percent()),
        Profit::Markup(markup) => format!("markup {} % of the cost", markup.to_percent()),
    }];
    terms.push(format!("spoilage {} %", list.spoilage.to_percent()));
    for (what, work) in [("labour", &list.labour), ("machine time", &list.machine_time)] {
        terms.push(format!(
            "{what} {} an hour: {} min an order, {} min a m²",
            work.hour,
            work.per_order.to_minutes(),
            work.per_square_metre.to_minutes()
        ));
    }
    terms.extend(list.minimum_charge.map(|least| format!("minimum charge {least}")));
    let breaks = list
        .breaks
        .iter()
        .map(|it| format!("{} % less from {} copies on", it.discount.to_percent(), it.from_copies));
    terms.extend(breaks);
    terms.extend(list.tax.iter().map(|tax| format!("{} {} %", tax.name, tax.rate.to_percent())));
    terms
}

use super::Table;
use super::quantity::{DISCOUNT, FROM_COPIES, MARGIN, MARKUP, TAX};
use crate::{Fault, Percent, Profit, QuantityBreak, Tax};

pub(super) const PROFIT_KEYS: [&str; 2] = ["margin_percent", "markup_percent"];
pub(super) const TAX_KEYS: [&str; 2] = ["name", "percent"];
pub(super) const BREAK_KEYS: [&str; 2] = ["from_copies", "discount_percent"];

pub(super) fn read_profit(table: &Table) -> Option<Profit> {
    table.only(&PROFIT_KEYS);
    let found = match (table.get(MARGIN.key()), table.get(MARKUP.key())) {
        (Some(entry), None) => return entry.decimal(&MARGIN).map(Percent::new).map(Profit::Margin),
        (None, Some(entry)) => return entry.decimal(&MARKUP).map(Percent::new).map(Profit::Markup),
        (Some(_), Some(_)) => "both",
        (None, None) => "neither",
    };
    table.fault_of_table(Fault::Profit { found });
    None
}

pub(super) fn read_tax(table: &Table) -> Option<Tax> {
    table.only(&TAX_KEYS);
    let name = table.need("name", "write what quotes call the tax").and_then(|entry| entry.name());
    let rate = table.decimal(&TAX).map(Percent::new);
    Some(Tax { name: name?, rate: rate? })
}

/// Reads the breaks, which must rise: a break out of order would never hold, or hold too early.
pub(super) fn read_breaks(tables: &[Table]) -> Option<Vec<QuantityBreak>> {
    let read: Vec<Option<QuantityBreak>> = tables.iter().map(read_break).collect();
    let breaks: Vec<QuantityBreak> = read.into_iter().collect::<Option<_>>()?;
    for (pair, table) in breaks.windows(2).zip(tables.windows(2)) {
        check_order(pair[0], pair[1], &table[0], &table[1]);
    }
    Some(breaks)
}

fn read_break(table: &Table) -> Option<QuantityBreak> {
    table.only(&BREAK_KEYS);
    let from_copies = table.whole(&FROM_COPIES);
    let discount = table.decimal(&DISCOUNT).map(Percent::new);
    Some(QuantityBreak { from_copies: from_copies?, discount: discount? })
}

fn check_order(before: QuantityBreak, this: QuantityBreak, first: &Table, table: &Table) {
    let before_line = first.line();
    if this.from_copies <= before.from_copies {
        let (copies, before) = (this.from_copies, before.from_copies);
        let fault = Fault::BreaksOutOfOrder { copies, before, before_line };
        table.fault(FROM_COPIES.key(), fault);
    } else if this.discount < before.discount {
        let discount = this.discount.to_percent().to_string();
        let before = before.discount.to_percent().to_string();
        table.fault(DISCOUNT.key(), Fault::DiscountFalls { discount, before, before_line });
    }
}

use dosing::VolumeRange;
use estimating::Assumption;
use pricing::{Basis, Block, Layout, Line, LineKind, PricedRange, Quote};
use units::{Money, Share, Volume};

use crate::from_estimates::assumption;
use crate::wire_quote::{
    AmountRange, FailedPicture, PlacedPrint, QuoteDocument, QuoteLine, QuotedPicture, RollBlock,
    RollUse, VERSION,
};
use crate::{QuoteContext, wire};

pub(crate) fn document(program: &str, quote: &Quote, context: QuoteContext) -> QuoteDocument {
    let QuoteContext { substrate, print_mode, assumptions, failed } = context;
    let [ink_ml_low, ink_ml, ink_ml_high] = ends(&quote.ink);
    let notes = quote.notes.iter().map(|note| Assumption::note(note.clone()));
    let assumptions: Vec<Assumption> = assumptions.into_iter().chain(notes).collect();
    QuoteDocument {
        version: VERSION,
        kind: "quote",
        program: program.to_owned(),
        disclaimer: wire::DISCLAIMER,
        currency: quote.cost.currency().code(),
        price_list: quote.price_list.clone(),
        ink_set: quote.ink_set.clone(),
        substrate,
        print_mode,
        paper: quote.paper.clone(),
        roll: roll(&quote.layout),
        pictures: quote.pictures.iter().map(picture).collect(),
        lines: quote.lines.iter().map(line).collect(),
        cost: amount(quote.cost),
        net: range(&quote.net),
        total: range(&quote.total),
        ink_ml,
        ink_ml_low,
        ink_ml_high,
        ink_share_of_cost: quote.ink_share_of_cost.map(Share::to_fraction),
        ink_share_of_net: quote.ink_share_of_net.map(Share::to_fraction),
        failed: self::failed(&failed),
        assumptions: assumptions.iter().map(assumption).collect(),
    }
}

pub(crate) fn ends(range: &VolumeRange) -> [f64; 3] {
    [range.low, range.expected, range.high].map(Volume::to_millilitres)
}

pub(crate) fn failed(failed: &[(String, String)]) -> Vec<FailedPicture> {
    let picture = |(file, error): &(String, String)| FailedPicture {
        file: file.clone(),
        error: error.clone(),
    };
    failed.iter().map(picture).collect()
}

/// The digits of an amount.
pub(crate) fn amount(money: Money) -> String {
    money.amount().to_string()
}

pub(crate) fn range(range: &PricedRange) -> AmountRange {
    let [low, expected, high] = [range.low, range.expected, range.high].map(amount);
    AmountRange { low, expected, high }
}

fn roll(layout: &Layout) -> RollUse {
    RollUse {
        width_mm: layout.roll_width.to_millimetres(),
        billed_length_mm: layout.length.to_millimetres(),
        billed_area_m2: layout.area().to_square_metres(),
        printed_area_m2: layout.printed.to_square_metres(),
        blocks: layout.blocks.iter().map(block).collect(),
    }
}

fn block(block: &Block) -> RollBlock {
    let prints = block.placements.iter().map(|it| PlacedPrint {
        picture: it.piece,
        across_mm: it.across.to_millimetres(),
        along_mm: it.along.to_millimetres(),
        width_mm: it.width.to_millimetres(),
        height_mm: it.height.to_millimetres(),
        turned: it.turned,
    });
    RollBlock {
        length_mm: block.length.to_millimetres(),
        repeats: block.repeats,
        prints: prints.collect(),
    }
}

fn picture(picture: &pricing::QuotedPicture) -> QuotedPicture {
    let [ink_ml_low, ink_ml, ink_ml_high] = ends(&picture.ink);
    QuotedPicture {
        file: picture.name.clone(),
        width_mm: picture.width.to_millimetres(),
        height_mm: picture.height.to_millimetres(),
        copies: picture.copies,
        area_m2: picture.area.to_square_metres(),
        ink_ml,
        ink_ml_low,
        ink_ml_high,
        ink_cost: amount(picture.ink_cost),
        net: amount(picture.net),
        net_per_copy: amount(picture.net_per_copy),
        net_per_m2: amount(picture.net_per_square_metre),
    }
}

fn line(line: &Line) -> QuoteLine {
    let (kind, label) = words(&line.kind);
    QuoteLine {
        kind,
        label: label.to_owned(),
        is_sum: line.kind.is_sum(),
        basis: basis(&line.basis),
        amount: amount(line.amount),
    }
}

fn words(kind: &LineKind) -> (&'static str, &str) {
    match kind {
        LineKind::Ink => ("ink", "ink of the pictures"),
        LineKind::EdgeInk => ("edge_ink", "ink beyond their sides"),
        LineKind::StartUpInk => ("start_up_ink", "start-up ink"),
        LineKind::CleaningInk => ("cleaning_ink", "cleaning ink"),
        LineKind::Paper => ("paper", "paper"),
        LineKind::Labour => ("labour", "labour"),
        LineKind::MachineTime => ("machine_time", "machine time"),
        LineKind::Spoilage => ("spoilage", "spoilage"),
        LineKind::Cost => ("cost", "cost"),
        LineKind::Margin => ("margin", "margin"),
        LineKind::Markup => ("markup", "markup"),
        LineKind::Discount => ("discount", "discount for many copies"),
        LineKind::MinimumCharge => ("minimum_charge", "up to the minimum charge"),
        LineKind::Net => ("net", "net price"),
        LineKind::Tax(name) => ("tax", name),
        LineKind::Total => ("total", "total"),
    }
}

fn basis(basis: &Basis) -> String {
    match basis {
        Basis::Ink(volume) => format!("{:.2} ml", volume.to_millilitres()),
        Basis::Roll { width, length } => {
            format!("{:.3} m of {:.1} cm roll", length.to_metres(), width.to_millimetres() / 10.0)
        }
        Basis::Time(minutes) => format!("{} min", minutes.to_minutes().round_dp(1).normalize()),
        Basis::Percent(percent) => format!("{} %", percent.to_percent().normalize()),
        Basis::Lines => String::new(),
    }
}

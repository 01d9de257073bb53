//! What holds for every order.

use inkfathom_pricing::{Order, OrderedPicture, PriceList, quote};
use proptest::prelude::*;
use rust_decimal::Decimal;

use crate::support::{list_with, picture, set};

fn net(list: &PriceList, pictures: &[OrderedPicture]) -> Decimal {
    let set = set("five");
    let order = Order {
        set: &set,
        substrate: "matte art paper",
        paper: None,
        roll_width: None,
        start_up: None,
        pictures,
    };
    quote(list, &order).unwrap().total.expected.amount()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn the_price_never_falls_with_more_ink(
        ink in 0.0_f64..500.0,
        more in 0.0_f64..5.0,
        prints in 1_u32..12,
        currency in prop::sample::select(vec!["EUR", "JPY", "KWD"]),
    ) {
        let list = list_with(&[("EUR", currency)]);
        let priced = |ink| net(&list, &[picture("harbour", [400.0, 280.0], prints, ink, 25.0)]);
        prop_assert!(priced(ink) <= priced(ink + more));
    }

    #[test]
    fn the_expected_price_lies_inside_its_range_and_lines_add_up(
        ink in 0.0_f64..500.0,
        prints in 1_u32..12,
        range in 0.0_f64..100.0,
    ) {
        let set = set("five");
        let pictures = [picture("harbour", [400.0, 280.0], prints, ink, range)];
        let order = Order {
            set: &set, substrate: "matte art paper", paper: None, roll_width: None, start_up: None,
            pictures: &pictures,
        };
        let quote = quote(&list_with(&[]), &order).unwrap();
        let [low, expected, high] = [quote.total.low, quote.total.expected, quote.total.high];
        prop_assert!(low.amount() <= expected.amount() && expected.amount() <= high.amount());
        let lines = quote.lines.iter().filter(|line| !line.kind.is_sum());
        let sum: Decimal = lines.map(|line| line.amount.amount()).sum();
        prop_assert_eq!(sum, expected.amount());
    }

    /// No text makes the reader panic.
    #[test]
    fn any_text_is_read_or_refused(text in "\\PC{0,200}") {
        let _ = PriceList::parse(&text, "any");
    }
}

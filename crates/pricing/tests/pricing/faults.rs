//! Every fault of a price list's text and of an order is refused with a clear message.

use inkfathom_pricing::{JobList, Order, PriceList, PricingError, builtin_price_list, quote};
use units::Length;

use crate::support::{LIST, changed_list, list_with, millimetres, picture, set};

const EXAMPLE: &str = include_str!("../../example.toml");

/// From, to, and what the message says after the file.
#[test]
#[rustfmt::skip] // one line a case
fn faults_of_a_list_are_named_with_line_value_range_and_remedy() {
    for (from, to, says) in [
        ("\"EUR\"", "\"EURO\"", "line 5: `currency` is `EURO`, which is not a currency of ISO 4217; write its code, for example EUR"),
        ("\"EUR\"", "\"XAU\"", "line 5: `currency` is XAU, which has no minor unit in ISO 4217; write a currency that is paid with"),
        ("currency = \"EUR\"", "", "line 1: `currency` is missing; write the code of ISO 4217, for example EUR"),
        ("cartridge_price = 210.00", "cartridge_price = -1", "line 10: `cartridge_price` of entry 1 of `ink` is -1, outside 0 to 100000000; write a price that is not negative"),
        ("cartridge_price = 210.00", "cartridge_price = 2e9", "line 10: `cartridge_price` of entry 1 of `ink` is 2e9, outside 0 to 100000000; write a price that is not negative"),
        ("cartridge_price = 210.00", "cartridge_price = \"210\"", "line 10: `cartridge_price` of entry 1 of `ink` is a text, not a decimal number; write a decimal number"),
        ("cartridge_price = 210.00", "cartridge_price = 1e-40", "line 10: `cartridge_price` of entry 1 of `ink` is 1e-40, not a plain decimal number; write for example 79.50"),
        ("cartridge_price = 210.00", "", "line 8: `cartridge_price` of entry 1 of `ink` is missing; write what a cartridge costs"),
        ("cartridge_ml = 700", "price_per_litre = 290", "line 8: entry 1 of `ink` states a price per litre and a cartridge; write either price_per_litre, or cartridge_ml with cartridge_price"),
        ("price_per_m2 = 10.00", "", "line 16: entry 1 of `roll` of paper `art paper` has no price; write price_per_m2 for the paper, or price_per_running_m for each of its rolls"),
        ("width_cm = 61.0", "width_cm = 61.0\nprice_per_running_m = 6", "line 16: entry 1 of `roll` of paper `art paper` has a price beside the price_per_m2 of its paper; write price_per_m2 for the paper, or price_per_running_m for each of its rolls"),
        ("width_cm = 61.0", "width_cm = 0.9", "line 17: `width_cm` of entry 1 of `roll` of paper `art paper` is 0.9, outside 1 to 2000 cm; write the whole width of the roll"),
        ("width_cm = 61.0", "width_cm = 1", "line 17: `width_cm` of entry 1 of `roll` of paper `art paper` is 1 cm, of which side margins of 5 mm at either side leave nothing; write a wider roll or lower side_margin_mm"),
        ("rotation = \"allowed\"", "rotation = \"yes\"", "line 24: `rotation` of `layout` is `yes`; write one of `allowed`, `never`"),
        ("margin_percent = 40", "margin_percent = 100", "line 38: `margin_percent` of `profit` is 100, outside 0 to 95 %; write the share of the price that is earned"),
        ("margin_percent = 40", "margin_percent = 40\nmarkup_percent = 60", "line 37: `profit` states both; write either margin_percent (of the price) or markup_percent (of the cost)"),
        ("margin_percent = 40", "margn_percent = 40", "line 38: `margn_percent` of `profit` is not a key of this place; did you mean `margin_percent`?"),
        ("spoilage_percent = 5", "spoilage_percent = 500", "line 6: `spoilage_percent` is 500, outside 0 to 100 %; write what is printed in vain, as a share of what is delivered"),
        ("from_copies = 3", "from_copies = 2.5", "line 43: `from_copies` of entry 1 of `quantity_break` is 2.5, not a whole number; write the number of copies from which the discount holds"),
    ] {
        let problems = match changed_list(&[(from, to)]) {
            Err(PricingError::Faulty { problems }) => problems,
            other => panic!("{from} -> {to} is not refused as faulty: {other:?}"),
        };
        let found: Vec<String> = problems.iter().map(ToString::to_string).collect();
        assert!(found.contains(&format!("list.toml, {says}")), "{from} -> {to}: {found:#?}");
    }
}

#[test]
fn a_break_table_out_of_order_is_refused() {
    for (breaks, says) in [
        (
            "from_copies = 3\ndiscount_percent = 12",
            "`from_copies` of entry 2 of `quantity_break` is 3 after 3 in line 42; write breaks in rising order, each number of copies once",
        ),
        (
            "from_copies = 30\ndiscount_percent = 8",
            "`discount_percent` of entry 2 of `quantity_break` is 8 % after 10 % for fewer copies in line 42; write discounts that never fall",
        ),
    ] {
        let text = format!("{LIST}[[quantity_break]]\n{breaks}\n");
        let message = PriceList::parse(&text, "list.toml").unwrap_err().to_string();
        assert!(message.ends_with(says), "{message}");
    }
}

#[test]
fn the_example_and_the_built_in_list_are_sound() {
    PriceList::parse(EXAMPLE, "example.toml").unwrap();
    let demo = builtin_price_list("demo").unwrap().parse().unwrap();
    let priced: Vec<&String> = demo.papers.iter().flat_map(|paper| &paper.substrates).collect();
    for name in inkset::builtin_names() {
        let set = inkset::builtin(name).unwrap().parse().unwrap().set;
        for substrate in &set.substrates {
            assert!(priced.contains(&&substrate.name), "no paper for {}", substrate.name);
        }
    }
}

#[test]
fn a_list_of_jobs_is_read_strictly() {
    JobList::parse(include_str!("../../example-jobs.toml"), "jobs.toml").unwrap();
    let message = JobList::parse(
        "[[job]]\nname = \"a\"\nfile = \"a.jpg\"\ncopies_per_month = 0\n",
        "jobs.toml",
    );
    assert_eq!(
        message.unwrap_err().to_string(),
        "jobs.toml, line 4: `copies_per_month` of job `a` is 0, outside 1 to 1000000 copies; write \
         the prints of a month"
    );
}

fn refused(list: &PriceList, order: &Order<'_>) -> String {
    quote(list, order).unwrap_err().to_string()
}

/// What the order changes, and what the message says.
#[test]
fn orders_that_cannot_be_priced_are_refused_with_a_remedy() {
    let five = set("five");
    let narrow = inkset::MachineFacts { widest: Some(millimetres(500.0)), ..Default::default() };
    let narrow = inkset::InkSet { machine: narrow, ..set("five") };
    let small = [picture("harbour", [400.0, 280.0], 3, 20.0, 25.0)];
    let wide = [picture("harbour", [700.0, 650.0], 1, 20.0, 25.0)];
    let many = [picture("harbour", [700.0, 550.0], 1_000_000, 20.0, 25.0)];
    let order = Order {
        set: &five,
        substrate: "matte art paper",
        paper: None,
        roll_width: None,
        start_up: None,
        pictures: &small,
    };
    let list = list_with(&[]);
    for (order, says) in [
        (
            Order { pictures: &[], ..order },
            "there is nothing to price: 0 pictures; give at least one",
        ),
        (
            Order { paper: Some("art papr"), ..order },
            "`art papr` is not a paper of the price list `worked`; did you mean `art paper`?",
        ),
        (
            Order { substrate: "canvas", ..order },
            "no paper of the price list `worked` is for the substrate `canvas`; name it among the `substrates` of a paper, or choose a paper yourself",
        ),
        (
            Order { roll_width: Some(millimetres(914.0)), ..order },
            "`art paper` comes on no roll of 91.4 cm; choose one of 61.0 cm",
        ),
        (
            Order { pictures: &wide, ..order },
            "harbour needs 66.0 cm of free width with its edges, 61.0 cm of `art paper` leaves 60.0 cm; print it smaller, or on a wider roll",
        ),
        (
            Order { pictures: &many, ..order },
            "the prints need about 672786 m of roll, outside 0 to 1000 m; split the order",
        ),
        (
            Order { set: &narrow, ..order },
            "every roll of `art paper` is wider than the 50.0 cm that the machine of `five` takes; add a narrower roll",
        ),
    ] {
        assert_eq!(refused(&list, &order), says);
    }
}

#[test]
fn inks_that_are_unknown_unpriced_or_of_another_currency_are_refused() {
    let five = set("five");
    let small = [picture("harbour", [400.0, 280.0], 3, 20.0, 25.0)];
    let order = Order {
        set: &five,
        substrate: "matte art paper",
        paper: None,
        roll_width: None,
        start_up: None,
        pictures: &small,
    };
    let ink = |lines: &str| list_with(&[("[[ink]]\n", &format!("[[ink]]\n{lines}\n"))]);
    let unknown = ink("ink_set = \"five\"\ninks = [\"cyam\"]");
    assert_eq!(
        refused(&unknown, &order),
        "the price list `worked` prices `cyam`, which is not an ink of the ink set `five`; did you \
         mean `cyan`?"
    );
    let mut unpriced = five.clone();
    unpriced.inks[1].cartridge = None;
    assert_eq!(
        refused(&ink("inks = [\"cyan\"]"), &Order { set: &unpriced, ..order }),
        "the price list `worked` has no price for the ink `magenta` of the ink set `five`; add an \
         [[ink]] that is for it"
    );
    let foreign =
        list_with(&[("\"EUR\"", "\"NOK\""), ("[[ink]]\n", "[[ink]]\ninks = [\"cyan\"]\n")]);
    assert_eq!(
        refused(&foreign, &order),
        "the cartridge of `magenta` is in EUR, the price list `worked` in NOK; state it in NOK \
         (this program converts no currencies)"
    );
}

#[test]
fn a_picture_that_would_fit_turned_says_so() {
    let list = list_with(&[("\"allowed\"", "\"never\"")]);
    let five = set("five");
    let wide = [picture("harbour", [700.0, 300.0], 1, 20.0, 25.0)];
    let order = Order {
        set: &five,
        substrate: "matte art paper",
        paper: None,
        roll_width: None::<Length>,
        start_up: None,
        pictures: &wide,
    };
    assert!(refused(&list, &order).ends_with("print it smaller, or allow rotation"));
}

//! Routing worked by hand, to the cent.

use std::num::NonZeroU32;

use inkfathom_pricing::{ColourFit, JobOnSet, MonthlyJob, MonthlyMix, PriceList, Tolerance, route};
use inkset::InkSet;

use crate::support::{list_with, picture, set};

/// Ink by the litre, another price for each set, and nothing beside the pictures: 0.25 a
/// millilitre on `five`, 0.40 on `nine`.
pub(crate) fn list() -> PriceList {
    list_with(&[
        (
            "[[ink]]\ncartridge_ml = 700\ncartridge_price = 210.00\nresidual_percent = 4",
            "[[ink]]\nink_set = \"five\"\nprice_per_litre = 250.00\n[[ink]]\nprice_per_litre = 400.00",
        ),
        ("spoilage_percent = 5", "spoilage_percent = 0"),
        ("edge_mm = 5", "edge_mm = 0"),
        ("start_up_ml = 2", "start_up_ml = 0"),
        ("cleaning_ml = 8", "cleaning_ml = 0"),
    ])
}

pub(crate) fn tolerance(difference: f64) -> Tolerance {
    Tolerance::new(difference).unwrap()
}

/// A job of so many prints of a square metre: millilitres, and at tolerances 1 and 2 whether the
/// set holds the colours and what it loses.
pub(crate) fn job(name: &str, prints: u32, on: &[(f64, [(bool, f64); 2])]) -> MonthlyJob {
    let on_set = |&(ink, fits): &(f64, [(bool, f64); 2])| JobOnSet {
        picture: picture(name, [1000.0, 1000.0], prints, ink, 20.0),
        fits: fits.map(|(holds, loss)| ColourFit { holds, loss }).to_vec(),
    };
    MonthlyJob { orders: NonZeroU32::MIN, on: on.iter().map(on_set).collect() }
}

pub(crate) fn mix<'mix>(
    list: &'mix PriceList,
    sets: &[&'mix InkSet],
    jobs: &[MonthlyJob],
) -> MonthlyMix<'mix> {
    MonthlyMix {
        list,
        sets: sets.to_vec(),
        tolerances: vec![tolerance(1.0), tolerance(2.0)],
        jobs: jobs.to_vec(),
    }
}

/// What the jobs take and cost on `five` (0.25 a ml) and `nine` (0.40 a ml), at tolerance 1:
///
/// | job     | five             | nine             | five holds | nine holds | sent to |
/// |---------|------------------|------------------|------------|------------|---------|
/// | harbour | 40 ml = 10.00    | 35 ml = 14.00    | yes        | yes        | five, the cheaper |
/// | fern    | 100 ml = 25.00   | 70 ml = 28.00    | no         | yes        | nine, which holds |
/// | gull    | 20 ml = 5.00     | 15 ml = 6.00     | no (0.5)   | no (0.1)   | nine, which loses least |
/// | crab    | 8 ml = 2.00      | 10 ml = 4.00     | no (0.12)  | no (0.1)   | five: about as little, cheaper |
///
/// All on five 168 ml = 42.00; all on nine 130 ml = 52.00; routed 40 + 70 + 15 + 8 = 133 ml =
/// 10.00 + 28.00 + 6.00 + 2.00 = 46.00. Against five 35 ml less and −4.00; against nine 3 ml more
/// and 6.00.
#[test]
fn routing_agrees_with_the_worked_example() {
    let (list, five, nine) = (list(), set("five"), set("nine"));
    let jobs = [
        job("harbour", 1, &[(40.0, [(true, 0.0); 2]), (35.0, [(true, 0.0); 2])]),
        job("fern", 1, &[(100.0, [(false, 0.3), (true, 0.0)]), (70.0, [(true, 0.0); 2])]),
        job("gull", 1, &[(20.0, [(false, 0.5); 2]), (15.0, [(false, 0.1); 2])]),
        job("crab", 1, &[(8.0, [(false, 0.12); 2]), (10.0, [(false, 0.1); 2])]),
    ];
    let routing = route(&mix(&list, &[&five, &nine], &jobs), tolerance(1.0)).unwrap();
    let chosen: Vec<usize> = routing.jobs.iter().map(|job| job.chosen).collect();
    assert_eq!(chosen, [0, 1, 1, 0]);
    let totals = [&routing.all_on[0], &routing.all_on[1], &routing.routed];
    let totals = totals.map(|total| {
        let ink = total.ink.expected.to_millilitres().round();
        (total.cost.to_string(), ink, total.jobs_not_held)
    });
    let expected = [("42.00 EUR", 168.0, 3), ("52.00 EUR", 130.0, 2), ("46.00 EUR", 133.0, 2)];
    assert_eq!(totals, expected.map(|(cost, ink, lost)| (cost.to_owned(), ink, lost)));
    let savings = routing.savings.iter().map(|it| (it.money.to_string(), it.millilitres.round()));
    let expected = [("-4.00 EUR", 35.0), ("6.00 EUR", -3.0)];
    assert!(savings.eq(expected.map(|(money, ink)| (money.to_owned(), ink))));
}

/// At tolerance 2 `five` holds the fern too, and takes it: 10.00 + 25.00 + 6.00 + 2.00.
#[test]
fn a_larger_tolerance_lets_more_jobs_go_where_they_are_cheap() {
    let (list, five, nine) = (list(), set("five"), set("nine"));
    let jobs = [job("fern", 1, &[(100.0, [(false, 0.3), (true, 0.0)]), (70.0, [(true, 0.0); 2])])];
    let mix = mix(&list, &[&five, &nine], &jobs);
    for (at, cost) in [(1.0, "28.00 EUR"), (2.0, "25.00 EUR")] {
        let routing = route(&mix, tolerance(at)).unwrap();
        assert_eq!(routing.routed.cost.to_string(), cost, "at {at}");
    }
}

/// Three orders of 40 ml in all with 10 % spoilage, edges of none, 2 ml start-up and a quarter of
/// 8 ml cleaning for each: 40 × 1.1 + 3 × (2 + 2) = 56 ml at 0.25 = 14.00.
#[test]
fn every_order_of_a_month_takes_start_up_and_cleaning() {
    let mut list = list();
    list.overhead_ink.start_up = Some(crate::support::millilitres(2.0));
    list.overhead_ink.cleaning = Some(crate::support::millilitres(8.0));
    list.spoilage = inkfathom_pricing::Percent::new(10.into());
    let five = set("five");
    let mut job = job("harbour", 6, &[(40.0, [(true, 0.0); 2])]);
    job.orders = NonZeroU32::new(3).unwrap();
    let routing = route(&mix(&list, &[&five], &[job]), tolerance(1.0)).unwrap();
    assert_eq!(routing.routed.cost.to_string(), "14.00 EUR");
    assert_eq!(routing.routed.ink.expected.to_millilitres().round(), 56.0);
}

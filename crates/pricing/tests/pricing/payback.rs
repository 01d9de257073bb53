//! Payback worked by hand, to the cent.

use approx::assert_relative_eq;
use inkfathom_pricing::{
    BreakEven, MonthlyJob, OldMachine, Payback, PaybackTime, PricingError, Purchase, pay_back,
};
use inkset::{Heads, InkSet, MachineFacts};
use proptest::prelude::*;
use units::Money;

use crate::routing::{job, list, mix, tolerance};
use crate::support::{millilitres, set};

/// Months are compared after a division that decimals carry to 28 digits.
const DIVISION: f64 = 1e-12;

fn euro(amount: &str) -> Money {
    Money::parse(amount, "EUR").unwrap()
}

/// The machine to buy: 600.00, 1 ml idle ink a day, two cleanings of 4 ml a month, a head of
/// 360.00 every 36 months, parts of 24.00 a year.
fn new_machine() -> InkSet {
    let machine = MachineFacts {
        price: Some(euro("600.00")),
        idle_per_day: Some(millilitres(1.0)),
        cleaning: Some(millilitres(4.0)),
        cleanings_per_month: Some(2),
        heads: Some(Heads { count: 1, price: euro("360.00"), life_months: 36 }),
        maintenance_per_year: Some(euro("24.00")),
        ..MachineFacts::default()
    };
    InkSet { machine, ..set("five") }
}

fn bought(new: &InkSet, old: &InkSet, jobs: &[MonthlyJob], fate: OldMachine) -> Payback {
    let list = list();
    let mix = mix(&list, &[old, new], jobs);
    let purchase =
        Purchase { mix: &mix, tolerance: tolerance(1.0), old_machine: fate, horizon_months: 24 };
    pay_back(&purchase).unwrap()
}

/// 50 m² that both hold: 400 ml on `nine` = 160.00, 440 ml on `five` = 110.00.
fn harbour() -> MonthlyJob {
    job("harbour", 50, &[(400.0, [(true, 0.0); 2]), (440.0, [(true, 0.0); 2])])
}

fn months(time: PaybackTime) -> f64 {
    time.to_months().unwrap_or_else(|| panic!("{time:?}"))
}

/// Ink saves 160.00 − 110.00 = 50.00 a month. Running: idle 30.436875 ml × 0.25 = 7.6092 → 7.61;
/// cleaning 8 ml = 2.00; head 360.00 / 36 = 10.00; parts 24.00 / 12 = 2.00; in all 21.61. Left
/// 28.39 a month: 600.00 / 28.39 = 21.134 months.
///
/// Range: ± 20 % of 160.00 is 32.00, of 110.00 is 22.00; √(32² + 22²) = 38.833. At worst 28.39 −
/// 38.83 = −10.44: never. At best 67.22: 600.00 / 67.223 = 8.9255 months.
///
/// Break-even: 21.61 / 50.00 of 50 m² = 21.61 m². Within 24 months: 600.00 / 24 + 21.61 = 46.61,
/// so 46.61 m².
#[test]
fn a_payback_agrees_with_the_worked_example() {
    let payback = bought(&new_machine(), &set("nine"), &[harbour()], OldMachine::Stays);
    let running = &payback.running_new;
    let lines = [running.idle, running.cleaning, running.heads, running.maintenance, running.sum];
    let lines = lines.map(|line| line.amount().to_string());
    assert_eq!(lines, ["7.61", "2.00", "10.00", "2.00", "21.61"]);
    assert_eq!(payback.ink_saving.expected, euro("50.00"));
    let saving = [payback.saving.low, payback.saving.expected, payback.saving.high];
    assert_eq!(saving, [euro("-10.44"), euro("28.39"), euro("67.22")]);
    let [worst, expected, best] = payback.time;
    assert_eq!(worst, PaybackTime::Never);
    assert_relative_eq!(months(expected), 600.0 / 28.39, max_relative = DIVISION);
    assert_relative_eq!(months(best), 8.9255, max_relative = 1e-4);
    assert_eq!(area(payback.break_even).round_to_hundredths(), 21.61);
    assert_eq!(area(payback.within_horizon).round_to_hundredths(), 46.61);
}

trait Rounded {
    fn round_to_hundredths(self) -> f64;
}

impl Rounded for f64 {
    fn round_to_hundredths(self) -> f64 {
        (self * 100.0).round() / 100.0
    }
}

fn area(threshold: BreakEven) -> f64 {
    match threshold {
        BreakEven::Area(area) => area.to_square_metres(),
        other => panic!("{other:?}"),
    }
}

/// Jobs that only the old machine holds stay on it and save nothing; when it goes they are printed
/// on the new one, and its running cost of 10.00 (a head of 360.00 every 36 months) ends: 50.00 +
/// (80.00 − 50.00) − (21.61 − 10.00) = 68.39.
#[test]
fn the_old_machine_stays_for_what_only_it_holds_or_goes() {
    let heads = Some(Heads { count: 1, price: euro("360.00"), life_months: 36 });
    let old = InkSet { machine: MachineFacts { heads, ..MachineFacts::default() }, ..set("nine") };
    let fern = job("fern", 20, &[(200.0, [(true, 0.0); 2]), (200.0, [(false, 0.4); 2])]);
    let jobs = [harbour(), fern];
    for (fate, saving) in [(OldMachine::Stays, "28.39"), (OldMachine::Goes, "68.39")] {
        let payback = bought(&new_machine(), &old, &jobs, fate);
        assert_eq!(payback.saving.expected, euro(saving), "{fate:?}");
    }
}

/// Without running costs 50.00 a month earn 600.00 in 12 months, twice the volume in 6, half of
/// it in 24; ink at 80 % in 15, at 120 % in 10.
#[test]
fn payback_scales_inversely_with_volume_and_with_the_price_of_ink() {
    let machine = MachineFacts { price: Some(euro("600.00")), ..MachineFacts::default() };
    let new = InkSet { machine, ..set("five") };
    let payback = bought(&new, &set("nine"), &[harbour()], OldMachine::Stays);
    let times: Vec<f64> = payback.sensitivity.iter().map(|row| months(row.time[1])).collect();
    // As assumed; ink at 80 and 120 %; volume at 50 and 200 %; tolerance 2, which moves nothing.
    assert_eq!(times, [12.0, 15.0, 10.0, 24.0, 6.0, 12.0]);
    assert_eq!(payback.break_even, BreakEven::Always);
}

#[test]
fn never_at_once_and_undefined_are_told_apart() {
    let dearer = job("harbour", 50, &[(400.0, [(true, 0.0); 2]), (800.0, [(true, 0.0); 2])]);
    let same = job("harbour", 50, &[(400.0, [(true, 0.0); 2]), (640.0, [(true, 0.0); 2])]);
    for (price, job, fate, expected) in [
        ("600.00", &dearer, OldMachine::Goes, PaybackTime::Never),
        ("0", &harbour(), OldMachine::Stays, PaybackTime::AtOnce),
        ("0", &same, OldMachine::Goes, PaybackTime::Undefined),
        ("0", &dearer, OldMachine::Goes, PaybackTime::Never),
    ] {
        let machine = MachineFacts { price: Some(euro(price)), ..MachineFacts::default() };
        let new = InkSet { machine, ..set("five") };
        let payback = bought(&new, &set("nine"), std::slice::from_ref(job), fate);
        assert_eq!(payback.time[1], expected, "{price} {fate:?}");
    }
    let payback = bought(&new_machine(), &set("nine"), &[dearer], OldMachine::Goes);
    assert_eq!(payback.break_even, BreakEven::Never);
}

#[test]
fn a_machine_without_price_and_a_price_in_another_currency_are_refused() {
    let list = list();
    let (unpriced, old) = (set("five"), set("nine"));
    let machine =
        MachineFacts { price: Some(Money::parse("600", "NOK").unwrap()), ..Default::default() };
    let foreign = InkSet { machine, ..set("five") };
    for (new, says) in [
        (&unpriced, "the machine of `five` has no price; write `price` under [machine]"),
        (&foreign, "the machine of `five` is in NOK, the price list `worked` in EUR"),
    ] {
        let mix = mix(&list, &[&old, new], &[harbour()]);
        let purchase = Purchase {
            mix: &mix,
            tolerance: tolerance(1.0),
            old_machine: OldMachine::Stays,
            horizon_months: 36,
        };
        let message = pay_back(&purchase).unwrap_err().to_string();
        assert!(message.starts_with(says), "{message}");
    }
    let mix = mix(&list, &[&old], &[]);
    let purchase = Purchase {
        mix: &mix,
        tolerance: tolerance(1.0),
        old_machine: OldMachine::Stays,
        horizon_months: 36,
    };
    assert_eq!(pay_back(&purchase).unwrap_err(), PricingError::NotTwoSets { sets: 1 });
}

/// Lines are rounded to half a cent: two of them in a saving of ten euros at least, at either
/// volume.
const ROUNDED_LINES: f64 = 2.0 * 2.0 * 0.005 / 10.0;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn payback_scales_inversely_with_any_volume(
        on_new in 10.0_f64..500.0,
        saved in 40.0_f64..4000.0,
        price in 1_u32..100_000,
    ) {
        // 0.40 a millilitre on the old machine, 0.25 on the new one: the saving is at least 16.
        let on_old = on_new * 0.25 / 0.40 + saved;
        let fits = [(true, 0.0); 2];
        let jobs = [job("harbour", 50, &[(on_old, fits), (on_new, fits)])];
        let machine =
            MachineFacts { price: Some(euro(&price.to_string())), ..MachineFacts::default() };
        let new = InkSet { machine, ..set("five") };
        let payback = bought(&new, &set("nine"), &jobs, OldMachine::Stays);
        let times: Vec<f64> = payback.sensitivity.iter().map(|row| months(row.time[1])).collect();
        let [as_assumed, _, _, half, twice, _] = times[..] else { panic!("{times:?}") };
        prop_assert!((half / as_assumed / 2.0 - 1.0).abs() <= ROUNDED_LINES);
        prop_assert!((twice / as_assumed * 2.0 - 1.0).abs() <= ROUNDED_LINES);
    }
}

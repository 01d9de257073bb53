use crate::pictures::pictures_in;
use crate::program::{inkfathom, number};

/// What photographs lay down on photo paper at an ordinary mode, in ml/m² (common practice, from
/// memory, no source). It holds for every picture here: the dark sky stays below because the
/// load limit is 22, the high-key blossom above because its shadows are not white.
const ORDINARY: std::ops::RangeInclusive<f64> = 5.0..=20.0;

#[test]
fn photographs_at_the_default_mode_lay_down_what_the_trade_expects() {
    let files = pictures_in("photographs");
    assert!(files.len() >= 18);
    let sets = ["five", "nine", "eleven"];
    let arguments = ["compare", "--width", "60cm", "--format", "json"].into_iter();
    let arguments = arguments.chain(sets.iter().flat_map(|set| ["--ink-set", set]));
    let run = inkfathom(arguments.chain(files.iter().map(String::as_str))).ending_with(0);
    let document = run.document();
    println!("ml/m² on {}", sets.join(", "));
    for file in &files {
        let laid = [0, 1, 2].map(|set| {
            let estimate = document.estimate(file, set);
            number(&estimate["total_ml"]) / number(&estimate["area_m2"])
        });
        println!("{laid:6.2?} {file}");
        for (laid, set) in laid.iter().zip(sets) {
            assert!(ORDINARY.contains(laid), "{file} takes {laid:.2} ml/m² on {set}");
        }
    }
}

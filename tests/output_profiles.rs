//! A set that separates by the output profile of a published printing condition: device values as
//! by another build of the colour management library, then the set's own curves and limits.

#![expect(clippy::unwrap_used, reason = "tests' own functions may panic as tests do")]

use std::fs::{self, File};
use std::num::{NonZeroU32, NonZeroUsize};

use colour::{Lab, delta_e_ab};
use estimating::{
    CountedPicture, Estimate, EstimatingError, Job, NoCache, Preparation, PreparedSet,
    RenderingChoice, SizeRequest, Weight, estimate,
};
use inkfathom_tests::{reference, repository};
use inkset::{DeviceCurve, ParsedInkSet, SeparationDefaults, builtin};
use intake::Limits;
use units::{Coverage, DeviceValue, Length, TotalAreaCoverage};

/// The truth has four decimals of a percent, and was computed by another version.
const PRINTED: f64 = 1e-4;
/// The same in CIELAB.
const PRINTED_LAB: f64 = 0.01;

/// The four inks of `five` that its first substrate uses, by the profile kept in `tests/reference`.
fn press(curve: &DeviceCurve) -> ParsedInkSet {
    let mut parsed = builtin("five").unwrap().parse().unwrap();
    let set = &mut parsed.set;
    "press".clone_into(&mut set.name);
    set.separation = SeparationDefaults::OutputProfile("tr006-low.icc".into());
    let inks = set.inks.iter().map(|ink| ink.name.clone());
    set.print_modes[0].device_curve = inks.map(|ink| (ink, curve.clone())).collect();
    // Nothing but the test's own limits binds.
    set.substrates[0].total_area_coverage_limit = TotalAreaCoverage::MAX;
    set.substrates[0].load_limit = units::Load::from_millilitres_per_square_metre(500.0).unwrap();
    parsed
}

fn straight() -> DeviceCurve {
    DeviceCurve::Points(vec![(DeviceValue::MIN, Coverage::MIN), (DeviceValue::MAX, Coverage::MAX)])
}

fn profile() -> Vec<u8> {
    fs::read(reference("tr006-low.icc")).unwrap()
}

fn prepared(parsed: ParsedInkSet) -> Result<PreparedSet, EstimatingError> {
    let profile = profile();
    let preparation = Preparation { output_profile: Some(&profile), ..Preparation::default() };
    PreparedSet::new(parsed, preparation, &NoCache)
}

/// A row of the table: the colour, device values in percent, the printed colour.
struct Row {
    rendering: RenderingChoice,
    colour: Lab,
    device: Vec<f64>,
    printed: Lab,
}

fn truth() -> Vec<Row> {
    let table = fs::read_to_string(reference("tr006-device-values.csv")).unwrap();
    let row = |line: &str| {
        let (intent, numbers) = line.split_once(',').unwrap();
        let numbers: Vec<f64> = numbers.split(',').map(|word| word.parse().unwrap()).collect();
        let lab =
            |place: usize| Lab { l: numbers[place], a: numbers[place + 1], b: numbers[place + 2] };
        let rendering = match intent {
            "perceptual" => RenderingChoice::Perceptual,
            _ => RenderingChoice::Relative,
        };
        Row { rendering, colour: lab(0), device: numbers[3..7].to_vec(), printed: lab(7) }
    };
    table.lines().skip(1).map(row).collect()
}

fn estimated(set: &PreparedSet, rendering: RenderingChoice) -> Estimate {
    let file = File::open(repository().join("testimages/poster.png")).unwrap();
    let picture = intake::open(file, &Limits::default()).unwrap();
    let picture = CountedPicture::count(picture, None, NonZeroUsize::MIN).unwrap();
    let width = Some(Length::from_metres(0.6).unwrap());
    let size = SizeRequest { width, height: None };
    estimate(&picture, set, &Job { size, copies: NonZeroU32::MIN, rendering }).unwrap()
}

#[test]
fn separations_and_colours_are_those_of_the_library() {
    let set = prepared(press(&straight())).unwrap();
    let rows = truth();
    assert_eq!(rows.len(), 118);
    for row in rows.iter().filter(|row| row.colour.l < 100.0) {
        let separation = set.separation_for(row.rendering);
        let separated = separation.separate(row.colour);
        for (coverage, percent) in separated.coverages.iter().zip(&row.device) {
            assert!((coverage.to_fraction() - percent / 100.0).abs() < PRINTED, "{}", row.colour);
        }
        assert!(!separated.limited);
        let printed = separation.predict(&separated);
        assert!(delta_e_ab(printed, row.printed) < PRINTED_LAB, "{printed} {}", row.printed);
    }
}

#[test]
fn white_takes_nothing_whatever_the_profile_says() {
    let set = prepared(press(&straight())).unwrap();
    for rendering in [RenderingChoice::Relative, RenderingChoice::Perceptual] {
        let separated = set.separation_for(rendering).separate(Lab::WHITE);
        assert!(separated.coverages.iter().all(|coverage| *coverage == Coverage::MIN));
    }
}

#[test]
fn device_curves_decide_the_coverage_and_not_the_colour() {
    let half = (DeviceValue::from_fraction(0.5).unwrap(), Coverage::from_fraction(0.35).unwrap());
    let ends = [(DeviceValue::MIN, Coverage::MIN), (DeviceValue::MAX, Coverage::MAX)];
    let curve = DeviceCurve::Points(vec![ends[0], half, ends[1]]);
    let plain = prepared(press(&straight())).unwrap();
    let curved = prepared(press(&curve)).unwrap();
    let [plain, curved] =
        [&plain, &curved].map(|set| set.separation_for(RenderingChoice::Relative));
    for row in truth().iter().filter(|row| row.colour.l < 100.0) {
        let (one, other) = (plain.separate(row.colour), curved.separate(row.colour));
        for (value, coverage) in one.coverages.iter().zip(other.coverages.iter()) {
            let value = DeviceValue::from_fraction(value.to_fraction()).unwrap();
            assert_eq!(*coverage, curve.coverage(value));
        }
        assert!(delta_e_ab(plain.predict(&one), curved.predict(&other)) < PRINTED_LAB);
    }
}

#[test]
fn limits_that_the_profile_breaks_are_enforced_and_counted() {
    let mut parsed = press(&straight());
    let limit = TotalAreaCoverage::from_fraction(1.5).unwrap();
    let rendering = RenderingChoice::RelativeUncompensated;
    let free = estimated(&prepared(parsed.clone()).unwrap(), rendering);
    assert!(free.highest_total_area_coverage > limit);
    assert!(free.limited.to_fraction() == 0.0);
    parsed.set.substrates[0].total_area_coverage_limit = limit;
    let held = estimated(&prepared(parsed).unwrap(), rendering);
    // Scaling a sum to the limit rounds once.
    assert!(held.highest_total_area_coverage.to_fraction() < limit.to_fraction() + 1e-9);
    assert!(held.limited.to_fraction() > 0.0);
    assert!(held.dose.total.expected < free.dose.total.expected);
}

#[test]
fn compensation_scales_to_the_darkest_neutral_within_the_limits() {
    let mut parsed = press(&straight());
    parsed.set.substrates[0].total_area_coverage_limit =
        TotalAreaCoverage::from_fraction(1.5).unwrap();
    let set = prepared(parsed).unwrap();
    let separation = set.separation_for(RenderingChoice::Relative);
    let printed = |l: f64| separation.predict(&separation.separate(Lab { l, a: 0.0, b: 0.0 })).l;
    // The profile's own black takes 360 % and is thinned to a grey.
    assert!(printed(0.0) > separation.darkest_neutral().l + 5.0, "{}", printed(0.0));
    for l in [0.0, 10.0, 20.0, 30.0, 40.0, 60.0] {
        assert!(printed(l) >= separation.darkest_neutral().l, "{}", printed(l));
    }
}

#[test]
fn unknown_curves_widen_the_range_and_are_told() {
    let known = estimated(&prepared(press(&straight())).unwrap(), RenderingChoice::Relative);
    let unknown = prepared(press(&DeviceCurve::Unknown)).unwrap();
    let unknown = estimated(&unknown, RenderingChoice::Relative);
    let width = |estimate: &Estimate| {
        let total = estimate.dose.total;
        (total.high.to_millilitres() - total.low.to_millilitres()) / total.expected.to_millilitres()
    };
    assert!(width(&unknown) > 1.5 * width(&known));
    let warns = |estimate: &Estimate| {
        let told =
            |text: &str| text.contains("cyan, magenta, yellow, photo black taken as coverage");
        estimate.assumptions.iter().any(|a| a.weight == Weight::Warning && told(&a.text))
    };
    assert!(warns(&unknown) && !warns(&known));
    let named = |text: &str| text.contains("TR 006-2007, low resolution` for CMYK");
    assert!(known.assumptions.iter().any(|assumption| named(&assumption.text)));
}

#[test]
fn the_profile_s_own_perceptual_table_is_used() {
    let set = prepared(press(&straight())).unwrap();
    let relative = estimated(&set, RenderingChoice::Relative);
    let perceptual = estimated(&set, RenderingChoice::Perceptual);
    assert_ne!(relative.coverages, perceptual.coverages);
}

#[test]
fn a_profile_for_another_number_of_inks_is_refused_with_both() {
    let mut parsed = press(&straight());
    parsed.set.inks.retain(|ink| ink.name != "yellow");
    let error = prepared(parsed).err().unwrap().to_string();
    assert_eq!(
        error,
        "the output profile `ANSI CGATS TR 006-2007, low resolution` drives 4 inks, but ink set \
         `press` uses 3 on `satin photo paper`; name a profile made for these inks"
    );
}

#[test]
fn a_profile_that_knows_the_inks_in_another_order_is_refused_with_both() {
    let mut parsed = press(&straight());
    parsed.set.inks.swap(0, 1);
    let error = prepared(parsed).err().unwrap().to_string();
    assert!(error.contains("drives cyan, magenta, yellow, black, in this order"), "{error}");
    assert!(error.contains("`press` has magenta, cyan, yellow, black;"), "{error}");
}

#[test]
fn a_missing_or_damaged_profile_is_refused_with_the_set() {
    let preparation = Preparation::default();
    let error = PreparedSet::new(press(&straight()), preparation, &NoCache).err().unwrap();
    assert!(error.to_string().starts_with("ink set `press` separates by an output profile"));
    let cut = &profile()[..5000];
    let preparation = Preparation { output_profile: Some(cut), ..preparation };
    let error = PreparedSet::new(press(&straight()), preparation, &NoCache).err().unwrap();
    let error = error.to_string();
    assert!(error.starts_with("the output profile of ink set `press`: damaged ICC"), "{error}");
}

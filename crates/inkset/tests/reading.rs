//! What a sound text means: the annotated example, value by value, and its notices.

use std::path::PathBuf;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use inkfathom_inkset::{
    Backing, DeviceCurve, EffectiveValues, InkSet, MeasurementCondition, ParsedInkSet, RampLaw,
    SeparationDefaults, Solid,
};
use units::{Coverage, Money};

const EXAMPLE: &str = include_str!("../example.toml");

/// The example states the light ink's reflectances to three decimals.
const THREE_DECIMALS_OF_A_TENTH: f64 = 0.005;

fn parse(text: &str) -> ParsedInkSet {
    InkSet::parse(text, "set.toml").unwrap_or_else(|refusal| panic!("{refusal}"))
}

/// The example with some texts replaced, each of which must be in it.
fn changed(changes: &[(&str, &str)]) -> ParsedInkSet {
    let mut text = EXAMPLE.to_owned();
    for (from, to) in changes {
        assert!(text.contains(from), "{from} is not in the example");
        text = text.replacen(from, to, 1);
    }
    parse(&text)
}

fn notices(parsed: &ParsedInkSet) -> Vec<String> {
    parsed.notices.iter().map(ToString::to_string).collect()
}

#[test]
fn the_example_is_sound() {
    let parsed = parse(EXAMPLE);
    assert_eq!(parsed.notices, []);
    assert_eq!((parsed.set.inks.len(), parsed.set.substrates.len()), (3, 1));
}

#[test]
fn percentages_become_fractions() {
    let set = parse(EXAMPLE).set;
    assert_relative_eq!(set.ink("photo black").unwrap().limit.to_fraction(), 0.9);
    let sheet = set.substrate(None).unwrap();
    assert_relative_eq!(sheet.total_area_coverage_limit.to_fraction(), 2.8);
    assert_relative_eq!(sheet.trapping.to_fraction(), 1.0);
    assert_relative_eq!(sheet.primaries[0].amounts["black"].to_fraction(), 0.5);
    let mode = set.print_mode(None).unwrap();
    assert_relative_eq!(mode.drop_mix.rows[1].coverage.to_fraction(), 0.6);
    assert_relative_eq!(mode.drop_mix.rows[1].shares[2].to_fraction(), 0.3);
    let SeparationDefaults::Built(built) = set.separation else {
        panic!("the example has a built separation");
    };
    assert_relative_eq!(built.black_replacement.to_fraction(), 0.5);
    assert_relative_eq!(built.crossover["light cyan"].to_fraction(), 0.7);
    assert_relative_eq!(built.family_limits["black"].to_fraction(), 0.95);
    assert_relative_eq!(set.machine.residual_ink.unwrap().to_fraction(), 0.03);
}

#[test]
fn other_units_are_kept_as_written() {
    let set = parse(EXAMPLE).set;
    let cartridge = set.ink("cyan").unwrap().cartridge.unwrap();
    assert_relative_eq!(cartridge.size.to_millilitres(), 700.0);
    assert_eq!(cartridge.price, Some(Money::parse("210.00", "EUR").unwrap()));
    assert_relative_eq!(set.machine.widest.unwrap().to_millimetres(), 1120.0);
    let mode = set.print_mode(None).unwrap();
    let stated = mode.full_lay_down("light cyan").unwrap();
    assert_relative_eq!(stated.to_millilitres_per_square_metre(), 9.4);
    assert_abs_diff_eq!(
        mode.full_lay_down("cyan").unwrap().to_millilitres_per_square_metre(),
        8.928,
        epsilon = 5e-4
    );
}

#[test]
fn the_record_of_a_spectrum_is_kept() {
    let set = changed(&[("\"M1\"", "\"M3\""), ("\"white\" # behind", "\"self\" # behind")]).set;
    let solid = set.ink("cyan").unwrap().solid_spectrum().unwrap();
    assert_eq!(solid.condition, MeasurementCondition::M3);
    assert_eq!(solid.backing, Backing::SelfBacking);
    assert_eq!(solid.printed_on, "satin photo paper");
}

#[test]
fn all_ramp_laws_and_kinds_of_curve_are_read() {
    let set = changed(&[("yule-nielsen\"\nn = 2", "kubelka-munk\"\nn = 3")]).set;
    let sheet = set.substrate(None).unwrap();
    assert_eq!(sheet.ramp_law, RampLaw::KubelkaMunk { n: 3.0 });
    assert_eq!(sheet.curves["black"].coverages, [0.0, 0.25, 0.5, 1.0]);
    let EffectiveValues::AllBands(values) = &sheet.curves["black"].effective else {
        panic!("black has one value for all bands");
    };
    assert_relative_eq!(values[2].to_fraction(), 0.62);
    let EffectiveValues::PerBand(values) = &sheet.curves["cyan"].effective else {
        panic!("cyan has a value for each band");
    };
    assert_relative_eq!(values[1][0], 0.62);
    assert_relative_eq!(values[1][35], 0.57);
    assert_eq!(sheet.curves["light cyan"].coverages, [0.0, 0.5, 1.0]);
    let sinking = changed(&[("yule-nielsen\"\nn = 2", "kubelka-munk-mixtures\"\nn = 1")]).set;
    let law = sinking.substrate(None).unwrap().ramp_law;
    assert_eq!(law, RampLaw::KubelkaMunkMixtures { n: 1.0 });
}

#[test]
fn device_curves_are_unknown_or_points_for_one_ink_or_all() {
    let set = parse(EXAMPLE).set;
    let curves = &set.print_mode(None).unwrap().device_curve;
    assert_eq!(curves["photo black"], DeviceCurve::Unknown);
    let DeviceCurve::Points(points) = &curves["cyan"] else {
        panic!("cyan has a curve");
    };
    assert_relative_eq!(points[1].0.to_fraction(), 0.5);
    assert_relative_eq!(points[1].1.to_fraction(), 0.35);
    assert!(!curves.contains_key("light cyan"));

    let of_all = "device_curve = \"unknown\"\n\n[print_mode.lay_down_ml_per_m2]";
    let section = &EXAMPLE[EXAMPLE.find("[print_mode.device_curve]").unwrap()
        ..EXAMPLE.find("# ---- separation").unwrap()];
    let rows = &EXAMPLE[EXAMPLE.find("[[print_mode.drop_mix]]").unwrap()
        ..EXAMPLE.find("# Optional: lay-down of an ink").unwrap()];
    let set = changed(&[
        (section, ""),
        (rows, ""),
        ("drop_volumes_pl = [1.5, 2.7, 4]", "drop_volumes_pl = [4]"),
        ("[print_mode.lay_down_ml_per_m2]", of_all),
    ])
    .set;
    let curves = &set.print_mode(None).unwrap().device_curve;
    assert_eq!(curves.len(), 3);
    assert!(curves.values().all(|curve| *curve == DeviceCurve::Unknown));
}

#[test]
fn an_output_profile_may_take_the_place_of_the_built_separation() {
    let built = &EXAMPLE
        [EXAMPLE.find("# … or the built").unwrap()..EXAMPLE.find("# ---- machine").unwrap()];
    let set = changed(&[
        ("# output_profile", "output_profile"),
        (built, ""),
        (
            "\"photo black\" = \"unknown\"",
            "\"photo black\" = \"unknown\"\n\"light cyan\" = \"unknown\"",
        ),
    ])
    .set;
    let path = PathBuf::from("satin-standard.icc");
    assert_eq!(set.separation, SeparationDefaults::OutputProfile(path));
}

#[test]
fn shares_that_miss_the_whole_by_rounding_add_up_to_one() {
    let set = changed(&[("[10, 60, 30]", "[33.3, 33.3, 33.3]")]).set;
    let row = &set.print_mode(None).unwrap().drop_mix.rows[1];
    let sum: f64 = row.shares.iter().map(|share| share.to_fraction()).sum();
    assert_relative_eq!(sum, 1.0, max_relative = 1e-12);
}

#[test]
fn stated_lay_down_without_drops_makes_volume_proportional_to_coverage() {
    let rows = &EXAMPLE[EXAMPLE.find("[[print_mode.drop_mix]]").unwrap()
        ..EXAMPLE.find("# Optional: lay-down of an ink").unwrap()];
    let parsed = changed(&[
        ("drops_per_cell = 1\n", ""),
        ("drop_volumes_pl = [1.5, 2.7, 4]", ""),
        (rows, ""),
        ("\"light cyan\" = 9.4", "cyan = 8\n\"light cyan\" = 9\n\"photo black\" = 10"),
    ]);
    let mode = parsed.set.print_mode(None).unwrap();
    let half = Coverage::from_fraction(0.5).unwrap();
    let (at_half, at_full) =
        (mode.drop_mix.mean_picolitres(half), mode.drop_mix.mean_picolitres(Coverage::MAX));
    assert_relative_eq!(at_half, at_full);
    let substitute = mode.full_lay_down("an ink without its own").unwrap();
    assert_relative_eq!(substitute.to_millilitres_per_square_metre(), 9.0, max_relative = 1e-12);
    let expected = "print mode `standard` states no drop volumes: volume is taken as proportional";
    assert!(notices(&parsed)[0].contains(expected), "{:?}", parsed.notices);
}

#[test]
fn the_only_full_strength_black_is_active_without_being_named() {
    let set = changed(&[("active_black = \"photo black\"\n", "")]).set;
    assert_eq!(set.substrates[0].active_black.as_deref(), Some("photo black"));
}

#[test]
fn a_measured_light_ink_keeps_its_stated_strength_beside_it() {
    let set = parse(EXAMPLE).set;
    let light = set.ink("light cyan").unwrap();
    let Solid::LightBySpectrum { stated_strength, .. } = &light.solid else {
        panic!("light cyan was measured");
    };
    assert_relative_eq!(stated_strength.unwrap().to_fraction(), 0.33);
    let measured = set.strength(light, set.ink("cyan").unwrap());
    assert_abs_diff_eq!(measured, 1.0 / 3.0, epsilon = THREE_DECIMALS_OF_A_TENTH);
}

#[test]
fn a_stated_strength_that_the_spectrum_contradicts_is_a_notice_and_the_spectrum_rules() {
    let parsed = changed(&[("density_percent = 33", "density_percent = 20")]);
    let found = notices(&parsed);
    assert_eq!(found.len(), 1);
    assert!(
        found[0].ends_with(
            "`density_percent` of ink `light cyan` is 20 %, but the spectrum shows 33 %, which \
             differs by more than 15 % of the larger; the spectrum is used"
        ),
        "{found:?}"
    );
    let set = &parsed.set;
    let strength = set.strength(set.ink("light cyan").unwrap(), set.ink("cyan").unwrap());
    assert_abs_diff_eq!(strength, 1.0 / 3.0, epsilon = THREE_DECIMALS_OF_A_TENTH);
}

#[test]
fn a_stated_strength_within_the_tolerance_is_no_notice() {
    for agreeing in ["29", "38"] {
        let stated = format!("density_percent = {agreeing}");
        assert_eq!(changed(&[("density_percent = 33", &stated)]).notices, []);
    }
}

#[test]
fn light_inks_are_ordered_by_density_whether_it_is_stated_or_measured() {
    // Stated and measured strengths are compared with one another: 20 %, 33 % measured, 50 %.
    let more: String = [("deeper", 50), ("paler", 20)]
        .map(|(name, percent)| {
            format!(
                "[[ink]]\nname = \"{name}\"\nfamily = \"cyan\"\nstrength = \"light\"\n\
                 density_percent = {percent}\nlimit_percent = 100\n"
            )
        })
        .concat();
    let set = parse(&format!("{EXAMPLE}\n{more}")).set;
    let cyan = &set.families(set.substrate(None).unwrap())[0];
    let order: Vec<&str> =
        cyan.channels.iter().map(|&channel| set.inks[channel].name.as_str()).collect();
    assert_eq!(order, ["paler", "light cyan", "deeper", "cyan"]);
}

#[test]
fn a_white_above_1_near_440_nm_is_allowed_with_a_notice() {
    let parsed = changed(&[("0.9404, 0.9576,", "0.9404, 1.0800,")]);
    let found = notices(&parsed);
    assert!(
        found[0].ends_with(
            "`spectrum` of `white` of substrate `satin photo paper` is 1.08 at 440 nm: \
             brightener: colour inconstancy is unreliable"
        ),
        "{found:?}"
    );
}

#[test]
fn a_reflectance_above_1_elsewhere_is_allowed_with_another_notice() {
    let found = notices(&changed(&[(
        "0.9050, 0.9050, 0.9050, 0.9050, 0.9050,\n]",
        "0.9050, 0.9050, 1.0500, 0.9050, 0.9050,\n]",
    )]));
    assert!(found[0].contains("is 1.05 at 710 nm, more than the perfect diffuser"), "{found:?}");
}

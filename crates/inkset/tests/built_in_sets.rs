//! The built-in sets are sound, look as intended, and differ by their inks alone.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use colour::Illuminant;
use inkfathom_inkset::{
    BuiltIn, InkSet, Provenance, SeparationDefaults, Solid, builtin, builtin_names,
};

/// The goals come from memory; a person sees about half of this beside a reference.
const FROM_MEMORY: f64 = 4.0;
/// Worked values of the dot geometry are printed to three decimals.
const PRINTED_DECIMALS: f64 = 5e-4;

fn read(name: &str) -> InkSet {
    let parsed = builtin(name).expect("it is built in").parse().expect("it is sound");
    assert_eq!(parsed.notices, []);
    parsed.set
}

fn all() -> Vec<InkSet> {
    builtin_names().map(read).collect()
}

fn names(set: &InkSet) -> Vec<&str> {
    set.inks.iter().map(|ink| ink.name.as_str()).collect()
}

#[test]
fn every_built_in_set_is_read_without_a_notice_under_its_own_name() {
    for name in builtin_names() {
        assert_eq!(read(name).name, name);
    }
    assert_eq!(all().iter().map(|set| set.inks.len()).collect::<Vec<_>>(), [5, 9, 11]);
}

#[test]
fn every_built_in_set_says_that_it_is_invented() {
    for BuiltIn { name, text } in builtin_names().filter_map(builtin) {
        let set = read(name);
        assert!(text.starts_with("# INVENTED."), "{name}");
        assert!(set.title.contains("invented"), "{name}");
        assert_eq!(set.provenance, Provenance::Invented);
        assert!(set.inks.iter().all(|ink| ink.provenance == Provenance::Invented));
        assert!(set.substrates.iter().all(|sheet| sheet.provenance == Provenance::Invented));
    }
}

#[test]
fn smaller_sets_are_the_first_inks_of_larger_ones() {
    for pair in all().windows(2) {
        let (small, large) = (&pair[0], &pair[1]);
        assert_eq!(small.inks, large.inks[..small.inks.len()]);
    }
}

#[test]
fn substrates_and_print_modes_are_the_same_in_every_set() {
    for pair in all().windows(2) {
        assert_eq!(pair[0].substrates, pair[1].substrates);
        assert_eq!(pair[0].print_modes, pair[1].print_modes);
    }
}

#[test]
fn machines_differ_in_proportion_to_their_inks() {
    for set in all() {
        let inks = set.inks.len() as f64;
        let idle = set.machine.idle_per_day.unwrap().to_millilitres();
        let cleaning = set.machine.cleaning.unwrap().to_millilitres();
        let start_up = set.machine.start_up.unwrap().to_millilitres();
        assert_relative_eq!(idle / inks, 0.2, max_relative = 1e-12);
        assert_relative_eq!(cleaning / inks, 0.8, max_relative = 1e-12);
        assert_relative_eq!(start_up / inks, 0.1, max_relative = 1e-12);
    }
}

#[test]
fn solids_and_sheets_have_about_the_colours_they_should() {
    let summary = read("eleven").summary().unwrap();
    let solid = |name: &str| summary.inks.iter().find(|ink| ink.name == name)?.solid;
    let sheet = |name: &str| Some(summary.substrates.iter().find(|s| s.name == name)?.white);
    for (name, l, a, b) in [
        ("cyan", 54.0, -38.0, -50.0),
        ("magenta", 47.0, 75.0, -6.0),
        ("yellow", 88.0, -6.0, 95.0),
        ("orange", 64.0, 62.0, 78.0),
        ("green", 53.0, -72.0, 26.0),
        ("photo black", 6.0, 0.0, 0.0),
        ("matte black", 9.0, 0.0, 0.0),
        ("satin photo paper", 96.0, 0.0, -2.0),
        ("matte art paper", 96.0, 0.0, 2.0),
        ("canvas", 94.0, 0.0, 3.0),
    ] {
        let colour = solid(name).or_else(|| sheet(name)).unwrap();
        assert_abs_diff_eq!(colour.l, l, epsilon = FROM_MEMORY);
        assert_abs_diff_eq!(colour.a, a, epsilon = FROM_MEMORY);
        assert_abs_diff_eq!(colour.b, b, epsilon = FROM_MEMORY);
    }
}

#[test]
fn papers_reflect_less_than_the_perfect_diffuser() {
    for sheet in read("five").substrates {
        assert!(sheet.white.bands().iter().all(|&band| band < 1.0), "{}", sheet.name);
        let light = Illuminant::D50;
        assert!(light.tristimulus(&sheet.white).y < light.white().y);
    }
}

#[test]
fn families_run_from_the_lightest_ink_to_full_strength_with_the_black_of_the_sheet() {
    let set = read("eleven");
    for (substrate, black) in
        [("satin photo paper", "photo black"), ("matte art paper", "matte black")]
    {
        let sheet = set.substrate(Some(substrate)).unwrap();
        let families: Vec<Vec<&str>> = set
            .families(sheet)
            .iter()
            .map(|family| family.channels.iter().map(|&ink| names(&set)[ink]).collect())
            .collect();
        assert_eq!(
            families,
            [
                vec!["light cyan", "cyan"],
                vec!["light magenta", "magenta"],
                vec!["yellow"],
                vec!["light grey", "grey", black],
                vec!["orange"],
                vec!["green"],
            ]
        );
    }
}

#[test]
fn light_inks_have_a_third_or_a_sixth_of_the_strength() {
    for ink in read("nine").inks {
        if let Solid::LightByStrength(strength) = ink.solid {
            let expected = if ink.name == "light grey" { 0.17 } else { 0.33 };
            assert_relative_eq!(strength.to_fraction(), expected);
        }
    }
}

#[test]
fn standard_and_fine_lay_down_the_worked_value_of_the_dot_geometry() {
    let set = read("five");
    for (mode, expected) in [("standard", 8.928), ("fine", 8.928), ("draft", 7.812)] {
        let lay_down = set.print_mode(Some(mode)).unwrap().full_lay_down("cyan").unwrap();
        let millilitres = lay_down.to_millilitres_per_square_metre();
        assert_abs_diff_eq!(millilitres, expected, epsilon = PRINTED_DECIMALS);
    }
}

#[test]
fn crossovers_are_left_to_the_separation() {
    for set in all() {
        let SeparationDefaults::Built(built) = set.separation else {
            panic!("{} is not separated by the print model", set.name);
        };
        assert!(built.crossover.is_empty());
    }
}

#[test]
fn the_default_substrate_and_print_mode_are_the_first() {
    let set = read("five");
    assert_eq!(set.substrate(None).unwrap().name, "satin photo paper");
    assert_eq!(set.print_mode(None).unwrap().name, "standard");
}

#[test]
fn an_unknown_part_is_named_with_the_nearest_and_all_known_ones() {
    let set = read("five");
    let slip = set.substrate(Some("canvass")).unwrap_err().to_string();
    assert_eq!(slip, "`canvass` is not a substrate of the ink set `five`; did you mean `canvas`?");
    let unknown = set.print_mode(Some("turbo")).unwrap_err().to_string();
    assert!(unknown.ends_with("use one of `standard`, `fine`, `draft`"), "{unknown}");
    assert!(set.ink("cyna").unwrap_err().to_string().contains("did you mean `cyan`?"));
}

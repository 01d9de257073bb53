//! Every fault of an ink set's text is refused with its line, value, allowed range and remedy.
//!
//! Each row changes the annotated example in one place: the text to replace, its replacement,
//! the text whose line the message must name, and the message after the line.

use inkfathom_inkset::{InkSet, InkSetError, Problem};

const EXAMPLE: &str = include_str!("../example.toml");

/// From, to, the text whose line is at fault (empty: the line of the change), the message.
type Row<'a> = (&'a str, &'a str, &'a str, &'a str);

fn problems(text: &str) -> Vec<Problem> {
    match InkSet::parse(text, "set.toml") {
        Err(InkSetError::Faulty { problems }) => problems,
        other => panic!("not refused as faulty: {other:?}"),
    }
}

/// The number of the first line that contains a text.
fn line_of(text: &str, part: &str) -> usize {
    let at = text.find(part).unwrap_or_else(|| panic!("{part} is not in the text"));
    1 + text[..at].matches('\n').count()
}

fn refuses(rows: &[Row]) {
    for &(from, to, at, says) in rows {
        let place = line_of(EXAMPLE, from);
        let text = EXAMPLE.replacen(from, to, 1);
        let line = if at.is_empty() { place } else { line_of(&text, at) };
        let expected = format!("set.toml, line {line}: {says}");
        let found: Vec<String> = problems(&text).iter().map(Problem::to_string).collect();
        assert_eq!(found, [expected], "{from} -> {to}");
    }
}

/// As `refuses`, with tables appended to the example; the text at fault is the last of its kind.
fn refuses_appended(rows: &[(&str, &str, &str)]) {
    for &(tables, at, says) in rows {
        let text = format!("{EXAMPLE}\n{tables}");
        let place = text.rfind(at).unwrap_or_else(|| panic!("{at} is not in {tables}"));
        let line = 1 + text[..place].matches('\n').count();
        let expected = format!("set.toml, line {line}: {says}");
        let found: Vec<String> = problems(&text).iter().map(Problem::to_string).collect();
        assert_eq!(found, [expected], "{tables}");
    }
}

/// A light ink of a family.
fn light_ink(name: &str, family: &str) -> String {
    format!(
        "[[ink]]\nname = \"{name}\"\nfamily = \"{family}\"\nstrength = \"light\"\n\
         density_percent = 20\nlimit_percent = 100\n"
    )
}

/// A full-strength ink of a family that reflects the same in all bands.
fn full_ink(name: &str, family: &str) -> String {
    format!(
        "[[ink]]\nname = \"{name}\"\nfamily = \"{family}\"\nstrength = \"full\"\n\
         limit_percent = 100\n[ink.solid]\nprinted_on = \"satin photo paper\"\n\
         condition = \"M1\"\nbacking = \"white\"\nspectrum = {}\n",
        level(0.05)
    )
}

/// A sheet that reflects the same in all bands.
fn substrate(name: &str, white: f64) -> String {
    format!(
        "[[substrate]]\nname = \"{name}\"\nload_limit_ml_per_m2 = 20\n\
         total_area_coverage_limit_percent = 200\ndarkest_reflectance = 0.01\n\
         surface_reflectance = 0.01\ntrapping_percent = 100\n\
         ramp = {{ law = \"kubelka-munk\", n = 2 }}\n\
         white = {{ condition = \"M0\", backing = \"self\", spectrum = {} }}\n",
        level(white)
    )
}

fn level(reflectance: f64) -> String {
    let values = vec![reflectance.to_string(); 19].join(", ");
    format!("{{ first_nm = 380, step_nm = 20, values = [{values}] }}")
}

/// A print mode of one drop size.
fn print_mode(name: &str) -> String {
    format!(
        "[[print_mode]]\nname = \"{name}\"\nacross_dpi = 600\nalong_dpi = 600\n\
         drops_per_cell = 1\ndrop_volumes_pl = [10]\n"
    )
}

#[test]
#[rustfmt::skip] // one line a case
fn a_number_outside_its_range_is_refused() {
    refuses(&[
        ("limit_percent = 90", "limit_percent = 120", "", "`limit_percent` of ink `photo black` is 120, outside 1 to 100 %; write the highest coverage that the ink may reach"),
        ("limit_percent = 90", "limit_percent = nan", "", "`limit_percent` of ink `photo black` is nan, outside 1 to 100 %; write the highest coverage that the ink may reach"),
        ("density_percent = 33", "density_percent = 120", "", "`density_percent` of ink `light cyan` is 120, outside 1 to 99 %; write the light ink's density as a share of the full-strength ink's"),
        ("cartridge_ml = 700", "cartridge_ml = 0", "", "`cartridge_ml` of ink `cyan` is 0, outside 1 to 100000 ml; write the ink in a full cartridge"),
        ("cartridge_price = 210.00", "cartridge_price = -1", "", "`cartridge_price` of ink `cyan` is -1, outside 0 to 100000000; write a price that is not negative"),
        ("first_nm = 380", "first_nm = 400", "", "`first_nm` of `spectrum` of `solid` of ink `light cyan` is 400, outside 300 to 380 nm; write the wavelength of the first value"),
        ("step_nm = 20", "step_nm = 40", "", "`step_nm` of `spectrum` of `solid` of ink `light cyan` is 40, outside 0.1 to 20 nm; write the distance between two values"),
        ("load_limit_ml_per_m2 = 22", "load_limit_ml_per_m2 = 0", "", "`load_limit_ml_per_m2` of substrate `satin photo paper` is 0, outside 1 to 500 ml/m²; write the most ink that the sheet takes at one place"),
        ("total_area_coverage_limit_percent = 280", "total_area_coverage_limit_percent = 2.8", "", "`total_area_coverage_limit_percent` of substrate `satin photo paper` is 2.8, outside 50 to 1200 %; write the highest sum of coverages at one place"),
        ("darkest_reflectance = 0.004", "darkest_reflectance = 0.6", "", "`darkest_reflectance` of substrate `satin photo paper` is 0.6, outside 0 to 0.5; write the lowest reflectance that any mixture of inks reaches on the sheet"),
        ("surface_reflectance = 0.003", "surface_reflectance = -0.1", "", "`surface_reflectance` of substrate `satin photo paper` is -0.1, outside 0 to 0.2; write the reflectance of the bare surface, which no ink hides"),
        ("trapping_percent = 100", "trapping_percent = 101", "", "`trapping_percent` of substrate `satin photo paper` is 101, outside 0 to 100 %; write how much of a later ink's absorption counts over an earlier one"),
        ("\nn = 2", "\nn = 0.5", "n = 0.5", "`n` of `ramp` of substrate `satin photo paper` is 0.5, outside 1 to 10; write the Yule–Nielsen factor"),
        ("amounts_percent = { cyan = 100", "amounts_percent = { cyan = 101", "", "`cyan` of `amounts_percent` of entry 1 of `primary` of substrate `satin photo paper` is 101, outside 0 to 100 %; write the amount of each family in the patch"),
        ("across_dpi = 1200", "across_dpi = 0", "", "`across_dpi` of print mode `standard` is 0, outside 1 to 100000 dots per inch; write the addressing along the carriage's way"),
        ("drops_per_cell = 1", "drops_per_cell = 33", "", "`drops_per_cell` of print mode `standard` is 33, outside 0.01 to 32 drops; write the mean number of drops in a cell at the ink's limit"),
        ("[1.5, 2.7, 4]", "[0, 2.7, 4]", "", "entry 1 of `drop_volumes_pl` of print mode `standard` is 0, outside 0.1 to 1000 pl; write drop volumes from small to large"),
        ("[10, 60, 30]", "[10, 60, 130]", "", "entry 3 of `shares_percent` of entry 2 of `drop_mix` of print mode `standard` is 130, outside 0 to 100 %; write the share of each drop size among the drops"),
        ("\"light cyan\" = 9.4", "\"light cyan\" = 0", "", "`light cyan` of `lay_down_ml_per_m2` of print mode `standard` is 0, outside 0.01 to 200 ml/m²; write the ink of one channel at its limit"),
        ("black_replacement_percent = 50", "black_replacement_percent = 150", "", "`black_replacement_percent` of `separation` is 150, outside 0 to 100 %; write the share of a neutral's possible black that is used"),
        ("black_start_lightness = 60", "black_start_lightness = 101", "", "`black_start_lightness` of `separation` is 101, outside 0 to 100 (L*); write the lightness below which black begins"),
        ("black_curve_exponent = 1.5", "black_curve_exponent = 0.1", "", "`black_curve_exponent` of `separation` is 0.1, outside 0.2 to 5; write the exponent of black's rise, 1 for a straight one"),
        ("\"light cyan\" = 70", "\"light cyan\" = 0", "", "`light cyan` of `crossover_percent` of `separation` is 0, outside 1 to 100 %; write the coverage of the light ink at which the darker one begins"),
        ("black = 95", "black = 105", "", "`black` of `family_limit_percent` of `separation` is 105, outside 1 to 100 %; write the highest amount of the family"),
        ("cleanings_per_month = 4", "cleanings_per_month = 1001", "", "`cleanings_per_month` of `machine` is 1001, outside 0 to 1000 cleanings; write the cleanings of an average month"),
        ("cleanings_per_month = 4", "cleanings_per_month = 4.5", "", "`cleanings_per_month` of `machine` is 4.5, not a whole number; write the cleanings of an average month"),
        ("heads = 1", "heads = 0", "", "`heads` of `machine` is 0, outside 1 to 100 heads; write the number of heads"),
        ("head_price = 420.00", "# head_price", "[machine]", "`head_price` of `machine` is missing; write the price of one head"),
        ("head_life_months = 36", "head_life_months = 601", "", "`head_life_months` of `machine` is 601, outside 1 to 600 months; write after how many months a head is replaced"),
        ("maintenance_per_year = 60.00", "maintenance_per_year = -60.00", "", "`maintenance_per_year` of `machine` is -60.00, outside 0 to 100000000; write a price that is not negative"),
        ("residual_percent = 3", "residual_percent = 51", "", "`residual_percent` of `machine` is 51, outside 0 to 50 %; write the share of a cartridge that stays in it when it counts as empty"),
    ]);
}

#[test]
#[rustfmt::skip] // one line a case
fn an_unknown_key_is_refused_with_the_nearest_one() {
    refuses(&[
        ("title = ", "titel = \"\"\ntitle = ", "titel", "`titel` is not a key of this place; did you mean `title`?"),
        ("limit_percent = 90", "limit_percent = 90\nlimit = 90", "limit = 90", "`limit` of ink `photo black` is not a key of this place; use one of `name`, `family`, `strength`, `density_percent`, `solid`, `limit_percent`, `cartridge_ml`, `cartridge_price`, `provenance`"),
        ("law = ", "lwa = 1\nlaw = ", "lwa", "`lwa` of `ramp` of substrate `satin photo paper` is not a key of this place; did you mean `law`?"),
        ("step_nm = 20", "step_nm = 20\nvalue = 1", "value = 1", "`value` of `spectrum` of `solid` of ink `light cyan` is not a key of this place; did you mean `values`?"),
        ("cleaning_ml = 4.0", "cleanin_ml = 4.0", "", "`cleanin_ml` of `machine` is not a key of this place; did you mean `cleaning_ml`?"),
    ]);
}

#[test]
#[rustfmt::skip] // one line a case
fn a_missing_key_is_refused_at_its_table_with_what_to_write() {
    refuses(&[
        ("limit_percent = 90\n", "", "[[ink]]\nname = \"photo black\"", "`limit_percent` of ink `photo black` is missing; write the highest coverage that the ink may reach, 1 to 100 %"),
        ("backing = \"white\" # behind", "# behind", "[ink.solid]", "`backing` of `solid` of ink `cyan` is missing; write what lay behind the sheet: \"white\", \"black\" or \"self\""),
        ("law = \"yule-nielsen\"\n", "", "[substrate.ramp]", "`law` of `ramp` of substrate `satin photo paper` is missing; write \"yule-nielsen\", \"kubelka-munk\" or \"kubelka-munk-mixtures\""),
        ("effective_percent = [0, 34, 62, 100]\n", "", "[[substrate.curve]]", "`effective_percent` of entry 1 of `curve` of substrate `satin photo paper` is missing; write an effective coverage for each coverage, or effective_percent_per_band"),
        ("cartridge_ml = 700", "#", "[[ink]]", "`cartridge_ml` of ink `cyan` is missing; write the ink that the price buys, in millilitres"),
        ("title = ", "# ", "# One ink set", "`title` is missing; write one line for people"),
    ]);
}

#[test]
#[rustfmt::skip] // one line a case
fn a_value_of_another_kind_is_refused() {
    refuses(&[
        ("limit_percent = 90", "limit_percent = \"90\"", "", "`limit_percent` of ink `photo black` is a text, not a decimal number; write a decimal number"),
        ("limit_percent = 90", "limit_percent = 0x5A", "", "`limit_percent` of ink `photo black` is an integer, not a decimal number; write a decimal number"),
        ("title = \"three inks that show every key\"", "title = true", "", "`title` is a truth value, not a text in quotes; write a text in quotes"),
        ("[10, 60, 30]", "10", "", "`shares_percent` of entry 2 of `drop_mix` of print mode `standard` is an integer, not a list in square brackets; write a list in square brackets"),
        ("\"photo black\" = \"unknown\"", "\"photo black\" = [1]", "", "`photo black` of `device_curve` of print mode `standard` is a list, not a table; write a table"),
    ]);
}

#[test]
#[rustfmt::skip] // one line a case
fn a_word_that_is_not_allowed_is_refused_with_the_allowed_ones() {
    refuses(&[
        ("strength = \"light\"", "strength = \"weak\"", "", "`strength` of ink `light cyan` is `weak`; write one of `full`, `light`"),
        ("condition = \"M1\"", "condition = \"D50\"", "", "`condition` of `solid` of ink `cyan` is `D50`; write one of `M0`, `M1`, `M2`, `M3`"),
        ("backing = \"white\"", "backing = \"grey\"", "", "`backing` of `solid` of ink `cyan` is `grey`; write one of `white`, `black`, `self`"),
        ("law = \"yule-nielsen\"", "law = \"linear\"", "", "`law` of `ramp` of substrate `satin photo paper` is `linear`; write one of `yule-nielsen`, `kubelka-munk`, `kubelka-munk-mixtures`"),
        ("provenance = \"invented\" # optional", "provenance = \"guessed\"", "", "`provenance` of ink `cyan` is `guessed`; write one of `measured`, `invented`"),
        ("\"photo black\" = \"unknown\"", "\"photo black\" = \"?\"", "", "`photo black` of `device_curve` of print mode `standard` is `?`; write one of `unknown`"),
    ]);
}

#[test]
#[rustfmt::skip] // one line a case
fn a_name_that_does_not_fit_a_report_is_refused() {
    refuses(&[
        ("name = \"example\"", "name = \"\"", "", "`name` is 0 characters long or not plain text; write 1 to 60 printable characters"),
        ("name = \"example\"", "name = \"a\\nb\"", "", "`name` is 3 characters long or not plain text; write 1 to 60 printable characters"),
        ("title = \"three", "title = \"three three three three three three three three three three three three three three three", "", "`title` is 114 characters long or not plain text; write 1 to 100 printable characters"),
    ]);
}

#[test]
#[rustfmt::skip] // one line a case
fn prices_need_a_known_currency_and_plain_decimals() {
    refuses(&[
        ("currency = \"EUR\"", "currency = \"EURO\"", "", "`currency` is `EURO`, which is not a currency of ISO 4217; write its code, for example EUR"),
        ("currency = \"EUR\"", "#", "# One ink set", &format!("`currency` is missing although line {} states a price; write its code, for example EUR", line_of(EXAMPLE, "cartridge_price") )),
        ("cartridge_price = 210.00", "cartridge_price = 1e-40", "", "`cartridge_price` of ink `cyan` is 1e-40, not a plain decimal number; write for example 79.50"),
    ]);
}

#[test]
#[rustfmt::skip] // one line a case
fn a_spectrum_of_the_wrong_length_or_range_is_refused() {
    refuses(&[
        ("0.2578, 0.2761,", "0.2578,", "spectrum = [", "`spectrum` of `solid` of ink `cyan` has 35 numbers, not 36 for 380 to 730 nm by 10 nm; for another grid write { first_nm = …, step_nm = …, values = […] }"),
        ("  0.7500, 0.7755,", "  0.7500, 77.55,", "", "entry 11 of `spectrum` of `solid` of ink `cyan` is 77.55 at 480 nm, outside 0 to 1.3; write reflectances, not percentages"),
        ("  0.7500, 0.7755,", "  0.7500, -0.1,", "", "entry 11 of `spectrum` of `solid` of ink `cyan` is -0.1 at 480 nm, outside 0 to 1.3; write reflectances, not percentages"),
        ("step_nm = 20", "step_nm = 10", "values = [", "`values` of `spectrum` of `solid` of ink `light cyan` can't be used: 19 samples from 380 nm by 10 nm don't cover 380 to 730 nm; give samples over that range, every 20 nm or finer"),
    ]);
}

#[test]
#[rustfmt::skip] // one line a case
fn a_repeated_name_is_refused_with_the_line_of_the_first() {
    let curve = "[[substrate.curve]]\nfamily = \"cyan\"\ncoverage_percent = [0, 100]\neffective_percent = [0, 100]\n";
    let patch = format!("[[substrate.primary]]\nspectrum = {}\n", level(0.1));
    let patches = format!(
        "{}{patch}amounts_percent = {{ cyan = 10 }}\n{patch}amounts_percent = {{ cyan = 10 }}",
        substrate("film", 0.8)
    );
    let below_film = line_of(&format!("{EXAMPLE}\n{}END", substrate("film", 0.8)), "END");
    refuses_appended(&[
        (&light_ink("cyan", "cyan"), "name =", &format!("`name` of ink `cyan` is `cyan`, the name of an ink in line {} too; give each a name of its own", line_of(EXAMPLE, "[[ink]]") )),
        (&substrate("satin photo paper", 0.8), "name =", &format!("`name` of substrate `satin photo paper` is `satin photo paper`, the name of a substrate in line {} too; give each a name of its own", line_of(EXAMPLE, "[[substrate]]") )),
        (&print_mode("standard"), "name =", &format!("`name` of print mode `standard` is `standard`, the name of a print mode in line {} too; give each a name of its own", line_of(EXAMPLE, "[[print_mode]]") )),
        (&format!("{}{curve}{curve}", substrate("film", 0.8)), "family =", &format!("`family` of entry 2 of `curve` of substrate `film` is `cyan`, the name of a curve of this substrate in line {below_film} too; give each a name of its own" )),
        (&patches, "amounts_percent =", &format!("`amounts_percent` of entry 2 of `primary` of substrate `film` are the same as in line {below_film}; keep one of the two patches" )),
    ]);
}

#[test]
#[rustfmt::skip] // one line a case
fn a_name_that_nothing_has_is_refused_with_the_nearest_one() {
    refuses(&[
        ("printed_on = \"satin photo paper\"", "printed_on = \"satin paper\"", "", "`printed_on` of `solid` of ink `cyan` names `satin paper`, which is not a substrate of this file; use one of `satin photo paper`"),
        ("printed_on = \"satin photo paper\"", "printed_on = \"satin foto paper\"", "", "`printed_on` of `solid` of ink `cyan` names `satin foto paper`, which is not a substrate of this file; did you mean `satin photo paper`?"),
        ("active_black = \"photo black\"", "active_black = \"cyan\"", "", "`active_black` of substrate `satin photo paper` names `cyan`, which is not a full-strength ink of the family `black` of this file; use one of `photo black`"),
        ("ink = \"light cyan\"\ncoverage", "ink = \"cyan\"\ncoverage", "", "`ink` of entry 3 of `curve` of substrate `satin photo paper` names `cyan`, which is not a light ink of this file; use one of `light cyan`"),
        ("family = \"black\"\ncoverage", "family = \"blak\"\ncoverage", "", "`family` of entry 1 of `curve` of substrate `satin photo paper` names `blak`, which is not a family of this file; did you mean `black`?"),
        ("{ cyan = 100, black", "{ cyna = 100, black", "", "`cyna` of `amounts_percent` of entry 1 of `primary` of substrate `satin photo paper` names `cyna`, which is not a family of this file; did you mean `cyan`?"),
        ("\"light cyan\" = 9.4", "\"light cyna\" = 9.4", "", "`light cyna` of `lay_down_ml_per_m2` of print mode `standard` names `light cyna`, which is not an ink of this file; did you mean `light cyan`?"),
        ("\"photo black\" = \"unknown\"", "black = \"unknown\"", "", "`black` of `device_curve` of print mode `standard` names `black`, which is not an ink of this file; use one of `cyan`, `light cyan`, `photo black`"),
        ("\"light cyan\" = 70", "\"light cian\" = 70", "", "`light cian` of `crossover_percent` of `separation` names `light cian`, which is not an ink of this file; did you mean `light cyan`?"),
        ("black = 95", "green = 95", "", "`green` of `family_limit_percent` of `separation` names `green`, which is not a family of this file; use one of `cyan`, `black`"),
    ]);
}

#[test]
#[rustfmt::skip] // one line a case
fn a_family_needs_its_full_strength_ink_and_only_black_has_several() {
    refuses_appended(&[
        (&light_ink("pale green", "green"), "family =", "`family` of ink `pale green` is `green`, which has no full-strength ink; add one, or give one of its inks strength = \"full\" and a solid"),
        (&full_ink("deep cyan", "cyan"), "family =", &format!("`family` of ink `deep cyan` is `cyan`, which has a full-strength ink in line {} already; 1 is allowed outside the family `black`, so make one of the two \"light\" or give it another family", line_of(EXAMPLE, "[[ink]]") )),
        (&(full_ink("matte black", "black") + &substrate("film", 0.8)), "[[substrate]]", "`active_black` of substrate `film` is missing although the set has 2 full-strength blacks; write one of `photo black`, `matte black`"),
    ]);
}

#[test]
#[rustfmt::skip] // one line a case
fn more_than_twelve_inks_or_eight_families_are_refused() {
    let inks: String =
        (4..=13).map(|number| light_ink(&format!("light {number}"), "cyan")).collect();
    let families: String =
        (3..=9).map(|number| full_ink(&number.to_string(), &format!("hue {number}"))).collect();
    let count: Vec<String> =
        problems(&format!("{EXAMPLE}{inks}")).iter().map(Problem::to_string).collect();
    assert_eq!(count.len(), 1);
    assert!(
        count[0].ends_with(
            "`ink` has 13 entries, outside 1 to 12; add one, or split the set into several files"
        ),
        "{count:?}"
    );
    refuses_appended(&[(
        &families,
        "family =",
        "`family` of ink `9` begins family 9, outside 1 to 8 families; join inks of one hue into one family",
    )]);
}

#[test]
#[rustfmt::skip] // one line a case
fn the_facts_of_an_ink_must_fit_its_strength() {
    let at_surface = full_ink("red", "red").replace("0.05", "0.003");
    let below_darkest = full_ink("red", "red").replace("0.05", "0.0035");
    let bare = full_ink("red", "red").replace("0.05", "0.95");
    let dense = light_ink("pale", "cyan").replace("density_percent = 20\n", "")
        + "solid = { printed_on = \"satin photo paper\", condition = \"M1\", backing = \"white\", spectrum = "
        + &level(0.02)
        + " }";
    refuses(&[(
        "strength = \"full\" #",
        "density_percent = 50\nstrength = \"full\" #",
        "",
        "`density_percent` of ink `cyan` is given although the ink is at full strength, which is 100 % by definition; remove it or write strength = \"light\"",
    )]);
    refuses_appended(&[
        (&light_ink("pale", "cyan").replace("density_percent = 20\n", ""), "strength =", "`strength` of ink `pale` is \"light\" without a density or a solid; write density_percent (1 to 99 %), [ink.solid], or both"),
        (&light_ink("red", "red").replace("light\"\ndensity_percent = 20", "full\""), "[[ink]]", "`solid` of ink `red` is missing although the ink is at full strength; write [ink.solid] with its spectrum, or strength = \"light\""),
        (&at_surface, "[ink.solid]", "`solid` of ink `red` is 0.003 at 380 nm, outside 0.003 to 1.3; lower `surface_reflectance` of substrate `satin photo paper` or correct the spectrum"),
        (&below_darkest, "[ink.solid]", "`solid` of ink `red` is 0.0035 at 380 nm, outside 0.004 to 1.3; lower `darkest_reflectance` of substrate `satin photo paper` or correct the spectrum"),
        (&bare, "[ink.solid]", "`solid` of ink `red` is nowhere darker than the white of substrate `satin photo paper`: a density of 0 or less, outside 0 to 5; correct the spectrum or `printed_on`"),
        (&dense, "solid =", "`solid` of ink `pale` has 106 % of the density of `cyan`, outside 0 to 100 %; exchange their strengths or correct the spectra"),
    ]);
}

#[test]
#[rustfmt::skip] // one line a case
fn a_sheet_must_be_lighter_than_its_surface_and_its_darkest_mixture() {
    let patch = format!(
        "{}[[substrate.primary]]\namounts_percent = {{ cyan = 10 }}\nspectrum = {}",
        substrate("film", 0.8),
        level(0.005)
    );
    refuses_appended(&[
        (&substrate("film", 0.8).replace("darkest_reflectance = 0.01", "darkest_reflectance = 0.001"), "darkest_reflectance", "`darkest_reflectance` of substrate `film` is 0.001, outside 0.01 (its surface_reflectance) to 0.5; raise it or lower the other"),
        (&substrate("film", 0.01), "white =", "`white` of substrate `film` is 0.01 at 380 nm, outside 0.01 to 1.3; lower `surface_reflectance` of substrate `film` or correct the spectrum"),
        (&patch, "spectrum =", "`spectrum` of entry 1 of `primary` of substrate `film` is 0.005 at 380 nm, outside 0.01 to 1.3; lower `surface_reflectance` of substrate `film` or correct the spectrum"),
    ]);
}

#[test]
#[rustfmt::skip] // one line a case
fn a_curve_of_effective_coverage_must_rise_from_0_to_100() {
    let curve = "`effective_percent` of entry 1 of `curve` of substrate `satin photo paper`";
    let per_band =
        "`effective_percent_per_band` of entry 2 of `curve` of substrate `satin photo paper`";
    refuses(&[
        ("[0, 25, 50, 100]", "[0, 50, 50, 100]", "", "`coverage_percent` of entry 1 of `curve` of substrate `satin photo paper` has 50 after 50; write values that rise from each to the next"),
        ("[0, 25, 50, 100]", "[10, 25, 50, 100]", "", "`coverage_percent` of entry 1 of `curve` of substrate `satin photo paper` runs from 10 to 100 %, not from 0 to 100 %; add the missing end"),
        ("[0, 34, 62, 100]", "[0, 34, 32, 100]", "", &format!("{curve} has 32 after 34; write values that never fall")),
        ("[0, 34, 62, 100]", "[0, 34, 62, 90]", "", &format!("{curve} runs from 0 to 90 %, not from 0 to 100 %; add the missing end")),
        ("[0, 34, 62, 100]", "[0, 62, 100]", "", &format!("{curve} has 3 values, not 4: one for each of coverage_percent")),
        ("[0, 34, 62, 100]", "[0, 34, 62, 100]\neffective_percent_per_band = []", "effective_percent_per_band = []", "`effective_percent_per_band` of entry 1 of `curve` of substrate `satin photo paper` is one too many; remove it or effective_percent: one of the two is allowed"),
        ("    62, 62,", "    62,", "  [\n    62,", &format!("entry 2 of {per_band} has 35 values, not 36: one for each of the 36 bands")),
        ("    100, 100,", "    100, 50,", "effective_percent_per_band = [", &format!("{per_band} has 50 after 62; write values that never fall")),
    ]);
}

#[test]
#[rustfmt::skip] // one line a case
fn drops_must_be_complete_and_grow_with_coverage() {
    let mode = "of print mode `standard`";
    let no_volumes = print_mode("rough")
        .replace("drop_volumes_pl = [10]\n", "")
        .replace("drops_per_cell = 1\n", "");
    refuses(&[
        ("[1.5, 2.7, 4]", "[1.5, 4, 2.7]", "", &format!("`drop_volumes_pl` {mode} has 2.7 after 4; write values that rise from each to the next" )),
        ("[1.5, 2.7, 4]", "[1.5, 2.7, 4, 6]", "", &format!("`drop_volumes_pl` {mode} has 4 entries, outside 1 to 3; write small, medium and large drops at most" )),
        ("[1.5, 2.7, 4]", "[1.5, 2.7, 900]", "", &format!("`drop_volumes_pl` {mode} can't be used: lay-down is 2008.8040176080356, outside 0 to 200 ml/m²; correct the numbers that it is made of" )),
        ("[10, 60, 30]", "[10, 60, 20]", "", &format!("`shares_percent` of entry 2 of `drop_mix` {mode} add up to 90.00 %, outside 99.9 to 100.1 %; correct the shares of the drop sizes" )),
        ("[10, 60, 30]", "[40, 60]", "", &format!("`shares_percent` of entry 2 of `drop_mix` {mode} has 2 values, not 3: one for each of drop_volumes_pl" )),
        ("shares_percent = [0, 0, 100]", "shares_percent = [100, 0, 0]", "[[print_mode.drop_mix]]", &format!("`drop_mix` {mode} gives a mean drop of 1.500 pl after 2.970 pl at lower coverage; write shares whose mean drop does not fall as coverage rises" )),
        ("coverage_percent = 60", "coverage_percent = 0", "[[print_mode.drop_mix]]", &format!("`drop_mix` {mode} has 0 after 0; write values that rise from each to the next" )),
        ("coverage_percent = 60", "coverage_percent = 100", "[[print_mode.drop_mix]]", &format!("`drop_mix` {mode} has 100 after 100; write values that rise from each to the next" )),
        ("coverage_percent = 0\nshares", "coverage_percent = 10\nshares", "[[print_mode.drop_mix]]", &format!("`drop_mix` {mode} runs from 10 to 100 %, not from 0 to 100 %; add the missing end" )),
    ]);
    refuses_appended(&[
        (&print_mode("rough").replace("[10]", "[5, 10]"), "[[print_mode]]", "`drop_mix` of print mode `rough` is missing although there are 2 drop sizes; write [[print_mode.drop_mix]] rows from 0 to 100 % coverage"),
        (&no_volumes, "[[print_mode]]", "`drop_volumes_pl` of print mode `rough` are missing and lay_down_ml_per_m2 lacks `cyan`, `light cyan`, `photo black`; state the drops, or the lay-down of every ink"),
        (&(no_volumes.clone() + "drops_per_cell = 1\nlay_down_ml_per_m2 = { cyan = 5, \"light cyan\" = 5, \"photo black\" = 5 }"), "drops_per_cell", "`drops_per_cell` of print mode `rough` is given without drop_volumes_pl; add the drop volumes or remove it"),
    ]);
}

#[test]
#[rustfmt::skip] // one line a case
fn a_device_curve_must_begin_without_ink_and_never_fall() {
    let curve = "of `cyan` of `device_curve` of print mode `standard`";
    refuses(&[
        ("coverage_percent = [0, 35, 100]", "coverage_percent = [5, 35, 100]", "", &format!("`coverage_percent` {curve} does not begin with 0 %: device value 0 must fire no ink, so write 0 first" )),
        ("coverage_percent = [0, 35, 100]", "coverage_percent = [0, 35, 30]", "", &format!("`coverage_percent` {curve} has 30 after 35; write values that never fall")),
        ("coverage_percent = [0, 35, 100]", "coverage_percent = [0, 100]", "", &format!("`coverage_percent` {curve} has 2 values, not 3: one for each of device_percent" )),
        ("device_percent = [0, 50, 100]", "device_percent = [0, 50, 50]", "", &format!("`device_percent` {curve} has 50 after 50; write values that rise from each to the next" )),
        ("device_percent = [0, 50, 100]", "device_percent = [0, 50, 90]", "", &format!("`device_percent` {curve} runs from 0 to 90 %, not from 0 to 100 %; add the missing end" )),
    ]);
}

#[test]
#[rustfmt::skip] // one line a case
fn a_separation_is_either_built_or_by_an_output_profile() {
    let with_profile = EXAMPLE.replacen("# output_profile", "output_profile", 1);
    let found: Vec<String> = problems(&with_profile).iter().map(Problem::to_string).collect();
    let both = found.iter().filter(|line| {
        line.ends_with(
            " is given beside output_profile, which separates by itself; remove one of the two",
        )
    });
    assert_eq!(both.count(), 5, "{found:#?}");
    assert!(found.iter().any(|line| line.ends_with("`device_curve` of print mode `standard` lacks `light cyan` although output_profile delivers device values; give the curves, or write \"unknown\"")), "{found:#?}");
    refuses(&[(
        "\"light cyan\" = 70",
        "cyan = 70",
        "",
        "`cyan` of `crossover_percent` of `separation` is for `cyan`, which is at full strength; name a light ink or remove it",
    )]);
}

#[test]
fn text_that_is_not_toml_is_refused_with_its_line() {
    for (from, to) in [
        ("limit_percent = 90", "limit_percent = = 90"),
        ("limit_percent = 90", "limit_percent = 90\nlimit_percent = 80"),
        ("[machine]", "[machine"),
    ] {
        let text = EXAMPLE.replacen(from, to, 1);
        let last = to.lines().last().unwrap();
        let place =
            format!("set.toml, line {}: text can't be read as TOML: ", line_of(&text, last));
        let found = problems(&text)[0].to_string();
        assert!(found.starts_with(&place), "{found}");
    }
}

#[test]
fn a_message_stays_in_one_line_whatever_the_file_says() {
    let text = EXAMPLE.replacen("[machine]", "[machine]\n\"a\\n\\u001b[1m\" = 1", 1);
    let found = problems(&text)[0].to_string();
    assert!(found.contains("`a\u{fffd}\u{fffd}[1m` of `machine` is not a key"), "{found}");
    assert!(!found.contains(char::is_control));
}

#[test]
fn all_faults_of_a_text_are_reported_at_once_in_the_order_of_lines() {
    let text = EXAMPLE
        .replacen("residual_percent = 3", "residual_percent = 99", 1)
        .replacen("title = ", "titel = ", 1)
        .replacen("limit_percent = 90", "limit_percent = 0", 1)
        .replacen("[1.5, 2.7, 4]", "[0, 2.7, -4]", 1);
    let found = problems(&text);
    let lines: Vec<usize> = found.iter().map(|problem| problem.place.line).collect();
    assert_eq!(found.len(), 6, "{found:#?}");
    assert!(lines.is_sorted(), "{lines:?}");
    let message = InkSetError::Faulty { problems: found }.to_string();
    assert_eq!(message.lines().count(), 6);
}

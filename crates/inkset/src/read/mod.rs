//! Reading the TOML text: first the outline of names, then each part, then the checks that need
//! several parts at once.

mod check;
mod curve_ends;
mod ink;
mod machine;
mod outline;
mod print_mode;
mod quantity;
mod separation;
mod set;
mod spectrum;
mod substrate;

use crate::{Fault, Remark};
pub(crate) use set::read_set;

type Entry<'t> = strict_toml::Entry<'t, Fault, Remark>;
type Table<'t> = strict_toml::Table<'t, Fault, Remark>;

#[cfg(test)]
mod tests {
    use super::{ink, machine, print_mode, separation, set, spectrum, substrate};

    const EXAMPLE: &str = include_str!("../../example.toml");

    fn keys() -> Vec<&'static str> {
        [
            &set::SET_KEYS[..],
            &ink::INK_KEYS,
            &ink::SOLID_KEYS,
            &spectrum::GRID_KEYS,
            &substrate::SUBSTRATE_KEYS,
            &substrate::WHITE_KEYS,
            &substrate::RAMP_KEYS,
            &substrate::CURVE_KEYS,
            &substrate::PRIMARY_KEYS,
            &print_mode::PRINT_MODE_KEYS,
            &print_mode::DROP_MIX_KEYS,
            &print_mode::DEVICE_CURVE_KEYS,
            &separation::SEPARATION_KEYS,
            &machine::MACHINE_KEYS,
        ]
        .concat()
    }

    /// As a key of a line, commented out or not, or as part of a table's name.
    fn shows(key: &str) -> bool {
        EXAMPLE.lines().any(|line| {
            let line = line.trim_start_matches("# ");
            line.starts_with(&format!("{key} = "))
                || line.starts_with('[') && line.split(['[', '.', ']']).any(|part| part == key)
        })
    }

    #[test]
    fn the_example_shows_every_key_of_the_schema() {
        let missing: Vec<&str> = keys().into_iter().filter(|key| !shows(key)).collect();
        assert!(missing.is_empty(), "{missing:?}");
    }
}

use strict_toml::{names, refuse_repeated_names};

use super::Table;
use crate::{BLACK_FAMILY, Fault};

/// The print model mixes 2^8 primaries at most.
const MOST_FAMILIES: usize = 8;
/// Devices carry up to twelve channels; see the design of the separation.
const MOST_INKS: usize = 12;
/// Our choice: more than any list that people can choose from.
const MOST_CHOICES: usize = 100;

/// What to do about too few or too many entries.
const REMEDY: &str = "add one, or split the set into several files";

/// The word that makes an ink the full-strength one of its family.
pub(super) const FULL: &str = "full";

/// The names of a file and what they stand for, gathered before anything else is read, so that
/// every mention of a name can be checked where it stands.
pub(super) struct Outline<'t> {
    pub(super) inks: Vec<Table<'t>>,
    pub(super) substrates: Vec<Table<'t>>,
    pub(super) print_modes: Vec<Table<'t>>,
}

impl<'t> Outline<'t> {
    pub(super) fn gather(root: &Table<'t>) -> Self {
        let outline = Self {
            inks: root.list("ink", "ink", MOST_INKS, REMEDY),
            substrates: root.list("substrate", "substrate", MOST_CHOICES, REMEDY),
            print_modes: root.list("print_mode", "print mode", MOST_CHOICES, REMEDY),
        };
        refuse_repeated_names(&outline.inks, "an ink");
        refuse_repeated_names(&outline.substrates, "a substrate");
        refuse_repeated_names(&outline.print_modes, "a print mode");
        outline.check_families();
        outline
    }

    pub(super) fn ink_names(&self) -> Vec<&'t str> {
        names(&self.inks)
    }

    pub(super) fn substrate_names(&self) -> Vec<&'t str> {
        names(&self.substrates)
    }

    /// Names of the families, each once, in the order of their first ink.
    pub(super) fn family_names(&self) -> Vec<&'t str> {
        let mut families = Vec::new();
        for family in self.inks.iter().filter_map(family) {
            if !families.contains(&family) {
                families.push(family);
            }
        }
        families
    }

    /// Names of the full-strength inks of the black family.
    pub(super) fn blacks(&self) -> Vec<&'t str> {
        let is_black = |ink: &&Table<'t>| is_full(ink) && family(ink) == Some(BLACK_FAMILY);
        let blacks = self.inks.iter().filter(is_black);
        blacks.filter_map(|ink| ink.peek("name")).collect()
    }

    pub(super) fn full_strength_names(&self) -> Vec<&'t str> {
        let full = self.inks.iter().filter(|ink| is_full(ink));
        full.filter_map(|ink| ink.peek("name")).collect()
    }

    /// Names of the light inks that no family has as well.
    pub(super) fn light_names(&self) -> Vec<&'t str> {
        let families = self.family_names();
        let light = self.inks.iter().filter(|ink| !is_full(ink));
        let names = light.filter_map(|ink| ink.peek("name"));
        names.filter(|name| !families.contains(name)).collect()
    }

    fn check_families(&self) {
        for (family, number) in self.family_names().into_iter().zip(1..) {
            let inks: Vec<&Table<'t>> = self.inks_of(family).collect();
            if number > MOST_FAMILIES {
                let (count, most) = (number, MOST_FAMILIES);
                inks[0].fault("family", Fault::TooManyFamilies { count, most });
            }
            check_full_strength(family, &inks);
        }
    }

    fn inks_of(&self, name: &str) -> impl Iterator<Item = &Table<'t>> {
        let inks = self.inks.iter();
        inks.filter(move |ink| family(ink) == Some(name))
    }
}

/// A family has one full-strength ink; black may have several, of which a substrate uses one.
fn check_full_strength(family: &str, inks: &[&Table]) {
    let mut full = inks.iter().filter(|ink| is_full(ink));
    match (full.next(), full.next()) {
        (None, _) => {
            let family = family.to_owned();
            inks[0].fault("family", Fault::NoFullStrength { family });
        }
        (Some(first), Some(second)) if family != BLACK_FAMILY => {
            let (family, first_line) = (family.to_owned(), first.line());
            let fault = Fault::SecondFullStrength { family, first_line };
            second.fault("family", fault);
        }
        _ => {}
    }
}

fn family<'t>(ink: &Table<'t>) -> Option<&'t str> {
    ink.peek("family")
}

fn is_full(ink: &Table) -> bool {
    ink.peek("strength") == Some(FULL)
}

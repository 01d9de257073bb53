use std::collections::BTreeMap;

use crate::{Ink, MachineFacts, PrintMode, Provenance, SeparationDefaults, Substrate};

/// Amounts by family name.
pub type Coverages = BTreeMap<String, units::Coverage>;

/// The inks of a device, the substrates that it prints on and the modes that it prints in.
///
/// A set read by [`InkSet::parse`](crate::InkSet::parse) is consistent: every name that it
/// mentions exists, every family has a full-strength ink, every number is in its range.
#[derive(Clone, Debug, PartialEq)]
pub struct InkSet {
    /// Name by which the set is called.
    pub name: String,
    /// One line for people.
    pub title: String,
    /// Where the facts come from.
    pub provenance: Provenance,
    /// The inks in the device's order: these are the channels. 1 to 12.
    pub inks: Vec<Ink>,
    /// The substrates; the first is the default.
    pub substrates: Vec<Substrate>,
    /// The print modes; the first is the default.
    pub print_modes: Vec<PrintMode>,
    /// How the set is separated.
    pub separation: SeparationDefaults,
    /// Facts of the machine.
    pub machine: MachineFacts,
}

/// The inks of one hue as a substrate uses them.
#[derive(Clone, Debug, PartialEq)]
pub struct Family<'set> {
    /// Name of the family.
    pub name: &'set str,
    /// Channel numbers of its active inks, lightest first, full strength last.
    pub channels: Vec<usize>,
}

/// Name of the family that black replacement uses.
pub const BLACK_FAMILY: &str = "black";

impl InkSet {
    /// The families that a substrate uses, in the order of their first ink, at most 8.
    #[must_use]
    pub fn families(&self, substrate: &Substrate) -> Vec<Family<'_>> {
        let mut families: Vec<Family<'_>> = Vec::new();
        for (channel, ink) in self.inks.iter().enumerate() {
            if self.is_idle(ink, substrate) {
                continue;
            }
            match families.iter_mut().find(|family| family.name == ink.family) {
                Some(family) => family.channels.push(channel),
                None => families.push(Family { name: &ink.family, channels: vec![channel] }),
            }
        }
        for family in &mut families {
            let full = self.full_strength_channel(&family.channels);
            let strength = |channel: usize| self.strength_against(channel, full);
            family.channels.sort_by(|&one, &other| strength(one).total_cmp(&strength(other)));
        }
        families
    }

    /// Whether a substrate leaves an ink unused: a black that is not its active one.
    #[must_use]
    pub fn is_idle(&self, ink: &Ink, substrate: &Substrate) -> bool {
        ink.family == BLACK_FAMILY
            && ink.is_full_strength()
            && substrate.active_black.as_deref() != Some(ink.name.as_str())
    }

    fn full_strength_channel(&self, channels: &[usize]) -> Option<usize> {
        let full = |&&channel: &&usize| self.inks[channel].is_full_strength();
        channels.iter().find(full).copied()
    }

    fn strength_against(&self, channel: usize, full: Option<usize>) -> f64 {
        full.map_or(1.0, |full| self.strength(&self.inks[channel], &self.inks[full]))
    }
}

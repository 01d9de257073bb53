use maud::{Markup, html};
use report::page_parts::swatch;

use crate::print_length::{LengthUnit, Side};
use crate::wish::{PolicyWish, Wish};

/// What may be asked of a picture, with what is asked now.
pub(crate) struct WhatIfForm<'a> {
    /// The page itself.
    pub(crate) action: &'a str,
    /// What is asked.
    pub(crate) wish: &'a Wish,
    /// The size that stands in the field: what was typed, or what the file states.
    pub(crate) size: String,
    /// Where that size comes from.
    pub(crate) size_hint: String,
    pub(crate) sets: Vec<SetChoice<'a>>,
    pub(crate) substrates: Vec<Choice<'a>>,
    pub(crate) print_modes: Vec<Choice<'a>>,
    /// For the studio alone; a visitor is priced by the studio's own.
    pub(crate) price_lists: Vec<Choice<'a>>,
}

/// An ink set that may be chosen.
pub(crate) struct SetChoice<'a> {
    pub(crate) name: &'a str,
    pub(crate) title: &'a str,
    pub(crate) chosen: bool,
    /// Colours of its inks in the device's order, where they are known.
    pub(crate) colours: Vec<&'a str>,
}

/// One of several names.
pub(crate) struct Choice<'a> {
    pub(crate) name: &'a str,
    pub(crate) chosen: bool,
}

impl WhatIfForm<'_> {
    pub(crate) fn markup(&self) -> Markup {
        html! {
            form.ask method="get" action=(self.action) data-live aria-labelledby="ask" {
                h2 id="ask" { "The print" }
                (self.size_fields())
                div.field {
                    label for="copies" { "Prints" }
                    input id="copies" type="number" name="copies" min="1" max="100000" step="1"
                        value=(self.wish.copies.as_deref().unwrap_or("1"));
                }
                (self.set_fields())
                (select("substrate", "Paper", &self.substrates))
                details open[self.has_more()] {
                    summary { "More choices" }
                    (select("print_mode", "Print mode", &self.print_modes))
                    (self.policy_field())
                    (select("price_list", "Price list", &self.price_lists))
                }
                p.by-hand { button type="submit" { "Work it out" } }
            }
        }
    }

    /// Whether something among the further choices is not the usual, so that it must be seen.
    fn has_more(&self) -> bool {
        let unusual = |choices: &[Choice<'_>]| choices.iter().skip(1).any(|choice| choice.chosen);
        self.wish.policy != PolicyWish::Usual
            || unusual(&self.print_modes)
            || unusual(&self.price_lists)
    }

    fn size_fields(&self) -> Markup {
        html! {
            fieldset {
                legend { "Size" }
                div.row {
                    input id="size" type="number" name="size" inputmode="decimal" min="0.1" max="100000"
                        step="any" value=(self.size) aria-label="Length of the side" aria-describedby="size-hint";
                    select name="unit" aria-label="Unit" {
                        @for unit in LengthUnit::ALL {
                            option value=(unit.sign()) selected[unit == self.wish.unit] { (unit.sign()) }
                        }
                    }
                    select name="side" aria-label="Which side" {
                        @for side in [Side::Width, Side::Height] {
                            option value=(side.name()) selected[side == self.wish.side] { (side.adjective()) }
                        }
                    }
                }
                p.hint id="size-hint" { (self.size_hint) }
            }
        }
    }

    fn set_fields(&self) -> Markup {
        html! {
            fieldset {
                legend { "Ink sets" }
                @for set in &self.sets {
                    label.option {
                        input type="checkbox" name="ink_set" value=(set.name) checked[set.chosen];
                        span {
                            span.name { (set.name) }
                            span aria-hidden="true" {
                                @for colour in &set.colours { (swatch(colour)) }
                            }
                            span.title { (set.title) }
                        }
                    }
                }
            }
        }
    }

    fn policy_field(&self) -> Markup {
        html! {
            div.field {
                label for="policy" { "Inks are chosen" }
                select id="policy" name="policy" {
                    @for policy in PolicyWish::ALL {
                        option value=(policy.name()) selected[policy == self.wish.policy] { (policy.words()) }
                    }
                }
            }
        }
    }
}

/// A list to choose one from; nothing where there is no choice.
fn select(name: &str, label: &str, choices: &[Choice<'_>]) -> Markup {
    html! {
        @if choices.len() > 1 {
            div.field {
                label for=(name) { (label) }
                select id=(name) name=(name) {
                    @for choice in choices {
                        option value=(choice.name) selected[choice.chosen] { (choice.name) }
                    }
                }
            }
        }
    }
}

use crate::print_length::{LengthUnit, Side};

/// What a visitor asks of a picture: the form beside the answer, and the address of the page.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Wish {
    /// One side as it was typed; the file's own size without.
    pub(crate) size: Option<String>,
    /// Which side that is.
    pub(crate) side: Side,
    /// The unit of `size`.
    pub(crate) unit: LengthUnit,
    /// Number of prints as it was typed; one without.
    pub(crate) copies: Option<String>,
    /// The ink sets; the studio's own choice without.
    pub(crate) ink_sets: Vec<String>,
    /// The substrate; the sets' first without.
    pub(crate) substrate: Option<String>,
    /// The print mode; the sets' first without.
    pub(crate) print_mode: Option<String>,
    /// The rule by which inks are chosen.
    pub(crate) policy: PolicyWish,
    /// The price list; the studio's own without.
    pub(crate) price_list: Option<String>,
}

/// Rules by which inks are chosen, as the page offers them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum PolicyWish {
    /// The ink set's own.
    #[default]
    Usual,
    /// The least ink within a ΔE00 of 1.
    LeastInk,
    /// Black and white, neutral.
    Monochrome,
}

impl PolicyWish {
    pub(crate) const ALL: [Self; 3] = [Self::Usual, Self::LeastInk, Self::Monochrome];

    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Usual => "usual",
            Self::LeastInk => "least-ink",
            Self::Monochrome => "monochrome",
        }
    }

    /// As the form says it.
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Usual => "as the ink set prescribes",
            Self::LeastInk => "least ink within ΔE00 1",
            Self::Monochrome => "black and white",
        }
    }
}

impl Wish {
    /// Reads the pairs of a query. What it doesn't know or what is empty has no say.
    pub(crate) fn of_pairs<'a>(pairs: impl Iterator<Item = (&'a str, &'a str)>) -> Self {
        let mut wish = Self::default();
        for (name, value) in pairs {
            let value = value.trim();
            if !value.is_empty() {
                wish.take(name, value);
            }
        }
        wish
    }

    fn take(&mut self, name: &str, value: &str) {
        let text = || Some(value.to_owned());
        match name {
            "size" => self.size = text(),
            "side" if value == Side::Height.name() => self.side = Side::Height,
            "unit" => self.unit = LengthUnit::of_sign(value).unwrap_or_default(),
            "copies" => self.copies = text(),
            "ink_set" => self.ink_sets.push(value.to_owned()),
            "substrate" => self.substrate = text(),
            "print_mode" => self.print_mode = text(),
            "price_list" => self.price_list = text(),
            "policy" => {
                let named = PolicyWish::ALL.into_iter().find(|policy| policy.name() == value);
                self.policy = named.unwrap_or_default();
            }
            _ => {}
        }
    }

    /// The side with its unit, such as "60cm".
    pub(crate) fn length(&self) -> Option<String> {
        // People on the Continent write a comma.
        self.size.as_ref().map(|size| size.replace(',', ".") + self.unit.sign())
    }

    /// The pairs that lead back to this wish.
    pub(crate) fn pairs(&self) -> Vec<(&'static str, &str)> {
        let mut pairs = Vec::new();
        if let Some(size) = &self.size {
            pairs.extend([
                ("size", size.as_str()),
                ("unit", self.unit.sign()),
                ("side", self.side.name()),
            ]);
        }
        let optional = [
            ("copies", &self.copies),
            ("substrate", &self.substrate),
            ("print_mode", &self.print_mode),
            ("price_list", &self.price_list),
        ];
        let given =
            optional.into_iter().filter_map(|(name, value)| Some((name, value.as_deref()?)));
        pairs.extend(given);
        pairs.extend(self.ink_sets.iter().map(|set| ("ink_set", set.as_str())));
        if self.policy != PolicyWish::Usual {
            pairs.push(("policy", self.policy.name()));
        }
        pairs
    }
}

/// An address with a query.
pub(crate) fn address(path: &str, pairs: &[(&str, &str)]) -> String {
    let query: Vec<String> =
        pairs.iter().map(|(name, value)| format!("{name}={}", escaped(value))).collect();
    if query.is_empty() { path.to_owned() } else { format!("{path}?{}", query.join("&")) }
}

/// Bytes other than letters, digits and `-._~` as RFC 3986 writes them in a query.
fn escaped(text: &str) -> String {
    let byte = |byte: u8| match byte {
        b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' => {
            char::from(byte).to_string()
        }
        other => format!("%{other:02X}"),
    };
    text.bytes().map(byte).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_address_of_a_wish_leads_back_to_it() {
        let pairs = [
            ("size", "23.5"),
            ("unit", "in"),
            ("side", "height"),
            ("copies", "12"),
            ("ink_set", "five"),
            ("ink_set", "eleven"),
            ("substrate", "matte art paper"),
            ("policy", "least-ink"),
            ("print_mode", ""),
            ("unknown", "1"),
        ];
        let wish = Wish::of_pairs(pairs.into_iter());
        assert_eq!(wish.length().as_deref(), Some("23.5in"));
        assert_eq!(wish.ink_sets, ["five", "eleven"]);
        assert_eq!(wish.print_mode, None);
        assert_eq!(Wish::of_pairs(wish.pairs().into_iter()), wish);
    }

    #[test]
    fn what_is_typed_stays_inside_its_value() {
        let typed = "a&b=c #<é>";
        assert_eq!(address("/p", &[("name", typed)]), "/p?name=a%26b%3Dc%20%23%3C%C3%A9%3E");
        assert_eq!(address("/p", &[]), "/p");
    }

    #[test]
    fn a_comma_is_a_decimal_point() {
        let wish = Wish::of_pairs([("size", "42,5")].into_iter());
        assert_eq!(wish.length().as_deref(), Some("42.5cm"));
    }
}

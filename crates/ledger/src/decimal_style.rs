use crate::RowFault;

/// How a table writes decimals: with points, or with commas throughout.
///
/// Whoever mixes the two has edited a table by hand or joined two, and some of the numbers are a
/// thousand times too large.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum DecimalStyle {
    Point,
    Comma,
}

impl DecimalStyle {
    /// Finds the style of all numbers of a table; each comes with its line and column.
    pub(crate) fn of<'a>(
        numbers: impl Iterator<Item = (u64, &'a str, &'a str)> + Clone,
    ) -> Result<Self, RowFault> {
        let first = |mark: char| numbers.clone().find(|(_, _, text)| text.contains(mark));
        match (first('.'), first(',')) {
            (_, None) => Ok(Self::Point),
            (Some(point), Some(comma)) => Err(mixed(point, comma)),
            (None, Some(comma)) => {
                let with_comma = numbers.filter(|(_, _, text)| text.contains(','));
                if with_comma.map(|(_, _, text)| text).all(may_be_thousands) {
                    return Err(thousands(comma));
                }
                Ok(Self::Comma)
            }
        }
    }

    /// Reads a number.
    pub(crate) fn read(self, text: &str) -> Option<f64> {
        let plain = |byte: u8| byte.is_ascii_digit() || b"+-.".contains(&byte);
        let pointed = match self {
            Self::Point => text.to_owned(),
            Self::Comma => text.replace(',', "."),
        };
        pointed.bytes().all(plain).then(|| pointed.parse().ok()).flatten()
    }
}

/// "1,250" may be one and a quarter or twelve hundred and fifty.
fn may_be_thousands(text: &str) -> bool {
    let mut parts = text.trim_start_matches(['-', '+']).split(',');
    let first = parts.next().unwrap_or_default();
    (1..=3).contains(&first.len()) && !first.starts_with('0') && parts.all(|part| part.len() == 3)
}

fn mixed(point: (u64, &str, &str), comma: (u64, &str, &str)) -> RowFault {
    let ((point_line, point_column, point), (line, column, comma)) = (point, comma);
    RowFault::new(
        line,
        format!(
            "`{column}` is {comma}, with a decimal comma, and `{point_column}` of line {point_line} \
             is {point}, with a point; write all numbers of the file the same way"
        ),
    )
}

fn thousands((line, column, text): (u64, &str, &str)) -> RowFault {
    RowFault::new(
        line,
        format!(
            "`{column}` is {text}, and so is every number with a comma: thousands can't be told \
             from decimals; write points, or no separator of thousands"
        ),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn style(numbers: &[&'static str]) -> Result<DecimalStyle, RowFault> {
        let places = numbers.iter().zip(2..).map(|(text, line)| (line, "total_ml", *text));
        DecimalStyle::of(places)
    }

    #[test]
    fn commas_are_decimals_only_where_every_number_agrees() {
        assert_eq!(style(&["1.25", "3"]).unwrap(), DecimalStyle::Point);
        assert_eq!(style(&["1,25", "3", "0,125"]).unwrap(), DecimalStyle::Comma);
        assert_eq!(DecimalStyle::Comma.read("1,25"), Some(1.25));
        for mix in [&["1,25", "3.5"][..], &["1.250,5"]] {
            assert!(style(mix).unwrap_err().to_string().contains("the same way"), "{mix:?}");
        }
        assert!(style(&["1,250", "12,500"]).unwrap_err().to_string().contains("thousands"));
    }

    #[test]
    fn what_is_no_plain_number_is_not_read() {
        for text in ["", "1e3", "inf", "NaN", "0x10", "1 000", "1.2.3", "12ml"] {
            assert_eq!(DecimalStyle::Point.read(text), None, "{text}");
        }
    }
}

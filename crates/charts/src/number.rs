/// Reads a number with a decimal point or a decimal comma.
///
/// `None` for anything else: NaN, infinities, thousands separators, words.
pub(crate) fn number(text: &str) -> Option<f64> {
    let with_point = match (text.contains('.'), text.matches(',').count()) {
        (false, 1) => text.replace(',', "."),
        (_, 0) => text.to_owned(),
        _ => return None,
    };
    let is_plain =
        |byte: u8| byte.is_ascii_digit() || matches!(byte, b'.' | b'-' | b'+' | b'e' | b'E');
    if !with_point.bytes().all(is_plain) {
        return None;
    }
    with_point.parse().ok().filter(|value: &f64| value.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_and_commas_are_decimal_and_nothing_else_is_a_number() {
        assert_eq!(number("0.18"), Some(0.18));
        assert_eq!(number("-1,38"), Some(-1.38));
        assert_eq!(number("1e-3"), Some(0.001));
        for text in ["NaN", "inf", "1.000,5", "1,000,5", "", "-", "12%", "1e999"] {
            assert_eq!(number(text), None, "{text}");
        }
    }
}

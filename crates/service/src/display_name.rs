/// Longest name of a file that is shown; our choice: longer ones fill a phone's screen.
const LONGEST: usize = 120;

/// The name of a file as it is shown. It never names a file of the service: uploads are kept under
/// names of the service's own.
///
/// The last part of a path is taken, without control characters and those that turn the direction
/// of writing, with which a name can pretend to be another.
pub(crate) fn display_name(stated: &str) -> String {
    let last = stated.rsplit(['/', '\\']).next().unwrap_or_default();
    let shown: String = last
        .chars()
        .filter(|letter| !letter.is_control() && !turns(*letter))
        .take(LONGEST)
        .collect();
    let shown = shown.trim();
    if shown.is_empty() || shown.chars().all(|letter| letter == '.') {
        "picture".to_owned()
    } else {
        shown.to_owned()
    }
}

/// Marks of the Unicode bidirectional algorithm (UAX 9), and separators of lines.
const fn turns(letter: char) -> bool {
    matches!(letter, '\u{200e}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{061c}' | '\u{feff}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_no_name() {
        for (stated, shown) in [
            ("../../etc/passwd", "passwd"),
            ("C:\\pictures\\shore.jpg", "shore.jpg"),
            ("..", "picture"),
            ("", "picture"),
            ("a\0b\r\nSet-Cookie: x", "abSet-Cookie: x"),
            ("exe\u{202e}gpj.jpg", "exegpj.jpg"),
            ("Hafen bei Nacht.tif", "Hafen bei Nacht.tif"),
        ] {
            assert_eq!(display_name(stated), shown);
        }
        assert_eq!(display_name(&"x".repeat(500)).chars().count(), LONGEST);
    }
}

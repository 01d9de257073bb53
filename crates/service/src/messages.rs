/// Says something where the service runs: on standard error, which whoever runs it keeps.
#[expect(clippy::print_stderr, reason = "a shell prints its messages")]
pub(crate) fn tell(kind: &str, message: &str) {
    // One line each, so that names and causes can't pretend to be further messages.
    let one_line: String =
        message.chars().map(|letter| if letter.is_control() { ' ' } else { letter }).collect();
    eprintln!("{kind}: {one_line}");
}

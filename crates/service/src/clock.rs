use std::time::{SystemTime, UNIX_EPOCH};

use ledger::CalendarDate;

const SECONDS_OF_A_DAY: u64 = 86_400;

/// Seconds since 1970 by the machine's clock; none before.
pub(crate) fn now() -> u64 {
    SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default().as_secs()
}

/// The day by the machine's clock, in universal time; none outside 1980 to 2999.
pub(crate) fn today() -> Option<CalendarDate> {
    CalendarDate::from_days_since_1970(now() / SECONDS_OF_A_DAY)
}

/// A moment as RFC 3339 has it, in universal time; empty outside 1980 to 2999.
pub(crate) fn written(seconds: u64) -> String {
    let Some(date) = CalendarDate::from_days_since_1970(seconds / SECONDS_OF_A_DAY) else {
        return String::new();
    };
    let second = seconds % SECONDS_OF_A_DAY;
    format!("{date}T{:02}:{:02}:{:02}Z", second / 3600, second / 60 % 60, second % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_moment_is_written_with_its_zone() {
        assert_eq!(written(1_709_251_199), "2024-02-29T23:59:59Z");
    }
}

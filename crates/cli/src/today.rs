use std::time::{SystemTime, UNIX_EPOCH};

use ledger::CalendarDate;

const SECONDS_OF_A_DAY: u64 = 86_400;

/// Today by the machine's clock, in universal time; `None` where the clock stands outside 1980 to
/// 2999.
pub(crate) fn today() -> Option<CalendarDate> {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).ok()?;
    CalendarDate::from_days_since_1970(since.as_secs() / SECONDS_OF_A_DAY)
}

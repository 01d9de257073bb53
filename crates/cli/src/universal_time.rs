use std::time::SystemTime;

/// A moment by the calendar, in universal time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct UniversalTime([u16; 6]);

const SECONDS_PER_DAY: u64 = 86_400;
/// Days from 1 March of year 0 to 1 January 1970 in the Gregorian calendar.
const DAYS_BEFORE_1970: u64 = 719_468;
/// Days in 400 years, after which the calendar repeats.
const DAYS_PER_ERA: u64 = 146_097;

impl UniversalTime {
    /// The moment of a clock; 1970 for one that stands before it.
    pub(crate) fn at(clock: SystemTime) -> Self {
        let since = clock.duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default().as_secs();
        let (year, month, day) = date(since / SECONDS_PER_DAY);
        let second = since % SECONDS_PER_DAY;
        let parts = [year, month, day, second / 3600, second / 60 % 60, second % 60];
        Self(parts.map(|part| u16::try_from(part).unwrap_or(u16::MAX)))
    }

    /// Year, month, day, hour, minute, second.
    pub(crate) const fn parts(self) -> [u16; 6] {
        self.0
    }
}

/// Year, month and day of a day counted from 1970, with years that begin in March, so that the
/// leap day comes last.
fn date(days: u64) -> (u64, u64, u64) {
    let days = days + DAYS_BEFORE_1970;
    let (era, day) = (days / DAYS_PER_ERA, days % DAYS_PER_ERA);
    let year = (day - day / 1460 + day / 36_524 - day / (DAYS_PER_ERA - 1)) / 365;
    let day = day - (365 * year + year / 4 - year / 100);
    // Months of 30 and 31 days alternate so that five of them have 153.
    let month = (5 * day + 2) / 153;
    let day = day - (153 * month + 2) / 5 + 1;
    let (month, later) = if month < 10 { (month + 3, 0) } else { (month - 9, 1) };
    (400 * era + year + later, month, day)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn seconds_since_1970_become_dates() {
        for (seconds, parts) in [
            (0, [1970, 1, 1, 0, 0, 0]),
            (951_782_399, [2000, 2, 28, 23, 59, 59]),
            (951_782_400, [2000, 2, 29, 0, 0, 0]),
            (1_709_251_199, [2024, 2, 29, 23, 59, 59]),
            (4_107_542_400, [2100, 3, 1, 0, 0, 0]),
        ] {
            let clock = SystemTime::UNIX_EPOCH + Duration::from_secs(seconds);
            assert_eq!(UniversalTime::at(clock).parts(), parts);
        }
    }
}

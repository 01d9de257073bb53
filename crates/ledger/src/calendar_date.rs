use std::fmt;
use std::str::FromStr;

use crate::LedgerError;

/// A day of the Gregorian calendar, written as ISO 8601 has it: 2026-11-25.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CalendarDate {
    year: u16,
    month: u8,
    day: u8,
}

/// Years that a job can have: printers that count millilitres are younger than the first.
const YEARS: [u16; 2] = [1980, 2999];

impl CalendarDate {
    /// Makes a date; `None` for a day that the calendar lacks and for years outside 1980 to 2999.
    #[must_use]
    pub fn new(year: u16, month: u8, day: u8) -> Option<Self> {
        let [first, last] = YEARS;
        let known = (first..=last).contains(&year) && (1..=12).contains(&month);
        (known && (1..=days_in(year, month)).contains(&day)).then_some(Self { year, month, day })
    }

    /// The date of a number of days after 1 January 1970; `None` outside the years of a job.
    #[must_use]
    pub fn from_days_since_1970(days: u64) -> Option<Self> {
        let mut left = days;
        let mut year: u16 = 1970;
        while left >= days_of_year(year) {
            left -= days_of_year(year);
            year = year.checked_add(1).filter(|year| *year <= YEARS[1])?;
        }
        let mut month = 1;
        while left >= u64::from(days_in(year, month)) {
            left -= u64::from(days_in(year, month));
            month += 1;
        }
        Self::new(year, month, u8::try_from(left).ok()? + 1)
    }
}

fn days_of_year(year: u16) -> u64 {
    if is_leap(year) { 366 } else { 365 }
}

const fn is_leap(year: u16) -> bool {
    (year.is_multiple_of(4) && !year.is_multiple_of(100)) || year.is_multiple_of(400)
}

const fn days_in(year: u16, month: u8) -> u8 {
    match month {
        2 if is_leap(year) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

impl fmt::Display for CalendarDate {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

impl FromStr for CalendarDate {
    type Err = LedgerError;

    /// Reads "2026-11-25" alone: other orders of day and month can't be told apart.
    fn from_str(text: &str) -> Result<Self, LedgerError> {
        let parts: Vec<&str> = text.split('-').collect();
        let digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
        let date = match parts[..] {
            [year, month, day]
                if (year.len(), month.len(), day.len()) == (4, 2, 2)
                    && [year, month, day].into_iter().all(digits) =>
            {
                year.parse().ok().zip(month.parse().ok()).zip(day.parse().ok())
            }
            _ => None,
        };
        date.and_then(|((year, month), day)| Self::new(year, month, day))
            .ok_or_else(|| LedgerError::Date { text: text.to_owned() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_count_from_1970_over_leap_years() {
        for (days, date) in [(10_957, "2000-01-01"), (11_016, "2000-02-29"), (20_782, "2026-11-25")]
        {
            assert_eq!(CalendarDate::from_days_since_1970(days).unwrap().to_string(), date);
            assert_eq!(date.parse::<CalendarDate>().unwrap().to_string(), date);
        }
        assert_eq!(CalendarDate::from_days_since_1970(0), None);
        assert_eq!(CalendarDate::from_days_since_1970(u64::MAX), None);
    }

    #[test]
    fn a_day_that_the_calendar_lacks_is_refused_with_an_example() {
        for text in
            ["2026-02-29", "25.11.2026", "2026-13-01", "26-11-25", "2026-1-5", "+026-11-25", ""]
        {
            let message = text.parse::<CalendarDate>().unwrap_err().to_string();
            assert!(message.contains("2026-11-25"), "{message}");
        }
    }
}

use crate::cgats::read_text;
use crate::cxf::read_xml;
use crate::interpreting::chart;
use crate::log::Log;
use crate::{Chart, ChartError, Contradictions, SampleNames};

/// Largest file that is read. Our choice: thirty times the largest charts of the trade, about
/// 10,000 spectra in XML.
const MOST_BYTES: usize = 64 << 20;

impl Chart {
    /// Reads a chart from the bytes of a file; `origin` is the name that messages carry.
    ///
    /// CGATS text need not be UTF-8: other bytes, which old headers hold, become replacement
    /// characters, and are refused where they stand among numbers.
    ///
    /// # Errors
    ///
    /// See [`ChartError`].
    pub fn read(bytes: &[u8], origin: &str, names: &SampleNames) -> Result<Self, ChartError> {
        Self::read_with(bytes, origin, names, Contradictions::Refuse)
    }

    /// As [`Chart::read`], with a say in what becomes of readings that contradict each other.
    ///
    /// # Errors
    ///
    /// See [`ChartError`].
    pub fn read_with(
        bytes: &[u8],
        origin: &str,
        names: &SampleNames,
        contradictions: Contradictions,
    ) -> Result<Self, ChartError> {
        if bytes.len() > MOST_BYTES {
            let (origin, bytes, most) = (origin.to_owned(), bytes.len(), MOST_BYTES);
            return Err(ChartError::TooLarge { origin, bytes, most });
        }
        let mut log = Log::new(origin);
        let text = decoded(bytes);
        let table = if text.trim_start().starts_with('<') {
            read_xml(&text, &mut log)
        } else {
            read_text(&text, &mut log)
        };
        let chart = table.and_then(|table| chart(&table, names, contradictions, &mut log));
        let notices = log.finish()?;
        // A chart that was refused is in the log; without one the form was not understood.
        chart.map(|chart| Self { notices, ..chart }).ok_or_else(|| {
            let mut log = Log::new(origin);
            log.fault(1, crate::ChartFault::UnknownForm);
            match log.finish() {
                Err(error) => error,
                Ok(_) => ChartError::Faulty { problems: Vec::new() },
            }
        })
    }
}

/// The text of a file: UTF-16 where a byte-order mark says so, else UTF-8 as far as it is.
fn decoded(bytes: &[u8]) -> String {
    let wide = |pair: fn([u8; 2]) -> u16| {
        let units: Vec<u16> =
            bytes[2..].chunks_exact(2).map(|chunk| pair([chunk[0], chunk[1]])).collect();
        String::from_utf16_lossy(&units)
    };
    match bytes {
        [0xff, 0xfe, ..] => wide(u16::from_le_bytes),
        [0xfe, 0xff, ..] => wide(u16::from_be_bytes),
        [0xef, 0xbb, 0xbf, rest @ ..] => String::from_utf8_lossy(rest).into_owned(),
        _ => String::from_utf8_lossy(bytes).into_owned(),
    }
}

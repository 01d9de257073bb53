/// What a column of a chart holds.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Column {
    /// The sample's number or name.
    Sample,
    /// A device value: the device's channels as one word, and the channel's place in it.
    Device { device: Device, channel: usize },
    /// X, Y, Z.
    Xyz(usize),
    /// L*, a*, b*.
    Lab(usize),
    /// The reflectance at a wavelength.
    Reflectance(f64),
    /// A wavelength that stands in the row itself.
    Wavelength,
    /// The reflectance that follows it.
    PairedReflectance,
    /// Of no use here.
    Other,
}

/// What printed the chart.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Device {
    /// Channels by their initials, for example CMYK or CMYKOGV.
    Letters(String),
    /// A number of channels without names.
    Numbered(usize),
    /// Red, green and blue.
    Rgb,
}

impl Device {
    pub(crate) fn channels(&self) -> usize {
        match self {
            Self::Letters(letters) => letters.len(),
            Self::Numbered(count) => *count,
            Self::Rgb => 3,
        }
    }

    /// The name of a channel's column.
    pub(crate) fn column(&self, channel: usize) -> String {
        match self {
            Self::Letters(letters) => format!("{letters}_{}", &letters[channel..=channel]),
            Self::Numbered(count) => format!("{count}CLR_{}", channel + 1),
            Self::Rgb => format!("RGB_{}", ["R", "G", "B"][channel]),
        }
    }

    /// The name of a channel in words.
    pub(crate) fn channel_name(&self, channel: usize) -> String {
        match self {
            Self::Letters(letters) => letter_name(letters.as_bytes()[channel]),
            _ => format!("channel {}", channel + 1),
        }
    }
}

/// Wavelengths that an instrument may report, in nanometres.
const WAVELENGTHS: std::ops::RangeInclusive<f64> = 200.0..=1200.0;
/// The most channels of a numbered device (ISO 28178 counts to F, fifteen).
const MOST_NUMBERED: usize = 15;

/// Understands the name of a column.
pub(crate) fn column(name: &str) -> Column {
    let name = name.to_ascii_uppercase();
    match name.as_str() {
        "SAMPLE_ID" | "SAMPLEID" | "SAMPLE_NAME" | "SAMPLENAME" => Column::Sample,
        "XYZ_X" => Column::Xyz(0),
        "XYZ_Y" => Column::Xyz(1),
        "XYZ_Z" => Column::Xyz(2),
        "LAB_L" => Column::Lab(0),
        "LAB_A" => Column::Lab(1),
        "LAB_B" => Column::Lab(2),
        "SPECTRAL_NM" => Column::Wavelength,
        "SPECTRAL_DEC" | "SPECTRAL_PCT" => Column::PairedReflectance,
        _ => reflectance(&name).or_else(|| device(&name)).unwrap_or(Column::Other),
    }
}

fn reflectance(name: &str) -> Option<Column> {
    const PREFIXES: [&str; 7] =
        ["SPECTRAL_NM_", "SPECTRAL_NM", "SPECTRAL_", "SPEC_", "NM_", "NM", "R_"];
    let digits = PREFIXES.iter().find_map(|prefix| name.strip_prefix(prefix))?;
    let nanometres = digits.trim_end_matches("NM").parse().ok()?;
    WAVELENGTHS.contains(&nanometres).then_some(Column::Reflectance(nanometres))
}

fn device(name: &str) -> Option<Column> {
    let (device, channel) = name.rsplit_once('_')?;
    if let Some(count) = device.strip_suffix("CLR") {
        let count = usize::from_str_radix(count, 16).ok()?;
        let channel = usize::from_str_radix(channel, 16).ok()?;
        let is_sound = (1..=MOST_NUMBERED).contains(&count) && (1..=count).contains(&channel);
        return is_sound.then(|| {
            let device = Device::Numbered(count);
            Column::Device { device, channel: channel - 1 }
        });
    }
    let letters = device.as_bytes();
    if channel.len() != 1 || !letters.iter().all(u8::is_ascii_uppercase) {
        return None;
    }
    let place = letters.iter().position(|letter| *letter == channel.as_bytes()[0])?;
    match device {
        "RGB" => Some(Column::Device { device: Device::Rgb, channel: place }),
        // Colour spaces that charts may hold beside the measurement.
        "LCH" | "XYY" | "LUV" | "XYZ" | "LAB" | "HSV" | "HSL" => None,
        letters => {
            let device = Device::Letters(letters.to_owned());
            Some(Column::Device { device, channel: place })
        }
    }
}

fn letter_name(letter: u8) -> String {
    match letter {
        b'C' => "cyan",
        b'M' => "magenta",
        b'Y' => "yellow",
        b'K' => "black",
        b'O' => "orange",
        b'R' => "red",
        b'G' => "green",
        b'B' => "blue",
        b'V' => "violet",
        b'W' => "white",
        other => return format!("ink {}", char::from(other)),
    }
    .to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn is_device(name: &str, column: &str, channel: usize) {
        let Column::Device { device, channel: found } = super::column(name) else {
            panic!("{name} is no device column");
        };
        assert_eq!((device.column(channel).as_str(), found), (column, channel));
    }

    #[test]
    fn device_columns_are_known_in_all_spellings() {
        is_device("CMYK_C", "CMYK_C", 0);
        is_device("cmyk_k", "CMYK_K", 3);
        is_device("7CLR_5", "7CLR_5", 4);
        is_device("CMYKOGV_V", "CMYKOGV_V", 6);
        for other in ["LCH_C", "XYY_X", "STDEV_L", "7CLR_8", "D_RED", "7CLR_0"] {
            assert_eq!(column(other), Column::Other, "{other}");
        }
    }

    #[test]
    fn wavelengths_are_known_in_all_spellings() {
        for name in ["SPECTRAL_380", "nm380", "NM_380", "SPECTRAL_NM380", "SPEC_380", "380"] {
            let expected = if name == "380" { Column::Other } else { Column::Reflectance(380.0) };
            assert_eq!(column(name), expected, "{name}");
        }
        assert_eq!(column("SPECTRAL_NM"), Column::Wavelength);
        assert_eq!(column("SPECTRAL_9000"), Column::Other);
    }
}

use std::io::{self, Read};

/// How YCbCr pixels are stored (TIFF 6.0, section 21).
#[derive(Clone, Debug)]
pub(super) struct YcbcrForm {
    /// Pixels that share their colour difference, across and down: 1, 2 or 4.
    pub(super) shared: (u32, u32),
    /// Share of red, green and blue in luma.
    pub(super) luma: [f64; 3],
    /// Codes of the darkest and brightest Y, of no and full Cb, and of Cr.
    pub(super) references: [f64; 6],
}

/// ITU-R BT.601, the default of TIFF 6.0, section 20.
pub(super) const LUMA: [f64; 3] = [0.299, 0.587, 0.114];
/// The default of TIFF 6.0, section 20, as all writers mean it: no headroom, no colour at 128.
pub(super) const REFERENCES: [f64; 6] = [0.0, 255.0, 128.0, 255.0, 128.0, 255.0];

impl YcbcrForm {
    /// Bytes of the units that hold so many pixels of a row and its companions.
    fn unit_row_bytes(&self, width: u32) -> usize {
        let units = width.div_ceil(self.shared.0) as usize;
        units * ((self.shared.0 * self.shared.1) as usize + 2)
    }

    /// TIFF 6.0, section 21: from codes to full range, and to RGB.
    fn rgb(&self, y: u8, cb: u8, cr: u8) -> [u8; 3] {
        let [y_black, y_white, cb_none, cb_full, cr_none, cr_full] = self.references;
        let full = |code: u8, none: f64, full: f64, range: f64| {
            (f64::from(code) - none) * range / (full - none)
        };
        let y = full(y, y_black, y_white, 255.0);
        let cb = full(cb, cb_none, cb_full, 127.0);
        let cr = full(cr, cr_none, cr_full, 127.0);
        let [red_share, green_share, blue_share] = self.luma;
        let red = cr * (2.0 - 2.0 * red_share) + y;
        let blue = cb * (2.0 - 2.0 * blue_share) + y;
        let green = (y - blue_share * blue - red_share * red) / green_share;
        [red, green, blue].map(level)
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to 0 to 255 before; not a number becomes 0"
)]
fn level(value: f64) -> u8 {
    (value + 0.5).clamp(0.0, 255.0) as u8
}

/// Turns units of a chunk into rows of RGB.
pub(super) struct YcbcrRows<R> {
    units: R,
    form: YcbcrForm,
    width: u32,
    packed: Vec<u8>,
    rgb: Vec<u8>,
    given: usize,
}

impl<R: Read> YcbcrRows<R> {
    pub(super) fn new(units: R, form: YcbcrForm, width: u32) -> Self {
        let packed = vec![0; form.unit_row_bytes(width)];
        Self { units, form, width, packed, rgb: Vec::new(), given: 0 }
    }

    /// Reads a row of units and unpacks its rows of pixels.
    fn refill(&mut self) -> io::Result<()> {
        self.units.read_exact(&mut self.packed)?;
        let (across, down) = (self.form.shared.0 as usize, self.form.shared.1 as usize);
        let width = self.width as usize;
        self.rgb = vec![0; width * down * 3];
        self.given = 0;
        for (index, unit) in self.packed.chunks_exact(across * down + 2).enumerate() {
            let (cb, cr) = (unit[across * down], unit[across * down + 1]);
            for (place, y) in unit[..across * down].iter().enumerate() {
                let (column, row) = (index * across + place % across, place / across);
                if column < width {
                    let at = (row * width + column) * 3;
                    self.rgb[at..at + 3].copy_from_slice(&self.form.rgb(*y, cb, cr));
                }
            }
        }
        Ok(())
    }
}

impl<R: Read> Read for YcbcrRows<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.given == self.rgb.len() && !buffer.is_empty() {
            self.refill()?;
        }
        let read = (&self.rgb[self.given..]).read(buffer)?;
        self.given += read;
        Ok(read)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn form(across: u32, down: u32) -> YcbcrForm {
        YcbcrForm { shared: (across, down), luma: LUMA, references: REFERENCES }
    }

    #[test]
    fn neutral_codes_are_grays() {
        for level in [0, 1, 77, 254, 255] {
            assert_eq!(form(1, 1).rgb(level, 128, 128), [level; 3]);
        }
    }

    #[test]
    fn pure_red_comes_back_within_the_rounding_of_its_codes() {
        // Y = 76.245, Cb = 84.97, Cr = 255 of red 255 (ITU-T T.871, clause 7), rounded.
        let [red, green, blue] = form(1, 1).rgb(76, 85, 255);
        assert!(red >= 253 && green <= 1 && blue <= 1, "{red} {green} {blue}");
    }

    #[test]
    fn shared_differences_colour_all_their_pixels() {
        // Two units of 2 x 2 pixels for a row of three.
        let units: &[u8] = &[10, 20, 30, 40, 128, 128, 50, 0, 60, 0, 128, 128];
        let mut rgb = vec![0; 18];
        YcbcrRows::new(units, form(2, 2), 3).read_exact(&mut rgb).unwrap();
        let grays: Vec<u8> = rgb.chunks_exact(3).map(|pixel| pixel[0]).collect();
        assert_eq!(grays, [10, 20, 50, 30, 40, 60]);
    }
}

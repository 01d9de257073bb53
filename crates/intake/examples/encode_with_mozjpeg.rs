//! Encodes a binary PPM from standard input with mozjpeg, to standard output: one of the encoders
//! of `testimages/jpeg_encoders.py`.
//!
//! `cargo run --example encode_with_mozjpeg -- QUALITY [PROFILE]`

use std::error::Error;
use std::io::{self, Read, Write};
use std::{env, fs};

use mozjpeg::{ColorSpace, Compress};

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = env::args().skip(1);
    let quality = arguments.next().ok_or("a quality from 1 to 100 is needed")?.parse()?;
    let profile = arguments.next().map(fs::read).transpose()?;
    let mut file = Vec::new();
    io::stdin().read_to_end(&mut file)?;
    let (width, height, pixels) = binary_ppm(&file).ok_or("standard input is no binary PPM")?;

    let mut encoder = Compress::new(ColorSpace::JCS_RGB);
    encoder.set_size(width, height);
    encoder.set_quality(quality);
    let mut started = encoder.start_compress(Vec::new())?;
    if let Some(profile) = profile {
        started.write_icc_profile(&profile);
    }
    started.write_scanlines(pixels)?;
    io::stdout().write_all(&started.finish()?)?;
    Ok(())
}

/// Width, height and samples of a file without comments, as general libraries write it.
fn binary_ppm(file: &[u8]) -> Option<(usize, usize, &[u8])> {
    let mut fields = file.splitn(4, |byte| byte.is_ascii_whitespace());
    let mut field = || fields.next().and_then(|field| str::from_utf8(field).ok());
    let ("P6", width, height) = (field()?, field()?.parse().ok()?, field()?.parse().ok()?) else {
        return None;
    };
    let samples = fields.next()?.strip_prefix(b"255\n")?;
    (samples.len() == 3 * width * height).then_some((width, height, samples))
}

//! In a process of its own, because a panic hook belongs to the whole process.

#![expect(clippy::unwrap_used, reason = "tests' own functions may panic as tests do")]

use std::io::Cursor;
use std::sync::atomic::{AtomicUsize, Ordering};

use inkfathom_intake::{Limits, jpeg_decoder_is_accelerated, open};

static PANICS: AtomicUsize = AtomicUsize::new(0);

fn file() -> Vec<u8> {
    let mut file = Vec::new();
    let encoder = jpeg_encoder::Encoder::new(&mut file, 80);
    let samples: Vec<u8> = (0..=255).cycle().take(64 * 64 * 3).collect();
    encoder.encode(&samples, 64, 64, jpeg_encoder::ColorType::Rgb).unwrap();
    file
}

/// Errors of the JPEG decoder arrive as unwinding. That must not pass the panic hook, which
/// prints.
#[test]
fn a_broken_jpeg_file_passes_no_panic_hook() {
    std::panic::set_hook(Box::new(|_| {
        PANICS.fetch_add(1, Ordering::Relaxed);
    }));
    let sound = file();
    let mut refused = 0;
    for place in 2..sound.len() {
        let mut broken = sound.clone();
        broken[place] ^= 0x55;
        let Ok(mut picture) = open(Cursor::new(broken), &Limits::default()) else {
            continue;
        };
        while let Some(result) = picture.rows.next_band().transpose() {
            refused += usize::from(result.is_err());
        }
    }
    let _ = std::panic::take_hook();
    assert!(refused > 100, "the decoder complained {refused} times");
    assert_eq!(PANICS.load(Ordering::Relaxed), 0);
}

#[test]
fn the_jpeg_decoder_runs_with_vector_instructions() {
    assert!(
        jpeg_decoder_is_accelerated(),
        "the decoder was built without an assembler; install nasm and build again"
    );
}

#![no_main]

use inkfathom_tests::bodies;
use intake::FileFormat;
use libfuzzer_sys::fuzz_target;

fuzz_target!(
    init: bodies::let_caught_panics_pass(),
    |bytes: &[u8]| bodies::picture(FileFormat::Bmp, bytes)
);

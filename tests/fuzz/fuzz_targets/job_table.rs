#![no_main]

use inkfathom_tests::bodies;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| bodies::job_table(bytes));

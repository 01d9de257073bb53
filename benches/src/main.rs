//! Long proofs and speed measurements, each a subcommand in a file of its own.
//!
//! `cargo run --release --package inkfathom-benches -- estimate-over-decoding` measures what an
//! estimate costs beyond the decoding of its picture. Results are Markdown on standard output.
//! Pictures come from `testimages`, as in the tests; what is made from them goes to a folder
//! outside the repository.

mod bench_error;
mod estimate_over_decoding;
mod killed_imports;
mod learning;
mod mosaic;
mod mutations;
mod photographs;
mod program;
mod timings;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::estimate_over_decoding::EstimateOverDecoding;
use crate::killed_imports::KilledImports;
use crate::learning::Learning;
use crate::mutations::Mutations;

/// Long proofs and speed measurements of inkfathom.
#[derive(Debug, Parser)]
struct Arguments {
    #[command(subcommand)]
    proof: Proof,
}

#[derive(Debug, Subcommand)]
enum Proof {
    EstimateOverDecoding(EstimateOverDecoding),
    KilledImports(KilledImports),
    Learning(Learning),
    Mutations(Mutations),
}

#[expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "this program is a shell for the proofs"
)]
fn main() -> ExitCode {
    let result = match Arguments::parse().proof {
        Proof::EstimateOverDecoding(proof) => proof.run(),
        Proof::KilledImports(proof) => proof.run(),
        Proof::Learning(proof) => proof.run(),
        Proof::Mutations(proof) => proof.run(),
    };
    match result {
        Ok(markdown) => {
            print!("{markdown}");
            ExitCode::SUCCESS
        }
        Err(fault) => {
            eprintln!("error: {fault}");
            ExitCode::FAILURE
        }
    }
}

//! Long proofs and speed measurements, each a subcommand in a file of its own.
//!
//! `cargo run --release --package inkfathom-benches -- estimate-over-decoding` measures what an
//! estimate costs beyond the decoding of its picture. Results are Markdown on standard output.
//! Pictures come from `testimages`, as in the tests; what is made from them goes to a folder
//! outside the repository. What proofs share with the separation's tests, or measure of its
//! inside, is taken in by its path rather than written twice.

extern crate separation as inkfathom_separation;

mod bench_error;
#[path = "../../crates/separation/tests/separation/brute_force.rs"]
mod brute_force;
mod built_in_names;
mod estimate_over_decoding;
mod folder_speeds;
mod four_pictures;
mod ink_set_levers;
mod killed_imports;
#[expect(
    dead_code,
    unreachable_pub,
    reason = "lattices are made and read here, neither stored nor shown to other rooms"
)]
#[path = "../../crates/separation/src/lattice.rs"]
mod lattice;
mod lattice_alternatives;
mod learning;
mod least_ink;
mod levers;
mod measured_process;
mod mosaic;
mod mutations;
mod numbered_pictures;
mod photographs;
mod program;
mod real_colours;
mod separation_folder;
mod separation_proofs;
mod separation_speeds;
mod service_full_disk;
mod service_kills;
mod service_load;
mod speed_pictures;
mod speed_table;
#[path = "../../crates/separation/tests/separation/steps.rs"]
mod steps;
#[path = "../../crates/separation/tests/separation/support.rs"]
mod support;
mod table;
mod timings;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::estimate_over_decoding::EstimateOverDecoding;
use crate::folder_speeds::FolderSpeeds;
use crate::ink_set_levers::InkSetLevers;
use crate::killed_imports::KilledImports;
use crate::lattice_alternatives::LatticeAlternatives;
use crate::learning::Learning;
use crate::least_ink::LeastInk;
use crate::mutations::Mutations;
use crate::separation_proofs::SeparationProofs;
use crate::separation_speeds::SeparationSpeeds;
use crate::service_full_disk::ServiceFullDisk;
use crate::service_kills::ServiceKills;
use crate::service_load::ServiceLoad;
use crate::speed_table::SpeedTable;

/// Long proofs and speed measurements of inkfathom.
#[derive(Debug, Parser)]
struct Arguments {
    #[command(subcommand)]
    proof: Proof,
}

#[derive(Debug, Subcommand)]
enum Proof {
    EstimateOverDecoding(EstimateOverDecoding),
    FolderSpeeds(FolderSpeeds),
    KilledImports(KilledImports),
    Learning(Learning),
    Mutations(Mutations),
    SeparationProofs(SeparationProofs),
    LeastInk(LeastInk),
    InkSetLevers(InkSetLevers),
    SeparationSpeeds(SeparationSpeeds),
    LatticeAlternatives(LatticeAlternatives),
    SpeedTable(SpeedTable),
    ServiceFullDisk(ServiceFullDisk),
    ServiceKills(ServiceKills),
    ServiceLoad(ServiceLoad),
}

#[expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "this program is a shell for the proofs"
)]
fn main() -> ExitCode {
    let result = match Arguments::parse().proof {
        Proof::EstimateOverDecoding(proof) => proof.run(),
        Proof::FolderSpeeds(proof) => proof.run(),
        Proof::KilledImports(proof) => proof.run(),
        Proof::Learning(proof) => proof.run(),
        Proof::Mutations(proof) => proof.run(),
        Proof::SeparationProofs(proof) => Ok(proof.run()),
        Proof::LeastInk(proof) => proof.run(),
        Proof::InkSetLevers(proof) => proof.run(),
        Proof::SeparationSpeeds(proof) => proof.run(),
        Proof::LatticeAlternatives(proof) => Ok(proof.run()),
        Proof::SpeedTable(proof) => proof.run(),
        Proof::ServiceFullDisk(proof) => proof.run(),
        Proof::ServiceKills(proof) => proof.run(),
        Proof::ServiceLoad(proof) => proof.run(),
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

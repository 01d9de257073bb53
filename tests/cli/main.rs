//! The command line as its users meet it: arguments in, figures and exit codes out.
//!
//! Every run goes through [`program::inkfathom`], which also refuses panics and exit codes that
//! the table of `inkfathom --help` lacks.

#![expect(clippy::unwrap_used, reason = "tests' own functions may panic as tests do")]

mod amounts;
mod bad_files;
mod caching;
mod charts;
mod colours;
mod encoders;
mod exit_codes;
mod folders;
mod forms;
mod golden;
mod ink_sets;
mod jobs;
mod ledger;
mod limits;
mod money;
mod mutations;
mod names;
mod output_files;
mod output_profiles;
mod pages;
mod photographs;
mod pictures;
mod program;
mod proofs;
mod reading;
mod readme;
mod separations;
mod serve;
mod serve_access;
mod serve_faults;
mod serve_pages;
mod sizes;
mod terminals;
mod tiles;
mod verdicts;
mod watching;

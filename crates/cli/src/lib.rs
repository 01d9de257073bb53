//! The command line: reads files and arguments, calls the rooms below, and writes.
//!
//! Data goes to standard output or `--output`, everything else to standard error. Exit codes
//! stand in [`Exit`]. Deliberately absent: any computing.

mod arguments;
mod chart_arguments;
mod chart_commands;
mod colour_commands;
mod colour_list;
mod estimating_commands;
mod exit;
mod folder_cache;
mod ink_set_commands;
mod ink_set_source;
mod input;
mod monthly_commands;
mod monthly_jobs;
mod output;
mod output_profile_source;
mod page_arguments;
mod policies;
mod prepared_sets;
mod price_list_commands;
mod price_list_source;
mod pricing_arguments;
mod print_arguments;
mod profile_command;
mod proof_command;
mod quote_command;
mod run;
mod separate_command;
mod shell_error;
mod thresholds;
mod universal_time;

pub use exit::Exit;
pub use run::run;

//! The command line: reads files and arguments, calls the rooms below, and writes.
//!
//! Data goes to standard output or `--output`, everything else to standard error. Exit codes
//! stand in [`Exit`]. Deliberately absent: any computing.

mod arguments;
mod batch;
mod calibrated_sets;
mod calibration_commands;
mod calibration_text;
mod chart_arguments;
mod chart_commands;
mod collected_command;
mod colour_commands;
mod colour_list;
mod drift_command;
mod estimating_commands;
mod exit;
mod file_arguments;
mod file_list;
mod folder_cache;
mod ink_set_commands;
mod ink_set_source;
mod input;
mod job_commands;
mod job_records;
mod kept_censuses;
mod kept_pictures;
mod ledger_arguments;
mod ledger_place;
mod manuals;
mod measured_jobs;
mod monthly_commands;
mod monthly_jobs;
mod output;
mod output_profile_source;
mod page_arguments;
mod picture_options;
mod picture_reading;
mod policies;
mod prepared_sets;
mod price_list_commands;
mod price_list_source;
mod pricing_arguments;
mod print_arguments;
mod profile_command;
mod progress;
mod proof_command;
mod quote_command;
mod receiver;
mod run;
mod separate_command;
mod separation_words;
mod service_arguments;
mod service_commands;
mod service_configuration;
mod shell_error;
mod thresholds;
mod today;
mod universal_time;
mod watch_arguments;
mod watch_command;
mod watch_journal;
mod watched_folder;

pub use exit::Exit;
pub use run::run;

//! The service: pictures come in over HTTP, are counted, and answered about as the command line
//! answers.
//!
//! - [`Studio`] knows and does everything, without HTTP: it takes uploads in, has them counted by
//!   processes of their own ([`CountingOrder`]), and answers questions ([`WhatIf`]).
//! - [`serve`] is the server: the interface below `/api`, described by `/api/v1/openapi.json`, and
//!   whatever pages the caller adds.
//! - [`Configuration`] says everything that may be chosen, and [`ConfigurationSources`] from where.
//!
//! An upload is accepted once its file and its row are on the disk; from then on it is counted,
//! whatever happens to the service. Every answer comes from the same rooms as that of the command line,
//! and every error is a [`Problem`] with the command line's classes.
//!
//! Deliberately absent: computing, SQL, and what a page looks like.

mod access;
mod answering;
mod api;
mod caller;
mod catalogue;
mod catalogue_forms;
mod clock;
mod configuration;
mod configuration_file;
mod counting_process;
mod counting_queue;
mod counting_worker;
mod customer_price;
mod device_calibration;
mod display_name;
mod guarding;
mod incoming;
mod judging;
mod measured_jobs;
mod messages;
mod metrics;
mod problem;
mod proof_pictures;
mod rate_limit;
mod receiving;
mod recently_used;
mod secrets;
mod server;
mod settings_table;
mod shared_ledger;
mod standing;
mod studio;
mod studio_forms;
mod turnstile;
mod upload_folder;
mod upload_form;
mod what_if;

pub use access::{Access, Rights, UploadQuery};
pub use caller::{KeyHolder, StudioUser, Visitor};
pub use catalogue::SharedCache;
pub use catalogue_forms::{InkForm, InkSetForm, PriceListForm};
pub use configuration::{Configuration, ConfigurationSources};
pub use counting_process::MEMORY_HABITS;
pub use counting_worker::CountingOrder;
pub use customer_price::CustomerPrice;
pub use device_calibration::device_calibration;
pub use problem::{Problem, ProblemClass};
pub use proof_pictures::ProofPicture;
pub use secrets::NewKey;
pub use server::{router, serve};
pub use studio::{Settings, Studio};
pub use studio_forms::{JobForm, MeasuredEntry, MonthForm, StandingForm};
pub use upload_form::{Assumed, PictureFacts, UploadForm, UploadPage, UploadState};
pub use what_if::{Intent, WhatIf};

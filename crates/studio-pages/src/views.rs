//! Whole documents and the parts that they are made of. They take plain values and know neither
//! requests nor the service.

mod answers;
mod frame;
mod inks;
mod proofs;
mod result_page;
mod sign_in_page;
mod studio_pages;
mod studio_part;
mod upload_page;
mod waiting_page;
mod what_if_form;

pub(crate) use answers::{Price, SetAnswer};
pub(crate) use frame::{Frame, Place, message_page};
pub(crate) use proofs::ProofAddresses;
pub(crate) use result_page::{Answer, PictureLine, ResultPage};
pub(crate) use sign_in_page::sign_in_page;
pub(crate) use studio_pages::{overview_page, printer_page, uploads_page};
pub(crate) use studio_part::StudioPart;
pub(crate) use upload_page::UploadPage;
pub(crate) use waiting_page::waiting_page;
pub(crate) use what_if_form::{Choice, SetChoice, WhatIfForm};

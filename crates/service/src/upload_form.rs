use estimating::{CountedPicture, Weight};
use ledger::{StoredUpload, UploadState as Stored};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::clock::written;
use crate::{Problem, WhatIf};

/// An upload, as the interface and pages show it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct UploadForm {
    /// Its unguessable name in addresses.
    pub id: String,
    /// The file's name for people; never a path.
    pub name: String,
    /// How far it is.
    pub state: UploadState,
    /// When it was received, in universal time.
    #[schema(format = DateTime)]
    pub received_at: String,
    /// Size of the file.
    pub bytes: u64,
    /// Why it was refused, or failed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub problem: Option<Problem>,
    /// What was found, once it is counted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub picture: Option<PictureFacts>,
    /// Whether the studio keeps the file after counting.
    pub picture_kept: bool,
    /// What was asked with it.
    pub wish: WhatIf,
    /// What opens it by a link; for whoever may hand out links.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub token: Option<String>,
}

/// How far an upload is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum UploadState {
    /// Its file is kept and waits.
    Received,
    /// Its colours are being counted.
    Counting,
    /// It can be asked about.
    Counted,
    /// Its file is no picture that can be counted.
    Refused,
    /// It could not be counted, through no fault that was found in the file.
    Failed,
}

/// What was found about a picture.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PictureFacts {
    /// Upright width.
    pub width_px: u32,
    /// Upright height.
    pub height_px: u32,
    /// Kind of file.
    pub format: String,
    /// BLAKE3 hash of the file.
    pub content_hash: String,
    /// Upright printed width that the file states.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stated_width_mm: Option<f64>,
    /// Upright printed height that the file states.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stated_height_mm: Option<f64>,
    /// Number of colours that were told apart.
    pub colours: u64,
    /// What had to be assumed while reading.
    pub assumptions: Vec<Assumed>,
}

/// Something that had to be assumed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Assumed {
    /// "note" or "warning".
    pub weight: String,
    /// The sentence.
    pub text: String,
}

/// A part of a list of uploads.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct UploadPage {
    /// Newest first.
    pub uploads: Vec<UploadForm>,
    /// What to pass as `after` for the rest, if there is more.
    pub next: Option<String>,
}

impl UploadForm {
    /// The form of a stored upload, whose picture's facts the caller adds.
    pub(crate) fn of(stored: &StoredUpload, counting: bool, picture_kept: bool) -> Self {
        let problem = stored.problem.as_deref().and_then(|text| serde_json::from_str(text).ok());
        Self {
            id: stored.upload.id.clone(),
            name: stored.upload.name.clone(),
            state: match stored.state {
                Stored::Received if counting => UploadState::Counting,
                Stored::Received => UploadState::Received,
                Stored::Counted => UploadState::Counted,
                Stored::Refused => UploadState::Refused,
                Stored::Failed => UploadState::Failed,
            },
            received_at: written(stored.upload.received_at),
            bytes: stored.upload.bytes,
            problem,
            picture: None,
            picture_kept,
            wish: serde_json::from_str(&stored.upload.wish).unwrap_or_default(),
            token: None,
        }
    }
}

impl PictureFacts {
    pub(crate) fn of(picture: &CountedPicture) -> Self {
        let (width_px, height_px) = picture.upright_pixels();
        let stated = picture.stated_size();
        let assumed = |assumption: &estimating::Assumption| Assumed {
            weight: match assumption.weight {
                Weight::Note => "note".to_owned(),
                Weight::Warning => "warning".to_owned(),
            },
            text: assumption.text.clone(),
        };
        Self {
            width_px,
            height_px,
            format: picture.file_format.to_string(),
            content_hash: picture.content_hash.to_string(),
            stated_width_mm: stated.map(|(width, _)| width.to_millimetres()),
            stated_height_mm: stated.map(|(_, height)| height.to_millimetres()),
            colours: u64::try_from(picture.census.entries().count()).unwrap_or(u64::MAX),
            assumptions: picture.assumptions.iter().map(assumed).collect(),
        }
    }
}

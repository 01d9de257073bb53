use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use estimating::EstimatingError;
use inkset::InkSetError;
use intake::IntakeError;
use ledger::LedgerError;
use pricing::PricingError;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::messages::tell;

/// What went wrong, as RFC 9457 has it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Problem {
    /// Names the class of the problem.
    #[serde(rename = "type")]
    #[schema(example = "/problems/picture")]
    pub kind: String,
    /// The class in words.
    pub title: String,
    /// The HTTP status.
    pub status: u16,
    /// What happened, with value, range and remedy, for people.
    pub detail: String,
    /// The class.
    pub class: ProblemClass,
    /// The exit code with which the command line answers the same.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub exit_code: Option<u8>,
}

/// Classes of problems: those of the command line, and those that only a service has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ProblemClass {
    /// What was asked makes no sense.
    Usage,
    /// The file is no picture that can be counted.
    Picture,
    /// An ink set is missing or faulty.
    InkSet,
    /// A price list is missing or faulty.
    PriceList,
    /// What was asked can't be priced.
    NoPrice,
    /// There is no such thing, or not for this caller.
    Unknown,
    /// The address knows no such method.
    Method,
    /// The caller did not say who it is, or is not known.
    Unauthorised,
    /// The caller may not do this.
    Forbidden,
    /// It contradicts what came before.
    Conflict,
    /// The picture waits to be counted.
    NotCountedYet,
    /// More bytes than are taken.
    TooLarge,
    /// The body has another kind than is read here.
    Kind,
    /// The client took too long.
    Timeout,
    /// The body ended before its stated length.
    WrongLength,
    /// Too many requests from one address.
    TooMany,
    /// There is no room to keep anything more.
    DiskFull,
    /// The process that counts pictures was ended.
    Worker,
    /// A fault of this program.
    Internal,
    /// Not now.
    Unavailable,
}

impl ProblemClass {
    /// Its status, its words and the exit code of the command line.
    const fn facts(self) -> (StatusCode, &'static str, Option<u8>) {
        use StatusCode as S;
        match self {
            Self::Usage => (S::UNPROCESSABLE_ENTITY, "what was asked makes no sense", Some(2)),
            Self::Picture => (S::UNPROCESSABLE_ENTITY, "the picture can't be answered", Some(4)),
            Self::InkSet => (S::UNPROCESSABLE_ENTITY, "an ink set is missing or faulty", Some(5)),
            Self::PriceList => {
                (S::UNPROCESSABLE_ENTITY, "a price list is missing or faulty", Some(7))
            }
            Self::NoPrice => {
                (S::UNPROCESSABLE_ENTITY, "what was asked for can't be priced", Some(8))
            }
            Self::Unknown => (S::NOT_FOUND, "there is no such thing here", None),
            Self::Method => (S::METHOD_NOT_ALLOWED, "this can't be done here", None),
            Self::Unauthorised => (S::UNAUTHORIZED, "a key is needed", None),
            Self::Forbidden => (S::FORBIDDEN, "this is not allowed", None),
            Self::Conflict => (S::CONFLICT, "it contradicts what came before", None),
            Self::NotCountedYet => (S::CONFLICT, "the picture is not counted", None),
            Self::TooLarge => (S::PAYLOAD_TOO_LARGE, "the file is too large", None),
            Self::Kind => (S::UNSUPPORTED_MEDIA_TYPE, "this kind of body is not read here", None),
            Self::Timeout => (S::REQUEST_TIMEOUT, "the request came too slowly", None),
            Self::WrongLength => (S::BAD_REQUEST, "the body has another length than stated", None),
            Self::TooMany => (S::TOO_MANY_REQUESTS, "too many requests", None),
            Self::DiskFull => (S::INSUFFICIENT_STORAGE, "nothing more can be kept", Some(9)),
            Self::Worker => (S::INTERNAL_SERVER_ERROR, "the counting was ended", None),
            Self::Internal => (S::INTERNAL_SERVER_ERROR, "a fault of the service", None),
            Self::Unavailable => (S::SERVICE_UNAVAILABLE, "not now", None),
        }
    }
}

impl Problem {
    /// A problem of a class; `detail` is a sentence for people.
    pub fn new(class: ProblemClass, detail: impl Into<String>) -> Self {
        let (status, title, exit_code) = class.facts();
        let word = serde_json::to_value(class).unwrap_or_default();
        Self {
            kind: format!("/problems/{}", word.as_str().unwrap_or("internal")),
            title: title.to_owned(),
            status: status.as_u16(),
            detail: detail.into(),
            class,
            exit_code,
        }
    }

    /// There is no such upload, answer or address, or the caller may not know of it.
    pub fn unknown(what: &str) -> Self {
        Self::new(ProblemClass::Unknown, format!("there is no such {what}"))
    }

    /// A fault of the program: told where the service runs, hidden from callers.
    pub(crate) fn internal(cause: impl std::fmt::Display) -> Self {
        tell("fault", &cause.to_string());
        Self::new(ProblemClass::Internal, "the service could not answer; its log says why")
    }

    /// The HTTP status.
    #[must_use]
    pub fn status(&self) -> StatusCode {
        StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let body = serde_json::to_vec(&self).unwrap_or_default();
        let mut response = (self.status(), body).into_response();
        let kind = HeaderValue::from_static("application/problem+json");
        response.headers_mut().insert(header::CONTENT_TYPE, kind);
        match self.class {
            ProblemClass::Unauthorised => {
                let scheme = HeaderValue::from_static("Bearer");
                response.headers_mut().insert(header::WWW_AUTHENTICATE, scheme);
            }
            ProblemClass::TooMany | ProblemClass::Unavailable => {
                let seconds = HeaderValue::from_static("60");
                response.headers_mut().insert(header::RETRY_AFTER, seconds);
            }
            _ => {}
        }
        response
    }
}

impl From<EstimatingError> for Problem {
    fn from(error: EstimatingError) -> Self {
        let class = match &error {
            EstimatingError::SizeUnknown => {
                return Self::new(
                    ProblemClass::Usage,
                    "the printed size is unknown: the file states no resolution; give a width or a \
                     height, for example 60cm",
                );
            }
            EstimatingError::SizeAbsurd { .. } | EstimatingError::Unit(_) => ProblemClass::Usage,
            EstimatingError::Picture(_)
            | EstimatingError::Census(_)
            | EstimatingError::Profile(_) => ProblemClass::Picture,
            EstimatingError::PictureFile(_) | EstimatingError::Proof(_) => ProblemClass::Usage,
            _ => ProblemClass::InkSet,
        };
        Self::new(class, error.to_string())
    }
}

impl From<IntakeError> for Problem {
    fn from(error: IntakeError) -> Self {
        Self::new(ProblemClass::Picture, error.to_string())
    }
}

impl From<InkSetError> for Problem {
    fn from(error: InkSetError) -> Self {
        Self::new(ProblemClass::InkSet, error.to_string())
    }
}

impl From<PricingError> for Problem {
    fn from(error: PricingError) -> Self {
        let class = match error {
            PricingError::Faulty { .. } => ProblemClass::PriceList,
            _ => ProblemClass::NoPrice,
        };
        Self::new(class, error.to_string())
    }
}

impl From<LedgerError> for Problem {
    fn from(error: LedgerError) -> Self {
        match error {
            LedgerError::Unwritable { .. } => Self::disk_full(&error),
            LedgerError::Locked { .. } => {
                tell("fault", &error.to_string());
                Self::new(ProblemClass::Unavailable, "another program holds the ledger; ask again")
            }
            other => Self::internal(other),
        }
    }
}

impl Problem {
    /// Nothing more can be kept.
    pub(crate) fn disk_full(cause: &impl std::fmt::Display) -> Self {
        tell("fault", &cause.to_string());
        Self::new(
            ProblemClass::DiskFull,
            "there is no room on the service's disk; nothing of the request was kept, ask again \
             later",
        )
    }

    /// What befell a file of the service.
    pub(crate) fn of_file(cause: &std::io::Error) -> Self {
        match cause.kind() {
            std::io::ErrorKind::StorageFull | std::io::ErrorKind::QuotaExceeded => {
                Self::disk_full(cause)
            }
            _ => Self::internal(cause),
        }
    }
}
